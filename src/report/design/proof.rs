//! How to check a design at the bench, and how to retrace it with pencil and paper.
use crate::report::{Record, explain, verify};
use crate::study::Plan;
use crate::study::explain::Lesson;

/// What a report that is kept shows beside the figures.
#[derive(Clone, Copy, Debug, Default)]
pub struct Proof<'a> {
    /// What to apply at the bench, and the voltages to expect.
    pub plan: Option<&'a Plan>,
    /// The working of every figure.
    pub working: Option<&'a Lesson>,
}

impl Proof<'_> {
    pub(super) fn push(&self, body: &mut Record) {
        if let Some(plan) = self.plan {
            body.section("", "Bench sheet", |part| verify::sheet(plan, part)).for_people();
        }
        if let Some(lesson) = self.working {
            body.section("", "The working", |part| explain::working(lesson, part)).for_people();
        }
    }
}
