//! Grades and op amps: the least price that holds every limit, against trying everything.
use crate::{designed, question};
use evenkeel::designator::Designator;
use evenkeel::part::OpAmp;
use evenkeel::study::{Candidate, Question};
use std::collections::BTreeMap;

const GRADES: &str = "[[resistors.grade]]\ntolerance = \"1 %\"\ntempco = \"100 ppm/K\"\nprice = 0.01\n\
    [[resistors.grade]]\ntolerance = \"0.1 %\"\ntempco = \"25 ppm/K\"\nprice = 0.05\n\
    [[resistors.grade]]\ntolerance = \"0.02 %\"\ntempco = \"5 ppm/K\"\nprice = 0.4\n";

fn difference(limits: &str) -> Question {
    question(&format!(
        "[target]\ngain = 10\n[circuit]\ntopology = \"difference\"\n[resistors]\nfixed = {{ R1 = \"10k\", R2 = \"100k\" }}\n\
         {GRADES}[opamp.all]\nrejection = \"100 dB\"\n[limits]\n{limits}"
    ))
}

/// Every grade for every resistor, written out.
fn plainly(question: &Question) -> Option<f64> {
    let names = [Designator::R1, Designator::R2, Designator::R3, Designator::R4];
    let grades = &question.resistors.grades;
    let mut best: Option<f64> = None;
    for code in 0..grades.len().pow(4) {
        let mut one = question.clone();
        one.resistors.grades.clear();
        let mut price = 0.0;
        for (at, name) in names.into_iter().enumerate() {
            let grade = grades[code / grades.len().pow(at as u32) % grades.len()];
            one.resistors.own_grade.insert(name, grade.grade);
            price += grade.price;
        }
        if best.is_none_or(|held| price < held - 1e-12) && designed(&one).met {
            best = Some(price);
        }
    }
    best
}

#[test]
fn nothing_cheaper_holds_the_limits() {
    for limits in [
        "rejection = \"55 dB\"\n",
        "rejection = \"72 dB\"\ngain_error = \"1 %\"\n",
        "rejection = \"80 dB\"\ngain_error = \"0.15 %\"\n",
    ] {
        let asked = difference(limits);
        let found = designed(&asked);
        let bought = found.purchase.as_ref().expect("grades were on offer");
        let price = plainly(&asked).expect("something holds");
        assert!(found.met && bought.proven, "{limits}");
        assert!((bought.total - price).abs() < 1e-9, "{limits}: {} for {price}", bought.total);
    }
}

#[test]
fn what_cannot_be_bought_is_said() {
    let found = designed(&difference("rejection = \"110 dB\"\n"));
    assert!(!found.met);
    assert!(found.purchase.expect("grades").note.starts_with("nothing on offer"));
}

#[test]
fn the_money_goes_where_the_rejection_is_lost() {
    let found = designed(&question(&format!(
        "[target]\ngain = 100\n[circuit]\nstage_two_gain = 1\n[resistors]\n\
         fixed = {{ RF = \"10k\", RG = \"202\", R1 = \"10k\", R2 = \"10k\" }}\n{GRADES}[limits]\nrejection = \"90 dB\"\n"
    )));
    let bought = found.purchase.as_ref().expect("grades");
    assert!(found.met);
    assert!(bought.note.contains("where the rejection is lost"), "{}", bought.note);
    // stage one's resistors make no common-mode error: the cheapest will do
    for line in found.resistors.iter().filter(|line| line.name.name().starts_with("RF")) {
        assert_eq!(line.tolerance, 0.01);
    }
}

fn opamp(rejection: f64, price: Option<f64>) -> Candidate {
    let data = OpAmp { rejection: Some(rejection), price, ..OpAmp::default() };
    let amps = evenkeel::designator::Topology::ThreeOpAmp.amps();
    Candidate {
        title: format!("op amp of {rejection}"),
        opamps: amps.iter().map(|amp| (*amp, data.clone())).collect::<BTreeMap<_, _>>(),
    }
}

#[test]
fn the_cheapest_op_amp_that_does_and_why_not_the_others() {
    let mut asked = difference("rejection = \"70 dB\"\n");
    asked.candidates = vec![opamp(1e6, Some(9.0)), opamp(1e5, Some(2.0)), opamp(2e3, Some(0.3)), opamp(1e7, None)];
    let found = designed(&asked);
    assert!(found.met);
    let told: BTreeMap<&str, Vec<&str>> = found
        .candidates
        .iter()
        .map(|line| (line.opamp.as_str(), line.ruled_out_by.iter().map(String::as_str).collect()))
        .collect();
    assert_eq!(told["op amp of 2000"], ["rejection"]);
    assert_eq!(told["op amp of 100000"], [""; 0]);
    assert_eq!(told["op amp of 1000000"], ["price"]);
    // without a price it can't be the cheapest
    assert_eq!(told["op amp of 10000000"], ["price"]);
    let bought = found.purchase.expect("a purchase");
    assert_eq!(bought.opamps, Some(2.0));
    assert!((bought.total - 2.0 - bought.resistors.expect("grades")).abs() < 1e-12);
}

/// Open values and grades together: every grade for every resistor, each with its own best values.
#[test]
fn nothing_cheaper_holds_the_limits_where_values_are_open() {
    for (topology, limits) in [
        ("difference", "rejection = \"66 dB\"\ngain_error = \"0.9 %\"\n"),
        ("buffered-difference", "rejection = \"75 dB\"\ngain_error = \"1.5 %\"\n"),
    ] {
        let asked = question(&format!(
            "[target]\ngain = 9.1\n[circuit]\ntopology = \"{topology}\"\n[resistors]\n\
             stock = [\"10k\", \"11k\", \"12k\", \"33k\", \"91k\", \"100k\", \"110k\", \"300k\"]\n{GRADES}\
             [opamp.all]\nrejection = \"100 dB\"\n[limits]\n{limits}"
        ));
        let found = designed(&asked);
        let bought = found.purchase.as_ref().expect("grades were on offer");
        let price = plainly(&asked).expect("something holds");
        assert!(found.met && bought.proven, "{limits}");
        assert!((bought.total - price).abs() < 1e-9, "{topology} {limits}: {} for {price}", bought.total);
    }
}

#[test]
fn a_chip_gets_the_cheapest_rg_that_does() {
    let spec = |limit: &str| {
        question(&format!(
            "[target]\ngain = 100\n[circuit]\ntopology = \"single-chip\"\n[resistors]\nseries = \"E192\"\n{GRADES}\
             [chip]\ngain_constant = \"50k\"\ngain_error = [{{ gain = 1, error = \"0.05 %\" }}, {{ gain = 100, error = \"0.3 %\" }}]\n\
             [limits]\ngain_error = \"{limit}\"\n"
        ))
    };
    // RG = 505 Ω makes 100.01; 1 % of it moves the gain by 0.99 %, and the chip by 0.3 %
    for (limit, tolerance) in [("2 %", 0.01), ("0.5 %", 0.001), ("0.35 %", 0.0002)] {
        let found = designed(&spec(limit));
        assert!(found.met, "{limit}: {:?}", found.limits);
        assert_eq!((found.resistors.len(), found.resistors[0].tolerance), (1, tolerance), "{limit}");
        assert_eq!(found.resistors[0].ohm, Some(505.0));
    }
    assert!(!designed(&spec("0.25 %")).met);
}

/// With values open each basket has values of its own: a basket that misses with those of the finest grades may do with
/// others, and is not left behind for that.
#[test]
fn nothing_cheaper_holds_the_limits_with_other_values() {
    for limits in ["rejection = \"55 dB\"\n", "rejection = \"66 dB\"\ngain_error = \"0.6 %\"\n"] {
        let asked = question(&format!(
            "[target]\ngain = 10\n[circuit]\ntopology = \"difference\"\n[resistors]\nstock = [\"10k\", \"15k\", \"100k\", \"150.4k\"]\n\
             {GRADES}[opamp.all]\nrejection = \"100 dB\"\n[limits]\n{limits}"
        ));
        let found = designed(&asked);
        let bought = found.purchase.as_ref().expect("grades were on offer");
        assert!(found.met && bought.proven, "{limits} {bought:?}");
        let price = plainly(&asked).expect("something holds");
        assert!((bought.total - price).abs() < 1e-9, "{limits}: {} for {price}", bought.total);
    }
}

/// R5 and R6 are bought too where they are chosen.
#[test]
fn the_dividing_pair_is_paid_for() {
    let asked = question(&format!(
        "[signal]\ndifferential = \"± 50 mV\"\ncommon_mode = \"42 V .. 58 V\"\n[supply]\npositive = \"5 V\"\nnegative = \"0 V\"\n\
         reference = \"2.5 V\"\n[target]\ngain = 10\n[circuit]\ntopology = \"difference\"\n[resistors]\nseries = \"E24\"\n{GRADES}\
         [opamp.all]\ninput_range = {{ from_negative = \"0 V\", from_positive = \"1.2 V\" }}\n[limits]\nrejection = \"20 dB\"\n"
    ));
    let found = designed(&asked);
    let bought = found.purchase.as_ref().expect("grades were on offer");
    let names: Vec<Designator> = bought.grades.iter().map(|one| one.0).collect();
    assert!(found.met && names.len() == 6 && names.contains(&Designator::R6), "{names:?} {:?}", found.limits);
    assert!((bought.total - 0.06).abs() < 1e-9, "six of the cheapest: {}", bought.total);
}
