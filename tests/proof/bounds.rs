//! The box of figures.md, sections 3 and 4, written down a second time.
use crate::field::Real;
use crate::reference::Board;
use evenkeel::designator::Amp;
use evenkeel::stage::{Circuit, Lot};

/// One uncertain quantity.
#[derive(Clone, Debug)]
pub(crate) struct Knob {
    /// The name the engine gives it.
    pub(crate) name: String,
    pub(crate) low: f64,
    pub(crate) high: f64,
    turn: Turn,
}

#[derive(Clone, Debug)]
enum Turn {
    Ohms(Vec<&'static str>),
    Farad(&'static str),
    Imbalance,
    InverseGain(usize),
    Rejection(usize, f64),
    GainBandwidth(usize),
}

impl Knob {
    /// True for one that enters several elements.
    pub(crate) fn is_shared(&self) -> bool {
        matches!(&self.turn, Turn::Imbalance) || matches!(&self.turn, Turn::Ohms(names) if names.len() > 1)
    }

    pub(crate) fn end(&self, upper: bool) -> f64 {
        if upper { self.high } else { self.low }
    }
}

/// All of them, widths of zero left out, and at dc those of capacitors and gain-bandwidth products.
pub(crate) fn knobs(circuit: &Circuit, lot: &Lot, at_dc: bool) -> Vec<Knob> {
    let mut all = Vec::new();
    let mut add = |name: String, low: f64, high: f64, turn: Turn| all.push(Knob { name, low, high, turn });
    let reach = lot.reach_k;
    for (index, network) in lot.networks.iter().enumerate() {
        let members: Vec<_> = network.members.iter().filter(|name| circuit.ohms.get(**name).is_some()).collect();
        let shared = members
            .iter()
            .map(|name| lot.grades.get(name).map_or(0.0, |grade| grade.tolerance + grade.tempco_per_k * reach))
            .fold(0.0, f64::max);
        let names = members.iter().map(|name| name.name()).collect();
        add(format!("network {} common factor", index + 1), -shared, shared, Turn::Ohms(names));
        let own = (network.match_fraction + network.match_tempco_per_k * reach) / 2.0;
        for name in members {
            add(format!("{name} match"), -own, own, Turn::Ohms(vec![name.name()]));
        }
    }
    for (name, _) in circuit.ohms.present() {
        if lot.networks.iter().any(|network| network.members.contains(&name)) {
            continue;
        }
        if let Some(grade) = lot.grades.get(&name) {
            let bound = grade.tolerance + grade.tempco_per_k * reach;
            add(name.to_string(), -bound, bound, Turn::Ohms(vec![name.name()]));
        }
    }
    for (index, amp) in [Amp::A1, Amp::A2, Amp::A3].into_iter().enumerate().take(circuit.topology.amps().len()) {
        let Some(data) = circuit.opamps.get(&amp) else { continue };
        if let Some(rejection) = data.rejection {
            add(format!("{amp} rejection"), -1.0, 1.0, Turn::Rejection(index, 1.0 / rejection));
        }
        if let Some(gain) = data.open_loop_gain {
            add(format!("{amp} open-loop gain"), 0.0, 1.0 / gain, Turn::InverseGain(index));
        }
        if data.gain_bandwidth_hz.is_some() && !at_dc {
            let bound = data.gain_bandwidth_tolerance;
            add(format!("{amp} gain bandwidth"), -bound, bound, Turn::GainBandwidth(index));
        }
    }
    let source = &circuit.surroundings.source;
    if source.resistance_ohm > 0.0 {
        let bound = source.imbalance_ohm;
        add("source imbalance".to_owned(), -bound, bound, Turn::Imbalance);
    }
    for (side, bias, filter, shunt, cable) in
        [("positive", "bias+", "filter+", "cc+", "cable+"), ("negative", "bias-", "filter-", "cc-", "cable-")]
    {
        if source.bias_return_ohm.is_some() {
            let bound = lot.bias_return_tolerance;
            add(format!("bias return, {side} input"), -bound, bound, Turn::Ohms(vec![bias]));
        }
        if source.cable_capacitance_f.is_some() && !at_dc {
            let bound = source.cable_tolerance;
            add(format!("cable, {side} leg"), -bound, bound, Turn::Farad(cable));
        }
        if let Some(parts) = &circuit.surroundings.filter {
            let bound = parts.resistor_tolerance;
            add(format!("filter resistor, {side} leg"), -bound, bound, Turn::Ohms(vec![filter]));
            if !at_dc {
                let bound = parts.capacitor_tolerance;
                add(format!("common-mode capacitor, {side} input"), -bound, bound, Turn::Farad(shunt));
            }
        }
    }
    if let (Some(parts), false) = (&circuit.surroundings.filter, at_dc) {
        let bound = parts.capacitor_tolerance;
        add("differential capacitor".to_owned(), -bound, bound, Turn::Farad("cd"));
    }
    all.retain(|knob| knob.low < knob.high);
    all
}

impl<R: Real> Board<R> {
    /// The nominal board with every knob at a value.
    pub(crate) fn turned(&self, knobs: &[Knob], values: &[f64]) -> Self {
        let mut board = self.clone();
        for (knob, &value) in knobs.iter().zip(values) {
            board.turn(&knob.turn, value);
        }
        board
    }

    fn turn(&mut self, turn: &Turn, value: f64) {
        let q = R::of(value);
        let scaled = |x: &R| x.clone() * (R::one() + q.clone());
        match turn {
            Turn::Ohms(names) => {
                for name in names {
                    if let Some(ohm) = self.ohms.get_mut(name) {
                        *ohm = scaled(ohm);
                    }
                }
            }
            Turn::Farad(name) => {
                if let Some(farad) = self.farads.get_mut(name) {
                    *farad = scaled(farad);
                }
            }
            Turn::Imbalance => {
                let half = q.clone() / R::of(2.0);
                let (up, down) = (self.ohms["source+"].clone(), self.ohms["source-"].clone());
                self.ohms.insert("source+", up + half.clone());
                self.ohms.insert("source-", down - half);
            }
            Turn::InverseGain(amp) => self.amps[*amp].a = q,
            Turn::Rejection(amp, ratio) => {
                self.amps[*amp].c = R::of(*ratio);
                self.amps[*amp].share = q;
            }
            Turn::GainBandwidth(amp) => {
                let per_gbw = self.amps[*amp].per_gbw.clone();
                self.amps[*amp].per_gbw = per_gbw / (R::one() + q);
            }
        }
    }
}
