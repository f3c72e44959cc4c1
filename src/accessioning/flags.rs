//! What may be said on the command line of a new object.

use clap::Args;
use counterpart::record::{Lang, LengthUnit, ObjectId, PartId, UpAxis, suggest};
use std::path::{Path, PathBuf};
use std::str::FromStr;

#[derive(Args)]
pub(crate) struct AccessionArgs {
    /// The new object, by the name that its folder will have
    #[arg(required_unless_present = "from")]
    pub(super) id: Option<ObjectId>,
    /// A table (CSV) or LIDO file of records received: a new object for each
    #[arg(long, value_name = "FILE", conflicts_with_all = ["id", "title", "name", "number", "date", "keeper", "original", "replica", "material", "holder"])]
    pub(super) from: Option<PathBuf>,
    /// Of these records, only those whose folder would be called so
    #[arg(long, value_name = "OBJECT", requires = "from")]
    pub(super) object: Vec<ObjectId>,
    /// The content folder; it is made when it is missing
    #[arg(long, value_name = "DIR", default_value = "content")]
    pub(super) content: PathBuf,
    /// Title of its page, once for each language
    #[arg(long, value_name = "LANG=TEXT")]
    pub(super) title: Vec<InLang>,
    /// What kind of thing it is, once for each language
    #[arg(long, value_name = "LANG=TEXT")]
    pub(super) name: Vec<InLang>,
    /// The number under which the object is registered
    #[arg(long, value_name = "TEXT")]
    pub(super) number: Option<String>,
    /// When it was made, once for each language
    #[arg(long, value_name = "LANG=TEXT")]
    pub(super) date: Vec<InLang>,
    /// Owner or keeper of the original, once for each language
    #[arg(long, value_name = "LANG=TEXT")]
    pub(super) keeper: Vec<InLang>,
    /// A scan of the original, copied into the folder; once for each part
    #[arg(long, value_name = "[PART=]FILE")]
    pub(super) original: Vec<PartFile>,
    /// A scan or print file of the replica, copied into the folder; once for each part
    #[arg(long, value_name = "[PART=]FILE")]
    pub(super) replica: Vec<PartFile>,
    /// Unit in which the scans were saved: mm, cm, m or in
    #[arg(long, value_parser = unit, value_name = "UNIT")]
    pub(super) unit: Option<LengthUnit>,
    /// Upward axis of the scans: y or z
    #[arg(long, value_parser = up, value_name = "AXIS", default_value = "y")]
    pub(super) up: UpAxis,
    /// What the original is made of, once for each language
    #[arg(long, value_name = "LANG=TEXT")]
    pub(super) material: Vec<InLang>,
    /// Who holds the rights in words and scans
    #[arg(long, value_name = "TEXT", requires = "statement")]
    pub(super) holder: Option<String>,
    /// Address of the licence or rights statement under which both are shown
    #[arg(long, value_name = "ADDRESS", requires = "holder")]
    pub(super) statement: Option<String>,
    /// For a new content folder: the publishing body
    #[arg(long, value_name = "TEXT")]
    pub(super) publisher: Option<String>,
    /// For a new content folder: the address at which the site will stand
    #[arg(long, value_name = "ADDRESS")]
    pub(super) address: Option<String>,
    /// Print what was made and measured as JSON, and ask nothing
    #[arg(long)]
    pub(super) json: bool,
}

/// A text with its language: `en=Mortar`.
#[derive(Debug, Clone)]
pub(super) struct InLang(pub(super) Lang, pub(super) String);

impl FromStr for InLang {
    type Err = String;
    fn from_str(text: &str) -> Result<Self, String> {
        let wanted = "write a language, an equals sign and the text, such as en=Mortar";
        let (lang, text) = text.split_once('=').ok_or(wanted)?;
        Ok(Self(lang.parse()?, text.to_owned()))
    }
}

/// A scan with the part that it shows: `bowl=scan.ply`.
#[derive(Debug, Clone)]
pub(super) struct PartFile(pub(super) PartId, pub(super) PathBuf);

impl FromStr for PartFile {
    type Err = String;
    fn from_str(text: &str) -> Result<Self, String> {
        let (part, path) = match text.split_once('=') {
            Some((part, path)) => (part.to_owned(), Path::new(path)),
            None => {
                let path = Path::new(text);
                let stem = path.file_stem().unwrap_or_default().to_string_lossy();
                let stem = suggest(&stem);
                let bare = ["original-", "replica-"]
                    .iter()
                    .find_map(|p| stem.strip_prefix(p));
                (bare.unwrap_or(&stem).to_owned(), path)
            }
        };
        let part = PartId::try_from(part).map_err(|e| format!("the part {e}"))?;
        Ok(Self(part, path.to_owned()))
    }
}

pub(super) fn unit(text: &str) -> Result<LengthUnit, String> {
    Ok(match text.trim() {
        "mm" => LengthUnit::Millimetre,
        "cm" => LengthUnit::Centimetre,
        "m" => LengthUnit::Metre,
        "in" => LengthUnit::Inch,
        other => return Err(format!("‘{other}’ is not one of mm, cm, m, in")),
    })
}

pub(super) fn unit_words(unit: LengthUnit) -> &'static str {
    match unit {
        LengthUnit::Millimetre => "mm",
        LengthUnit::Centimetre => "cm",
        LengthUnit::Metre => "m",
        LengthUnit::Inch => "in",
    }
}

fn up(text: &str) -> Result<UpAxis, String> {
    match text {
        "y" => Ok(UpAxis::Y),
        "z" => Ok(UpAxis::Z),
        other => Err(format!("‘{other}’ is not y or z")),
    }
}
