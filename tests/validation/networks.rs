//! tests/data/network_cases.toml: figures of whole networks.
use crate::network_case::{Case, cases};
use crate::row::{Kind, Row};

fn figure(asked: &str, entry: &str) -> &'static str {
    match asked {
        "gain" | "error" | "input difference" => "gain",
        "common" | "nominal_db" | "worst_common" => "rejection",
        "worst_db" if entry.contains("Hz") => "rejection over frequency",
        "worst_db" => "rejection",
        "rti_db" => "rejection over frequency",
        _ if entry.starts_with("CV-OA") => "gain",
        _ => "headroom",
    }
}

/// Of the handbook's grid two numbers are printed.
fn kind(case: &Case) -> Kind {
    let of_grid = case.status.contains("the others by the same formula");
    if of_grid && !["CV-DA-03 G 10, 1 %", "CV-DA-03 G 10, 0.1 %"].contains(&case.id.as_str()) {
        return Kind::Recomputed;
    }
    Kind::of_status(&case.status)
}

pub(crate) fn rows() -> Vec<Row> {
    let mut before = String::new();
    let mut source = |case: &Case| {
        if case.source != "as before" {
            before.clone_from(&case.source);
        }
        before.clone()
    };
    cases()
        .into_iter()
        .map(|case| Row {
            figure: figure(&case.figure, &case.id).to_owned(),
            kind: kind(&case),
            source: source(&case),
            want: case.value,
            got: case.computed(),
            allowed: case.allowed,
            entry: case.id,
            printed: case.printed,
            ought: None,
            reason: case.reason,
        })
        .collect()
}
