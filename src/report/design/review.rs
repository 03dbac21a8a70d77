use crate::report::Record;
use crate::study::Design;

pub(super) fn warnings(design: &Design, body: &mut Record) {
    body.entries("warnings", "Review notes", &design.warnings, |warning| {
        let mut entry = Record::new();
        entry.text("code", "code", warning.code);
        entry.text("message", "message", &warning.message);
        entry.text("advice", "advice", &warning.advice);
        entry
    });
}

pub(super) fn cautions(design: &Design, body: &mut Record) {
    body.texts("cautions", "Cautions", &design.cautions);
}

pub(super) fn assumed_ideal(design: &Design, body: &mut Record) {
    body.texts("assumed_ideal", "", &design.assumed_ideal).for_data();
    body.texts("", "Not given, counted as ideal", &by_property(&design.assumed_ideal)).for_people();
}

pub(super) fn not_predicted(design: &Design, body: &mut Record) {
    body.table("not_predicted", "Not predicted", &design.not_predicted, |line| {
        let mut row = Record::new();
        row.text("figure", "figure", &line.figure);
        row.text("needs", "needs", &line.needs);
        row
    });
}

/// `A1 offset`, `A2 offset` as `offset of A1, A2`, in the order of first sight; a key of the spec as
/// it stands.
fn by_property(items: &[String]) -> Vec<String> {
    let mut groups: Vec<(String, Vec<&str>)> = Vec::new();
    for item in items {
        let (part, property) = match item.split_once(' ') {
            Some((part, property)) => (part, property.replace('_', " ")),
            None => ("", item.clone()),
        };
        match groups.iter_mut().find(|(known, _)| *known == property) {
            Some((_, parts)) => parts.push(part),
            None => groups.push((property, vec![part])),
        }
    }
    let said = |(property, parts): (String, Vec<&str>)| match parts.as_slice() {
        [""] => property,
        _ => format!("{property} of {}", parts.join(", ")),
    };
    groups.into_iter().map(said).collect()
}
