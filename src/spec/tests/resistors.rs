//! Networks, the dividing pair, what can be open.
use super::{fault, one};
use crate::designator::Designator;
use crate::part::{Fixed, Grade};

fn with(rest: &str) -> String {
    format!("[target]\ngain = 10\n{rest}")
}

fn network(members: &str) -> String {
    with(&format!("[[resistors.network]]\nmembers = {members}\nmatch = \"0.1 %\"\n"))
}

#[test]
fn networks_hold_two_at_least_and_each_resistor_once() {
    fault(
        &network(r#"["R1"]"#),
        "network",
        4,
        11,
        r#"["R1"]"#,
        "a network has 1 member; two at least make one",
        "name two or more, as `[\"R1\", \"R2\"]`",
    );
    fault(
        &network(r#"["R1", "R1"]"#),
        "network",
        4,
        18,
        r#""R1""#,
        "R1 stands twice in one network",
        "name each member once",
    );
    fault(
        &network(r#"["RF", "RF2"]"#),
        "network",
        4,
        18,
        r#""RF2""#,
        "RF2 stands twice in one network",
        "name each member once",
    );
    let two = network(r#"["R1", "R2"]"#) + "[[resistors.network]]\nmembers = [\"R3\", \"R1\"]\nmatch = \"0.1 %\"\n";
    fault(
        &two,
        "network",
        7,
        18,
        r#""R1""#,
        "R1 is in network 1 and in network 2; a resistor is on one substrate",
        "keep it in one of them",
    );
    let own = network(r#"["R1", "R2"]"#) + "[resistors.part.R2]\ntolerance = \"1 %\"\n";
    fault(
        &own,
        "network",
        4,
        18,
        r#""R2""#,
        "R2 has a grade of its own in `resistors.part` and is in a network",
        "give `tolerance` and `tempco` in the network, or take it out",
    );
    fault(
        &network(r#"["R1", "r2"]"#),
        "unknown-name",
        4,
        18,
        r#""r2""#,
        "`r2` is no resistor that is known here",
        "did you mean `R2`?",
    );
}

#[test]
fn rf_stands_for_two() {
    let q = one(&network(r#"["RF", "R1"]"#)).question;
    assert_eq!(q.resistors.networks[0].members, [Designator::RF1, Designator::RF2, Designator::R1]);
    fault(
        &with("[resistors]\nfixed = { RF = \"1k\", RF1 = \"2k\" }\n"),
        "duplicate-name",
        4,
        22,
        "RF1",
        "`resistors.fixed.RF1` is given twice: RF stands for RF1 and RF2",
        "keep `RF`, or `RF1` and `RF2`",
    );
    fault(
        &with("[board]\ndesignators = { RF = \"R102\" }\n"),
        "duplicate-name",
        4,
        22,
        "\"R102\"",
        "`R102` is named for both RF1 and RF2",
        "name each resistor's own line of the bill",
    );
}

#[test]
fn a_network_may_have_its_own_grade() {
    let q = one(&(network(r#"["R1", "R2"]"#) + "tolerance = \"0.05 %\"\n")).question;
    assert_eq!(q.resistors.networks[0].grade, Some(Grade { tolerance: 0.0005, tempco_per_k: 100e-6 }));
    assert_eq!(q.resistors.grade_of(Designator::R1).tolerance, 0.0005);
    assert_eq!(q.resistors.grade_of(Designator::R3).tolerance, 0.01);
}

#[test]
fn only_rg_can_be_open() {
    let q = one(&with("[resistors]\nfixed = { RG = \"open\" }\n")).question;
    assert_eq!(q.resistors.fixed[&Designator::RG], Fixed::Open);
    fault(
        &with("[resistors]\nfixed = { R1 = \"open\" }\n"),
        "open",
        4,
        16,
        "\"open\"",
        "`resistors.fixed.R1` is `open`; only RG can be left out",
        "write its resistance, as `\"10k\"`",
    );
}

#[test]
fn the_dividing_pair() {
    let difference = |rest: &str| with(&format!("[circuit]\ntopology = \"difference\"\n{rest}"));
    let q = one(&difference("[resistors]\nfixed = { R5 = \"1k\", R6 = \"1k\" }\n")).question;
    assert_eq!(q.resistors.fixed[&Designator::R6], Fixed::Ohm(1000.0));
    fault(
        &difference("[resistors]\nfixed = { R5 = \"1k\" }\n"),
        "dividing-pair",
        6,
        16,
        "\"1k\"",
        "`resistors.fixed` has R5 without R6: one alone puts the stage out of balance",
        "give R6 too (equal to R5 for balance), or neither",
    );
    // chosen where the common mode asks for them: range, grade and network may name them
    for rest in [
        "[resistors]\nrange = { R6 = \"1k .. 2k\" }\n",
        "[resistors.part.R5]\ntolerance = \"0.1 %\"\n",
        "[[resistors.network]]\nmembers = [\"R2\", \"R5\"]\nmatch = \"1 %\"\n",
    ] {
        assert!(one(&difference(rest)).question.resistors.fixed.is_empty(), "{rest}");
    }
}
