//! What every input and output of every op amp does over the signals, at dc, against its limits.
use crate::designator::Amp;
use crate::network::{NetworkFault, Node};
use crate::part::Rails;
use crate::stage::{Role, Stage};

/// Supply rails, V.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Supplies {
    /// Positive rail.
    pub positive_v: f64,
    /// Negative rail.
    pub negative_v: f64,
}

impl Supplies {
    fn within(self, rails: Option<Rails>) -> (f64, f64) {
        let rails = rails.unwrap_or_default();
        (self.negative_v + rails.from_negative_v, self.positive_v - rails.from_positive_v)
    }

    /// Where the window is cut off: the supplies, plus or minus one supply span; farther out where the common
    /// mode of the signals lies beyond, by as much again beyond it.
    #[must_use]
    pub fn widened(self, signals: &Rectangle) -> (f64, f64) {
        let span = self.positive_v - self.negative_v;
        let (low, high) = (self.negative_v - span, self.positive_v + span);
        let (least, greatest) = signals.common_mode_v;
        (if least < low { least - span } else { low }, if greatest > high { greatest + span } else { high })
    }
}

/// The signals: every common mode together with every difference, V, each as (least, greatest).
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Rectangle {
    /// `v_cm`, pick-up included.
    pub common_mode_v: (f64, f64),
    /// `v_d`, dc offset included.
    pub differential_v: (f64, f64),
}

impl Rectangle {
    /// Its vertices as (common mode, differential).
    #[must_use]
    pub fn vertices(&self) -> [(f64, f64); 4] {
        let ((a, b), (c, d)) = (self.common_mode_v, self.differential_v);
        [(a, c), (b, c), (b, d), (a, d)]
    }
}

/// A voltage as an affine function of the signals: `common·v_cm + differential·v_d + constant_v`.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Map {
    /// V per volt of common mode.
    pub common: f64,
    /// V per volt of difference.
    pub differential: f64,
    /// V without any signal: what the reference causes.
    pub constant_v: f64,
}

impl Map {
    /// The voltage at one point of the signal plane, V.
    #[must_use]
    pub fn at(&self, (common_mode_v, differential_v): (f64, f64)) -> f64 {
        self.common * common_mode_v + self.differential * differential_v + self.constant_v
    }

    /// Least and greatest over a rectangle, V: exact, since the map is affine.
    #[must_use]
    pub fn extremes(&self, over: &Rectangle) -> (f64, f64) {
        let all = over.vertices().map(|vertex| self.at(vertex));
        (all.into_iter().fold(f64::INFINITY, f64::min), all.into_iter().fold(f64::NEG_INFINITY, f64::max))
    }
}

/// A terminal of an op amp that has to stay inside its limits.
#[derive(Clone, Debug, PartialEq)]
pub struct Terminal {
    /// `A1 output`, `A1 + input`, `A1 - input`.
    pub name: String,
    /// The op amp.
    pub amp: Amp,
    /// True for the output.
    pub output: bool,
    /// Where it is.
    pub node: Node,
    /// Least allowed voltage, V.
    pub low_limit_v: f64,
    /// Greatest allowed voltage, V.
    pub high_limit_v: f64,
}

/// Every op amp's output and two inputs, from the first op amp to the last. A limit that the part does
/// not state is taken as the rail itself.
#[must_use]
pub fn terminals(stage: &Stage, supplies: Supplies) -> Vec<Terminal> {
    let mut all = Vec::new();
    for &amp in stage.circuit.topology.amps() {
        let Some((plus, minus, out)) = stage.element(Role::Amp(amp)).and_then(|one| stage.network.pins(one)) else {
            continue;
        };
        let data = stage.circuit.opamp(amp);
        let (output, input) = (supplies.within(data.output_swing), supplies.within(data.input_range));
        for (word, node, (low_limit_v, high_limit_v)) in
            [("output", out, output), ("+ input", plus, input), ("- input", minus, input)]
        {
            let name = format!("{amp} {word}");
            all.push(Terminal { name, amp, output: word == "output", node, low_limit_v, high_limit_v });
        }
    }
    all
}

/// A terminal (or an inner node of a chip) and how the signals move it.
#[derive(Clone, Debug, PartialEq)]
pub struct Point {
    /// `A1 output`, `A1 + input`, `A1 - input`.
    pub name: String,
    /// How the signals move it.
    pub map: Map,
    /// Least allowed voltage, V.
    pub low_limit_v: f64,
    /// Greatest allowed voltage, V.
    pub high_limit_v: f64,
}

/// How the signals move each terminal, at dc and at the stage's own values: finite open-loop gain and
/// loading count, offsets and common-mode errors do not.
///
/// # Errors
/// [`NetworkFault::Singular`].
pub fn points(stage: &Stage, terminals: &[Terminal], reference_v: f64) -> Result<Vec<Point>, NetworkFault> {
    let solver = stage.network.at::<f64>(0.0)?;
    let [common, differential, reference] =
        [stage.common(), stage.differential(), stage.reference()].map(|drive| solver.state(&drive));
    let point = |terminal: &Terminal| Point {
        name: terminal.name.clone(),
        map: Map {
            common: common.voltage(terminal.node),
            differential: differential.voltage(terminal.node),
            constant_v: reference.voltage(terminal.node) * reference_v,
        },
        low_limit_v: terminal.low_limit_v,
        high_limit_v: terminal.high_limit_v,
    };
    Ok(terminals.iter().map(point).collect())
}

/// One point over the signals (figures.md, section 7).
#[derive(Clone, Debug, PartialEq)]
pub struct HeadroomPoint {
    /// `A1 output`, `A1 + input`, `A1 - input`.
    pub name: String,
    /// Least allowed voltage, V.
    pub low_limit_v: f64,
    /// Greatest allowed voltage, V.
    pub high_limit_v: f64,
    /// Least voltage over the signals, V.
    pub lowest_v: f64,
    /// Greatest voltage over the signals, V.
    pub highest_v: f64,
    /// Distance to the nearer limit, V; negative where it does not fit.
    pub margin_v: f64,
}

impl Point {
    /// The point over the signals.
    #[must_use]
    pub fn over(&self, signals: &Rectangle) -> HeadroomPoint {
        let (low_limit_v, high_limit_v) = (self.low_limit_v, self.high_limit_v);
        let (lowest_v, highest_v) = self.map.extremes(signals);
        let margin_v = (lowest_v - low_limit_v).min(high_limit_v - highest_v);
        let margin_v =
            if margin_v.abs() <= self.rounding_v(lowest_v.abs().max(highest_v.abs())) { 0.0 } else { margin_v };
        HeadroomPoint { name: self.name.clone(), low_limit_v, high_limit_v, lowest_v, highest_v, margin_v }
    }

    /// What a solution in double precision may be off by at a voltage, V: a circuit that was made to
    /// fill its limits exactly must not fail for that.
    #[must_use]
    pub fn rounding_v(&self, volt: f64) -> f64 {
        1e-12 * volt.max(self.low_limit_v.abs()).max(self.high_limit_v.abs())
    }
}

/// The inner nodes of a chip, `v_cm ± v_d·G/2` at its inputs, with the limits of its output; `G` is the
/// gain of the first stage in V/V, the whole gain where it is not stated (figures.md, section 14).
/// Nothing unless `points` holds the output and the inputs of A1.
#[must_use]
pub fn inner_nodes(points: &[Point], stage_one_gain: Option<f64>) -> Vec<Point> {
    let find = |name: &str| points.iter().find(|point| point.name == name);
    let (Some(output), Some(plus), Some(minus)) = (find("A1 output"), find("A1 + input"), find("A1 - input")) else {
        return Vec::new();
    };
    let difference = plus.map.differential - minus.map.differential;
    let half = stage_one_gain.unwrap_or(output.map.differential / difference) / 2.0;
    let combine = |of: fn(&Map) -> f64, half: f64| {
        (of(&plus.map) + of(&minus.map)) / 2.0 + half * (of(&plus.map) - of(&minus.map))
    };
    let node = |name: &str, half: f64| Point {
        name: name.to_owned(),
        map: Map {
            common: combine(|map| map.common, half),
            differential: combine(|map| map.differential, half),
            constant_v: combine(|map| map.constant_v, half),
        },
        low_limit_v: output.low_limit_v,
        high_limit_v: output.high_limit_v,
    };
    vec![node("A1 + inner node", half), node("A1 - inner node", -half)]
}
