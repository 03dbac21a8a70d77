//! Questions about one design.
use super::{OneSpec, Paper};
use crate::study::Form;
use clap::{Args, ValueEnum};
use std::path::PathBuf;

/// A whole design from a spec: chosen values, every figure, limits.
#[derive(Args)]
pub(in crate::cli) struct Design {
    #[command(flatten)]
    pub(in crate::cli) spec: OneSpec,
    /// Frequencies of the sweep, as 1Hz..1MHz.
    #[arg(long, value_name = "LOW..HIGH", allow_hyphen_values = true)]
    pub(in crate::cli) sweep: Option<String>,
    /// A parts list beside the report.
    #[arg(long, value_name = "FILE.csv", allow_hyphen_values = true)]
    pub(in crate::cli) parts_list: Option<PathBuf>,
    #[command(flatten)]
    pub(in crate::cli) output: Paper,
}

/// The working of a figure, as it is put on the board.
#[derive(Args)]
pub(in crate::cli) struct Explain {
    #[command(flatten)]
    pub(in crate::cli) spec: OneSpec,
    #[arg(value_name = "FIGURE", help = FIGURES)]
    pub(in crate::cli) figure: Option<String>,
    /// A measured rejection: how large each cause would be.
    #[arg(long, value_name = "RATIO", allow_hyphen_values = true)]
    pub(in crate::cli) measured: Option<String>,
    #[command(flatten)]
    pub(in crate::cli) output: Paper,
}

const FIGURES: &str = "topology, gain, rejection, headroom, impedance,\noffset, noise, bandwidth, input_filter or budget;\nall of them when left out";

/// The same requirement in every topology, side by side.
#[derive(Args)]
pub(in crate::cli) struct Compare {
    #[command(flatten)]
    pub(in crate::cli) spec: OneSpec,
    #[command(flatten)]
    pub(in crate::cli) output: Paper,
}

/// Fixed part and trimmer for gain, and for rejection.
#[derive(Args)]
pub(in crate::cli) struct Trim {
    #[command(flatten)]
    pub(in crate::cli) spec: OneSpec,
    #[command(flatten)]
    pub(in crate::cli) output: Paper,
}

/// Switched gains: values, errors, rejection and headroom at each.
#[derive(Args)]
pub(in crate::cli) struct Gains {
    /// Gains, as 1,10,100.
    #[arg(allow_negative_numbers = true)]
    pub(in crate::cli) gains: String,
    #[command(flatten)]
    pub(in crate::cli) spec: OneSpec,
    /// one tapped string, or an RG for each gain.
    #[arg(long, value_enum, hide_possible_values = true)]
    pub(in crate::cli) form: Option<FormArg>,
    #[command(flatten)]
    pub(in crate::cli) output: Paper,
}

/// The words of `--form`.
#[derive(Clone, Copy, ValueEnum)]
pub(in crate::cli) enum FormArg {
    Tapped,
    Separate,
}

impl From<FormArg> for Form {
    fn from(form: FormArg) -> Self {
        match form {
            FormArg::Tapped => Self::Tapped,
            FormArg::Separate => Self::Separate,
        }
    }
}
