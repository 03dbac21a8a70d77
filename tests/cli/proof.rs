//! A bench sheet, a working and a yield, invented figures all: they guard layout, and are read back.
use evenkeel::designator::Topology;
use evenkeel::equation::{Equation, Expr};
use evenkeel::quantity::Unit;
use evenkeel::study::explain::{Explanation, LAWS, Lesson, Outcome, Step, Topic};
use evenkeel::study::{NodeSpan, NotPredicted, Plan, PlanStep, Quantile, Shape, ShareLine, YieldFigure, YieldSpread};
use evenkeel::yields::{DrawnLimit, Histogram};

fn span(name: &str, nominal_v: f64, half: f64) -> NodeSpan {
    NodeSpan { name: name.to_owned(), nominal_v, low_v: nominal_v - half, high_v: nominal_v + half }
}

pub(crate) fn plan() -> Plan {
    let step = |purpose, differential_v: f64, common_mode_v: f64| PlanStep {
        purpose,
        differential_v,
        common_mode_v,
        output: span("output", 2.5 + 100.0 * differential_v, 0.005_4),
        nodes: vec![span("A1 output", 2.5 - 50.0 * differential_v, 0.000_9), span("A3 output", 2.5, 0.001_8)],
    };
    Plan {
        title: "Hook-load channel".to_owned(),
        temperature_c: 25.0,
        steps: vec![step("offset", 0.0, 2.5), step("gain, low end", -0.018, 2.5), step("offset", 0.0, 2.5)],
        gain_needs_u_output_v: Some(0.003_678),
        rejection_needs_u_output_v: None,
    }
}

pub(crate) fn lesson() -> Lesson {
    let ohm = |name, value| Expr::symbol(name, value, Unit::Ohm);
    let gain =
        Equation::new("G1", Unit::Plain, 1.0 + (ohm("RF1", 24_900.0) + ohm("RF2", 24_900.0)) / ohm("RG", 503.02));
    let noise = Equation::new("e_n", Unit::VoltPerRootHertz, {
        let part = |name, value| Expr::symbol(name, value, Unit::VoltPerRootHertz).squared();
        Expr::sum(vec![part("e_1", 14.142e-9), part("e_S", 6.22e-9)]).root()
    });
    let step =
        |text: &str, equation, exact, law: usize| Step { text: text.to_owned(), equation, exact, law: Some(LAWS[law]) };
    let explanation = |topic, steps, outcome| Explanation {
        topic,
        meaning: "What is told, <b>in a sentence</b>.".to_owned(),
        steps,
        outcome,
        further: Vec::new(),
        given: Vec::new(),
        measured: None,
    };
    let outcome = Outcome {
        what: "gain",
        unit: Unit::Plain,
        by_hand: Some(gain.value()),
        exact: Some(99.998_7),
        why: vec!["Open-loop gain that is finite: -0.003 %.".to_owned()],
    };
    Lesson {
        title: "Hook-load channel".to_owned(),
        topology: Topology::ThreeOpAmp,
        explanations: vec![
            explanation(
                Topic::Gain,
                vec![
                    step("No current flows into an input.", None, None, 1),
                    step("so that", Some(gain), Some(99.998_7), 8),
                ],
                Some(outcome),
            ),
            explanation(Topic::Noise, vec![step("Both add by squares:", Some(noise), None, 34)], None),
        ],
        missing: vec![NotPredicted { figure: "bandwidth".to_owned(), needs: "opamp.all.gain_bandwidth".to_owned() }],
    }
}

fn spread(low: f64, high: f64, bounds: Vec<f64>) -> YieldSpread {
    let edges: Vec<f64> = (0..=8).map(|at| low + (high - low) * f64::from(at) / 8.0).collect();
    let quantile = |p: f64| Quantile { p, value: Some(low + p * (high - low)) };
    YieldSpread {
        quantiles: [0.001, 0.5, 0.999].map(quantile).to_vec(),
        histogram: Histogram { counts: vec![1, 4, 9, 16, 14, 9, 3, 1], edges },
        bounds,
    }
}

pub(crate) fn yields() -> YieldFigure {
    YieldFigure {
        title: "Hook-load channel".to_owned(),
        boards: 200_000,
        seed: 1,
        shape: Shape::Uniform,
        uniform_temperature: false,
        pass: 199_400,
        fraction: 0.997,
        low: 0.996_75,
        high: 0.997_24,
        partial: false,
        by_limit: vec![(DrawnLimit::GainError, 1.0), (DrawnLimit::Rejection, 0.997)],
        gain_error: spread(-0.004_2, 0.004_4, vec![-0.006, 0.006]),
        rejection_db: spread(94.2, 131.0, vec![95.0]),
        shares: vec![ShareLine {
            part: "RG".to_owned(),
            of_gain_variance: 0.512,
            of_common_mode_variance: 0.0,
            yield_if_halved: 0.998_2,
        }],
        halved_boards: 12_500,
        advice: None,
        tail: vec![],
        required: Some(0.997),
        not_predicted: vec![],
    }
}
