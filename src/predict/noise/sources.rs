use crate::designator::{Amp, Designator};
use crate::network::{Excitation, GROUND, NetworkFault};
use crate::part::Chip;
use crate::stage::{Pin, Role, Stage};

/// Boltzmann's constant, J/K: exact in the SI of 2019.
const BOLTZMANN: f64 = 1.380_649e-23;

/// One independent source of noise: a unit of its drive, and the squared density of that unit.
#[derive(Clone, Debug, PartialEq)]
pub struct NoiseSource {
    /// What it is booked under.
    pub cause: String,
    /// One volt or one ampere of it.
    pub drive: Excitation,
    /// White part, V²/Hz or A²/Hz.
    pub white: f64,
    /// 1/f part: its squared density at 1 Hz, V² or A².
    pub flicker: f64,
}

/// Thermal noise of every resistor, `4kT/R` as a current across it; an op amp's input resistance is
/// small-signal only and has none.
///
/// Both legs of the source are booked as `source`, and likewise `input filter` and `bias return`.
#[must_use]
pub fn thermal_sources(stage: &Stage, kelvin: f64) -> Vec<NoiseSource> {
    let mut all = Vec::new();
    for &(role, element) in &stage.roles {
        let (Some(cause), Some(ohm), Some((a, b))) =
            (booked_under(role), stage.network.ohm(element), stage.network.ends(element))
        else {
            continue;
        };
        let drive = Excitation::default().and_current(a, b, 1.0);
        all.push(NoiseSource { cause, drive, white: 4.0 * BOLTZMANN * kelvin / ohm, flicker: 0.0 });
    }
    all
}

fn booked_under(role: Role) -> Option<String> {
    Some(match role {
        Role::Resistor(name) => name.to_string(),
        Role::SourceLeg(_) => "source".to_owned(),
        Role::FilterResistor(_) => "input filter".to_owned(),
        Role::BiasReturn(_) => "bias return".to_owned(),
        Role::ReferenceResistance => "reference resistance".to_owned(),
        Role::RgWiring => "RG wiring".to_owned(),
        _ => return None,
    })
}

/// Voltage noise and the current noise of each input of every op amp,
/// `e_n²·(1 + f_corner/f)` and `i_n²·(1 + f_corner/f)`; what is not given is 0.
#[must_use]
pub fn amplifier_sources(stage: &Stage) -> Vec<NoiseSource> {
    let mut all = Vec::new();
    for &(role, element) in &stage.roles {
        let (Role::Amp(amp), Some((plus, minus, _))) = (role, stage.network.pins(element)) else { continue };
        let data = stage.circuit.opamp(amp);
        let mut add = |cause: String, drive: Excitation, density: Option<f64>, corner: Option<f64>| {
            if let Some(density) = density {
                let white = density * density;
                all.push(NoiseSource { cause, drive, white, flicker: white * corner.unwrap_or(0.0) });
            }
        };
        let none = Excitation::default;
        let (density, corner) = (data.voltage_noise_v_per_rthz, data.voltage_noise_corner_hz);
        add(format!("{amp} voltage"), none().and_offset(element, 1.0), density, corner);
        let (density, corner) = (data.current_noise_a_per_rthz, data.current_noise_corner_hz);
        for (pin, node) in [(Pin::Plus, plus), (Pin::Minus, minus)] {
            let sign = if pin == Pin::Plus { '+' } else { '-' };
            add(format!("{amp} {sign} current"), none().and_current(GROUND, node, 1.0), density, corner);
        }
    }
    all
}

/// What excess noise depends on.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Excess {
    /// Noise index, dB: 0 dB is 1 µV rms in a decade of frequency for each volt across the resistor.
    pub index_db: f64,
    /// Differential range, lowest and highest, V.
    pub differential_v: (f64, f64),
    /// Common-mode range, V.
    pub common_mode_v: (f64, f64),
    /// The reference voltage, V.
    pub reference_v: f64,
}

/// Excess (current) noise of the resistors on the drawing, 1/f, each at the largest dc voltage the
/// signal puts across it: `u = 1 µV·10^(index/20)·V` in each decade, so `u²/ln 10` is its square at 1 Hz.
/// Booked with the resistor's thermal noise. (Noise index: IEC 60195, from memory.)
///
/// # Errors
/// [`NetworkFault::Singular`].
pub fn excess_sources(stage: &Stage, excess: &Excess) -> Result<Vec<NoiseSource>, NetworkFault> {
    let solver = stage.network.at::<f64>(0.0)?;
    let mut states = Vec::new();
    for difference in [excess.differential_v.0, excess.differential_v.1] {
        for common in [excess.common_mode_v.0, excess.common_mode_v.1] {
            let drive = Excitation::emf(stage.ports.positive, common + difference / 2.0)
                .and_emf(stage.ports.negative, common - difference / 2.0)
                .and_emf(stage.ports.reference, excess.reference_v);
            states.push(solver.state(&drive));
        }
    }
    let per_volt = 1e-6 * libm::pow(10.0, excess.index_db / 20.0);
    let mut all = Vec::new();
    for &(role, element) in &stage.roles {
        let (Role::Resistor(name), Some(ohm), Some((a, b))) =
            (role, stage.network.ohm(element), stage.network.ends(element))
        else {
            continue;
        };
        let across = states.iter().map(|state| (state.voltage(a) - state.voltage(b)).abs()).fold(0.0, f64::max);
        let current = per_volt * across / ohm;
        let drive = Excitation::default().and_current(a, b, 1.0);
        let flicker = current * current / std::f64::consts::LN_10;
        all.push(NoiseSource { cause: name.to_string(), drive, white: 0.0, flicker });
    }
    Ok(all)
}

/// Noise of a chip's input and output stage, and of its gain-set resistor, all as input voltages of A1:
/// `noise_in²`, `(noise_out/G)²` and `4kT·RG·((G − base_gain)/G)²`, since RG's noise sees the gain
/// `K/RG` only. What is not given is 0.
#[must_use]
pub fn chip_sources(stage: &Stage, chip: &Chip, rg_ohm: Option<f64>, kelvin: f64) -> Vec<NoiseSource> {
    let Some(amp) = stage.element(Role::Amp(Amp::A1)) else { return Vec::new() };
    let drive = || Excitation::default().and_offset(amp, 1.0);
    let set = rg_ohm.map_or(0.0, |rg| chip.gain_constant_ohm / rg);
    let gain = chip.base_gain + set;
    let mut all = Vec::new();
    for (cause, density, corner) in [
        ("A1 input stage", chip.noise_in_v_per_rthz, chip.noise_in_corner_hz),
        ("A1 output stage", chip.noise_out_v_per_rthz.map(|out| out / gain), chip.noise_out_corner_hz),
    ] {
        if let Some(density) = density {
            let white = density * density;
            let flicker = white * corner.unwrap_or(0.0);
            all.push(NoiseSource { cause: cause.to_owned(), drive: drive(), white, flicker });
        }
    }
    // A chip is one element; where RG stands in the network it has its noise there.
    if let (Some(rg), None) = (rg_ohm, stage.element(Role::Resistor(Designator::RG))) {
        let white = 4.0 * BOLTZMANN * kelvin * rg * (set / gain) * (set / gain);
        all.push(NoiseSource { cause: Designator::RG.to_string(), drive: drive(), white, flicker: 0.0 });
    }
    all
}
