use super::{Document, Record, Verdict};
use crate::study::{Question, StudyFault};

/// The report on a design that no standard value can make: why, and what would be right.
#[must_use]
pub fn no_design(question: &Question, fault: &StudyFault) -> Document {
    let mut body = Record::new();
    body.text("title", "title", &question.title).for_data();
    body.text("topology", "circuit", question.topology.name());
    body.flag("met", "every limit met", false).for_data();
    body.text("reason", "reason", &fault.message);
    body.text("key", "said in", &fault.key);
    body.text("help", "what would do", &fault.help);
    Document::new("evenkeel.design.v1", Verdict::bad("No standard value can do it."), body).titled(&question.title)
}
