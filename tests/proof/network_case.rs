//! A published figure of a network: a row of tests/data/network_cases.toml, and what the engine says to it.
use evenkeel::corners::{self, WorstCase};
use evenkeel::designator::{Amp, Designator, Ohms, Topology};
use evenkeel::network::{AmplifierValue, Builder, Excitation, GROUND};
use evenkeel::part::{Grade, OpAmp};
use evenkeel::predict;
use evenkeel::stage::{Circuit, InputFilter, Lot, Role, Source, Stage, Surroundings};
use evenkeel::topology;
use serde::Deserialize;
use std::collections::BTreeMap;

/// Decibels of a ratio of voltages.
fn db(ratio: f64) -> f64 {
    20.0 * libm::log10(ratio)
}

#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
struct Cases {
    case: Vec<Case>,
}

#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
pub(crate) struct Case {
    pub(crate) id: String,
    pub(crate) source: String,
    pub(crate) status: String,
    topology: String,
    ohms: BTreeMap<String, f64>,
    #[serde(default)]
    tolerances: BTreeMap<String, f64>,
    open_loop_gain: Option<f64>,
    #[serde(default)]
    reference_ohm: f64,
    #[serde(default)]
    source_ohm: f64,
    #[serde(default)]
    imbalance_ohm: f64,
    bias_return_ohm: Option<f64>,
    cable_farad: Option<f64>,
    filter: Option<[f64; 4]>,
    #[serde(default)]
    hz: f64,
    drive: Option<[f64; 2]>,
    pub(crate) figure: String,
    pub(crate) printed: String,
    pub(crate) value: f64,
    pub(crate) allowed: f64,
    pub(crate) reason: String,
    pub(crate) exact: Option<f64>,
    pub(crate) exact_ratio: Option<f64>,
}

impl Case {
    pub(crate) fn circuit(&self) -> Circuit {
        let topology: Topology = self.topology.parse().unwrap();
        let ohms: Ohms = self.ohms.iter().map(|(name, &ohm)| (name.parse().unwrap(), ohm)).collect();
        let data = OpAmp { open_loop_gain: self.open_loop_gain, ..OpAmp::default() };
        let filter = self.filter.map(|[resistor_ohm, common, across, tolerance]| InputFilter {
            resistor_ohm,
            common_capacitor_f: common,
            differential_capacitor_f: across,
            resistor_tolerance: tolerance,
            capacitor_tolerance: 0.0,
            fault_voltage_v: None,
            fault_current_a: None,
        });
        let source = Source {
            resistance_ohm: self.source_ohm,
            imbalance_ohm: self.imbalance_ohm,
            bias_return_ohm: self.bias_return_ohm,
            cable_capacitance_f: self.cable_farad,
            ..Source::default()
        };
        let reference_resistance_ohm = self.reference_ohm;
        Circuit {
            topology,
            ohms,
            opamps: topology.amps().iter().map(|&amp| (amp, data.clone())).collect(),
            chip: None,
            surroundings: Surroundings { source, filter, reference_resistance_ohm, ..Surroundings::default() },
        }
    }

    fn lot(&self) -> Lot {
        let grade = |&tolerance: &f64| Grade { tolerance, tempco_per_k: 0.0 };
        let grades = self.tolerances.iter().map(|(name, t)| (name.parse::<Designator>().unwrap(), grade(t)));
        Lot { grades: grades.collect(), ..Lot::default() }
    }

    fn worst(&self, stage: &Stage) -> WorstCase {
        let quantities = stage.quantities(&self.lot(), self.hz);
        if self.hz == 0.0 {
            corners::at_dc(stage, &quantities).unwrap()
        } else {
            corners::at_frequency(stage, &quantities, self.hz, 16).unwrap()
        }
    }

    /// What the engine says.
    pub(crate) fn computed(&self) -> f64 {
        if self.topology == "non-inverting" {
            return self.non_inverting();
        }
        let stage = topology::build(&self.circuit()).unwrap();
        let nominal = predict::gains::<f64>(&stage, 0.0).unwrap();
        match self.figure.as_str() {
            "gain" => nominal.differential,
            "common" => nominal.common.abs(),
            "nominal_db" => db(nominal.rejection()),
            "worst_db" => db(self.worst(&stage).rejection),
            "worst_common" => self.worst(&stage).common,
            "rti_db" => db(nominal.differential / self.worst(&stage).common),
            place => self.voltage(&stage, place),
        }
    }

    /// At an op amp's pin.
    fn voltage(&self, stage: &Stage, place: &str) -> f64 {
        let (amp, pin) = place.split_once(' ').unwrap();
        let element = stage.element(Role::Amp(amp.parse::<Amp>().unwrap())).unwrap();
        let (plus, minus, out) = stage.network.pins(element).unwrap();
        let node = match pin {
            "+ input" => plus,
            "- input" => minus,
            "output" => out,
            other => panic!("{other}"),
        };
        let [positive, negative] = self.drive.unwrap();
        let drive = Excitation::emf(stage.ports.positive, positive).and_emf(stage.ports.negative, negative);
        stage.network.at::<f64>(0.0).unwrap().state(&drive).voltage(node)
    }

    /// R1 from the inverting node to ground, R2 from there to the output; 1 V at the other input.
    fn non_inverting(&self) -> f64 {
        let mut b = Builder::new();
        let [input, node, out] = ["input", "node", "output"].map(|name| b.node(name));
        let emf = b.source("EMF", input, GROUND);
        let [r1, r2] = ["R1", "R2"].map(|name| self.ohms[name]);
        b.resistor("R1", node, GROUND, r1);
        b.resistor("R2", node, out, r2);
        let value = AmplifierValue { inverse_gain: 1.0 / self.open_loop_gain.unwrap(), ..AmplifierValue::default() };
        b.op_amp("A1", (input, node), out, value);
        let network = b.finish().unwrap();
        let state = network.at::<f64>(0.0).unwrap().state(&Excitation::emf(emf, 1.0));
        match self.figure.as_str() {
            "gain" => state.voltage(out),
            "error" => state.voltage(out) / (1.0 + r2 / r1) - 1.0,
            "input difference" => state.voltage(input) - state.voltage(node),
            other => panic!("{other}"),
        }
    }
}

pub(crate) fn cases() -> Vec<Case> {
    let text = include_str!("../data/network_cases.toml");
    toml::from_str::<Cases>(text).unwrap_or_else(|fault| panic!("{fault}")).case
}
