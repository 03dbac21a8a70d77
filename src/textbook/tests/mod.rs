//! The equations against published numbers, and against node equations solved by a linear-algebra crate.
mod closed_forms;
mod laws;
mod nodal;
mod worked_examples;

use approx::relative_eq;

/// Fails unless both are within `relative` of each other; NaN always fails.
pub(crate) fn agree(actual: f64, expected: f64, relative: f64) {
    assert!(
        relative_eq!(actual, expected, max_relative = relative, epsilon = 0.0),
        "{actual:e} is not {expected:e} within {relative:e}"
    );
}

/// Fails unless the value, rounded to the decimals of the print, is the print.
pub(crate) fn prints(value: f64, printed: &str, of: &str) {
    let decimals = printed.split_once('.').map_or(0, |(_, fraction)| fraction.len());
    assert_eq!(format!("{value:.decimals$}"), printed, "{value} of {of}");
}

#[test]
#[should_panic(expected = "is not")]
fn the_comparison_fails_on_a_wrong_value() {
    agree(1.0, 1.0 + 2e-12, 1e-12);
}

#[test]
#[should_panic(expected = "is not")]
fn the_comparison_fails_on_a_wrong_sign() {
    agree(-1.0, 1.0, 1e-3);
}

#[test]
#[should_panic(expected = "is not")]
fn the_comparison_fails_on_no_number() {
    agree(f64::NAN, f64::NAN, 1.0);
}

#[test]
#[should_panic(expected = "68.1 of a case")]
fn the_print_fails_in_its_last_digit() {
    prints(68.1, "68.0", "a case");
}
