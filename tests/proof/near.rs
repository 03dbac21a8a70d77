//! The one comparison of numbers in these tests.
use num_complex::Complex64;
use std::fmt::Display;

/// How far a number may be from what it should be: within `absolute`, or within `relative` times the
/// greater of the two magnitudes.
#[derive(Clone, Copy, Debug)]
pub(crate) struct Within {
    pub(crate) absolute: f64,
    pub(crate) relative: f64,
}

/// A relative bound alone.
pub(crate) const fn relative(relative: f64) -> Within {
    Within { absolute: 0.0, relative }
}

/// An absolute bound alone.
pub(crate) const fn absolute(absolute: f64) -> Within {
    Within { absolute, relative: 0.0 }
}

/// True when the two are that near. NaN is near nothing, an infinity only itself.
pub(crate) fn near(got: f64, want: f64, within: Within) -> bool {
    // A relative bound of 1 or an infinite absolute one would accept anything.
    assert!(within.relative >= 0.0 && within.relative < 1.0, "no bound at all: {within:?}");
    assert!(within.absolute >= 0.0 && within.absolute.is_finite(), "no bound at all: {within:?}");
    approx::relative_eq!(got, want, epsilon = within.absolute, max_relative = within.relative)
}

#[track_caller]
pub(crate) fn assert_near(got: f64, want: f64, within: Within, what: impl Display) {
    assert!(near(got, want, within), "{what}: got {got:e}, want {want:e}, {:e} apart, {within:?}", (got - want).abs());
}

/// Complex numbers: by the magnitude of their difference.
#[track_caller]
pub(crate) fn assert_near_complex(got: Complex64, want: Complex64, within: Within, what: impl Display) {
    let apart = libm::hypot(got.re - want.re, got.im - want.im);
    let size = libm::hypot(got.re, got.im).max(libm::hypot(want.re, want.im));
    let allowed = within.absolute.max(within.relative * size);
    assert!(
        apart <= allowed && size.is_finite(),
        "{what}: got {got:e}, want {want:e}, {apart:e} apart, {allowed:e} allowed"
    );
}

/// Decibels of a ratio of voltages.
pub(crate) fn db(ratio: f64) -> f64 {
    20.0 * libm::log10(ratio)
}

#[test]
fn near_accepts_what_is_near() {
    assert!(near(1.0, 1.0 + 1e-12, relative(1e-11)));
    assert!(near(-1.0, -1.0 - 1e-12, relative(1e-11)));
    assert!(near(0.0, -1e-20, absolute(1e-19)));
    assert!(near(f64::INFINITY, f64::INFINITY, relative(1e-3)));
    assert!(near(f64::NEG_INFINITY, f64::NEG_INFINITY, absolute(1.0)));
}

#[test]
fn near_refuses_what_is_wrong() {
    for (got, want) in [
        (1.0, 1.1),
        (1.1, 1.0),
        (-1.0, -1.1),
        (-1.1, -1.0),
        (-2.0, 1.0),
        (1.0, -1.0),
        (0.0, 1e-300),
        (1e-300, 0.0),
        (f64::NAN, 1.0),
        (1.0, f64::NAN),
        (f64::NAN, f64::NAN),
        (f64::INFINITY, f64::MAX),
        (f64::MAX, f64::INFINITY),
        (f64::INFINITY, f64::NEG_INFINITY),
        (f64::INFINITY, f64::NAN),
    ] {
        assert!(!near(got, want, relative(0.05)), "{got} passed for {want}");
    }
    for (got, want) in [(1.0, 1.2), (-1.2, -1.0), (f64::NAN, 0.0), (f64::INFINITY, 0.0), (0.0, f64::NEG_INFINITY)] {
        assert!(!near(got, want, absolute(0.1)), "{got} passed for {want}");
    }
}

#[test]
#[should_panic(expected = "got 1e0, want 1.1e0")]
fn a_wrong_value_fails_the_test() {
    assert_near(1.0, 1.1, relative(1e-2), "a wrong value");
}

#[test]
#[should_panic(expected = "no bound at all")]
fn a_bound_that_accepts_anything_fails_the_test() {
    assert_near(1.0, 5.0, relative(1.0), "a careless bound");
}

#[test]
#[should_panic(expected = "apart")]
fn a_complex_value_that_is_not_a_number_fails_the_test() {
    assert_near_complex(Complex64::new(f64::NAN, 0.0), Complex64::new(1.0, 0.0), relative(0.5), "NaN");
}

#[test]
#[should_panic(expected = "apart")]
fn a_wrong_phase_fails_the_test() {
    assert_near_complex(Complex64::new(0.0, 1.0), Complex64::new(1.0, 0.0), relative(0.5), "phase");
}
