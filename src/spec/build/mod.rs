//! A checked tree to a question; defaults come from the key table.
mod amplifier;
mod board;
mod requirement;
mod resistors;
mod sheet;

use super::part_file::Amps;
use super::tree::Table;
use crate::designator::{Amp, Topology};
use crate::part::OpAmp;
use crate::study::{Candidate, Question};
use sheet::Sheet;
use std::collections::BTreeMap;

/// The question of one channel.
pub(crate) fn question(tree: &Table, amps: &Amps, topology: Topology) -> Question {
    let sheet = Sheet(tree);
    let chip = (topology == Topology::SingleChip).then(|| tree.table("chip")).flatten();
    let (opamps, candidates) = match (topology, chip) {
        (Topology::SingleChip, Some(chip)) => (BTreeMap::from([(Amp::A1, amplifier::chip_as_opamp(chip))]), Vec::new()),
        (Topology::SingleChip, None) => (BTreeMap::new(), Vec::new()),
        _ => (opamps(&amps.own, topology), amps.candidates.iter().map(|one| candidate(one, topology)).collect()),
    };
    Question {
        title: tree.text("title").unwrap_or_default().trim().to_owned(),
        signal: requirement::signal(&sheet),
        source: requirement::source(&sheet),
        strays: requirement::strays(&sheet),
        filter: requirement::filter(&sheet),
        interference: requirement::interference(&sheet),
        supply: requirement::supply(&sheet),
        reference_v: sheet.maybe("supply.reference"),
        reference_resistance_ohm: sheet.number("supply.reference_resistance"),
        environment: requirement::environment(&sheet),
        target: requirement::target(&sheet),
        converter: requirement::converter(&sheet),
        topology,
        stage_two_gain: sheet.maybe("circuit.stage_two_gain").filter(|_| topology == Topology::ThreeOpAmp),
        resistors: resistors::resistors(&sheet, topology),
        opamps,
        candidates,
        chip: chip.map(amplifier::chip),
        trimmer: board::trimmer(&sheet),
        switch: board::switch(&sheet),
        draw: board::draw(&sheet),
        board: board::board(&sheet, topology),
        allow: board::allow(&sheet),
        limits: requirement::limits(&sheet),
    }
}

fn opamps(tables: &BTreeMap<Amp, Table>, topology: Topology) -> BTreeMap<Amp, OpAmp> {
    topology.amps().iter().filter_map(|amp| Some((*amp, amplifier::opamp(tables.get(amp)?)))).collect()
}

fn candidate(tables: &BTreeMap<Amp, Table>, topology: Topology) -> Candidate {
    let opamps = opamps(tables, topology);
    // Every candidate stands behind `[opamp.all]`; one that is decided by itself has its own title.
    let title = tables
        .values()
        .find(|table| !table.has("from"))
        .and_then(|table| table.text("title"))
        .unwrap_or_default()
        .to_owned();
    Candidate { title, opamps }
}
