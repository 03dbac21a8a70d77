//! Every starter spec designs, and meets the limits it comes with.
use crate::asked::ask;
use evenkeel::cli::Desk;
use evenkeel::designator::Topology;

#[test]
fn what_new_prints_is_a_design_that_holds() {
    for topology in Topology::ALL {
        let starter = ask(&format!("new {topology}")).run().stdout;
        let report = ask("design -").stdin(&starter).desk(Desk::default()).answers(0);
        assert!(report.starts_with("All "), "{topology}: {report}");
    }
}

#[test]
fn the_examples_meet_their_limits() {
    for name in ["hook-load", "battery-shunt", "geophone"] {
        let report = ask(&format!("design examples/{name}.toml")).desk(Desk::default()).answers(0);
        assert!(report.starts_with("All "), "{name}: {report}");
    }
}

#[test]
fn a_limit_at_an_interference_that_is_not_stated_is_not_silent() {
    let spec = "[target]\ngain = 10\n[limits]\nrejection_at_interference = \"80 dB\"\n";
    let told = ask("design -").stdin(spec).desk(Desk::default()).answers_json(1, "evenkeel.design.v1");
    let lacks = told["not_predicted"].as_array().expect("a list");
    let lack = lacks.iter().find(|lack| lack["figure"] == "rejection.at_interference").expect("named");
    assert_eq!(lack["needs"], "interference.frequency");
}
