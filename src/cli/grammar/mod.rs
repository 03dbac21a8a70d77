//! The grammar of the arguments.
mod design;
mod numbers;
mod one_spec;
mod paper;
mod pipeline;
mod printed;
mod yields;

pub(super) use design::{Compare, Design, Explain, Gains, Trim};
pub(super) use numbers::{Reject, SeriesArgs, Size};
pub(super) use one_spec::OneSpec;
pub(super) use paper::{Answer, Findings, Paper, Sheet};
pub(super) use pipeline::{Batch, Check, Verify};
pub(super) use printed::{Completions, Man, New, Schema};
pub(super) use yields::{TemperatureArg, Yield};

use crate::designator::Topology;
use clap::builder::{PossibleValuesParser, TypedValueParser};
use clap::{Parser, Subcommand};
use std::ffi::OsString;

/// The command line.
#[derive(Parser)]
#[command(
    about = "Designs differential front ends from parts one can buy, and tells the\ncommon-mode rejection that is guaranteed"
)]
#[command(name = "evenkeel", version, arg_required_else_help = true, subcommand_required = true)]
#[command(
    after_help = "Exit status: 0 answered and every limit met, 1 answered and something not met,\n2 not answered, 130 interrupted."
)]
pub(super) struct Invocation {
    #[command(subcommand)]
    pub(super) command: Command,
}

#[derive(Subcommand)]
pub(super) enum Command {
    Size(Size),
    Reject(Reject),
    Design(Design),
    Compare(Compare),
    Trim(Trim),
    Gains(Gains),
    Batch(Batch),
    Check(Check),
    Verify(Verify),
    Yield(Yield),
    Explain(Explain),
    Series(SeriesArgs),
    New(New),
    Schema(Schema),
    Completions(Completions),
    Man(Man),
}

const CIRCUITS: &str = "difference, buffered-difference,\nthree-op-amp (unless given), two-op-amp\nor single-chip";

fn topology() -> impl TypedValueParser<Value = Topology> {
    PossibleValuesParser::new(Topology::ALL.map(Topology::name)).try_map(|name| name.parse::<Topology>())
}

/// Whether the arguments, right or wrong, ask for JSON.
pub(super) fn asks_for_json(args: &[OsString]) -> bool {
    args.iter().any(|arg| arg == "--format=json")
        || args.windows(2).any(|pair| pair[0] == "--format" && pair[1] == "json")
}
