//! The feedback capacitors that cure a stage that peaks.
use crate::designator::{Amp, Designator, Topology};
use crate::predict::{Motion, PolesFault, loop_margins, response};
use crate::series::Series;
use crate::stage::{Role, Stage};

/// Capacitors that tame a circuit, and what it is like with them.
#[derive(Clone, Debug, PartialEq)]
pub struct Cure {
    /// What to add.
    pub capacitors: Vec<Capacitor>,
    /// Least phase margin then, degrees; `None`: no loop gain falls through 1.
    pub phase_margin_deg: Option<f64>,
    /// Peaking then, dB.
    pub peaking_db: f64,
    /// Bandwidth then, Hz; `None`: unlimited.
    pub small_signal_hz: Option<f64>,
}

/// A capacitor across a resistor.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Capacitor {
    /// The resistor.
    pub across: Designator,
    /// E12 value, F.
    pub farad: f64,
}

/// Phase margin aimed at, degrees.
const ENOUGH_MARGIN_DEG: f64 = 60.0;
/// What has less is warned of, degrees.
pub(super) const TOLERABLE_MARGIN_DEG: f64 = 45.0;
/// What peaks by more is warned of, dB.
pub(super) const LITTLE_PEAKING_DB: f64 = 1.0;

/// The smallest E12 capacitors that bring the phase margin of the op amps they are put around to 60°, all
/// others to 45°, and peaking to 1 dB or less.
///
/// They go across the feedback resistors of the op amps with less than 45°, or, where that is not enough,
/// of those with less than 60°, or of all; both sides of a symmetric stage get the same, a difference stage
/// one across R2 and one across R4, so that rejection does not suffer. All have the same time constant with
/// their resistors, and that is sought. `None`: no capacitor does it.
///
/// # Errors
/// [`PolesFault`].
pub fn cure(stage: &Stage) -> Result<Option<Cure>, PolesFault> {
    let all = loop_margins(stage, &Motion::of(&stage.network)?)?;
    let Some(fastest) = all.iter().map(|one| one.crossing_hz).reduce(f64::max) else { return Ok(None) };
    let mut tried = Vec::new();
    for below in [TOLERABLE_MARGIN_DEG, ENOUGH_MARGIN_DEG, f64::INFINITY] {
        let amps: Vec<Amp> = all.iter().filter(|one| one.phase_margin_deg < below).map(|one| one.amp).collect();
        let mut places: Vec<Designator> = Vec::new();
        for place in amps.iter().flat_map(|&amp| feedback(stage, amp)) {
            if !places.contains(&place) {
                places.push(place);
            }
        }
        if places.is_empty() || places == tried {
            continue;
        }
        if let Some(cure) = (Treatment { stage, amps, places: &places }).least(fastest)? {
            return Ok(Some(cure));
        }
        tried = places;
    }
    Ok(None)
}

/// Where capacitors go, and whose loops they are for.
struct Treatment<'s> {
    stage: &'s Stage,
    amps: Vec<Amp>,
    places: &'s [Designator],
}

impl Treatment<'_> {
    /// The shortest time constant that is enough, sought around that of the fastest crossing.
    fn least(&self, fastest_hz: f64) -> Result<Option<Cure>, PolesFault> {
        let mut high = 0.01 / (std::f64::consts::TAU * fastest_hz);
        for _ in 0..16 {
            if self.with(high)?.is_some() {
                let mut low = high / 2.0;
                for _ in 0..6 {
                    let middle = (low * high).sqrt();
                    if self.with(middle)?.is_some() { high = middle } else { low = middle }
                }
                return self.with(high);
            }
            high *= 2.0;
        }
        Ok(None)
    }

    /// The stage with capacitors of a time constant, rounded up; `None` where that is not enough.
    fn with(&self, seconds: f64) -> Result<Option<Cure>, PolesFault> {
        let mut treated = self.stage.clone();
        let mut capacitors = Vec::new();
        for &across in self.places {
            let Some(element) = treated.element(Role::Resistor(across)) else { continue };
            let (Some(ohm), Some((a, b))) = (treated.network.ohm(element), treated.network.ends(element)) else {
                continue;
            };
            let picofarad = seconds / ohm * 1e12;
            let Some(near) = Series::E12.near(picofarad) else { return Ok(None) };
            let farad = if near.nearest >= picofarad { near.nearest } else { near.above } * 1e-12;
            treated.network = treated.network.with_capacitor(&format!("across {across}"), a, b, farad)?;
            capacitors.push(Capacitor { across, farad });
        }
        let motion = Motion::of(&treated.network)?;
        if !motion.is_stable() {
            return Ok(None);
        }
        let margins = loop_margins(&treated, &motion)?;
        let enough = |amp| if self.amps.contains(&amp) { ENOUGH_MARGIN_DEG } else { TOLERABLE_MARGIN_DEG };
        if margins.iter().any(|one| one.phase_margin_deg < enough(one.amp)) {
            return Ok(None);
        }
        let response = response(&treated, &motion)?;
        let Some(peaking_db) = response.peaking_db.filter(|&db| db <= LITTLE_PEAKING_DB) else { return Ok(None) };
        let phase_margin_deg = margins.iter().map(|one| one.phase_margin_deg).reduce(f64::min);
        Ok(Some(Cure { capacitors, phase_margin_deg, peaking_db, small_signal_hz: response.small_signal_hz }))
    }
}

/// The resistor from an op amp's output to its inverting input, and its partner on the other side.
fn feedback(stage: &Stage, amp: Amp) -> Vec<Designator> {
    use Designator::{R2, R4, RF1, RF2};
    let pins = stage.element(Role::Amp(amp)).and_then(|element| stage.network.pins(element));
    let Some((_, minus, out)) = pins else { return Vec::new() };
    let own = stage.roles.iter().find_map(|&(role, element)| match (role, stage.network.ends(element)) {
        (Role::Resistor(name), Some(ends)) if ends == (minus, out) || ends == (out, minus) => Some(name),
        _ => None,
    });
    match own {
        None => Vec::new(),
        Some(RF1 | RF2) => vec![RF1, RF2],
        Some(R2) if stage.circuit.topology != Topology::TwoOpAmp => vec![R2, R4],
        Some(name) => vec![name],
    }
}
