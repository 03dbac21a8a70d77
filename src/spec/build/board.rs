use super::sheet::Sheet;
use crate::designator::Topology;
use crate::spec::tree::{Entry, Value};
use crate::spec::usable;
use crate::study::{Allowance, Board, Draw, Switch, Trimmer};
use std::collections::BTreeMap;

pub(super) fn trimmer(sheet: &Sheet<'_>) -> Trimmer {
    Trimmer {
        tolerance: sheet.maybe("trimmer.tolerance"),
        end_resistance_ohm: sheet.maybe("trimmer.end_resistance"),
        tempco_per_k: sheet.maybe("trimmer.tempco"),
        adjustability: sheet.maybe("trimmer.adjustability"),
    }
}

pub(super) fn switch(sheet: &Sheet<'_>) -> Switch {
    let on_resistance_ohm = sheet.maybe("switch.on_resistance");
    Switch {
        on_resistance_ohm,
        on_resistance_match_ohm: sheet.maybe("switch.on_resistance_match").or(on_resistance_ohm),
        tempco_per_k: sheet.maybe("switch.tempco"),
    }
}

pub(super) fn draw(sheet: &Sheet<'_>) -> Draw {
    let chosen = |path: &str, word: &str| sheet.0.has(path).then(|| sheet.is(path, word));
    Draw {
        boards: sheet.count("yield.boards"),
        seed: sheet.count("yield.seed"),
        normal: chosen("yield.shape", "normal"),
        uniform_temperature: chosen("yield.temperature", "uniform"),
    }
}

pub(super) fn board(sheet: &Sheet<'_>, topology: Topology) -> Option<Board> {
    let text = |entry: &Entry| match &entry.value {
        Value::Text(text) => Some(text.trim().to_owned()),
        _ => None,
    };
    let tree = sheet.0;
    tree.has("board").then(|| Board {
        bom: tree.text("board.bom").map(str::to_owned),
        designators: tree
            .named("board.designators")
            .filter_map(|(name, entry)| Some((name.parse().ok()?, text(entry)?)))
            .filter(|(name, _)| usable::has(topology, *name))
            .collect(),
        columns: tree
            .named("board.columns")
            .filter_map(|(name, entry)| Some((name.to_owned(), text(entry)?)))
            .collect(),
    })
}

pub(super) fn allow(sheet: &Sheet<'_>) -> BTreeMap<String, Allowance> {
    let change = |(name, entry): (&str, &Entry)| match entry.value {
        Value::Change(allowance) => Some((name.to_owned(), allowance)),
        _ => None,
    };
    sheet.0.named("check.allow").filter_map(change).collect()
}
