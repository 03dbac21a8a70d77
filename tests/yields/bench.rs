//! Boards with as few uncertain quantities as a closed form can bear.
use evenkeel::corners;
use evenkeel::designator::{Amp, Designator, Ohms, Topology};
use evenkeel::network::Instructions;
use evenkeel::part::{Grade, OpAmp};
use evenkeel::predict;
use evenkeel::stage::{Circuit, Lot, Stage, Surroundings};
use evenkeel::yields::{Bounds, Effort, Problem, Shape, Tally, Temperature, run};
use std::collections::BTreeMap;

/// A circuit, its lot and how it is drawn.
#[derive(Clone, Debug)]
pub(crate) struct Case {
    pub(crate) circuit: Circuit,
    pub(crate) lot: Lot,
    pub(crate) shape: Shape,
    pub(crate) temperature: Temperature,
    pub(crate) bounds: Bounds,
}

/// Ideal op amps and perfect resistors.
pub(crate) fn case(topology: Topology, ohms: &[(&str, f64)]) -> Case {
    let ohms: Ohms = ohms.iter().map(|&(name, ohm)| (name.parse::<Designator>().unwrap(), ohm)).collect();
    Case {
        circuit: Circuit { topology, ohms, opamps: BTreeMap::new(), chip: None, surroundings: Surroundings::default() },
        lot: Lot::default(),
        shape: Shape::Uniform,
        temperature: Temperature::Limit,
        bounds: Bounds::default(),
    }
}

/// Gain 101: RF 50 k, RG 1 k, a difference stage of gain 1 behind.
pub(crate) fn three_op_amp() -> Case {
    let ratio = [("R1", 1e4), ("R2", 1e4), ("R3", 1e4), ("R4", 1e4)];
    case(Topology::ThreeOpAmp, &[&[("RF1", 5e4), ("RF2", 5e4), ("RG", 1e3)], ratio.as_slice()].concat())
}

impl Case {
    pub(crate) fn grade(mut self, name: &str, tolerance: f64, tempco_per_k: f64) -> Self {
        self.lot.grades.insert(name.parse().unwrap(), Grade { tolerance, tempco_per_k });
        self
    }

    pub(crate) fn every(mut self, tolerance: f64) -> Self {
        for (name, _) in self.circuit.ohms.clone().present() {
            self.lot.grades.insert(name, Grade { tolerance, tempco_per_k: 0.0 });
        }
        self
    }

    pub(crate) fn opamp(mut self, amp: Amp, part: OpAmp) -> Self {
        self.circuit.opamps.insert(amp, part);
        self
    }

    pub(crate) fn normal(mut self) -> Self {
        self.shape = Shape::Normal;
        self
    }

    pub(crate) fn gain_error(mut self, most: f64) -> Self {
        self.bounds.gain_error = Some(most);
        self
    }

    pub(crate) fn rejection(mut self, least: f64) -> Self {
        self.bounds.rejection = Some(least);
        self
    }

    pub(crate) fn at_interference(mut self, hz: f64, least: f64) -> Self {
        self.bounds.at_interference = Some((hz, least));
        self
    }

    /// Draws with a problem; the gain wanted is the nominal one.
    pub(crate) fn ask<T>(&self, put: impl FnOnce(&Problem<'_>) -> T) -> T {
        let stage: Stage = evenkeel::topology::build(&self.circuit).unwrap();
        let worst = corners::at_dc(&stage, &stage.quantities(&self.lot, 0.0)).unwrap();
        put(&Problem {
            stage: &stage,
            lot: &self.lot,
            shape: self.shape,
            temperature: self.temperature,
            target_gain: predict::gains::<f64>(&stage, 0.0).unwrap().differential,
            gain_span: (worst.gain_low, worst.gain_high),
            bounds: self.bounds.clone(),
        })
    }

    pub(crate) fn draw(&self, effort: &Effort) -> Tally {
        self.ask(|problem| run(problem, effort, &mut |_| true).unwrap())
    }

    /// Draws and holds the share that passes against its exact value, within five standard errors.
    #[track_caller]
    pub(crate) fn passes(&self, exact: f64) {
        let tally = self.draw(&effort(400_000));
        let (n, share) = (tally.boards as f64, tally.pass as f64 / tally.boards as f64);
        let error = 5.0 * (exact * (1.0 - exact) / n).sqrt() + 1e-9;
        assert!((share - exact).abs() < error, "{share} pass, {exact} should, within {error}");
    }
}

/// So many boards on one thread.
pub(crate) fn effort(boards: u64) -> Effort {
    Effort { boards, seed: 1, threads: 1, instructions: Instructions::best() }
}

/// An op amp whose rejection is finite, V/V.
pub(crate) fn rejecting(rejection: f64) -> OpAmp {
    OpAmp { rejection: Some(rejection), ..OpAmp::default() }
}
