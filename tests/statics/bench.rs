//! Builders of questions that expect no fault.
use evenkeel::designator::{Amp, Designator, Ohms, Topology};
use evenkeel::part::{Grade, OpAmp, Rails};
use evenkeel::stage::{Circuit, Lot, Stage, Surroundings};
use evenkeel::study::{
    Draw, Environment, GainWish, Limits, Question, Resistors, Signal, Source, Span, Stock, Strays, Supply, Switch,
    Target, Trimmer,
};
use std::collections::BTreeMap;

/// Everything a case needs.
#[derive(Clone, Debug)]
pub(crate) struct Case {
    pub(crate) circuit: Circuit,
    pub(crate) question: Question,
    pub(crate) lot: Lot,
    pub(crate) reference_v: f64,
}

/// A circuit of ideal op amps with the given resistors.
pub(crate) fn case(topology: Topology, ohms: &[(&str, f64)]) -> Case {
    let ohms: Ohms = ohms.iter().map(|&(name, ohm)| (name.parse::<Designator>().unwrap(), ohm)).collect();
    let circuit =
        Circuit { topology, ohms, opamps: BTreeMap::new(), chip: None, surroundings: Surroundings::default() };
    Case { circuit, question: question(topology), lot: Lot::default(), reference_v: 0.0 }
}

fn question(topology: Topology) -> Question {
    Question {
        title: String::new(),
        signal: Signal::default(),
        source: Source::default(),
        strays: Strays::default(),
        filter: None,
        interference: None,
        supply: None,
        reference_v: None,
        reference_resistance_ohm: 0.0,
        environment: Environment::default(),
        target: Target { gain: GainWish::Ratio(1.0), prefer: evenkeel::study::Prefer::Gain },
        converter: None,
        topology,
        stage_two_gain: None,
        resistors: Resistors {
            stock: Stock::Values(Vec::new()),
            parts: 1,
            grade: Grade { tolerance: 0.0, tempco_per_k: 0.0 },
            range: BTreeMap::new(),
            fixed: BTreeMap::new(),
            own_grade: BTreeMap::new(),
            networks: Vec::new(),
            grades: Vec::new(),
            noise_index_db: None,
            thermal_resistance_k_per_w: None,
        },
        opamps: BTreeMap::new(),
        candidates: Vec::new(),
        chip: None,
        trimmer: Trimmer::default(),
        switch: Switch::default(),
        draw: Draw::default(),
        board: None,
        allow: BTreeMap::new(),
        limits: Limits::default(),
    }
}

impl Case {
    pub(crate) fn signals(mut self, common: (f64, f64), differential: (f64, f64)) -> Self {
        self.question.signal.common_mode = Some(Span { low: common.0, high: common.1 });
        self.question.signal.differential = Some(Span { low: differential.0, high: differential.1 });
        self
    }

    pub(crate) fn supply(mut self, negative_v: f64, positive_v: f64) -> Self {
        self.question.supply = Some(Supply { positive_v, negative_v, ripple_v: 0.0, ripple_frequency_hz: None });
        self
    }

    /// The same op amp everywhere.
    pub(crate) fn opamp(mut self, part: &OpAmp) -> Self {
        self.circuit.opamps = self.circuit.topology.amps().iter().map(|&amp| (amp, part.clone())).collect();
        self
    }

    /// Outputs and inputs that come so near the rails.
    pub(crate) fn rails(self, output: f64, input: f64) -> Self {
        let rails = |volt| Some(Rails { from_negative_v: volt, from_positive_v: volt });
        self.opamp(&OpAmp { output_swing: rails(output), input_range: rails(input), ..OpAmp::default() })
    }

    pub(crate) fn stage(&self) -> Stage {
        evenkeel::topology::build(&self.circuit).unwrap()
    }

    pub(crate) fn told(&self) -> evenkeel::study::Told<evenkeel::study::HeadroomFigure> {
        evenkeel::study::headroom::figure(&self.question, &self.stage(), &self.lot, self.reference_v).unwrap()
    }

    pub(crate) fn headroom(&self) -> evenkeel::study::HeadroomFigure {
        self.told().figure.unwrap()
    }

    pub(crate) fn impedance(&self) -> evenkeel::study::Impedance {
        evenkeel::study::impedance::figure(&self.stage()).unwrap()
    }
}

/// Designators of the op amps, for messages.
pub(crate) fn amps(topology: Topology) -> &'static [Amp] {
    topology.amps()
}

/// Fails unless `a` is within `within` of `b`, both finite.
#[track_caller]
pub(crate) fn near(a: f64, b: f64, within: f64) {
    assert!(a.is_finite() && b.is_finite() && (a - b).abs() <= within, "{a} is not {b} within {within}");
}

/// Where the window is cut by the line of no difference: least and greatest common mode.
pub(crate) fn common_modes_without_difference(figure: &evenkeel::study::HeadroomFigure) -> (f64, f64) {
    let (mut low, mut high) = (f64::INFINITY, f64::NEG_INFINITY);
    for (index, a) in figure.window.iter().enumerate() {
        let b = &figure.window[(index + 1) % figure.window.len()];
        if (a.differential_v <= 0.0) != (b.differential_v <= 0.0) {
            let share = a.differential_v / (a.differential_v - b.differential_v);
            let at = a.common_mode_v + share * (b.common_mode_v - a.common_mode_v);
            (low, high) = (low.min(at), high.max(at));
        }
    }
    (low, high)
}
