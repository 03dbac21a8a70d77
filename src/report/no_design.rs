use super::{Document, Record, Verdict};
use crate::study::{Question, StudyFault};

/// What every command about one design answers where no standard value can make it: why, and what would be right.
/// `schema` is that of the command.
#[must_use]
pub fn no_design(schema: &'static str, question: &Question, fault: &StudyFault) -> Document {
    let mut body = Record::new();
    body.text("title", "title", &question.title).for_data();
    body.text("topology", "circuit", question.topology.name());
    body.flag("met", "every limit met", false).for_data();
    body.text("reason", "reason", &fault.message);
    body.text("key", "said in", &fault.key);
    body.text("help", "what would do", &fault.help);
    Document::new(schema, Verdict::bad("No standard value can do it."), body).titled(&question.title)
}
