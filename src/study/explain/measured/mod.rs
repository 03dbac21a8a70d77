//! A rejection was measured: what would each cause have to be to give it alone?
mod around;
mod knobs;

use super::ground::Ground;
use super::law::Law;
use crate::corners;
use crate::equation::Equation;
use crate::quantity::{Unit, decibels, from_decibels};
use crate::stage::{Cause, Circuit, Lot};
use crate::study::rejection::isolated;
use crate::topology::{BuildFault, build};

/// What each cause would have to be.
#[derive(Clone, Debug, PartialEq)]
pub struct Measured {
    /// The rejection that was measured, dB.
    pub rejection_db: f64,
    /// A line for each cause.
    pub causes: Vec<CauseSize>,
}

/// One cause as the only one.
#[derive(Clone, Debug, PartialEq)]
pub struct CauseSize {
    /// The contract's name of it.
    pub cause: &'static str,
    /// What its size is the size of.
    pub quantity: String,
    /// What that is measured in.
    pub unit: Unit,
    /// The size that alone gives the measured rejection, by the network; `None`: no size it can have in this circuit does.
    pub size: Option<f64>,
    /// The same by hand, where a closed form is known.
    pub by_hand: Option<Equation>,
    /// The law of that.
    pub law: Option<Law>,
    /// The size that the spec allows; `None` where the spec does not say.
    pub given: Option<f64>,
}

/// A cause whose size can be turned.
struct Knob {
    cause: Cause,
    quantity: String,
    unit: Unit,
    /// Ends of the search; the lesser the harmless one. A rejection or gain is turned by its inverse.
    most: f64,
    inverse: bool,
    given: Option<f64>,
    by_hand: Option<(Equation, Law)>,
    set: fn(&mut Circuit, &mut Lot, f64),
}

/// For each cause of this circuit, at dc.
pub(super) fn sizes(ground: &Ground<'_>, rejection_db: f64) -> Result<Measured, BuildFault> {
    let wanted = from_decibels(rejection_db);
    let turned = knobs::of_the_circuit(ground, wanted).into_iter().chain(around::knobs(ground, wanted));
    let causes = turned
        .map(|knob| {
            let size = size(ground, &knob, wanted)?;
            // a size by hand that nothing can have is none
            let by_hand = knob.by_hand.filter(|_| size.is_some());
            let (by_hand, law) = by_hand.map_or((None, None), |(equation, law)| (Some(equation), Some(law)));
            Ok(CauseSize {
                cause: knob.cause.name(),
                quantity: knob.quantity,
                unit: knob.unit,
                size,
                by_hand,
                law,
                given: knob.given,
            })
        })
        .collect::<Result<_, BuildFault>>()?;
    Ok(Measured { rejection_db, causes })
}

/// The size at which the worst rejection of this cause alone is the wanted one, by bisection.
fn size(ground: &Ground<'_>, knob: &Knob, wanted: f64) -> Result<Option<f64>, BuildFault> {
    let worst = |x: f64| -> Result<f64, BuildFault> {
        let (mut circuit, mut lot) = (ground.stage().circuit.clone(), ground.lot().clone());
        (knob.set)(&mut circuit, &mut lot, if knob.inverse { 1.0 / x } else { x });
        let (circuit, lot) = isolated(&circuit, &lot, knob.cause);
        let stage = build(&circuit)?;
        Ok(corners::least_rejection(&stage, &stage.quantities(&lot, 0.0))?)
    };
    let (mut good, mut bad) = (0.0, knob.most);
    if worst(bad)? > wanted {
        return Ok(None);
    }
    for _ in 0..100 {
        // far below the end the step has to be a factor, not a half
        let middle = if good > 0.0 && bad / good > 4.0 { (good * bad).sqrt() } else { f64::midpoint(good, bad) };
        if middle <= good || middle >= bad || bad - good <= 1e-12 * bad {
            break;
        }
        if worst(middle)? > wanted { good = middle } else { bad = middle }
    }
    Ok(Some(if knob.inverse { 1.0 / bad } else { bad }))
}

impl CauseSize {
    /// The size as the network gives it, in decibels where it is a rejection or an open-loop gain.
    #[must_use]
    pub fn in_data_sheet_terms(&self) -> Option<f64> {
        self.size.map(|size| if self.unit == Unit::Rejection { decibels(size) } else { size })
    }
}
