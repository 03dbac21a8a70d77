use crate::quantity::Unit;
use crate::report::Record;
use crate::study::{Design, Protection};

pub(super) fn impedance(design: &Design, body: &mut Record) {
    let Some(figure) = &design.impedance else { return };
    body.section("impedance", "Input impedance at dc", |part| {
        part.number("differential_ohm", "differential", figure.differential_ohm, Unit::Ohm);
        part.number("common_mode_ohm", "common mode", figure.common_mode_ohm, Unit::Ohm);
        part.number("positive_ohm", "positive input alone", figure.positive_ohm, Unit::Ohm);
        part.number("negative_ohm", "negative input alone", figure.negative_ohm, Unit::Ohm);
    });
}

pub(super) fn filter(design: &Design, body: &mut Record) {
    let Some(figure) = &design.input_filter else { return };
    body.section("input_filter", "Input filter", |part| {
        let (alone, inside) = (&figure.alone, &figure.in_circuit);
        part.number("differential_hz", "differential bandwidth", alone.differential_hz, Unit::Hertz);
        part.number("common_mode_hz", "common-mode bandwidth", alone.common_mode_hz, Unit::Hertz);
        let (key, words) = ("differential_in_circuit_hz", "differential, loads and source included");
        part.number(key, words, inside.differential_hz, Unit::Hertz);
        let (key, words) = ("common_mode_in_circuit_hz", "common mode, loads and source included");
        part.number(key, words, inside.common_mode_hz, Unit::Hertz);
        if let Some(one) = &figure.protection {
            part.section("protection", "Resistors as protection", |part| protection(one, part));
        }
    });
}

fn protection(one: &Protection, part: &mut Record) {
    part.flag("enough", "enough for the stated fault", one.enough);
    part.number("needed_ohm", "resistance needed in each leg", one.needed_ohm, Unit::Ohm);
    part.number("current_a", "current at the fault", one.current_a, Unit::Ampere);
    part.number("power_w", "power in the resistor then", one.power_w, Unit::Watt);
}
