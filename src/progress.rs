//! Progress of long work, told to whoever listens; the library itself never prints.

/// Hears how far the work has come.
pub trait Listener: Sync {
    /// A piece of work begins or ends: `done` of `total` pieces, and what the current one is.
    fn progress(&self, done: usize, total: usize, what: &str);
}

/// Hears nothing.
#[derive(Debug, Clone, Copy, Default)]
pub struct Silence;

impl Listener for Silence {
    fn progress(&self, _: usize, _: usize, _: &str) {}
}
