//! The grammar of the arguments.
use super::Complaint;
use super::output::{Format, Wish};
use crate::designator::Topology;
use crate::series::Series;
use crate::study::Side;
use clap::builder::{PossibleValuesParser, TypedValueParser};
use clap::{Args, Parser, Subcommand, ValueEnum};
use std::ffi::OsString;
use std::path::PathBuf;

/// The command line.
#[derive(Parser)]
#[command(
    about = "Designs differential front ends from parts one can buy, and tells the\ncommon-mode rejection that is guaranteed"
)]
#[command(name = "evenkeel", version, arg_required_else_help = true, subcommand_required = true)]
#[command(
    after_help = "Exit status: 0 answered and every limit met, 1 answered and something not met,\n2 not answered."
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
    Explain(Explain),
    Series(SeriesArgs),
    New(New),
}

const CIRCUITS: &str = "difference, buffered-difference,\nthree-op-amp (unless given), two-op-amp\nor single-chip";

/// The gain-set resistor from a standard series.
#[derive(Args)]
pub(super) struct Size {
    /// Gain that is wanted, V/V.
    #[arg(allow_negative_numbers = true)]
    pub(super) gain: String,
    #[arg(long, value_name = "CIRCUIT", help = CIRCUITS, value_parser = topology(), hide_possible_values = true)]
    #[arg(default_value = "three-op-amp", hide_default_value = true)]
    pub(super) topology: Topology,
    /// The feedback resistor; chosen when left out.
    #[arg(long, value_name = "R", allow_hyphen_values = true)]
    pub(super) feedback: Option<String>,
    /// Series of the values, E3 to E192.
    #[arg(long, value_name = "NAME", default_value = "E96")]
    pub(super) series: Series,
    /// Values at hand instead, as 100,470,4k7.
    #[arg(long, value_name = "LIST", allow_hyphen_values = true, conflicts_with = "series")]
    pub(super) stock: Option<String>,
    /// Tolerance of all resistors; the series' customary.
    #[arg(long, value_name = "SHARE", allow_hyphen_values = true)]
    pub(super) tolerance: Option<String>,
    /// 2: pairs in series and in parallel too.
    #[arg(long, value_name = "N", default_value_t = 1, value_parser = clap::value_parser!(u32).range(1..=2))]
    pub(super) parts: u32,
    /// Gain nearest, at-least or at-most.
    #[arg(long, value_enum, default_value_t = SideArg::Nearest, hide_possible_values = true)]
    pub(super) side: SideArg,
    /// K in the gain law of a single chip.
    #[arg(long, value_name = "R", allow_hyphen_values = true)]
    pub(super) chip_constant: Option<String>,
    /// Gain of a single chip without RG; 1 when left out.
    #[arg(long, value_name = "N", allow_hyphen_values = true)]
    pub(super) base_gain: Option<String>,
    /// Gain of the difference stage; else 1.
    #[arg(long, value_name = "N", allow_hyphen_values = true)]
    pub(super) stage_two_gain: Option<String>,
    #[command(flatten)]
    pub(super) output: Answer,
}

/// Worst-case rejection without a file.
#[derive(Args)]
pub(super) struct Reject {
    /// Gain, V/V.
    #[arg(long, value_name = "N", allow_hyphen_values = true)]
    pub(super) gain: String,
    #[arg(long, value_name = "CIRCUIT", help = CIRCUITS, value_parser = topology(), hide_possible_values = true)]
    #[arg(default_value = "three-op-amp", hide_default_value = true)]
    pub(super) topology: Topology,
    /// Tolerance of all resistors; else perfect.
    #[arg(long, value_name = "SHARE", allow_hyphen_values = true)]
    pub(super) tolerance: Option<String>,
    /// R1 to R4 as a network that matches so well.
    #[arg(long = "match", value_name = "SHARE", allow_hyphen_values = true)]
    pub(super) matched: Option<String>,
    /// Rejection of each op amp, as 100dB; else ideal.
    #[arg(long, value_name = "RATIO", allow_hyphen_values = true)]
    pub(super) opamp_rejection: Option<String>,
    /// Gain of the difference stage; else 1.
    #[arg(long, value_name = "N", allow_hyphen_values = true)]
    pub(super) stage_two_gain: Option<String>,
    /// Rejection wanted: tells what guarantees it.
    #[arg(long, value_name = "RATIO", allow_hyphen_values = true)]
    pub(super) need: Option<String>,
    #[command(flatten)]
    pub(super) output: Answer,
}

/// A whole design from a spec: chosen values, every figure, limits.
#[derive(Args)]
pub(super) struct Design {
    /// The spec, or - for standard input.
    pub(super) spec: PathBuf,
    /// The channel of a spec that has several.
    #[arg(long, value_name = "TITLE", allow_hyphen_values = true)]
    pub(super) channel: Option<String>,
    /// Frequencies of the sweep, as 1Hz..1MHz.
    #[arg(long, value_name = "LOW..HIGH", allow_hyphen_values = true)]
    pub(super) sweep: Option<String>,
    #[command(flatten)]
    pub(super) output: Paper,
}

/// The working of a figure, as it is put on the board.
#[derive(Args)]
pub(super) struct Explain {
    /// The spec, or - for standard input.
    pub(super) spec: PathBuf,
    #[arg(value_name = "FIGURE", help = FIGURES)]
    pub(super) figure: Option<String>,
    /// A measured rejection: tells what each cause would have to be.
    #[arg(long, value_name = "RATIO", allow_hyphen_values = true)]
    pub(super) measured: Option<String>,
    /// The channel of a spec that has several.
    #[arg(long, value_name = "TITLE", allow_hyphen_values = true)]
    pub(super) channel: Option<String>,
    #[command(flatten)]
    pub(super) output: Paper,
}

const FIGURES: &str =
    "topology, gain, rejection, headroom, impedance,\noffset, noise, bandwidth or budget; all of them\nwhen left out";

/// The preferred numbers, and the ones next to a resistance.
#[derive(Args)]
pub(super) struct SeriesArgs {
    /// E3 to E192; all of them when left out.
    pub(super) name: Option<Series>,
    /// A resistance: tells the values below, nearest and above.
    #[arg(long, value_name = "R", allow_hyphen_values = true)]
    pub(super) near: Option<String>,
    #[command(flatten)]
    pub(super) output: Answer,
}

/// A commented starter spec.
#[derive(Args)]
pub(super) struct New {
    #[arg(value_name = "CIRCUIT", help = CIRCUITS, value_parser = topology(), hide_possible_values = true)]
    #[arg(default_value = "three-op-amp", hide_default_value = true)]
    pub(super) topology: Topology,
    #[command(flatten)]
    pub(super) output: Answer,
}

/// Where an answer goes.
#[derive(Args)]
pub(super) struct Answer {
    /// text or json.
    #[arg(long, value_parser = format(&ANSWER), hide_possible_values = true)]
    format: Option<Format>,
    /// File to write to; its name tells the format.
    #[arg(long, value_name = "FILE", allow_hyphen_values = true)]
    out: Option<PathBuf>,
}

/// Where a document goes.
#[derive(Args)]
pub(super) struct Paper {
    /// text, json, markdown or html.
    #[arg(long, value_parser = format(&Format::ALL), hide_possible_values = true)]
    format: Option<Format>,
    /// File to write to; its name tells the format.
    #[arg(long, value_name = "FILE", allow_hyphen_values = true)]
    out: Option<PathBuf>,
    /// Folder for the pictures of a markdown report.
    #[arg(long, value_name = "DIR", allow_hyphen_values = true)]
    pictures: Option<PathBuf>,
}

const ANSWER: [Format; 2] = [Format::Text, Format::Json];

impl Answer {
    pub(super) fn wish(&self) -> Result<Wish, Complaint> {
        Wish::new(self.format, self.out.as_deref(), &ANSWER)
    }
    /// For a command whose text goes into a file of any name.
    pub(super) fn raw_wish(&self) -> Result<Wish, Complaint> {
        Wish::new(self.format.or(Some(Format::Text)), self.out.as_deref(), &ANSWER)
    }
}

impl Paper {
    pub(super) fn wish(&self) -> Result<Wish, Complaint> {
        Wish::new(self.format, self.out.as_deref(), &Format::ALL)?.pictures(self.pictures.as_deref())
    }
}

/// The words of `--side`.
#[derive(Clone, Copy, ValueEnum)]
pub(super) enum SideArg {
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

fn topology() -> impl TypedValueParser<Value = Topology> {
    PossibleValuesParser::new(Topology::ALL.map(Topology::name)).try_map(|name| name.parse::<Topology>())
}

fn format(known: &[Format]) -> impl TypedValueParser<Value = Format> {
    let by_name = |name: String| Format::ALL.into_iter().find(|format| format.name() == name).ok_or("no format");
    PossibleValuesParser::new(known.iter().map(|format| format.name())).try_map(by_name)
}

/// Whether the arguments, right or wrong, ask for JSON.
pub(super) fn asks_for_json(args: &[OsString]) -> bool {
    args.iter().any(|arg| arg == "--format=json")
        || args.windows(2).any(|pair| pair[0] == "--format" && pair[1] == "json")
}
