use crate::report::Record;
use crate::report::yields::fields;
use crate::study::Design;

pub(super) fn push(design: &Design, body: &mut Record) {
    if let Some(figure) = &design.yields {
        body.section("yield", "Yield", |part| fields(figure, part));
    }
}
