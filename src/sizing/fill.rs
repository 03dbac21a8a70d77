//! All resistors of a design: what is decided stays, the rest is chosen.
use super::circuit::gain_set_names;
use super::fault::SizingFault;
use super::gain_set::{FEEDBACK_OHM, PREFERRED_FEEDBACK_OHM};
use super::order::{Candidate, Shortlist, Side, TIE};
use super::pick::Pick;
use super::rules::{Freedom, Rules, Wish};
use super::search::{Reluctance, Search, Setting, away};
use super::stage_two::{STAGE_OHM, Taste, stage_two};
use super::stock::{GREATEST_OHM, LEAST_OHM};
use crate::designator::{Designator, Ohms, Topology};
use crate::textbook::{GainSet, gain_law, gains, two_op_amp_ratio};
use Designator::{R1, R2, R3, R4, R5, R6, RF1, RF2, RG};

/// One resistor of the design.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Value {
    /// Its designator.
    pub name: Designator,
    /// What it is put together from.
    pub pick: Pick,
    /// True when it was chosen here, false when it was decided.
    pub chosen: bool,
}

/// All resistors of a design.
#[derive(Clone, Debug, PartialEq)]
pub struct Filled {
    /// In drawing order; R5 and R6 only where decided.
    pub values: Vec<Value>,
    /// Gain with ideal op amps, wiring in series with RG included, V/V.
    pub gain: f64,
}

impl Filled {
    /// The values by designator; the wiring is not in RG.
    #[must_use]
    pub fn ohms(&self) -> Ohms {
        self.values.iter().filter_map(|v| v.pick.ohm().map(|ohm| (v.name, ohm))).collect()
    }
}

/// Gives every resistor of the circuit a value.
///
/// R3 = R1 and R4 = R2 (`two-op-amp`: R4 = R1, R3 = R2), RF2 = RF1, unless decided otherwise. Usual
/// ranges, where `rules` has none: R1 to R4 1 kΩ to 1 MΩ, RF (`two-op-amp`: R1 = R4) 10 kΩ to
/// 100 kΩ, RG 1 Ω to 10 MΩ. The stage behind a three-op-amp front end is chosen first, as near to
/// its gain as the stock allows; RF and RG then together make what remains.
///
/// # Errors
/// [`SizingFault`] for a gain that is none or below the circuit's least, for ranges without a value,
/// and for a gain-set resistor out of reach.
pub fn fill(wish: &Wish, rules: &Rules) -> Result<Filled, SizingFault> {
    for gain in [wish.gain, wish.stage_two_gain.unwrap_or(1.0)] {
        if !(gain > 0.0 && gain.is_finite()) {
            return Err(SizingFault::NotAGain { gain });
        }
    }
    let mut board = Board { rules, picks: Vec::new() };
    match wish.topology {
        Topology::Difference | Topology::BufferedDifference => board.stage(wish.gain, Taste::Whole)?,
        Topology::ThreeOpAmp => {
            board.stage(wish.stage_two_gain.unwrap_or(1.0), Taste::Behind)?;
            three_op_amp(wish, &mut board)?;
        }
        Topology::TwoOpAmp => two_op_amp(wish, &mut board)?,
        Topology::SingleChip => {
            let law = wish.chip.ok_or(SizingFault::NoChip)?;
            let setting = Setting { feedback_ohm: None, law, target: wish.gain };
            let best = board.gain_set(wish, law.base_gain, &[(setting, [0.0; 2])])?;
            board.picks.push((RG, best.pick));
        }
    }
    for name in [R5, R6] {
        if wish.topology == Topology::Difference
            && let Some(pick) = rules.decided(&[name])?
        {
            board.picks.push((name, pick));
        }
    }
    board.finish(wish)
}

fn three_op_amp(wish: &Wish, board: &mut Board<'_>) -> Result<(), SizingFault> {
    let stage = board.ohms()?;
    let stage_gain = gain_law(wish.topology, &with(stage, &[(RF1, 1.0), (RF2, 1.0)]))?.base_gain;
    let shared = board.rules.freedom(&[RF1, RF2], FEEDBACK_OHM)?;
    let mut settings = Vec::new();
    for feedback in board.rules.values(&[RF1, RF2], &shared, &[])? {
        let ohms = with(stage, &board.own(&[RF1, RF2], feedback)?);
        let law = gain_law(wish.topology, &ohms)?;
        let setting = Setting { feedback_ohm: Some(feedback), law, target: wish.gain };
        settings.push((setting, [away(Some(feedback), PREFERRED_FEEDBACK_OHM), 0.0]));
    }
    // a stage-two gain of 3 may come out as 3.01: no reason to refuse a gain of 3
    let stage_decided = board.rules.decided(&[R1, R3])?.is_some() && board.rules.decided(&[R2, R4])?.is_some();
    let least = if stage_decided { stage_gain } else { stage_gain.min(wish.stage_two_gain.unwrap_or(1.0)) };
    let best = board.gain_set(wish, least, &settings)?;
    board.share(&[RF1, RF2], best.feedback_ohm)?;
    board.picks.push((RG, best.pick));
    Ok(())
}

fn two_op_amp(wish: &Wish, board: &mut Board<'_>) -> Result<(), SizingFault> {
    let (outer, inner) = ([R1, R4], [R2, R3]);
    let outer_freedom = board.rules.freedom(&outer, FEEDBACK_OHM)?;
    let inner_freedom = board.rules.freedom(&inner, STAGE_OHM)?;
    let everything_decided = matches!((&outer_freedom, &inner_freedom), (Freedom::Decided(_), Freedom::Decided(_)));
    let ratio = match two_op_amp_ratio(wish.gain) {
        Ok(ratio) => ratio,
        Err(_) if everything_decided => 1.0,
        Err(_) => return Err(SizingFault::BelowLeast { topology: wish.topology, least: 1.0, gain: wish.gain }),
    };
    let mut settings = Vec::new();
    let mut inner_of = Vec::new();
    for feedback in board.rules.values(&outer, &outer_freedom, &[])? {
        let candidates = board.rules.values(&inner, &inner_freedom, &[feedback])?;
        let inner_ohm = nearest(&candidates, feedback / ratio).unwrap_or(feedback);
        let mut names = board.own(&outer, feedback)?;
        names.extend(board.own(&inner, inner_ohm)?);
        let ohms: Ohms = names.into_iter().collect();
        let setting = Setting { feedback_ohm: Some(feedback), law: gain_law(wish.topology, &ohms)?, target: wish.gain };
        settings.push((setting, [away(Some(feedback), PREFERRED_FEEDBACK_OHM), 0.0]));
        inner_of.push((feedback, inner_ohm));
    }
    let best = board.gain_set(wish, 1.0, &settings)?;
    let inner_ohm = inner_of.iter().find(|(feedback, _)| Some(*feedback) == best.feedback_ohm).map(|found| found.1);
    board.share(&outer, best.feedback_ohm)?;
    board.share(&inner, inner_ohm)?;
    board.picks.push((RG, best.pick));
    Ok(())
}

fn nearest(values: &[f64], wanted: f64) -> Option<f64> {
    let off = |ohm: f64| away(Some(ohm), wanted);
    values.iter().copied().reduce(|held, ohm| if off(ohm) < off(held) { ohm } else { held })
}

fn with(mut ohms: Ohms, more: &[(Designator, f64)]) -> Ohms {
    for &(name, ohm) in more {
        ohms.set(name, Some(ohm));
    }
    ohms
}

/// The design as far as it is decided.
struct Board<'a> {
    rules: &'a Rules,
    picks: Vec<(Designator, Pick)>,
}

impl Board<'_> {
    /// Each of `names` with its own decided value, else the shared one.
    fn own(&self, names: &[Designator], shared: f64) -> Result<Vec<(Designator, f64)>, SizingFault> {
        names
            .iter()
            .map(|&name| {
                let own = self.rules.decided(&[name])?;
                Ok((name, own.and_then(Pick::ohm).unwrap_or(shared)))
            })
            .collect()
    }

    fn share(&mut self, names: &[Designator], ohm: Option<f64>) -> Result<(), SizingFault> {
        let Some(ohm) = ohm else { return Ok(()) };
        for (name, ohm) in self.own(names, ohm)? {
            self.picks.push((name, Pick::single(ohm)));
        }
        Ok(())
    }

    fn stage(&mut self, gain: f64, taste: Taste) -> Result<(), SizingFault> {
        let [input, output] = stage_two(self.rules, gain, taste)?;
        self.share(&[R1, R3], input.ohm())?;
        self.share(&[R2, R4], output.ohm())
    }

    fn ohms(&self) -> Result<Ohms, SizingFault> {
        Ok(self.picks.iter().filter_map(|(name, pick)| pick.ohm().map(|ohm| (*name, ohm))).collect())
    }

    /// RG (and the feedback that goes with it) among what every feedback value allows.
    fn gain_set(&self, wish: &Wish, least: f64, settings: &[(Setting, [f64; 2])]) -> Result<Candidate, SizingFault> {
        let names = gain_set_names(wish.topology);
        let mut list = Shortlist::new(1, Side::Nearest);
        match self.rules.freedom(names, (LEAST_OHM, GREATEST_OHM))? {
            Freedom::Decided(pick) => {
                let search = Search::new(&[], false, (LEAST_OHM, GREATEST_OHM), wish.wiring_ohm);
                for &(setting, reluctance) in settings {
                    search.offer_decided(&mut list, setting, pick, &|_, _| reluctance);
                }
            }
            Freedom::Open { low, high, asked } => {
                if wish.gain < least * (1.0 - TIE) {
                    return Err(SizingFault::BelowLeast { topology: wish.topology, least, gain: wish.gain });
                }
                self.offer_open(wish, settings, (low, high, asked), &mut list)?;
            }
        }
        list.finish().into_iter().next().ok_or(SizingFault::EmptyStock)
    }

    fn offer_open(
        &self,
        wish: &Wish,
        settings: &[(Setting, [f64; 2])],
        (low, high, asked): (f64, f64, bool),
        list: &mut Shortlist,
    ) -> Result<(), SizingFault> {
        let search = Search::new(self.rules.stock.values(), self.rules.pairs, (low, high), wish.wiring_ohm);
        let mut refused = None;
        for &(setting, reluctance) in settings {
            let reluctance: Reluctance<'_> = &|_, _| reluctance;
            if let (false, GainSet::Ohm(exact_ohm)) = (asked, setting.law.resistor(setting.target))
                && exact_ohm - wish.wiring_ohm < low
            {
                refused = Some(exact_ohm - wish.wiring_ohm);
                continue;
            }
            if !asked {
                search.offer_decided(list, setting, Pick::OPEN, reluctance);
            }
            search.offer_near(list, setting, reluctance);
        }
        match refused {
            Some(exact_ohm) if list.is_empty() => Err(SizingFault::OutOfReach { gain: wish.gain, name: RG, exact_ohm }),
            _ if list.is_empty() => Err(SizingFault::NothingInRange { name: RG, low, high, asked }),
            _ => Ok(()),
        }
    }

    fn finish(self, wish: &Wish) -> Result<Filled, SizingFault> {
        let mut values = Vec::new();
        for name in Designator::ALL {
            if let Some((_, pick)) = self.picks.iter().find(|(held, _)| *held == name) {
                let chosen = self.rules.decided(&[name])?.is_none();
                values.push(Value { name, pick: *pick, chosen });
            }
        }
        let mut filled = Filled { values, gain: 0.0 };
        let mut ohms = filled.ohms();
        let rg = ohms.get(RG).map(|ohm| ohm + wish.wiring_ohm);
        ohms.set(RG, rg);
        filled.gain = match wish.chip {
            Some(law) if wish.topology == Topology::SingleChip => law.gain(rg),
            _ => gains(wish.topology, &ohms)?.differential,
        };
        Ok(filled)
    }
}
