use crate::quantity::Unit;
use crate::report::{Record, picture};
use crate::study::Design;

/// The drawing, and the voltages on it as data.
pub(super) fn push(design: &Design, body: &mut Record) {
    body.section("", "The circuit", |part| part.picture(picture::circuit(design))).for_people();
    let Some(figure) = &design.nodes else { return };
    body.section("nodes", "", |part| {
        part.number("differential_v", "differential", figure.differential_v, Unit::Volt);
        part.number("common_mode_v", "common mode", figure.common_mode_v, Unit::Volt);
        part.table("voltages", "", &figure.voltages, |one| {
            let mut row = Record::new();
            row.text("node", "node", &one.node);
            row.number("v", "voltage", one.v, Unit::Volt);
            row
        });
    })
    .for_data();
}
