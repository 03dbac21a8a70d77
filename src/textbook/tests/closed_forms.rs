use super::{agree, prints};
use crate::designator::{Designator, Ohms, Topology};
use crate::quantity::from_decibels;
use crate::textbook::{self, ClosedForm, closed_form_rejection, gains, rejection_db};
use Designator::{R1, R2, R3, R4};
use serde::Deserialize;

#[derive(Deserialize)]
struct Published {
    case: Vec<Case>,
}

/// Sources and whether they were seen stand in the file.
#[derive(Deserialize)]
struct Case {
    entry: String,
    source: String,
    status: String,
    form: String,
    db: String,
    g1: Option<f64>,
    g2: Option<f64>,
    t: Option<f64>,
    four_t: Option<f64>,
    x: Option<f64>,
    r: Option<f64>,
    r4: Option<f64>,
    a: Option<f64>,
    b: Option<f64>,
}

fn stage(topology: Topology, g1: f64, g2: f64, bound: f64) -> ClosedForm {
    ClosedForm { topology, stage_one_gain: g1, stage_two_gain: g2, bounds: [bound; 4], opamp_rejections: [None; 3] }
}

#[test]
fn published_rejections() {
    let published: Published = toml::from_str(include_str!("../../../tests/data/rejection_cases.toml")).unwrap();
    assert_eq!(published.case.len(), 22);
    for case in &published.case {
        let of = format!("{} ({}, {})", case.entry, case.source, case.status);
        let g1 = case.g1.unwrap_or(1.0);
        let topology = if g1 == 1.0 { Topology::Difference } else { Topology::ThreeOpAmp };
        let g2 = || case.g2.unwrap();
        let db = match case.form.as_str() {
            "worst" => {
                let t = case.t.unwrap();
                let exact = textbook::difference_worst(g2(), t).unwrap() * g1;
                prints(rejection_db(exact).unwrap(), &case.db, &of);
                closed_form_rejection(&stage(topology, g1, g2(), t)).unwrap()
            }
            "matched" => closed_form_rejection(&stage(topology, g1, g2(), case.four_t.unwrap() / 4.0)).unwrap(),
            "one" => rejection_db(textbook::difference_one_resistor(g2(), case.x.unwrap()).unwrap()),
            "reference" => {
                rejection_db(textbook::reference_difference(g2(), case.r4.unwrap(), case.r.unwrap()).unwrap())
            }
            "combined" => {
                // four bounds of a stage whose resistors alone reject `a`
                let bound = 2.0 / from_decibels(case.a.unwrap()) / 4.0;
                let mut both = stage(Topology::Difference, 1.0, 1.0, bound);
                both.opamp_rejections[0] = Some(from_decibels(case.b.unwrap()));
                closed_form_rejection(&both).unwrap()
            }
            other => panic!("{other} is no form"),
        };
        prints(db.unwrap(), &case.db, &of);
    }
}

/// CV-DA-03 (value from memory, recomputed): worst case `(1 + G)/(4t)` over the handbook's grid, good to
/// a hundredth of a decibel (the 68.04 dB are those of the exact corner search; the formula gives 68.045).
#[test]
fn the_handbook_grid() {
    let grid = [
        (0.01, [33.98, 48.79, 68.04, 87.97]),
        (0.001, [53.98, 68.79, 88.04, 107.97]),
        (0.0001, [73.98, 88.79, 108.04, 127.97]),
    ];
    for (t, row) in grid {
        for (gain, printed) in [1.0, 10.0, 100.0, 1000.0].into_iter().zip(row) {
            let db = closed_form_rejection(&stage(Topology::Difference, 1.0, gain, t)).unwrap();
            let db: f64 = db.unwrap();
            assert!((db - printed).abs() < 0.01, "{db} is not {printed}");
        }
    }
}

/// The exact worst case is the least of the sixteen corners of the exact equations.
#[test]
fn the_worst_corner() {
    for gain in [0.2, 1.0, 4.0, 100.0] {
        for t in [0.0001, 0.01, 0.05] {
            let (mut worst, mut at_common) = (f64::INFINITY, 0.0_f64);
            for corner in 0..16_u32 {
                let off = |k: u32, ohm: f64| ohm * if corner >> k & 1 == 1 { 1.0 + t } else { 1.0 - t };
                let ohms: Ohms =
                    [(R1, off(0, 1e4)), (R2, off(1, 1e4 * gain)), (R3, off(2, 1e4)), (R4, off(3, 1e4 * gain))]
                        .into_iter()
                        .collect();
                let found = gains(Topology::Difference, &ohms).unwrap();
                worst = worst.min(found.rejection());
                at_common = at_common.max(found.common_mode.abs());
            }
            agree(textbook::difference_worst(gain, t).unwrap(), worst, 1e-9);
            if (gain, t) == (100.0, 0.01) {
                // CV-DA-02: exact sixteen-corner search of Sedra/Smith example 2.15
                prints(worst, "2524.75", "CMRR");
                prints(at_common, "0.0404", "A_cm");
            }
        }
    }
}

#[test]
fn which_op_amps_count() {
    let mut of = stage(Topology::ThreeOpAmp, 10.0, 1.0, 0.0);
    of.opamp_rejections = [Some(2e4), Some(5e4), Some(1e4)];
    let db = |of: &ClosedForm| closed_form_rejection(of).unwrap().unwrap();
    // figures.md section 6: 1/2e4 + 1/5e4 + 1/(10*1e4) = 8e-5
    agree(db(&of), 20.0 * libm::log10(1.0 / 8e-5), 1e-12);
    of.topology = Topology::TwoOpAmp;
    agree(db(&of), 20.0 * libm::log10(1.0 / 7e-5), 1e-12);
    of.bounds = [0.001, 0.002, 0.003, 0.004];
    agree(db(&of), 20.0 * libm::log10(1.0 / (7e-5 + 1e-3)), 1e-12);
    of.topology = Topology::SingleChip;
    agree(db(&of), 20.0 * libm::log10(2e4), 1e-12);
}

#[test]
fn nothing_that_varies_is_unbounded() {
    let mut of = stage(Topology::ThreeOpAmp, 10.0, 1.0, 0.0);
    assert_eq!(closed_form_rejection(&of), Ok(None));
    of.opamp_rejections[0] = Some(1.1e10); // above 200 dB
    assert_eq!(closed_form_rejection(&of), Ok(None));
    of.opamp_rejections[0] = Some(0.0);
    assert!(closed_form_rejection(&of).is_err());
    assert!(closed_form_rejection(&stage(Topology::Difference, 1.0, 1.0, -0.01)).is_err());
}

/// CV-SI-01 (formula of Ott, from memory; recomputed): source imbalance into a capacitance.
#[test]
fn source_imbalance_into_a_cable() {
    for (ohm, farad, hz, printed) in [
        (1e3, 2e-12, 60.0, "122.5"),
        (1e3, 10e-12, 60.0, "108.5"),
        (1e3, 100e-12, 60.0, "88.5"),
        (1e3, 1e-9, 60.0, "68.5"),
        (5e3, 200e-12, 50.0, "70.1"),
    ] {
        let ratio = textbook::source_imbalance(hz, farad, ohm).unwrap();
        prints(rejection_db(ratio).unwrap(), printed, "CV-SI-01");
        agree(textbook::cable_mismatch(hz, (ohm, 0.0), (0.0, farad)).unwrap(), ratio, 1e-15);
    }
}

/// A resistance in the reference lead, against the exact equations to first order.
#[test]
fn reference_resistance() {
    let r = 0.01;
    let stage: Ohms = [(R1, 1e4), (R2, 5e4), (R3, 1e4), (R4, 5e4 + r)].into_iter().collect();
    let exact = gains(Topology::Difference, &stage).unwrap().rejection();
    agree(textbook::reference_difference(5.0, 5e4, r).unwrap(), exact, 1e-5);
    let row: Ohms = [(R1, 1e4 + r), (R2, 1e3), (R3, 1e3), (R4, 1e4)].into_iter().collect();
    let exact = gains(Topology::TwoOpAmp, &row).unwrap().rejection();
    agree(textbook::reference_two(11.0, 1e4, r).unwrap(), exact, 1e-5);
}

/// figures.md section 15, put in by hand.
#[test]
fn the_other_single_causes() {
    agree(textbook::opamps_three([1e-5, -1e-5, 1e-5], 10.0).unwrap(), -1.9e-5, 1e-12);
    agree(textbook::opamps_two([1e-5, -1e-5]), -2e-5, 1e-12);
    agree(textbook::loop_gain_three(1e5, 2e5).unwrap(), 5e-6, 1e-12);
    agree(textbook::loop_gain_two(1e5, 3.0).unwrap(), 25e3, 1e-12);
    agree(textbook::stray_at_gain_resistor(50.0, 100.0, 20e3, 1e-12).unwrap(), 1.591549e7, 1e-6);
    agree(textbook::bias_return_mismatch(10e6, 0.01, 1e3).unwrap(), 5e5, 1e-12);
    assert!(textbook::loop_gain_three(0.0, 1.0).is_err());
    assert!(textbook::difference_worst(1.0, 1.0).is_err());
    assert_eq!(textbook::difference_worst(1.0, 0.0), Ok(f64::INFINITY));
}
