//! What is asked: a spec as typed values, all SI. The doors fill it in; nothing here is text but titles.
use crate::designator::{Amp, Designator, Topology};
use crate::part::{Chip, Fixed, Grade, Matched, OpAmp, PricedGrade};
pub use crate::sizing::Side;
use std::collections::BTreeMap;

pub use crate::stage::{InputFilter, Source, Strays, Surroundings};

/// A closed interval, `low <= high`.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Span {
    /// Lower end.
    pub low: f64,
    /// Upper end.
    pub high: f64,
}

impl Span {
    /// One point.
    #[must_use]
    pub const fn point(value: f64) -> Self {
        Self { low: value, high: value }
    }
    /// `high - low`.
    #[must_use]
    pub const fn width(self) -> f64 {
        self.high - self.low
    }
}

/// A whole design question; `spec` makes one for each channel.
#[derive(Clone, Debug, PartialEq)]
pub struct Question {
    /// The title, empty when none was given.
    pub title: String,
    /// What is amplified.
    pub signal: Signal,
    /// What it comes from.
    pub source: Source,
    /// Wiring around RG.
    pub strays: Strays,
    /// The filter in front, when there is one.
    pub filter: Option<InputFilter>,
    /// Common-mode pick-up, when stated.
    pub interference: Option<Interference>,
    /// The supply, when stated.
    pub supply: Option<Supply>,
    /// Voltage of the reference; `None` when the spec leaves it open (0 V where there is no supply).
    pub reference_v: Option<f64>,
    /// Resistance of whatever drives the reference, Ω.
    pub reference_resistance_ohm: f64,
    /// Temperatures.
    pub environment: Environment,
    /// What the circuit has to do.
    pub target: Target,
    /// What reads the output, when stated.
    pub converter: Option<Converter>,
    /// The circuit wanted.
    pub topology: Topology,
    /// Gain of the difference stage; `None`: to be chosen.
    pub stage_two_gain: Option<f64>,
    /// How resistors are bought.
    pub resistors: Resistors,
    /// The op amps by designator; one that is not in the map is ideal.
    pub opamps: BTreeMap<Amp, OpAmp>,
    /// Op amps to choose from, where the spec names a folder of candidates.
    pub candidates: Vec<Candidate>,
    /// The chip of a `single-chip` circuit.
    pub chip: Option<Chip>,
    /// The trimmer for `trim`.
    pub trimmer: Trimmer,
    /// The switch for `gains`.
    pub switch: Switch,
    /// How `yield` draws.
    pub draw: Draw,
    /// The board as built, for `check`.
    pub board: Option<Board>,
    /// By how much a figure may move for `check --against`, relative or absolute by figure.
    pub allow: BTreeMap<String, Allowance>,
    /// Bounds that are to be met.
    pub limits: Limits,
}

/// One part to choose: the op amps of the circuit as they would be with it.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Candidate {
    /// What the part is called.
    pub title: String,
    /// By designator; an op amp that the spec decides by itself stays as it is.
    pub opamps: BTreeMap<Amp, OpAmp>,
}

/// What is amplified.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub struct Signal {
    /// Differential range, V.
    pub differential: Option<Span>,
    /// Common-mode range, V.
    pub common_mode: Option<Span>,
    /// Differential offset that only headroom has to bear, V.
    pub dc_offset: Option<Span>,
    /// Highest frequency of interest, Hz.
    pub bandwidth_hz: Option<f64>,
    /// Lowest frequency for noise, Hz; default 0.1.
    pub noise_from_hz: Option<f64>,
    /// True for a single-pole noise bandwidth, false for a brick wall.
    pub single_pole_noise: bool,
}

/// Common-mode pick-up.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Interference {
    /// Its frequency, Hz.
    pub frequency_hz: f64,
    /// Its peak amplitude, V; 0 when not given.
    pub amplitude_v: f64,
}

/// Supply rails.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Supply {
    /// Positive rail, V.
    pub positive_v: f64,
    /// Negative rail, V.
    pub negative_v: f64,
    /// Ripple, peak, V.
    pub ripple_v: f64,
    /// Its frequency, Hz.
    pub ripple_frequency_hz: Option<f64>,
}

/// Temperatures, °C.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Environment {
    /// Operating range.
    pub temperature_c: Span,
    /// Where calibration happens.
    pub calibrated_at_c: f64,
}

impl Environment {
    /// Absolute temperature of the calibration, K.
    #[must_use]
    pub fn calibrated_at_k(&self) -> f64 {
        self.calibrated_at_c + 273.15
    }

    /// Largest distance of the operating temperatures from the calibration, K.
    #[must_use]
    pub fn reach_k(&self) -> f64 {
        let below = self.calibrated_at_c - self.temperature_c.low;
        let above = self.temperature_c.high - self.calibrated_at_c;
        below.max(above).max(0.0)
    }
}

impl Default for Environment {
    fn default() -> Self {
        Self { temperature_c: Span::point(25.0), calibrated_at_c: 25.0 }
    }
}

/// What the circuit has to do.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Target {
    /// The gain wanted.
    pub gain: GainWish,
    /// Which wish comes second, after the limits.
    pub prefer: Prefer,
}

/// How the gain is stated.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum GainWish {
    /// So many volts per volt.
    Ratio(f64),
    /// The output range the signal has to fill, V.
    Output(Span),
}

/// The wish that moves to the second place.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
#[allow(missing_docs, reason = "the words of the spec")]
pub enum Prefer {
    #[default]
    Gain,
    Parts,
    Noise,
    Price,
}

/// What reads the output.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Converter {
    /// Resolution in bits.
    pub bits: u32,
    /// Its input range, V.
    pub range_v: Span,
}

/// Where resistor values come from.
#[derive(Clone, Debug, PartialEq)]
pub enum Stock {
    /// A preferred-number series.
    Series(crate::series::Series),
    /// The values at hand, Ω.
    Values(Vec<f64>),
}

/// How resistors are bought.
#[derive(Clone, Debug, PartialEq)]
pub struct Resistors {
    /// Where values come from.
    pub stock: Stock,
    /// 1: single resistors; 2: series and parallel pairs for RG too.
    pub parts: u32,
    /// The grade of a resistor that has no grade of its own.
    pub grade: Grade,
    /// Values allowed by designator, Ω.
    pub range: BTreeMap<Designator, Span>,
    /// What is decided.
    pub fixed: BTreeMap<Designator, Fixed>,
    /// Grades of single resistors.
    pub own_grade: BTreeMap<Designator, Grade>,
    /// Parts of one substrate.
    pub networks: Vec<Matched>,
    /// Grades to choose from.
    pub grades: Vec<PricedGrade>,
    /// Noise index of the resistors, dB (0 dB: 1 µV per volt and decade).
    pub noise_index_db: Option<f64>,
    /// Self-heating, K/W.
    pub thermal_resistance_k_per_w: Option<f64>,
}

impl Resistors {
    /// The grade that holds for one resistor (of the common factor, in a network).
    #[must_use]
    pub fn grade_of(&self, name: Designator) -> Grade {
        let network = self.networks.iter().find(|n| n.members.contains(&name)).and_then(|n| n.grade);
        self.own_grade.get(&name).copied().or(network).unwrap_or(self.grade)
    }
}

/// The trimmer for `trim`.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub struct Trimmer {
    /// Tolerance of the whole resistance, a fraction.
    pub tolerance: Option<f64>,
    /// Resistance at the end of travel, Ω.
    pub end_resistance_ohm: Option<f64>,
    /// Tempco, 1/K.
    pub tempco_per_k: Option<f64>,
    /// Smallest step, a fraction of the whole.
    pub adjustability: Option<f64>,
}

/// The switch for `gains`.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub struct Switch {
    /// On-resistance, Ω.
    pub on_resistance_ohm: Option<f64>,
    /// Greatest difference between channels, Ω.
    pub on_resistance_match_ohm: Option<f64>,
    /// Tempco, 1/K.
    pub tempco_per_k: Option<f64>,
}

/// How `yield` draws; `None` was not given.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub struct Draw {
    /// Number of boards.
    pub boards: Option<u64>,
    /// Seed.
    pub seed: Option<u64>,
    /// True for a normal distribution cut at three sigma.
    pub normal: Option<bool>,
    /// True for temperatures drawn uniformly.
    pub uniform_temperature: Option<bool>,
}

/// The board as built.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Board {
    /// Name of the bill of materials, relative to the spec.
    pub bom: Option<String>,
    /// Which designator of the bill is which resistor.
    pub designators: BTreeMap<Designator, String>,
    /// Column headings: `reference`, `value`, `tolerance`.
    pub columns: BTreeMap<String, String>,
}

/// By how much a figure may move.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Allowance {
    /// In the figure's own SI unit, or decibels.
    Absolute(f64),
    /// As a fraction of the baseline.
    Relative(f64),
}

/// Bounds that are to be met; SI, rejections in decibels.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub struct Limits {
    /// Greatest relative gain error.
    pub gain_error: Option<f64>,
    /// Least rejection at dc, dB.
    pub rejection_db: Option<f64>,
    /// Least rejection at the interference frequency, dB.
    pub rejection_at_interference_db: Option<f64>,
    /// Least headroom, V.
    pub headroom_v: Option<f64>,
    /// Greatest worst-case offset RTI, V.
    pub offset_v: Option<f64>,
    /// Greatest integrated noise RTI, V.
    pub noise_v: Option<f64>,
    /// Least small-signal bandwidth, Hz.
    pub bandwidth_hz: Option<f64>,
    /// Least differential impedance, Ω.
    pub differential_impedance_ohm: Option<f64>,
    /// Greatest sum of the error budget, a fraction of full scale.
    pub total_error: Option<f64>,
    /// Least lower bound of the yield, a fraction.
    pub yield_fraction: Option<f64>,
}

/// What `size` asks.
#[derive(Clone, Debug, PartialEq)]
pub struct SizeQuestion {
    /// The circuit.
    pub topology: Topology,
    /// Wanted gain, V/V.
    pub gain: f64,
    /// Feedback resistor, where it is given (see the contract for what it is by topology), Ω.
    pub feedback_ohm: Option<f64>,
    /// Where values come from.
    pub stock: Stock,
    /// Tolerance of every resistor, a fraction.
    pub tolerance: f64,
    /// 1: singles; 2: series and parallel pairs too.
    pub parts: u32,
    /// On which side of the wanted gain the pick may lie.
    pub side: Side,
    /// K of the gain law, Ω (`single-chip` only).
    pub chip_constant_ohm: Option<f64>,
    /// Gain with RG left out (`single-chip` only).
    pub base_gain: f64,
    /// Gain of the difference stage behind (`three-op-amp` only).
    pub stage_two_gain: f64,
}

/// What `reject` asks.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct RejectQuestion {
    /// The circuit.
    pub topology: Topology,
    /// V/V.
    pub gain: f64,
    /// Tolerance of every resistor, a fraction; `None`: perfect.
    pub tolerance: Option<f64>,
    /// R1 to R4 are one network that matches within this fraction.
    pub match_fraction: Option<f64>,
    /// Rejection of every op amp, V/V; `None`: ideal.
    pub opamp_rejection: Option<f64>,
    /// Gain of the difference stage (`three-op-amp` only).
    pub stage_two_gain: f64,
    /// The rejection that has to be guaranteed, dB.
    pub need_db: Option<f64>,
}

/// A question that can't be answered: which key of the spec (or flag) is to blame, and what would be right.
#[derive(Clone, Debug, PartialEq, Eq, thiserror::Error)]
#[error("{message}")]
pub struct StudyFault {
    /// Stable code, kebab-case.
    pub code: &'static str,
    /// Key of the spec (`resistors.fixed`) or flag (`--gain`) at fault.
    pub key: String,
    /// What is wrong, with what was read.
    pub message: String,
    /// What would be right.
    pub help: String,
}

impl StudyFault {
    /// True where the question was understood and no standard value can do what it asks: an answer, if no design.
    #[must_use]
    pub fn no_value(&self) -> bool {
        matches!(self.code, "gain-below-least" | "out-of-reach" | "nothing-in-range")
    }
}
