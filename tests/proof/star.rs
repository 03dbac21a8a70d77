//! A star of many branches by Thévenin's and Millman's theorems: more sums and reciprocals side by side than one
//! operation of a replay takes.
use crate::near::{assert_near, relative};
use evenkeel::network::{Builder, Element, Excitation, GROUND, Instructions, LANES, Plan, Slot};

const BRANCHES: usize = 21;

/// Each branch is a divider of the EMF behind a resistor: its open voltage `b/(a + b)` by its conductances `a` to
/// the source and `b` to ground, its conductance `c` in series with `a + b`; all meet at one node that a load
/// draws from.
fn by_theorem(branches: &[[f64; 3]], load: f64) -> f64 {
    let (mut driven, mut all) = (0.0, load);
    for &[a, b, c] in branches {
        let conductance = c * (a + b) / (a + b + c);
        driven += conductance * a / (a + b);
        all += conductance;
    }
    driven / all
}

fn nominal(branch: usize) -> [f64; 3] {
    let k = branch as f64;
    [1e-3 * (1.0 + 0.13 * k), 1e-3 * (2.0 + 0.07 * k), 1e-3 * (0.5 + 0.21 * k)]
}

#[test]
fn a_star_of_many_branches_is_millmans() {
    let mut to = Builder::new();
    let (top, star) = (to.node("top"), to.node("star"));
    let source = to.source("E", top, GROUND);
    let mut varying: Vec<Element> = Vec::new();
    for branch in 0..BRANCHES {
        let middle = to.node(&format!("n{branch}"));
        let [a, b, c] = nominal(branch).map(f64::recip);
        varying.push(to.resistor(&format!("Ra{branch}"), top, middle, a));
        varying.push(to.resistor(&format!("Rb{branch}"), middle, GROUND, b));
        varying.push(to.resistor(&format!("Rc{branch}"), middle, star, c));
    }
    to.resistor("RL", star, GROUND, 250.0);
    let network = to.finish().unwrap();
    let slots: Vec<Slot> = varying.into_iter().map(Slot::Admittance).collect();
    let share = |slot: usize, lane: usize| 1e-2 * libm::sin((slot * 7 + lane * 13) as f64);
    let board = |lane: usize| -> Vec<[f64; 3]> {
        let one = |branch| {
            let nominal = nominal(branch);
            std::array::from_fn(|k| nominal[k] * (1.0 + share(3 * branch + k, lane)))
        };
        (0..BRANCHES).map(one).collect()
    };
    let plan = Plan::<f64>::record(&network, 0.0, &slots, &[Excitation::emf(source, 1.0)], star).unwrap();
    let all: Vec<[f64; 3]> = (0..BRANCHES).map(nominal).collect();
    assert_near(plan.nominal()[0], by_theorem(&all, 4e-3), relative(1e-14), "nominal");
    let deviation = |slot: usize, lane: usize| nominal(slot / 3)[slot % 3] * share(slot, lane);
    let deltas: Vec<[f64; LANES]> =
        (0..slots.len()).map(|slot| std::array::from_fn(|lane| deviation(slot, lane))).collect();
    let (mut work, mut out) = (plan.workspace(Instructions::best()), [[0.0; LANES]]);
    plan.replay(&mut work, &deltas, &mut out);
    assert_eq!(work.fallbacks, 0);
    for (lane, &got) in out[0].iter().enumerate() {
        assert_near(got, by_theorem(&board(lane), 4e-3), relative(1e-13), "star");
    }
}
