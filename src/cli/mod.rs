//! Argument grammar, files, terminal, snippets with carets, exit status.

/// Runs with the arguments and streams of this process.
#[must_use]
pub fn run_process() -> u8 {
    0
}
