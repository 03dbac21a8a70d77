use crate::asked::ask;
use crate::fixture;
use evenkeel::cli::Desk;
use evenkeel::study::StudyFault;

#[test]
fn flags_reach_the_question_and_what_is_left_out_is_ideal() {
    let desk = Desk {
        reject: |asked| {
            assert_eq!((asked.topology.name(), asked.gain), ("two-op-amp", 10.0));
            assert_eq!((asked.tolerance, asked.match_fraction), (Some(0.001), Some(0.000_1)));
            assert_eq!(asked.opamp_rejection, Some(1e5));
            assert!((asked.need_db.expect("given") - 90.0).abs() < 1e-12);
            Ok(fixture::reject(None))
        },
        ..Desk::default()
    };
    ask("reject --gain 10 --topology two-op-amp --tolerance 0.1% --match 0.01% --opamp-rejection 100dB --need 90dB")
        .desk(desk)
        .answers(0);
    let desk = Desk {
        reject: |asked| {
            assert_eq!((asked.topology.name(), asked.tolerance, asked.match_fraction), ("three-op-amp", None, None));
            assert_eq!((asked.opamp_rejection, asked.stage_two_gain, asked.need_db), (None, 1.0, None));
            Ok(fixture::reject(None))
        },
        ..Desk::default()
    };
    ask("reject --gain 10").desk(desk).answers(0);
}

#[test]
fn json_has_the_keys_of_the_contract() {
    let told = ask("reject --gain 100").answers_json(0, "evenkeel.reject.v1");
    assert_eq!((told["worst_db"].as_f64(), told["resistors_db"].as_f64()), (Some(91.234_567), Some(93.98)));
    assert!(told["opamps_db"].is_null());
    assert_eq!(told["closed_form_db"].as_f64(), Some(90.9));
    assert_eq!(told.get("need_db"), None);
}

#[test]
fn an_inverse_out_of_reach_is_absent_and_status_1() {
    let told = ask("reject --gain 100 --need 120dB").answers_json(1, "evenkeel.reject.v1");
    assert_eq!((&told["reachable"], told.get("loosest_tolerance")), (&false.into(), None));
    assert_eq!(told["least_opamp_rejection_db"].as_f64(), Some(96.3));
    let told = ask("reject --gain 100 --need 90dB").answers_json(0, "evenkeel.reject.v1");
    assert_eq!((&told["reachable"], told["loosest_tolerance"].as_f64()), (&true.into(), Some(0.001_234)));
    assert!(ask("reject --gain 100 --need 120dB").answers(1).contains("none is tight enough"));
}

#[test]
fn a_rejection_without_unit_shows_both_spellings() {
    let told = ask("reject --gain 10 --need 90").refuses();
    assert!(told.contains("1 | --need 90\n  |        ^^\n"), "{told}");
    assert!(told.contains("`90dB`") && told.contains("`31623:1`"), "{told}");
}

#[test]
fn values_outside_their_domain_name_flag_value_and_what_is_right() {
    for (line, flag, read, right) in [
        ("reject --gain 0", "--gain", "`0`", "above 0"),
        ("reject --gain -3", "--gain", "`-3`", "above 0"),
        ("reject --gain 10 --tolerance 100%", "--tolerance", "`100%`", "less than 100 %"),
        ("reject --gain 10 --tolerance -1%", "--tolerance", "`-1%`", "0 % or more"),
        ("reject --gain 10 --match 200%", "--match", "`200%`", "less than 100 %"),
        ("reject --gain 10 --opamp-rejection -80dB", "--opamp-rejection", "`-80dB`", "above 0 dB"),
        ("reject --gain 10 --need 0dB", "--need", "`0dB`", "above 0 dB"),
        ("reject --gain 10 --stage-two-gain 0", "--stage-two-gain", "`0`", "above 0"),
        ("reject --gain 10 --topology difference --stage-two-gain 2", "--stage-two-gain", "difference", "three-op-amp"),
    ] {
        let told = ask(line).refuses();
        for words in [flag, read, right] {
            assert!(told.contains(words), "{line} tells no {words}: {told}");
        }
    }
}

#[test]
fn every_bad_flag_is_told_at_once() {
    let errors = ask("reject --gain x --tolerance 0.1 --need 90").refuses_json();
    assert_eq!(errors.len(), 3);
    for (error, flag) in errors.iter().zip(["--gain", "--tolerance", "--need"]) {
        assert_eq!(error["code"], "bad-quantity");
        assert!(error["message"].as_str().is_some_and(|words| words.contains(flag)), "{error}");
        assert!(error["file"].is_null() && error["help"].is_string(), "{error}");
    }
}

#[test]
fn a_fault_of_the_study_is_told_with_its_code() {
    let desk = Desk {
        reject: |_| {
            Err(StudyFault {
                code: "gain-too-low",
                key: "--gain".to_owned(),
                message: "a three-op-amp stage starts at 1".to_owned(),
                help: "ask for a difference stage".to_owned(),
            })
        },
        ..Desk::default()
    };
    assert!(ask("reject --gain 0.5").desk(desk).refuses().contains("1 | --gain 0.5\n  |        ^^^\n"));
    assert_eq!(ask("reject --gain 0.5").desk(desk).refuses_json()[0]["code"], "gain-too-low");
}
