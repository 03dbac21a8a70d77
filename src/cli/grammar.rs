//! The grammar of the arguments.
use super::Complaint;
use super::output::{Format, Wish};
use crate::designator::Topology;
use crate::series::Series;
use crate::study::{Form, Shape, Side};
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
    /// A parts list beside the report.
    #[arg(long, value_name = "FILE.csv", allow_hyphen_values = true)]
    pub(super) parts_list: Option<PathBuf>,
    #[command(flatten)]
    pub(super) output: Paper,
}

/// Many specs, a row each.
#[derive(Args)]
pub(super) struct Batch {
    /// Specs, folders of specs, or patterns like 'boards/*.toml'.
    #[arg(required = true, value_name = "FILES")]
    pub(super) specs: Vec<PathBuf>,
    /// KEY=LOW..HIGH:STEPS or KEY=A,B,C; repeated: every combination.
    #[arg(long, value_name = "KEY=VALUES", allow_hyphen_values = true)]
    pub(super) vary: Vec<String>,
    /// Folder for a report on each design.
    #[arg(long, value_name = "DIR", allow_hyphen_values = true)]
    pub(super) reports: Option<PathBuf>,
    /// Threads to work with; as many as there are cores when left out.
    #[arg(long, value_name = "N", default_value_t = 0, hide_default_value = true)]
    pub(super) threads: usize,
    #[command(flatten)]
    pub(super) output: Sheet,
}

/// Boards as built, held against their limits.
#[derive(Args)]
pub(super) struct Check {
    /// Specs, folders of specs, or patterns like 'boards/*.toml'.
    #[arg(required = true, value_name = "FILES")]
    pub(super) specs: Vec<PathBuf>,
    /// Bill of materials, in place of the spec's.
    #[arg(long, value_name = "FILE.csv", allow_hyphen_values = true)]
    pub(super) bom: Option<PathBuf>,
    /// JUnit XML for a build server.
    #[arg(long, value_name = "FILE", allow_hyphen_values = true)]
    pub(super) junit: Option<PathBuf>,
    /// An earlier design as JSON: tells what moved.
    #[arg(long, value_name = "FILE.json", allow_hyphen_values = true)]
    pub(super) against: Option<PathBuf>,
    #[command(flatten)]
    pub(super) output: Paper,
}

/// The share of boards that will be within limits.
#[derive(Args)]
pub(super) struct Yield {
    /// The spec, or - for standard input.
    pub(super) spec: PathBuf,
    /// The channel of a spec that has several.
    #[arg(long, value_name = "TITLE", allow_hyphen_values = true)]
    pub(super) channel: Option<String>,
    /// Boards to draw, as 1e6 or 1M; else 1M.
    #[arg(long, value_name = "N", allow_hyphen_values = true)]
    pub(super) boards: Option<String>,
    /// The same seed draws the same boards; else 1.
    #[arg(long, value_name = "N", allow_hyphen_values = true)]
    pub(super) seed: Option<String>,
    /// uniform or normal; else uniform.
    #[arg(long, value_enum, hide_possible_values = true)]
    pub(super) shape: Option<ShapeArg>,
    /// At the limit, or drawn: uniform.
    #[arg(long, value_enum, hide_possible_values = true)]
    pub(super) temperature: Option<TemperatureArg>,
    /// How rare misses are, far below what is seen.
    #[arg(long)]
    pub(super) tail: bool,
    /// Threads; else one for each core.
    #[arg(long, value_name = "N", value_parser = clap::value_parser!(u16).range(1..=1024))]
    pub(super) threads: Option<u16>,
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

const FIGURES: &str = "topology, gain, rejection, headroom, impedance,\noffset, noise, bandwidth, input_filter or budget;\nall of them when left out";

/// The same requirement in every topology, side by side.
#[derive(Args)]
pub(super) struct Compare {
    /// The spec, or - for standard input.
    pub(super) spec: PathBuf,
    /// The channel of a spec that has several.
    #[arg(long, value_name = "TITLE", allow_hyphen_values = true)]
    pub(super) channel: Option<String>,
    #[command(flatten)]
    pub(super) output: Paper,
}

/// Fixed part and trimmer for gain, and for rejection.
#[derive(Args)]
pub(super) struct Trim {
    /// The spec, or - for standard input.
    pub(super) spec: PathBuf,
    /// The channel of a spec that has several.
    #[arg(long, value_name = "TITLE", allow_hyphen_values = true)]
    pub(super) channel: Option<String>,
    #[command(flatten)]
    pub(super) output: Paper,
}

/// Switched gains: values, errors, rejection and headroom at each.
#[derive(Args)]
pub(super) struct Gains {
    /// Gains, as 1,10,100.
    #[arg(allow_negative_numbers = true)]
    pub(super) gains: String,
    /// The spec, or - for standard input.
    pub(super) spec: PathBuf,
    /// The channel of a spec that has several.
    #[arg(long, value_name = "TITLE", allow_hyphen_values = true)]
    pub(super) channel: Option<String>,
    /// tapped string or separate resistors; the circuit's customary.
    #[arg(long, value_enum, hide_possible_values = true)]
    pub(super) form: Option<FormArg>,
    #[command(flatten)]
    pub(super) output: Paper,
}

/// The words of `--form`.
#[derive(Clone, Copy, ValueEnum)]
pub(super) enum FormArg {
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

/// Bench readings, held against the prediction.
#[derive(Args)]
pub(super) struct Verify {
    /// The spec, or - for standard input.
    pub(super) spec: PathBuf,
    /// Readings as CSV: differential or positive, negative; output.
    #[arg(value_name = "READINGS.csv", required_unless_present = "plan")]
    pub(super) readings: Option<PathBuf>,
    /// The channel of a spec that has several.
    #[arg(long, value_name = "TITLE", allow_hyphen_values = true)]
    pub(super) channel: Option<String>,
    /// Temperature of the bench; else where it is calibrated.
    #[arg(long, value_name = "TEMP", allow_hyphen_values = true)]
    pub(super) at: Option<String>,
    /// The sheet to fill in, in place of readings.
    #[arg(long, conflicts_with = "readings")]
    pub(super) plan: bool,
    #[command(flatten)]
    pub(super) output: Findings,
}

/// JSON Schema of the spec, for editors.
#[derive(Args)]
pub(super) struct Schema {
    #[command(flatten)]
    pub(super) output: Answer,
}

/// Completion of the arguments for a shell.
#[derive(Args)]
pub(super) struct Completions {
    /// bash, elvish, fish, powershell or zsh.
    #[arg(hide_possible_values = true)]
    pub(super) shell: clap_complete::Shell,
    #[command(flatten)]
    pub(super) output: Answer,
}

/// The manual page.
#[derive(Args)]
pub(super) struct Man {
    #[command(flatten)]
    pub(super) output: Answer,
}

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

/// Where what was found goes.
#[derive(Args)]
pub(super) struct Findings {
    /// text, json, markdown, html, or csv for a plan.
    #[arg(long, value_parser = format(&Format::EVERY), hide_possible_values = true)]
    format: Option<Format>,
    /// File to write to; its name tells the format.
    #[arg(long, value_name = "FILE", allow_hyphen_values = true)]
    out: Option<PathBuf>,
}

impl Findings {
    pub(super) fn wish(&self) -> Result<Wish, Complaint> {
        Wish::new(self.format, self.out.as_deref(), &Format::EVERY)
    }
}

/// Where rows go.
#[derive(Args)]
pub(super) struct Sheet {
    /// text, csv or json.
    #[arg(long, value_parser = format(&SHEET), hide_possible_values = true)]
    format: Option<Format>,
    /// File to write to; its name tells the format.
    #[arg(long, value_name = "FILE", allow_hyphen_values = true)]
    out: Option<PathBuf>,
}

impl Sheet {
    pub(super) fn wish(&self) -> Result<Wish, Complaint> {
        Wish::new(self.format, self.out.as_deref(), &SHEET)
    }
}

const SHEET: [Format; 3] = [Format::Text, Format::Csv, Format::Json];
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

/// The words of `--shape`.
#[derive(Clone, Copy, ValueEnum)]
pub(super) enum ShapeArg {
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
pub(super) enum TemperatureArg {
    Limit,
    Uniform,
}

fn topology() -> impl TypedValueParser<Value = Topology> {
    PossibleValuesParser::new(Topology::ALL.map(Topology::name)).try_map(|name| name.parse::<Topology>())
}

fn format(known: &[Format]) -> impl TypedValueParser<Value = Format> {
    let by_name = |name: String| Format::EVERY.into_iter().find(|format| format.name() == name).ok_or("no format");
    PossibleValuesParser::new(known.iter().map(|format| format.name())).try_map(by_name)
}

/// Whether the arguments, right or wrong, ask for JSON.
pub(super) fn asks_for_json(args: &[OsString]) -> bool {
    args.iter().any(|arg| arg == "--format=json")
        || args.windows(2).any(|pair| pair[0] == "--format" && pair[1] == "json")
}
