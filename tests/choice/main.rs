//! The choice of values, its inverses, trimming and switched gains, on whole specs.
#![allow(clippy::expect_used, clippy::panic, clippy::unwrap_used, reason = "a test that cannot go on has failed")]
mod alike;
mod decided;
mod divided;
mod drawn;
mod fixed_again;
mod gains;
mod inverse;
mod optimum;
mod purchase;
mod reach;
mod trim;

use evenkeel::spec::{self, NoFiles};
use evenkeel::study::{Design, DesignOptions, Question, Span, design};

pub(crate) fn question(text: &str) -> Question {
    let spec = spec::read("test.toml", text, &NoFiles).expect("a spec");
    spec.channels[0].question.clone()
}

pub(crate) fn designed(question: &Question) -> Design {
    design(question, &DesignOptions { sweep_hz: Span::point(1.0) }).expect("a design")
}

pub(crate) fn ohm(design: &Design, name: &str) -> f64 {
    design.resistors.iter().find(|line| line.name.name() == name).and_then(|line| line.ohm).expect("a value")
}
