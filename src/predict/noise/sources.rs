use super::super::offset::in_series;
use super::super::operating::{Operating, ResistorVoltage, resistor_voltages};
use crate::designator::{Amp, Designator};
use crate::network::{Excitation, GROUND, NetworkFault};
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
    let mut across: Vec<ResistorVoltage> = Vec::new();
    for differential_v in [excess.differential_v.0, excess.differential_v.1] {
        for common_v in [excess.common_mode_v.0, excess.common_mode_v.1] {
            let at = Operating { differential_v, common_v, reference_v: excess.reference_v };
            for seen in resistor_voltages(stage, &at)? {
                match across.iter_mut().find(|one| one.name == seen.name) {
                    Some(one) => one.volt = one.volt.abs().max(seen.volt.abs()),
                    None => across.push(seen),
                }
            }
        }
    }
    let per_volt = 1e-6 * libm::pow(10.0, excess.index_db / 20.0);
    let source = |at: &ResistorVoltage| {
        let (drive, volt) = (in_series(stage, at.name, 1.0)?, per_volt * at.volt);
        let flicker = volt * volt / std::f64::consts::LN_10;
        Some(NoiseSource { cause: at.name.to_string(), drive, white: 0.0, flicker })
    };
    Ok(across.iter().filter_map(source).collect())
}

/// Noise of a chip's input and output stage, and of its gain-set resistor, all as input voltages of A1:
/// `noise_in²`, `(noise_out/G)²` and `4kT·RG` times the square of the share of the gain that RG makes.
/// What is not given is 0; nothing for other circuits.
#[must_use]
pub fn chip_sources(stage: &Stage, kelvin: f64) -> Vec<NoiseSource> {
    let circuit = &stage.circuit;
    let (Some(chip), Some(gain), Some(amp)) = (&circuit.chip, circuit.chip_gain(), stage.element(Role::Amp(Amp::A1)))
    else {
        return Vec::new();
    };
    let drive = || Excitation::default().and_offset(amp, 1.0);
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
    if let Some(rg) = circuit.chip_gain_resistor() {
        let white = 4.0 * BOLTZMANN * kelvin * rg.total_ohm * rg.share * rg.share;
        all.push(NoiseSource { cause: Designator::RG.to_string(), drive: drive(), white, flicker: 0.0 });
    }
    all
}
