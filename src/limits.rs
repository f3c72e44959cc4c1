//! Limits on what is read from disk, as one value passed in from the outside.

/// Bounds that hold for every file read. Each is strict: one unit beyond it is refused.
#[derive(Debug, Clone, Copy)]
pub struct Limits {
    /// Largest TOML or Markdown file, bytes.
    pub text_bytes: u64,
    /// Largest photograph, bytes.
    pub photograph_bytes: u64,
    /// Largest file of sound or film, bytes.
    pub recording_bytes: u64,
    /// Most pixels in a photograph (width × height).
    pub photograph_pixels: u64,
    /// Largest model file, bytes.
    pub model_bytes: u64,
    /// Most pixels in all textures of a model together.
    pub texture_pixels: u64,
    /// Most triangles in a model.
    pub triangles: usize,
    /// Deepest nesting of folders below the content folder.
    pub folder_depth: usize,
}

impl Limits {
    /// Room for a book of notes, an hour of film, a 200-megapixel photograph, a dozen textures of 8192 × 8192 and a 50-million-triangle scan.
    pub const USUAL: Self = Self {
        text_bytes: 1 << 20,
        photograph_bytes: 200 << 20,
        recording_bytes: 200 << 20,
        photograph_pixels: 200_000_000,
        model_bytes: 4 << 30,
        texture_pixels: 800_000_000,
        triangles: 50_000_000,
        folder_depth: 16,
    };
}

impl Default for Limits {
    fn default() -> Self {
        Self::USUAL
    }
}
