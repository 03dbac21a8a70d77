//! Everything but the gain-set resistor, in all the ways the stock and the ranges allow.
use super::fault::SizingFault;
use super::gain_set::FEEDBACK_OHM;
use super::joint::Frame;
use super::merit::Wishes;
use super::order::TIE;
use super::reach::Reach;
use super::rules::{Freedom, Rules, Wish};
use super::search::away;
use crate::designator::{Designator, Ohms, Topology};
use crate::textbook::{gain_law, two_op_amp_ratio};
use Designator::{R1, R2, R3, R4, R5, R6, RF1, RF2};

/// R1 to R4 that are chosen lie here, Ω: below, they load the op amps; above, they make noise and offset.
pub(crate) const STAGE_OHM: (f64, f64) = (10e3, 1e6);
/// and here where the gain leaves nothing in between.
const WIDE_OHM: (f64, f64) = (1e3, 1e6);
/// R5 and R6 that are chosen lie here, Ω.
pub(crate) const DIVIDER_OHM: (f64, f64) = (100.0, 1e6);

const INPUT: [Designator; 2] = [R1, R3];
const OUTPUT: [Designator; 2] = [R2, R4];
const OUTER: [Designator; 2] = [R1, R4];
const INNER: [Designator; 2] = [R2, R3];
const FEEDBACK: [Designator; 2] = [RF1, RF2];
const DIVIDER: [Designator; 2] = [R5, R6];

pub(super) fn frames(wish: &Wish, rules: &Rules, wishes: &Wishes, reach: &Reach) -> Result<Vec<Frame>, SizingFault> {
    match wish.topology {
        Topology::Difference | Topology::BufferedDifference => {
            let stages = match reach.every {
                Some(every) => every_stage(wish, rules, wishes.equal, every, reach.splits.map_or(1.0, |to| to.1))?,
                None => stages(wish, rules, wish.ratio(wish.gain, 1.0), wishes.equal, 400)?,
            };
            let stages = match reach.splits {
                Some(division) if wish.topology == Topology::Difference => divided(rules, &stages, division)?,
                _ => stages,
            };
            stages.into_iter().map(|ohms| frame(wish, rules, ohms, ohms.get(R2))).collect()
        }
        Topology::ThreeOpAmp => three_op_amp(wish, rules, wishes, reach),
        Topology::TwoOpAmp => two_op_amp(wish, rules, wishes, reach),
        Topology::SingleChip => {
            let law = wish.chip.ok_or(SizingFault::NoChip)?;
            let over = rules.decided(&[Designator::RG])?.is_some();
            if wish.gain < law.base_gain * (1.0 - TIE) && !over {
                return Err(below(wish, law.base_gain));
            }
            Ok(vec![Frame { ohms: Ohms::default(), law, feedback_ohm: None }])
        }
    }
}

fn below(wish: &Wish, least: f64) -> SizingFault {
    SizingFault::BelowLeast { topology: wish.topology, least, gain: wish.gain }
}

fn frame(wish: &Wish, rules: &Rules, mut ohms: Ohms, feedback_ohm: Option<f64>) -> Result<Frame, SizingFault> {
    for name in [R5, R6] {
        if wish.topology == Topology::Difference
            && let Some(pick) = rules.decided(&[name])?
        {
            ohms.set(name, pick.ohm());
        }
    }
    Ok(Frame { ohms, law: gain_law(wish.topology, &ohms)?, feedback_ohm })
}

fn three_op_amp(wish: &Wish, rules: &Rules, wishes: &Wishes, reach: &Reach) -> Result<Vec<Frame>, SizingFault> {
    let behind = wish.stage_two_gain.unwrap_or(1.0);
    let stages = match reach.splits {
        Some(splits) => stages_between(rules, splits, reach.every.is_none())?,
        None => stages(wish, rules, behind, wishes.equal / 4.0, 1)?,
    };
    let shared = rules.freedom(&FEEDBACK, FEEDBACK_OHM)?;
    let feedbacks = rules.values(&FEEDBACK, &shared, &[])?;
    let decided = rules.decided(&INPUT)?.is_some() && rules.decided(&OUTPUT)?.is_some();
    let rg_decided = rules.decided(&[Designator::RG])?.is_some();
    let mut all = Vec::new();
    for stage in stages {
        for &feedback in &feedbacks {
            let mut ohms = stage;
            share(rules, &FEEDBACK, feedback, &mut ohms)?;
            let one = frame(wish, rules, ohms, Some(feedback))?;
            // greater feedback only makes more noise
            if !rg_decided && reach.louder(wish, wishes, &one) {
                break;
            }
            all.push(one);
        }
    }
    if let Some(first) = all.first() {
        // a stage-two gain of 3 may come out as 3.01: no reason to refuse a gain of 3
        let least = if decided { first.law.base_gain } else { first.law.base_gain.min(behind) };
        if !rg_decided && wish.gain < least * (1.0 - TIE) {
            return Err(below(wish, least));
        }
    }
    Ok(all)
}

fn two_op_amp(wish: &Wish, rules: &Rules, wishes: &Wishes, reach: &Reach) -> Result<Vec<Frame>, SizingFault> {
    let outer = rules.freedom(&OUTER, FEEDBACK_OHM)?;
    let inner = rules.freedom(&INNER, WIDE_OHM)?;
    let everything = matches!((&outer, &inner), (Freedom::Decided(_), Freedom::Decided(_)));
    let usual = match two_op_amp_ratio(wish.gain) {
        Ok(ratio) => ratio,
        Err(_) if everything => 1.0,
        Err(_) => return Err(below(wish, 1.0)),
    };
    let mut all = Vec::new();
    let rg_decided = rules.decided(&[Designator::RG])?.is_some();
    for feedback in rules.values(&OUTER, &outer, &[])? {
        let mut values = rules.values(&INNER, &inner, &[feedback])?;
        match reach.splits {
            Some((low, high)) => values.retain(|ohm| within(feedback / ohm, (low, high))),
            None => {
                let wanted = feedback / usual;
                let off = |ohm: f64| away(Some(ohm), wanted);
                let nearest = values.iter().copied().reduce(|held, ohm| if off(ohm) < off(held) { ohm } else { held });
                values = nearest.into_iter().collect();
            }
        }
        for value in values {
            let mut ohms = Ohms::default();
            share(rules, &OUTER, feedback, &mut ohms)?;
            share(rules, &INNER, value, &mut ohms)?;
            let one = frame(wish, rules, ohms, Some(feedback))?;
            if rg_decided || !reach.louder(wish, wishes, &one) {
                all.push(one);
            }
        }
    }
    if !rg_decided && all.iter().all(|one| wish.gain < one.law.base_gain * (1.0 - TIE)) && wish.gain <= 1.0 {
        return Err(below(wish, 1.0));
    }
    Ok(all)
}

/// Each stage with every R5 = R6 that divides the common mode by `1 + R1/R5` within `division`.
fn divided(rules: &Rules, stages: &[Ohms], division: (f64, f64)) -> Result<Vec<Ohms>, SizingFault> {
    let values = rules.values(&DIVIDER, &rules.freedom(&DIVIDER, DIVIDER_OHM)?, &[])?;
    let mut all = Vec::new();
    for stage in stages {
        let Some(r1) = stage.get(R1) else { continue };
        let from = values.partition_point(|&ohm| ohm < r1 / (division.1 - 1.0) * (1.0 - TIE));
        for &ohm in values.iter().skip(from).take_while(|&&ohm| within(1.0 + r1 / ohm, division)) {
            let mut ohms = *stage;
            share(rules, &DIVIDER, ohm, &mut ohms)?;
            all.push(ohms);
        }
    }
    Ok(all)
}

/// Each of `names` gets its own decided value, else the shared one.
fn share(rules: &Rules, names: &[Designator], ohm: f64, ohms: &mut Ohms) -> Result<(), SizingFault> {
    for &name in names {
        let own = rules.decided(&[name])?.and_then(super::Pick::ohm);
        ohms.set(name, Some(own.unwrap_or(ohm)));
    }
    Ok(())
}

/// R1 = R3 and R2 = R4 with R2/R1 near `gain`: all that counts as equal, else the nearest `others`; of
/// one ratio only the smallest values, which make the least noise.
fn stages(wish: &Wish, rules: &Rules, gain: f64, equal: f64, others: usize) -> Result<Vec<Ohms>, SizingFault> {
    let first = stages_within(wish, rules, gain, equal, others, STAGE_OHM)?;
    let short = first.first().is_none_or(|(error, _)| *error > equal.max(TIE));
    if short {
        let wide = stages_within(wish, rules, gain, equal, others, WIDE_OHM)?;
        if wide.first().is_some_and(|(error, _)| first.first().is_none_or(|(held, _)| error < held)) {
            return Ok(wide.into_iter().map(|(_, ohms)| ohms).collect());
        }
    }
    match first.is_empty() {
        true => Err(SizingFault::NothingInRange { name: R1, low: WIDE_OHM.0, high: WIDE_OHM.1, asked: false }),
        false => Ok(first.into_iter().map(|(_, ohms)| ohms).collect()),
    }
}

/// `x` from the lower to the upper end, both included but for rounding.
fn within(x: f64, (low, high): (f64, f64)) -> bool {
    x >= low * (1.0 - TIE) && x <= high * (1.0 + TIE)
}

/// R1 = R3 and R2 = R4 with R2/R1 between two ratios; `least`: of one ratio only the smallest values.
fn stages_between(rules: &Rules, splits: (f64, f64), least: bool) -> Result<Vec<Ohms>, SizingFault> {
    let [inputs, outputs] = stage_values(rules, STAGE_OHM).or_else(|_| stage_values(rules, WIDE_OHM))?;
    let mut found: Vec<(f64, f64)> = Vec::new();
    for &output in &outputs {
        let from = inputs.partition_point(|&input| input < output / splits.1 * (1.0 - TIE));
        let near = inputs.iter().skip(from).take_while(|&&input| within(output / input, splits));
        found.extend(near.map(|&input| (input, output)));
    }
    if least {
        found.sort_by(|a, b| (a.1 / a.0).total_cmp(&(b.1 / b.0)).then(a.0.total_cmp(&b.0)));
        found.dedup_by(|b, a| super::order::same_value(a.1 / a.0, b.1 / b.0));
    }
    found.into_iter().map(|(input, output)| stage(rules, input, output)).collect()
}

/// R1 = R3 and R2 = R4 with a gain error up to `every`, in the range in which [`stages`] looks; those for a common mode
/// divided by up to `division`.
fn every_stage(wish: &Wish, rules: &Rules, equal: f64, every: f64, division: f64) -> Result<Vec<Ohms>, SizingFault> {
    let series = if wish.topology == Topology::Difference { wish.source_ohm } else { 0.0 };
    let all = |usual: (f64, f64)| -> Result<Vec<Stage>, SizingFault> {
        let [inputs, outputs] = stage_values(rules, usual)?;
        let mut found = Vec::new();
        for &output in &outputs {
            let exact = |gain: f64| output / gain - series;
            let most = wish.ratio(wish.gain, division) * (1.0 + every);
            let from = inputs.partition_point(|&input| input < exact(most) * (1.0 - TIE));
            for &input in inputs.iter().skip(from) {
                let error = output / (input + series) / wish.ratio(wish.gain, 1.0) - 1.0;
                if error < -every - TIE {
                    break;
                }
                found.push((error.abs(), stage(rules, input, output)?));
            }
        }
        Ok(found)
    };
    let least = |found: &[Stage]| found.iter().fold(f64::INFINITY, |held, one| held.min(one.0));
    let first = all(STAGE_OHM).unwrap_or_default();
    let wide = if least(&first) > equal.max(TIE) { all(WIDE_OHM)? } else { Vec::new() };
    let found = if least(&wide) < least(&first) { wide } else { first };
    Ok(found.into_iter().map(|(_, ohms)| ohms).collect())
}

/// The values that R1 = R3 and R2 = R4 may have.
fn stage_values(rules: &Rules, usual: (f64, f64)) -> Result<[Vec<f64>; 2], SizingFault> {
    let at_hand: Vec<f64> =
        [rules.decided(&INPUT)?, rules.decided(&OUTPUT)?].into_iter().flatten().filter_map(super::Pick::ohm).collect();
    let of = |names: &[Designator]| rules.values(names, &rules.freedom(names, usual)?, &at_hand);
    Ok([of(&INPUT)?, of(&OUTPUT)?])
}

fn stage(rules: &Rules, input: f64, output: f64) -> Result<Ohms, SizingFault> {
    let mut ohms = Ohms::default();
    share(rules, &INPUT, input, &mut ohms)?;
    share(rules, &OUTPUT, output, &mut ohms)?;
    Ok(ohms)
}

type Stage = (f64, Ohms);

fn stages_within(
    wish: &Wish,
    rules: &Rules,
    gain: f64,
    equal: f64,
    others: usize,
    usual: (f64, f64),
) -> Result<Vec<Stage>, SizingFault> {
    let [inputs, outputs] = match stage_values(rules, usual) {
        Err(SizingFault::NothingInRange { asked: false, .. }) if usual == STAGE_OHM => return Ok(Vec::new()),
        other => other?,
    };
    let series = if wish.topology == Topology::Difference { wish.source_ohm } else { 0.0 };
    let mut found: Vec<(f64, f64, f64)> = Vec::new();
    let mut bound = f64::INFINITY;
    for &output in outputs.iter() {
        let mut kept = 0;
        super::walk::singles(&inputs, output / gain - series, |at| {
            let error = (output / (inputs[at] + series) / gain - 1.0).abs();
            let better = error <= equal.max(bound) + TIE || (others > 1 && kept < 2);
            if better {
                bound = bound.min(error);
                kept += 1;
                found.push((error, inputs[at], output));
            }
            better
        });
    }
    let limit = equal.max(bound) + TIE;
    found.sort_by(|a, b| a.0.total_cmp(&b.0).then(a.1.total_cmp(&b.1)));
    if others <= 1 {
        found.retain(|one| one.0 <= limit);
    } else if found.iter().filter(|one| one.0 <= limit).count() < others {
        found.truncate(others);
    } else {
        found.retain(|one| one.0 <= limit);
    }
    if others <= 1 {
        // of one ratio the smallest values
        found.sort_by(|a, b| (a.2 / a.1).total_cmp(&(b.2 / b.1)).then(a.1.total_cmp(&b.1)));
        found.dedup_by(|b, a| super::order::same_value(a.2 / a.1, b.2 / b.1));
        found.sort_by(|a, b| a.0.total_cmp(&b.0).then(a.1.total_cmp(&b.1)));
    }
    found.into_iter().map(|(error, input, output)| Ok((error, stage(rules, input, output)?))).collect()
}
