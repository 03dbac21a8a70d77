//! How much gain the limits allow.
use super::conditions::Conditions;
use crate::designator::Designator::{R2, R4, RG};
use crate::predict::gains;
use crate::stage::{Circuit, Stage};
use crate::topology::{BuildFault, build};

/// The greatest gain that fits, RG alone changed (difference stages: R2 and R4, their ratio kept).
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum LargestGain {
    /// So much, V/V.
    UpTo(f64),
    /// Nothing clips as far as the resistors go: RG down to 1 Ω, R2 up to 100 MΩ.
    Unbounded,
    /// No gain fits.
    None,
}

impl LargestGain {
    /// The gain, where there is one, V/V.
    #[must_use]
    pub const fn gain(self) -> Option<f64> {
        match self {
            Self::UpTo(gain) => Some(gain),
            Self::Unbounded | Self::None => None,
        }
    }
}

const LEAST_RG_OHM: f64 = 1.0;
const LEAST_R2_OHM: f64 = 1.0;
const GREATEST_R2_OHM: f64 = 100e6;

/// How far a family of circuits fits.
pub(super) enum Reach {
    All,
    UpTo(Box<Stage>),
    Nothing,
}

/// The greatest `t` in 0..1 for which `family(t)` keeps all limits.
///
/// Every voltage is taken to be monotone in `t`: exact where `t` is one conductance (a node's voltage is
/// a ratio of two expressions linear in it), and where a balanced pair is changed together. So limits
/// that are kept at 0 bound `t` from above and are found by one bisection; the others must be kept by then.
pub(super) fn greatest(
    conditions: &Conditions,
    family: impl Fn(f64) -> Result<Stage, BuildFault>,
) -> Result<Reach, BuildFault> {
    let at = |t: f64| -> Result<(Stage, Vec<f64>), BuildFault> {
        let stage = family(t)?;
        let slacks = conditions.slacks(&stage)?;
        Ok((stage, slacks))
    };
    let kept_at_first: Vec<bool> = at(0.0)?.1.iter().map(|&slack| slack >= 0.0).collect();
    let holds = |slacks: &[f64]| slacks.iter().zip(&kept_at_first).all(|(&slack, &first)| !first || slack >= 0.0);
    let (mut low, mut high) = (0.0, 1.0);
    let last = at(1.0)?.1;
    let bounded = !holds(&last);
    for _ in 0..60 {
        let middle = (low + high) / 2.0;
        if !bounded || middle <= low || middle >= high {
            break;
        }
        if holds(&at(middle)?.1) { low = middle } else { high = middle }
    }
    let (stage, slacks) = at(if bounded { low } else { 1.0 })?;
    Ok(match slacks.iter().all(|&slack| slack >= 0.0) {
        true if bounded => Reach::UpTo(Box::new(stage)),
        true => Reach::All,
        false => Reach::Nothing,
    })
}

/// The greatest gain of `circuit` under these conditions.
pub(super) fn largest_gain(circuit: &Circuit, conditions: &Conditions) -> Result<LargestGain, BuildFault> {
    let reach = greatest(conditions, |t| build(&turned(circuit, t)))?;
    Ok(match reach {
        Reach::All => LargestGain::Unbounded,
        Reach::UpTo(stage) => LargestGain::UpTo(gains::<f64>(&stage, 0.0)?.differential),
        Reach::Nothing => LargestGain::None,
    })
}

/// The circuit with its gain turned from the least (0) to the greatest (1) that resistors give.
fn turned(circuit: &Circuit, t: f64) -> Circuit {
    let mut turned = circuit.clone();
    if circuit.topology.gain_set_by_one() {
        let greatest = (1.0 / LEAST_RG_OHM).max(circuit.ohms.get(RG).map_or(0.0, |ohm| 10.0 / ohm));
        turned.ohms.set(RG, (t > 0.0).then(|| 1.0 / (t * greatest)));
        return turned;
    }
    let now = circuit.ohms.get(R2).unwrap_or(1.0);
    let (least, greatest) = ((LEAST_R2_OHM / now).min(1.0), (GREATEST_R2_OHM / now).max(1.0));
    scale_stage_two(&mut turned, least * libm::pow(greatest / least, t));
    turned
}

/// R2 and R4 of a difference stage, multiplied.
pub(super) fn scale_stage_two(circuit: &mut Circuit, by: f64) {
    for name in [R2, R4] {
        let ohm = circuit.ohms.get(name).map(|ohm| ohm * by);
        circuit.ohms.set(name, ohm);
    }
}
