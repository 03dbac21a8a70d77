use crate::quantity::{Unit, rounded};
use crate::report::{Record, Verdict};
use crate::study::Design;

pub(super) fn push(design: &Design, body: &mut Record) {
    body.text("title", "title", &design.title).for_data();
    body.text("topology", "circuit", design.topology.name());
    body.flag("met", "every limit met", design.met).for_data();
    let label = if design.reference_chosen { "reference (chosen)" } else { "reference" };
    body.number("reference_v", label, design.reference_v, Unit::Volt);
    body.flag("reference_chosen", "reference chosen here", design.reference_chosen).for_data();
}

/// How many limits stand, and what is guaranteed.
pub(super) fn verdict(design: &Design) -> Verdict {
    let all = design.limits.len();
    let missed = design.limits.iter().filter(|line| line.met == Some(false)).count();
    let open = design.limits.iter().filter(|line| line.met.is_none()).count();
    let limits = if all == 1 { "limit" } else { "limits" };
    match (all, missed, open) {
        (0, ..) => Verdict::plain(format!("No limits set; worst-case rejection {}.", worst(design))),
        (1, 0, 0) => Verdict::good("The one limit is met."),
        (_, 0, 0) => Verdict::good(format!("All {all} limits are met.")),
        (_, 0, _) => Verdict::bad(format!("{open} of {all} {limits} not predicted, none missed.")),
        (_, _, 0) => Verdict::bad(format!("{missed} of {all} {limits} missed.")),
        _ => Verdict::bad(format!("{missed} of {all} {limits} missed, {open} not predicted.")),
    }
}

fn worst(design: &Design) -> String {
    design.rejection.worst_db.map_or_else(|| "unbounded".to_owned(), |db| rounded(db, Unit::Decibel, 4))
}
