use super::{OneSpec, Paper};
use crate::study::Shape;
use clap::{Args, ValueEnum};

/// The share of boards that will be within limits.
#[derive(Args)]
pub(in crate::cli) struct Yield {
    #[command(flatten)]
    pub(in crate::cli) spec: OneSpec,
    /// Boards to draw, as 1e6 or 1M; else 1M.
    #[arg(long, value_name = "N", allow_hyphen_values = true)]
    pub(in crate::cli) boards: Option<String>,
    /// The same seed draws the same boards; else 1.
    #[arg(long, value_name = "N", allow_hyphen_values = true)]
    pub(in crate::cli) seed: Option<String>,
    /// uniform or normal; else uniform.
    #[arg(long, value_enum, hide_possible_values = true)]
    pub(in crate::cli) shape: Option<ShapeArg>,
    /// At the limit, or drawn: uniform.
    #[arg(long, value_enum, hide_possible_values = true)]
    pub(in crate::cli) temperature: Option<TemperatureArg>,
    /// How rare misses are, far below what is seen.
    #[arg(long)]
    pub(in crate::cli) tail: bool,
    /// Threads; else one for each core.
    #[arg(long, value_name = "N", value_parser = clap::value_parser!(u16).range(1..=1024))]
    pub(in crate::cli) threads: Option<u16>,
    #[command(flatten)]
    pub(in crate::cli) output: Paper,
}

/// The words of `--shape`.
#[derive(Clone, Copy, ValueEnum)]
pub(in crate::cli) enum ShapeArg {
    Uniform,
    Normal,
}

impl From<ShapeArg> for Shape {
    fn from(shape: ShapeArg) -> Self {
        match shape {
            ShapeArg::Uniform => Self::Uniform,
            ShapeArg::Normal => Self::Normal,
        }
    }
}

/// The words of `--temperature`.
#[derive(Clone, Copy, PartialEq, Eq, ValueEnum)]
pub(in crate::cli) enum TemperatureArg {
    Limit,
    Uniform,
}
