//! The single chip in fractions that are never rounded: two dividers and a gain law, on paper.
use crate::deep::replayed;
use crate::field::{Field, rounded_fraction};
use crate::near::{assert_near, db, relative};
use crate::random::Draw;
use evenkeel::designator::{Amp, Designator, Ohms, Topology};
use evenkeel::part::{AtGain, Chip, Grade, OpAmp};
use evenkeel::stage::{Circuit, Lot, Source, Surroundings};
use evenkeel::topology;
use num_rational::BigRational;

fn exact(value: f64) -> BigRational {
    BigRational::of(value)
}

/// A chip behind a source, its bias returns and its own input resistance.
fn circuit(draw: &mut Draw, size: f64) -> Circuit {
    let mut ohms = Ohms::default();
    ohms.set(Designator::RG, Some(draw.ohm(10.0, 1e5)));
    let listed = |value| vec![AtGain { gain: 1.0, value }];
    let chip = Chip {
        gain_constant_ohm: draw.ohm(1e3, 1e5),
        base_gain: draw.between(0.5, 5.0),
        gain_error: listed(size),
        rejection: listed(1.0 / size),
        ..Chip::default()
    };
    let resistance_ohm = draw.ohm(1.0, 1e4);
    let source = Source {
        resistance_ohm,
        imbalance_ohm: resistance_ohm * size,
        bias_return_ohm: Some(draw.ohm(1e5, 1e8)),
        ..Source::default()
    };
    let data = OpAmp { input_resistance_ohm: Some(draw.ohm(1e5, 1e9)), ..OpAmp::default() };
    Circuit {
        topology: Topology::SingleChip,
        ohms,
        opamps: [(Amp::A1, data)].into(),
        chip: Some(chip),
        surroundings: Surroundings { source, ..Surroundings::default() },
    }
}

/// `A_d` and `A_cm` of one board: `p` and `n` are what the dividers leave of each EMF, `g` the gain law, `c` the
/// common-mode error: out = g·((p·e⁺ - n·e⁻) + c·(p·e⁺ + n·e⁻)/2).
fn by_hand(circuit: &Circuit, value: impl Fn(&str) -> f64) -> (BigRational, BigRational) {
    let (one, two) = (exact(1.0), exact(2.0));
    let chip = circuit.chip.as_ref().unwrap();
    let rg = exact(circuit.ohms.get(Designator::RG).unwrap()) * (&one + exact(value("RG")));
    let law = exact(chip.base_gain) + exact(chip.gain_constant_ohm) / rg;
    let g = law * (&one + exact(value("A1 gain")));
    let c = exact(value("A1 rejection")) / exact(chip.rejection[0].value);
    let source = &circuit.surroundings.source;
    let load = exact(circuit.opamps[&Amp::A1].input_resistance_ohm.unwrap());
    let kept = |half: f64, bias: &str| {
        let leg = exact(source.resistance_ohm) + exact(half * value("source imbalance"));
        let bias = exact(source.bias_return_ohm.unwrap()) * (&one + exact(value(bias)));
        let down = (bias.recip() + load.recip()).recip();
        &down / (leg + &down)
    };
    let (p, n) = (kept(0.5, "bias return, positive input"), kept(-0.5, "bias return, negative input"));
    let differential = &g * ((&p + &n) / &two + &c * (&p - &n) / (&two * &two));
    (differential, g * ((&p - &n) + c * (p + n) / two))
}

#[test]
fn a_chip_is_exact_however_near_the_balance() {
    let mut deepest = 0.0_f64;
    let mut draw = Draw::new(26);
    for index in 0..80 {
        let size = [1e-2, 1e-5, 1e-9, 1e-13][index % 4];
        let circuit = circuit(&mut draw, size);
        let grades = [(Designator::RG, Grade { tolerance: 0.01, tempco_per_k: 0.0 })].into();
        let lot = Lot { grades, bias_return_tolerance: size, ..Lot::default() };
        let stage = topology::build(&circuit).unwrap();
        let quantities = stage.quantities(&lot, 0.0);
        let names: Vec<&str> = quantities.iter().map(|one| one.name.as_str()).collect();
        assert_eq!(names.len(), 6, "{names:?}");
        let boards: Vec<Vec<f64>> =
            (0..8).map(|_| quantities.iter().map(|one| draw.between(one.low, one.high)).collect()).collect();
        for (board, (differential, common)) in boards.iter().zip(replayed::<f64>(&stage, &lot, 0.0, &boards)) {
            let want = by_hand(&circuit, |name| board[names.iter().position(|one| *one == name).unwrap()]);
            let want = (rounded_fraction(&want.0), rounded_fraction(&want.1));
            let what = format!("deviations of {size:e}");
            assert_near(differential, want.0, relative(1e-14), &what);
            assert_near(common, want.1, relative(1e-12), &what);
            deepest = deepest.max((want.0 / want.1).abs());
        }
    }
    assert!(db(deepest) > 240.0, "only {} dB", db(deepest));
}
