//! Sizes of causes: put back into the spec, each gives the rejection that was measured.
use crate::desk::{GEOPHONE, HOOK_LOAD, designed, question};
use evenkeel::quantity::Unit;
use evenkeel::study::explain::{CauseSize, Topic, Wanted, explain};

fn sizes(text: &str, db: f64) -> Vec<CauseSize> {
    let wanted = Wanted { topic: Some(Topic::Rejection), measured_db: Some(db) };
    explain(&question(text), wanted).unwrap().explanations.remove(0).measured.unwrap().causes
}

fn of<'s>(sizes: &'s [CauseSize], cause: &str) -> &'s CauseSize {
    sizes.iter().find(|one| one.cause == cause).unwrap()
}

fn alone(text: &str, cause: &str) -> f64 {
    let design = designed(text);
    design.rejection.causes.iter().find(|line| line.cause == cause).unwrap().alone_db.unwrap()
}

#[test]
fn a_size_put_back_gives_what_was_measured() {
    // values decided: what stands around a circuit must not make another choice of them
    let decided = GEOPHONE.replace(
        "tempco    = \"25 ppm/K\"",
        "tempco    = \"25 ppm/K\"\nfixed = { R1 = \"95.3k\", R2 = \"95.3k\", RG = \"3.97k\" }",
    );
    for (text, db) in [(HOOK_LOAD, 100.0), (decided.as_str(), 95.0)] {
        let found = sizes(text, db);
        let r = of(&found, "reference resistance").size.unwrap();
        let spec =
            text.replace("reference = \"2.5 V\"", &format!("reference = \"2.5 V\"\nreference_resistance = \"{r} Ω\""));
        let told = alone(&spec, "reference resistance");
        assert!((told - db).abs() < 1e-3, "{r} gives {told}");

        let t = of(&found, "bias return").size.unwrap() * 100.0;
        let stated = format!("bias_return_tolerance = \"{t} %\"");
        let spec = if text.contains("bias_return_tolerance") {
            text.replace("bias_return_tolerance = \"1 %\"", &stated)
        } else {
            text.replace("bias_return       =", &format!("{stated}\nbias_return ="))
        };
        assert!((alone(&spec, "bias return") - db).abs() < 1e-3);

        let match_percent = of(&found, "ratio resistors").size.unwrap() * 200.0;
        let spec = text
            .replace("match        = \"0.01 %\"", &format!("match = \"{match_percent} %\""))
            .replace("match        = \"0.02 %\"", &format!("match = \"{match_percent} %\""))
            .replace("match_tempco = \"2 ppm/K\"\n", "")
            .replace("tolerance = \"0.1 %\"", "tolerance = \"0 %\"")
            .replace("tempco    = \"25 ppm/K\"", "tempco = \"0 ppm/K\"");
        assert!((alone(&spec, "ratio resistors") - db).abs() < 0.02, "{}", alone(&spec, "ratio resistors"));
    }
}

/// At a rejection far above the op amps' own the causes are small, and the first-order forms hold.
#[test]
fn small_causes_by_hand_are_the_networks() {
    for text in [HOOK_LOAD, GEOPHONE] {
        for one in sizes(text, 110.0) {
            let (Some(size), Some(equation)) = (one.size, &one.by_hand) else { continue };
            let by_hand = equation.value();
            assert!((by_hand / size - 1.0).abs() < 0.02, "{}: {by_hand} by hand, {size}", one.cause);
        }
    }
}

#[test]
fn stage_one_resistors_make_no_common_mode_gain_whatever_they_are() {
    let found = sizes(HOOK_LOAD, 74.0);
    let set = of(&found, "gain-set resistors");
    assert_eq!((set.size, set.unit), (None, Unit::Fraction));
}
