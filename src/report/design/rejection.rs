use crate::quantity::Unit;
use crate::report::{Record, Value, picture};
use crate::study::{CauseLine, Design, Method, RejectionAt, SweepPoint};

pub(super) fn push(design: &Design, body: &mut Record) {
    let figure = &design.rejection;
    body.section("rejection", "Common-mode rejection", |part| {
        part.number("worst_db", "worst case", figure.worst_db, Unit::Decibel);
        part.number("nominal_db", "nominal", figure.nominal_db, Unit::Decibel);
        method(figure.method, part);
        part.number("closed_form_db", "handbook estimate", figure.closed_form_db, Unit::Decibel);
        if let Some(note) = &figure.closed_form_note {
            part.text("closed_form_note", "", note).for_data();
            part.note(note.clone());
        }
        part.picture(picture::rejection(design));
        part.table("causes", "Each cause alone", &figure.causes, cause);
        part.picture(picture::causes(design));
        if let Some(at) = &figure.at_interference {
            part.section("at_interference", "At the interference frequency", |part| {
                levels(at, part);
                method(at.method, part);
                part.table("causes", "Each cause alone there", &at.causes, cause);
            });
        }
        if !figure.harmonics.is_empty() {
            part.table("harmonics", "Its harmonics", &figure.harmonics, harmonic);
        }
        let decades: Vec<SweepPoint> = figure.sweep.iter().copied().filter(at_decade).collect();
        part.table("sweep", "", &figure.sweep, swept).for_data();
        part.table("", "Over frequency", &decades, swept).for_people();
    });
}

/// How sure a worst case is, in the contract's word and in a sentence.
pub(super) fn method(method: Method, part: &mut Record) {
    part.text("method", "method", method.name()).for_data();
    let words = match method {
        Method::Proven => "proven: no board within tolerance is worse",
        Method::Searched => "searched: the worst that was found",
        Method::Corners => "every corner computed",
    };
    part.text("", "method", words).for_people();
}

fn cause(line: &CauseLine) -> Record {
    let mut row = Record::new();
    row.text("cause", "cause", &line.cause);
    row.number("alone_db", "alone", line.alone_db, Unit::Decibel);
    row
}

fn levels(at: &RejectionAt, part: &mut Record) {
    part.number("hz", "frequency", at.hz, Unit::Hertz);
    part.number("worst_db", "worst case", at.worst_db, Unit::Decibel);
    part.number("rti_db", "data-sheet convention", at.rti_db, Unit::Decibel);
}

fn harmonic(at: &RejectionAt) -> Record {
    let mut row = Record::new();
    levels(at, &mut row);
    row.text("method", "method", at.method.name());
    row.table("causes", "", &at.causes, cause);
    row
}

fn swept(at: &SweepPoint) -> Record {
    let mut row = Record::new();
    row.number("hz", "frequency", at.hz, Unit::Hertz);
    row.number("nominal_db", "nominal", at.nominal_db, Unit::Decibel);
    row.number("worst_db", "worst case", at.worst_db, Unit::Decibel);
    row.number("rti_db", "data-sheet convention", at.rti_db, Unit::Decibel);
    row.flag("rough", "", at.rough).for_data();
    row.push("", "", Value::Text(at.rough.then(|| "rough".to_owned()))).for_people();
    row
}

/// True at 1, 10, 100 … Hz, which is what people are shown of a sweep.
fn at_decade(at: &SweepPoint) -> bool {
    let decades = libm::log10(at.hz);
    (decades - decades.round()).abs() < 1e-6
}
