//! What runs without a person watching.
use super::{Findings, OneSpec, Paper, Sheet};
use clap::Args;
use std::path::PathBuf;

/// Many specs, a row each.
#[derive(Args)]
pub(in crate::cli) struct Batch {
    /// Specs, folders of specs, or patterns like 'boards/*.toml'.
    #[arg(required = true, value_name = "FILES")]
    pub(in crate::cli) specs: Vec<PathBuf>,
    /// KEY=LOW..HIGH:STEPS or KEY=A,B,C; every combination.
    #[arg(long, value_name = "KEY=VALUES", allow_hyphen_values = true)]
    pub(in crate::cli) vary: Vec<String>,
    /// Folder for a report on each design.
    #[arg(long, value_name = "DIR", allow_hyphen_values = true)]
    pub(in crate::cli) reports: Option<PathBuf>,
    /// Threads to work with; left out: one a core.
    #[arg(long, value_name = "N", default_value_t = 0, hide_default_value = true)]
    pub(in crate::cli) threads: usize,
    #[command(flatten)]
    pub(in crate::cli) output: Sheet,
}

/// Boards as built, held against their limits.
#[derive(Args)]
pub(in crate::cli) struct Check {
    /// Specs, folders of specs, or patterns like 'boards/*.toml'.
    #[arg(required = true, value_name = "FILES")]
    pub(in crate::cli) specs: Vec<PathBuf>,
    /// Bill of materials, in place of the spec's.
    #[arg(long, value_name = "FILE.csv", allow_hyphen_values = true)]
    pub(in crate::cli) bom: Option<PathBuf>,
    /// JUnit XML for a build server.
    #[arg(long, value_name = "FILE", allow_hyphen_values = true)]
    pub(in crate::cli) junit: Option<PathBuf>,
    /// What `design` or `batch` once printed as JSON: tells what moved.
    #[arg(long, value_name = "FILE.json", allow_hyphen_values = true)]
    pub(in crate::cli) against: Option<PathBuf>,
    #[command(flatten)]
    pub(in crate::cli) output: Paper,
}

/// Bench readings, held against the prediction.
#[derive(Args)]
pub(in crate::cli) struct Verify {
    #[command(flatten)]
    pub(in crate::cli) spec: OneSpec,
    /// Readings as CSV: differential or positive, negative; output.
    #[arg(value_name = "READINGS.csv", required_unless_present = "plan")]
    pub(in crate::cli) readings: Option<PathBuf>,
    /// Temperature of the bench; else where it is calibrated.
    #[arg(long, value_name = "TEMP", allow_hyphen_values = true)]
    pub(in crate::cli) at: Option<String>,
    /// The sheet to fill in, in place of readings.
    #[arg(long, conflicts_with = "readings")]
    pub(in crate::cli) plan: bool,
    #[command(flatten)]
    pub(in crate::cli) output: Findings,
}
