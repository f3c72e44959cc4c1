//! Which formats there are, and what each follows.

/// An open format in which an object is told.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum Format {
    /// Linked Art, a profile of CIDOC CRM, as JSON-LD.
    LinkedArt,
    /// The vocabulary of schema.org, as JSON-LD; in the pages too.
    SchemaOrg,
    /// Dublin Core terms, as JSON-LD.
    DublinCore,
    /// The terms that the JSON-LD documents use, for reading them without a network.
    Context,
    /// Web Annotations of the W3C: a detail each, and all together.
    Annotations,
    /// A manifest of IIIF Presentation 4, which is a draft: a scene for each body.
    Manifest,
    /// EpiDoc, a use of TEI: the lettering of a detail.
    Edition,
    /// Every claim with its ground, after the London Charter.
    Paradata,
    /// LIDO 1.1, in which museums exchange records.
    Lido,
    /// A table of comma-separated values (RFC 4180).
    Csv,
}

impl Format {
    /// All of them, in the order in which they are listed.
    pub const ALL: [Self; 10] = [
        Self::LinkedArt,
        Self::SchemaOrg,
        Self::DublinCore,
        Self::Annotations,
        Self::Manifest,
        Self::Edition,
        Self::Paradata,
        Self::Lido,
        Self::Csv,
        Self::Context,
    ];

    /// A stable word for it, for keys of interface words and for programs.
    pub fn word(self) -> &'static str {
        match self {
            Self::LinkedArt => "linked_art",
            Self::SchemaOrg => "schema_org",
            Self::DublinCore => "dublin_core",
            Self::Context => "context",
            Self::Annotations => "annotations",
            Self::Manifest => "manifest",
            Self::Edition => "edition",
            Self::Paradata => "paradata",
            Self::Lido => "lido",
            Self::Csv => "csv",
        }
    }

    /// The standard that it follows, with its version. Names of standards are the same in every
    /// language.
    pub fn standard(self) -> &'static str {
        match self {
            Self::LinkedArt => "Linked Art 1.0; CIDOC CRM 7.1; JSON-LD 1.1",
            Self::SchemaOrg => "schema.org; JSON-LD 1.1",
            Self::DublinCore => "DCMI Metadata Terms; JSON-LD 1.1",
            Self::Context => "JSON-LD 1.1",
            Self::Annotations => "W3C Web Annotation Data Model, 2017; IIIF Presentation 4.0.0",
            Self::Manifest => "IIIF Presentation 4.0.0",
            Self::Edition => "TEI P5; EpiDoc",
            Self::Paradata => "London Charter 2.1; JSON",
            Self::Lido => "LIDO 1.1",
            Self::Csv => "RFC 4180",
        }
    }

    /// Whether something of it follows a draft that may still change.
    pub fn is_draft(self) -> bool {
        matches!(self, Self::Annotations | Self::Manifest)
    }
}
