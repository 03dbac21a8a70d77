//! The filter in front of the amplifier, and its resistors as protection.
use crate::network::{Excitation, NetworkFault, Scalar};
use crate::stage::{InputFilter, Stage};
use num_complex::Complex64;
use std::f64::consts::{FRAC_1_SQRT_2, TAU};

/// Where a filter is 3 dB down, Hz; `None` is unbounded.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct FilterBandwidth {
    /// For the difference of the two wires.
    pub differential_hz: Option<f64>,
    /// For what is common to both.
    pub common_mode_hz: Option<f64>,
}

/// The filter by itself: `1/(2π·R·(2·CD + CC))` and `1/(2π·R·CC)`, with `R` in each leg, `CC` from each
/// input to ground and `CD` across them; no source, no load.
///
/// Source: Analog Devices, data sheets AD8429 and AD8229, section on radio-frequency interference.
#[must_use]
pub fn filter_alone(filter: &InputFilter) -> FilterBandwidth {
    let corner = |farad: f64| {
        let hz = 1.0 / (TAU * filter.resistor_ohm * farad);
        hz.is_finite().then_some(hz)
    };
    FilterBandwidth {
        differential_hz: corner(2.0 * filter.differential_capacitor_f + filter.common_capacitor_f),
        common_mode_hz: corner(filter.common_capacitor_f),
    }
}

/// The same where it stands: the lowest frequency at which the voltage across the amplifier's inputs
/// (or common to them) is 3 dB below its dc value, seen from the EMFs; source resistance, cable and what
/// the inputs draw count.
///
/// # Errors
/// [`NetworkFault::Singular`].
pub fn filter_in_circuit(stage: &Stage) -> Result<FilterBandwidth, NetworkFault> {
    let (p, n) = stage.ports.inputs;
    let at = |hz: f64, drive: &Excitation, weight: f64| -> Result<f64, NetworkFault> {
        let solver = stage.network.at::<Complex64>(hz)?;
        let state = solver.state(drive);
        Ok((state.voltage(p) + state.voltage(n).scale(weight)).modulus())
    };
    let (differential, common) = (stage.differential(), stage.common());
    Ok(FilterBandwidth {
        differential_hz: corner(|hz| at(hz, &differential, -1.0))?,
        common_mode_hz: corner(|hz| at(hz, &common, 1.0))?,
    })
}

/// The search for a corner: from 1 mHz to 1 THz, in steps of an octave.
const OCTAVES: u32 = 50;

fn corner(size: impl Fn(f64) -> Result<f64, NetworkFault>) -> Result<Option<f64>, NetworkFault> {
    let wanted = size(0.0)? * FRAC_1_SQRT_2;
    let (mut low, mut high) = (0.5e-3, 1e-3);
    let mut octave = 0;
    while size(high)? > wanted {
        if octave == OCTAVES {
            return Ok(None);
        }
        octave += 1;
        (low, high) = (high, 2.0 * high);
    }
    for _ in 0..50 {
        let middle = (low + high) / 2.0;
        if middle <= low || middle >= high {
            break;
        }
        if size(middle)? > wanted { low = middle } else { high = middle }
    }
    Ok(Some((low + high) / 2.0))
}

/// The filter resistor as protection of the inputs.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Protection {
    /// The least nominal value that would do, Ω: `fault_voltage / fault_current / (1 - tolerance)`.
    pub needed_ohm: f64,
    /// The greatest current through the resistor as stated, A: `fault_voltage / (R·(1 - tolerance))`.
    pub current_a: f64,
    /// What it has to bear meanwhile, W: `fault_voltage · current`.
    pub power_w: f64,
    /// True when the resistor as stated is enough.
    pub enough: bool,
}

/// Whether the filter resistor protects the inputs. `None` unless both the fault voltage and the current
/// that the inputs survive are stated.
///
/// The input is taken as held at 0 V, as it is by the input's own diodes while the supplies are off; a
/// supply that is on leaves less voltage to the resistor. Source resistance does not count: the fault
/// may be in front of it.
///
/// ```
/// use evenkeel::predict::protection;
/// use evenkeel::stage::InputFilter;
/// let filter = InputFilter {
///     resistor_ohm: 4.7e3,
///     common_capacitor_f: 1e-9,
///     differential_capacitor_f: 10e-9,
///     resistor_tolerance: 0.0,
///     capacitor_tolerance: 0.05,
///     fault_voltage_v: Some(60.0),
///     fault_current_a: Some(10e-3),
/// };
/// let told = protection(&filter).unwrap();
/// assert!(!told.enough);
/// assert!((told.needed_ohm - 6e3).abs() < 1e-9);
/// assert!(protection(&InputFilter { fault_current_a: None, ..filter }).is_none());
/// ```
#[must_use]
pub fn protection(filter: &InputFilter) -> Option<Protection> {
    let (volt, limit) = (filter.fault_voltage_v?.abs(), filter.fault_current_a?);
    let least = 1.0 - filter.resistor_tolerance;
    let current_a = volt / (filter.resistor_ohm * least);
    Some(Protection {
        needed_ohm: volt / limit / least,
        current_a,
        power_w: volt * current_a,
        enough: current_a <= limit * (1.0 + 1e-12),
    })
}
