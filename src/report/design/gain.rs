use super::rejection::method;
use crate::quantity::Unit;
use crate::report::Record;
use crate::study::Design;

pub(super) fn push(design: &Design, body: &mut Record) {
    let gain = design.gain;
    body.section("gain", "Gain", |part| {
        part.number("target", "wanted", gain.target, Unit::Plain).digits(6);
        part.number("nominal", "nominal", gain.nominal, Unit::Plain).digits(6);
        part.number("error_nominal", "error, nominal", gain.error_nominal, Unit::Fraction).digits(3);
        part.number("error_low", "error, lowest", gain.error_low, Unit::Fraction).digits(3);
        part.number("error_high", "error, highest", gain.error_high, Unit::Fraction).digits(3);
        method(gain.method, part);
    });
}
