//! Questions that take no spec.
use super::{Answer, CIRCUITS, topology};
use crate::designator::Topology;
use crate::series::Series;
use crate::study::Side;
use clap::{Args, ValueEnum};

/// The gain-set resistor from a standard series.
#[derive(Args)]
pub(in crate::cli) struct Size {
    /// Gain that is wanted, V/V.
    #[arg(allow_negative_numbers = true)]
    pub(in crate::cli) gain: String,
    #[arg(long, value_name = "CIRCUIT", help = CIRCUITS, value_parser = topology(), hide_possible_values = true)]
    #[arg(default_value = "three-op-amp", hide_default_value = true)]
    pub(in crate::cli) topology: Topology,
    /// The feedback resistor; chosen when left out.
    #[arg(long, value_name = "R", allow_hyphen_values = true)]
    pub(in crate::cli) feedback: Option<String>,
    /// Series of the values, E3 to E192.
    #[arg(long, value_name = "NAME", default_value = "E96")]
    pub(in crate::cli) series: Series,
    /// Values at hand instead, as 100,470,4k7.
    #[arg(long, value_name = "LIST", allow_hyphen_values = true, conflicts_with = "series")]
    pub(in crate::cli) stock: Option<String>,
    /// Tolerance of all resistors; the series' customary.
    #[arg(long, value_name = "SHARE", allow_hyphen_values = true)]
    pub(in crate::cli) tolerance: Option<String>,
    /// 2: pairs in series and in parallel too.
    #[arg(long, value_name = "N", default_value_t = 1, value_parser = clap::value_parser!(u32).range(1..=2))]
    pub(in crate::cli) parts: u32,
    /// Gain nearest, at-least or at-most.
    #[arg(long, value_enum, default_value_t = SideArg::Nearest, hide_possible_values = true)]
    pub(in crate::cli) side: SideArg,
    /// K in the gain law of a single chip.
    #[arg(long, value_name = "R", allow_hyphen_values = true)]
    pub(in crate::cli) chip_constant: Option<String>,
    /// Gain of a single chip without RG; 1 when left out.
    #[arg(long, value_name = "N", allow_hyphen_values = true)]
    pub(in crate::cli) base_gain: Option<String>,
    /// Gain of the difference stage; else 1.
    #[arg(long, value_name = "N", allow_hyphen_values = true)]
    pub(in crate::cli) stage_two_gain: Option<String>,
    #[command(flatten)]
    pub(in crate::cli) output: Answer,
}

/// Worst-case rejection without a file.
#[derive(Args)]
pub(in crate::cli) struct Reject {
    /// Gain, V/V.
    #[arg(long, value_name = "N", allow_hyphen_values = true)]
    pub(in crate::cli) gain: String,
    #[arg(long, value_name = "CIRCUIT", help = CIRCUITS, value_parser = topology(), hide_possible_values = true)]
    #[arg(default_value = "three-op-amp", hide_default_value = true)]
    pub(in crate::cli) topology: Topology,
    /// Tolerance of all resistors; else perfect.
    #[arg(long, value_name = "SHARE", allow_hyphen_values = true)]
    pub(in crate::cli) tolerance: Option<String>,
    /// R1 to R4 as a network that matches so well.
    #[arg(long = "match", value_name = "SHARE", allow_hyphen_values = true)]
    pub(in crate::cli) matched: Option<String>,
    /// Rejection of each op amp, as 100dB; else ideal.
    #[arg(long, value_name = "RATIO", allow_hyphen_values = true)]
    pub(in crate::cli) opamp_rejection: Option<String>,
    /// Gain of the difference stage; else 1.
    #[arg(long, value_name = "N", allow_hyphen_values = true)]
    pub(in crate::cli) stage_two_gain: Option<String>,
    /// Rejection wanted: tells what guarantees it.
    #[arg(long, value_name = "RATIO", allow_hyphen_values = true)]
    pub(in crate::cli) need: Option<String>,
    #[command(flatten)]
    pub(in crate::cli) output: Answer,
}

/// The preferred numbers, and the ones next to a resistance.
#[derive(Args)]
pub(in crate::cli) struct SeriesArgs {
    /// E3 to E192; all of them when left out.
    pub(in crate::cli) name: Option<Series>,
    /// A resistance: tells the values below, nearest and above.
    #[arg(long, value_name = "R", allow_hyphen_values = true)]
    pub(in crate::cli) near: Option<String>,
    #[command(flatten)]
    pub(in crate::cli) output: Answer,
}

/// The words of `--side`.
#[derive(Clone, Copy, ValueEnum)]
pub(in crate::cli) enum SideArg {
    Nearest,
    AtLeast,
    AtMost,
}

impl From<SideArg> for Side {
    fn from(side: SideArg) -> Self {
        match side {
            SideArg::Nearest => Self::Nearest,
            SideArg::AtLeast => Self::AtLeast,
            SideArg::AtMost => Self::AtMost,
        }
    }
}
