//! What every refusal owes its reader: a place, what was read, and what would be right.
//!
//! The searching tests under `fuzz/` use this file too.
use evenkeel::quantity::QuantityFault;
use evenkeel::spec::{Fault, Faults};

/// A fault has a place in its text, says something on one line, and helps.
fn bears(fault: &Fault) {
    let told = format!("{fault:?}");
    assert!(!fault.code.is_empty() && fault.code.chars().all(|c| c.is_ascii_lowercase() || c == '-'), "{told}");
    assert!(!fault.message.trim().is_empty() && !fault.message.contains(['\n', '\r', '\u{1b}', '\u{0}']), "{told}");
    let right = |message: &str| message.contains("must be ") || message.ends_with(" is due");
    assert!(
        fault.help.as_ref().map_or(right(&fault.message), |help| !help.trim().is_empty()),
        "what would be right: {told}"
    );
    let lines: Vec<&str> = fault.text.split('\n').collect();
    assert!((1..=lines.len()).contains(&fault.line()), "{told}");
    assert!((1..=lines[fault.line() - 1].chars().count() + 1).contains(&fault.column()), "{told}");
    if let Some(span) = &fault.span {
        assert!(fault.text.get(span.clone()).is_some(), "{told}");
        assert!(!fault.label.is_empty() || fault.code == "missing-designator", "{told}");
    }
}

pub(crate) fn all_bear(faults: &Faults) {
    assert!((1..=101).contains(&faults.0.len()));
    faults.0.iter().for_each(bears);
}

pub(crate) fn quantity_bears(text: &str, fault: &QuantityFault) {
    assert_eq!(fault.text(), text);
    assert_eq!(Some(fault.read()), text.get(fault.place()), "{fault:?}");
    assert!(!fault.help().is_empty() && !fault.to_string().is_empty(), "{fault:?}");
}
