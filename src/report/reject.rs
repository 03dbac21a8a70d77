use super::{Document, Record, Verdict};
use crate::quantity::{Unit, rounded};
use crate::study::{NeedAnswer, RejectAnswer};

/// The report on a worst-case rejection without a spec.
#[must_use]
pub fn reject(answer: &RejectAnswer) -> Document {
    let mut body = Record::new();
    body.text("topology", "circuit", answer.topology.name());
    body.number("gain", "gain", answer.gain, Unit::Plain).digits(6);
    body.number("worst_db", "worst case", answer.worst_db, Unit::Decibel);
    body.number("resistors_db", "resistors alone", answer.resistors_db, Unit::Decibel);
    body.number("opamps_db", "op amps alone", answer.opamps_db, Unit::Decibel);
    body.number("closed_form_db", "handbook estimate", answer.closed_form_db, Unit::Decibel);
    if let Some(note) = &answer.closed_form_note {
        body.text("closed_form_note", "", note).for_data();
        body.note(note.clone());
    }
    if let Some(need) = &answer.need {
        needed(need, &mut body);
    }
    Document::new("evenkeel.reject.v1", verdict(answer), body)
}

fn needed(need: &NeedAnswer, body: &mut Record) {
    let mut people = Record::new();
    body.number("need_db", "", need.need_db, Unit::Decibel).for_data();
    people.number("", "rejection", need.need_db, Unit::Decibel);
    if let Some(tolerance) = need.loosest_tolerance {
        body.number("loosest_tolerance", "", tolerance, Unit::Fraction).for_data();
        people.number("", "loosest tolerance, op amps as given", tolerance, Unit::Fraction).digits(6);
    } else {
        people.text("", "loosest tolerance, op amps as given", "none is tight enough");
    }
    if let Some(db) = need.least_opamp_rejection_db {
        body.number("least_opamp_rejection_db", "", db, Unit::Decibel).for_data();
        people.number("", "least op-amp rejection, resistors as given", db, Unit::Decibel);
    } else {
        people.text("", "least op-amp rejection, resistors as given", "none is enough");
    }
    if let Some(matched) = need.loosest_match {
        body.number("loosest_match", "", matched, Unit::Fraction).for_data();
        people.number("", "loosest match, all else as given", matched, Unit::Fraction).digits(6);
    }
    if let Some(gain) = need.least_stage_one_gain {
        body.number("least_stage_one_gain", "", gain, Unit::Plain).for_data();
        people.number("", "least stage-one gain, all else as given", gain, Unit::Plain).digits(5);
    }
    body.flag("met", "", need.met).for_data();
    body.flag("reachable", "", need.reachable).for_data();
    if let Some(why) = need.why {
        body.text("why", "", why).for_data();
        people.note(why);
    }
    body.section("", "To guarantee it", |part| *part = people).for_people();
}

fn verdict(answer: &RejectAnswer) -> Verdict {
    let gain = rounded(answer.gain, Unit::Plain, 6);
    let worst = answer.worst_db.map(|db| rounded(db, Unit::Decibel, 4));
    let words = match worst {
        Some(db) => format!("At least {db} of rejection at gain {gain}"),
        None => format!("Rejection unbounded at gain {gain}"),
    };
    let Some(need) = answer.need else {
        return Verdict::plain(words + ".");
    };
    let db = rounded(need.need_db, Unit::Decibel, 4);
    match (need.met, need.reachable) {
        (true, _) => Verdict::good(format!("{words}; the {db} needed are guaranteed.")),
        (false, true) => Verdict::bad(format!("{words}, not the {db} needed; what would do stands below.")),
        (false, false) => Verdict::bad(format!("{words}; the {db} needed are out of reach.")),
    }
}
