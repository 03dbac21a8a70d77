use crate::quantity::Unit;
use crate::report::Record;
use crate::study::{Design, OffsetCause};

pub(super) fn push(design: &Design, body: &mut Record) {
    let Some(figure) = &design.offset else { return };
    body.section("offset", "Offset, referred to the input", |part| {
        part.number("rti_worst_v", "worst case", figure.rti_worst_v, Unit::Volt);
        part.number("rti_rss_v", "root sum of squares", figure.rti_rss_v, Unit::Volt);
        part.number("drift_v_per_k", "drift", figure.drift_v_per_k, Unit::VoltPerKelvin);
        part.table("causes", "Where it comes from", &figure.causes, cause);
    });
}

fn cause(one: &OffsetCause) -> Record {
    let mut row = Record::new();
    row.text("cause", "cause", one.source.to_string());
    row.number("rti_v", "at the input", one.rti_v, Unit::Volt);
    row
}
