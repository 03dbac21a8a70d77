use crate::quantity::Unit;
use crate::report::Record;
use crate::study::{Design, LoopMargin, SettlingLine};

pub(super) fn push(design: &Design, body: &mut Record) {
    let Some(figure) = &design.bandwidth else { return };
    body.section("bandwidth", "Bandwidth and settling", |part| {
        part.number("small_signal_hz", "small signal", figure.small_signal_hz, Unit::Hertz);
        if let Some(full) = figure.full_power {
            part.number("full_power_hz", "full power", full.limited.map(|one| one.hz), Unit::Hertz);
            if let Some(one) = full.limited {
                part.text("full_power_limit", "full power limited by", one.amp.name());
            }
        }
        part.number("peaking_db", "peaking", figure.peaking_db, Unit::Decibel);
        if let Some(hz) = figure.peak_hz {
            part.number("peak_hz", "peak at", hz, Unit::Hertz);
        }
        let margin = figure.phase_margin.map(|one| one.phase_margin_deg);
        part.number("phase_margin_deg", "least phase margin", margin, Unit::Degree);
        part.table("margins", "Loop of each op amp", &figure.margins, loop_of);
        if !figure.settling.is_empty() {
            part.table("settling", "Settling after a full-scale step", &figure.settling, settled);
        }
    });
}

fn loop_of(one: &LoopMargin) -> Record {
    let mut row = Record::new();
    row.text("amp", "op amp", one.amp.name());
    row.number("crossing_hz", "loop gain is 1 at", one.crossing_hz, Unit::Hertz);
    row.number("phase_margin_deg", "phase margin", one.phase_margin_deg, Unit::Degree);
    row
}

fn settled(one: &SettlingLine) -> Record {
    let mut row = Record::new();
    row.text("to", "to", one.to);
    row.number("seconds", "after", one.seconds, Unit::Second);
    row.number("slewing_s", "of it slewing", one.slewing_s, Unit::Second);
    row
}
