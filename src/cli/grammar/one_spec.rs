//! The spec of a command, and the one channel of it that is meant.
use clap::Args;
use std::path::PathBuf;

/// A spec and a channel of it.
#[derive(Args)]
pub(in crate::cli) struct OneSpec {
    /// The spec, or - for standard input.
    #[arg(value_name = "SPEC")]
    pub(in crate::cli) path: PathBuf,
    /// The channel of a spec that has several.
    #[arg(long, value_name = "TITLE", allow_hyphen_values = true)]
    pub(in crate::cli) channel: Option<String>,
}
