//! `docs/validation.md`.
use crate::evidence::{Evidence, evidence};
use crate::row::{Kind, Row};
use std::collections::{BTreeMap, BTreeSet};
use std::fmt::Write;

const OPENING: &str = include_str!("opening.md");

pub(crate) fn written(rows: &[Row]) -> String {
    let evidence = evidence();
    let mut page = OPENING.to_owned();
    counts(&mut page, rows, &evidence);
    wrong(&mut page, rows);
    cases(&mut page, rows);
    tests(&mut page, &evidence);
    page.push_str("## Check values without an answer here\n\n");
    for one in &evidence.unanswered {
        let _ = writeln!(page, "* **{}**: {}", one.entry, one.why);
    }
    page
}

fn counts(page: &mut String, rows: &[Row], evidence: &Evidence) {
    let mut table: BTreeMap<&str, BTreeMap<Kind, usize>> = BTreeMap::new();
    let all = rows.iter().map(|row| (row.figure.as_str(), row.kind));
    for (figure, kind) in all.chain(evidence.test.iter().map(|one| (one.figure.as_str(), one.kind))) {
        *table.entry(figure).or_default().entry(kind).or_default() += 1;
    }
    let _ = writeln!(page, "## Counts\n\n{} cases; a second witness and a law count by tests.\n", rows.len());
    page.push_str("| figure |");
    for kind in Kind::ALL {
        let _ = write!(page, " {} |", kind.words());
    }
    page.push_str("\n| --- | --: | --: | --: | --: | --: |\n");
    for (figure, kinds) in &table {
        let _ = write!(page, "| {figure} |");
        for kind in Kind::ALL {
            let _ = write!(page, " {} |", kinds.get(&kind).map_or("-".to_owned(), ToString::to_string));
        }
        page.push('\n');
    }
    let published = |kinds: &BTreeMap<Kind, usize>| kinds.contains_key(&Kind::Seen);
    let only_memory = |kinds: &BTreeMap<Kind, usize>| !published(kinds) && kinds.contains_key(&Kind::Memory);
    let name = |keep: &dyn Fn(&BTreeMap<Kind, usize>) -> bool| {
        table.iter().filter(|(_, kinds)| keep(kinds)).map(|(figure, _)| *figure).collect::<Vec<_>>().join(", ")
    };
    let without = name(&|kinds| !published(kinds) && !only_memory(kinds));
    let _ =
        writeln!(page, "\n**Without any published evidence**, held by a second witness or a law alone: {without}.\n");
    let memory = name(&only_memory);
    if !memory.is_empty() {
        let _ = writeln!(page, "**Published, but from memory alone**: {memory}.\n");
    }
}

fn wrong(page: &mut String, rows: &[Row]) {
    page.push_str(
        "## Published figures that are wrong or loose\n\nThe program is held to what they ought to be.\n\n\
         | case | source | printed | ought to be | the program gives |\n| --- | --- | --- | --- | --: |\n",
    );
    for row in rows {
        if let Some(ought) = &row.ought {
            let _ = writeln!(
                page,
                "| {} | {} | {} | {} | {} |",
                row.entry,
                row.source,
                row.printed,
                ought,
                digits(row.got, row.allowed)
            );
        }
    }
    page.push('\n');
}

fn cases(page: &mut String, rows: &[Row]) {
    page.push_str("## Cases\n\nNumbers are in the unit that stands beside the printed one.\n\n");
    let figures: BTreeSet<&str> = rows.iter().map(|row| row.figure.as_str()).collect();
    for figure in figures {
        let _ = writeln!(
            page,
            "### {}{}\n\n| case | source | evidence | printed | wanted | the program gives | difference | allowed | why so much |\n\
             | --- | --- | --- | --- | --: | --: | --: | --: | --- |",
            figure[..1].to_uppercase(),
            &figure[1..]
        );
        for row in rows.iter().filter(|row| row.figure == figure) {
            let _ = writeln!(
                page,
                "| {} | {} | {} | {} | {} | {} | {} | {} | {} |",
                row.entry,
                row.source,
                row.kind.words(),
                row.printed,
                short(row.want),
                digits(row.got, row.allowed),
                difference(row),
                short(two_digits(row.allowed)),
                row.reason
            );
        }
        page.push('\n');
    }
}

fn tests(page: &mut String, evidence: &Evidence) {
    page.push_str(
        "## Second witnesses and laws\n\n| figure | evidence | what is held against what | test |\n| --- | --- | --- | --- |\n",
    );
    for one in &evidence.test {
        let _ =
            writeln!(page, "| {} | {} | {} | `{}` in {} |", one.figure, one.kind.words(), one.says, one.name, one.file);
    }
    page.push('\n');
}

/// Rounding alone is no difference.
fn difference(row: &Row) -> String {
    let apart = row.got - row.want;
    if apart.abs() <= 1e-9 * row.want.abs().max(row.allowed) { "0".to_owned() } else { short(two_digits(apart)) }
}

fn two_digits(value: f64) -> f64 {
    if value == 0.0 { 0.0 } else { format!("{value:.1e}").parse().unwrap_or(value) }
}

/// With a digit more than the bound tells, nine at most.
fn digits(value: f64, allowed: f64) -> String {
    let size = libm::log10(value.abs().max(f64::MIN_POSITIVE)).floor();
    let places = if allowed > 0.0 { (size - libm::log10(allowed).floor() + 1.0).clamp(2.0, 8.0) } else { 8.0 };
    let rounded: f64 = format!("{value:.*e}", places as usize).parse().unwrap_or(value);
    if rounded.abs() < 1e-9 * allowed.max(1e-9) { "0".to_owned() } else { short(rounded) }
}

/// The shortest text of a double, powers of ten where zeros would have to be counted.
fn short(value: f64) -> String {
    let size = value.abs();
    if size != 0.0 && !(1e-4..1e7).contains(&size) { format!("{value:e}") } else { format!("{value}") }
}
