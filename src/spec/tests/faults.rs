//! What is wrong inside one value or one table: place, message and help.
use super::{fault, faults, one};
use crate::designator::Designator;
use crate::study::Stock;

const HEAD: &str = "[target]\ngain = 10\n";

fn with(rest: &str) -> String {
    format!("{HEAD}{rest}")
}

#[test]
fn unknown_keys_sections_and_names() {
    let known = "did you mean `tolerance`?";
    fault(
        &with("[resistors]\ntolerence = \"1 %\"\n"),
        "unknown-key",
        4,
        1,
        "tolerence",
        "`tolerence` is no key that is known here",
        known,
    );
    fault(
        &with("[sauce]\n"),
        "unknown-key",
        3,
        2,
        "sauce",
        "`sauce` is no key that is known here",
        "did you mean `source`?",
    );
    fault(
        &with("[limits]\nimbalance = \"1 Ω\"\n"),
        "unknown-key",
        4,
        1,
        "imbalance",
        "`imbalance` is no key that is known here",
        "`imbalance` belongs in [source]",
    );
    fault(
        &with("[resistors]\nfixed = { R7 = \"1k\" }\n"),
        "unknown-key",
        4,
        11,
        "R7",
        "`R7` is no resistor that is known here",
        "known here: RF, RG, RF1, RF2, R1, R2, R3, R4, R5, R6",
    );
    fault(
        &with("[opamp.A4]\n"),
        "unknown-key",
        3,
        8,
        "A4",
        "`A4` is no op amp that is known here",
        "known here: all, A1, A2, A3",
    );
    fault(
        &with("[check]\nallow = { gian = \"1 %\" }\n"),
        "unknown-key",
        4,
        11,
        "gian",
        "`gian` is no figure that is known here",
        "did you mean `gain`?",
    );
    fault(
        &with("[circuit]\ntopology = \"three-opamp\"\n"),
        "unknown-word",
        4,
        12,
        "\"three-opamp\"",
        "`circuit.topology` can't be `three-opamp`",
        "did you mean `\"three-op-amp\"`? known: difference, buffered-difference, three-op-amp, two-op-amp, single-chip",
    );
}

#[test]
fn a_misspelt_key_is_not_missing_as_well() {
    let help = "did you mean `gain`?";
    fault("[target]\ngian = 10\n", "unknown-key", 2, 1, "gian", "`gian` is no key that is known here", help);
    let help = "did you mean `target`?";
    fault("[targets]\ngain = 10\n", "unknown-key", 1, 2, "targets", "`targets` is no key that is known here", help);
}

#[test]
fn wrong_types() {
    fault(
        &with("[resistors]\ntolerance = 0.1\n"),
        "wrong-type",
        4,
        13,
        "0.1",
        "`resistors.tolerance` is a bare number, `0.1`; text with a unit is due",
        "write `\"0.1 %\"`",
    );
    fault(
        &with("[resistors]\nfixed = { R1 = 10000 }\n"),
        "wrong-type",
        4,
        16,
        "10000",
        "`resistors.fixed.R1` is a bare number, `10000`; a resistance as text, or \"open\" is due",
        "write `\"10000 Ω\"`",
    );
    fault(
        &with("[resistors]\nstock = [\"100\", 470]\n"),
        "wrong-type",
        4,
        17,
        "470",
        "`resistors.stock` is a bare number, `470`; text with a unit is due",
        "write `\"470 Ω\"`",
    );
    fault(
        &with("[limits]\nrejection = 90\n"),
        "wrong-type",
        4,
        13,
        "90",
        "`limits.rejection` is a bare number, `90`; a rejection as text is due",
        "write `\"90 dB\"`",
    );
    fault(
        &with("[source]\nfloating = \"yes\"\n"),
        "wrong-type",
        4,
        12,
        "\"yes\"",
        "`source.floating` is text, `\"yes\"`; `true` or `false` is due",
        "",
    );
    fault("target = 100\n", "wrong-type", 1, 10, "100", "`target` is a bare number, `100`; a table is due", "");
    fault(
        &with("[signal]\nbandwidth = 1979-05-27\n"),
        "wrong-type",
        4,
        13,
        "1979-05-27",
        "`signal.bandwidth` is a date, `1979-05-27`; text with a unit is due",
        "write it like `\"1 kHz\"`",
    );
    fault(
        &with("[[resistors.network]]\nmembers = [1]\nmatch = \"1 %\"\n"),
        "wrong-type",
        4,
        12,
        "1",
        "`resistors.network[0].members` holds a bare number, `1`; a designator as text is due",
        "write `\"R1\"`",
    );
}

#[test]
fn quantities_are_marked_where_they_go_wrong() {
    fault(
        &with("[source]\nresistance = \"175 spoons\"\n"),
        "bad-quantity",
        4,
        19,
        "spoons",
        "`source.resistance`: `spoons` is not a unit of a resistance",
        "write a resistance like `4.7 kΩ`",
    );
    fault(
        &with("[source]\nresistance = '175 spoons'\n"),
        "bad-quantity",
        4,
        19,
        "spoons",
        "`source.resistance`: `spoons` is not a unit of a resistance",
        "write a resistance like `4.7 kΩ`",
    );
    // With an escape before it, bytes of the file and of the text differ: the whole value is marked.
    fault(
        &with("[source]\nresistance = \"\\u0031 spoons\"\n"),
        "bad-quantity",
        4,
        14,
        "\"\\u0031 spoons\"",
        "`source.resistance`: `spoons` is not a unit of a resistance",
        "write a resistance like `4.7 kΩ`",
    );
    let range = faults(&with("[signal]\ndifferential = \"18 mV .. -18 mV\"\n"));
    assert_eq!((range[0].code, range[0].line()), ("bad-quantity", 4));
    let bare = faults(&with("[opamp.all]\nrejection = \"100\"\n"));
    let help = bare[0].help.as_deref().expect("help");
    assert!(help.contains("dB") && help.contains(":1"), "{help}");
}

#[test]
fn ranges_write_their_own_message() {
    fault(
        &with("[resistors]\ntolerance = \"100 %\"\n"),
        "out-of-range",
        4,
        13,
        "\"100 %\"",
        "`resistors.tolerance` is `100 %`; it must be at least 0 % and below 100 %",
        "",
    );
    fault(
        &with("[resistors.part.RG]\ntolerance = \"-1 %\"\n"),
        "out-of-range",
        4,
        13,
        "\"-1 %\"",
        "`resistors.part.RG.tolerance` is `-1 %`; it must be at least 0 % and below 100 %",
        "",
    );
    fault("[target]\ngain = 0\n", "out-of-range", 2, 8, "0", "`target.gain` is `0`; it must be above 0", "");
    fault("[target]\ngain = -1.5\n", "out-of-range", 2, 8, "-1.5", "`target.gain` is `-1.5`; it must be above 0", "");
    fault("[target]\ngain = inf\n", "out-of-range", 2, 8, "inf", "`target.gain` is `inf`; it must be above 0", "");
    fault("[target]\ngain = nan\n", "out-of-range", 2, 8, "nan", "`target.gain` is `nan`; it must be above 0", "");
    fault(
        &with("[output]\nadc_bits = 33\nadc_range = \"0 V .. 5 V\"\n"),
        "out-of-range",
        4,
        12,
        "33",
        "`output.adc_bits` is `33`; it must be at least 1 and at most 32",
        "",
    );
    fault(
        &with("[environment]\ntemperature = \"-300 °C .. 70 °C\"\n"),
        "out-of-range",
        4,
        15,
        "\"-300 °C .. 70 °C\"",
        "`environment.temperature` is `-300 °C .. 70 °C`; it must be above -273.15 °C and at most 1000 °C",
        "",
    );
    fault(
        &with("[resistors]\nrange = { RG = \"0 .. 10k\" }\n").replace("0 .. 10k", "0 Ω .. 10 kΩ"),
        "out-of-range",
        4,
        16,
        "\"0 Ω .. 10 kΩ\"",
        "`resistors.range.RG` is `0 Ω .. 10 kΩ`; it must be above 0 Ω",
        "",
    );
    fault(
        &with("[check]\nallow = { gain = \"-1 ppm\" }\n"),
        "out-of-range",
        4,
        18,
        "\"-1 ppm\"",
        "`check.allow.gain` is `-1 ppm`; it must be at least 0",
        "",
    );
}

#[test]
fn text_is_one_plain_line() {
    fault(
        "title = \"a\\nb\"\n[target]\ngain = 1\n",
        "control-character",
        1,
        9,
        "\"a\\nb\"",
        "`title` holds a control character: `a\\nb`",
        "write it in one line of plain text",
    );
    fault(
        &with("[board]\nbom = \"\"\n"),
        "empty-text",
        4,
        7,
        "\"\"",
        "`board.bom` is empty",
        "fill it, or leave the key out",
    );
}

#[test]
fn a_missing_key_names_itself() {
    fault(
        &with("[interference]\namplitude = \"1 V\"\n"),
        "missing-key",
        3,
        2,
        "interference",
        "`interference.frequency` is missing",
        "add `frequency = \"50 Hz\"`: Frequency of the common-mode pick-up.",
    );
    fault(
        &with("[opamp.all]\noutput_swing = { from_negative = \"0 V\" }\n"),
        "missing-key",
        4,
        1,
        "output_swing",
        "`opamp.all.output_swing.from_positive` is missing",
        "add `from_positive = \"0.1 V\"`: Distance from the positive rail; below zero reaches beyond it.",
    );
    fault(
        "",
        "missing-key",
        1,
        1,
        "",
        "`target.gain` is missing: what the circuit has to do",
        "add `[target]` with `gain = 100`, or with `output = \"0.5 V .. 4.5 V\"`",
    );
    fault(
        "[target]\n",
        "missing-key",
        1,
        2,
        "target",
        "`target.gain` is missing: what the circuit has to do",
        "add `[target]` with `gain = 100`, or with `output = \"0.5 V .. 4.5 V\"`",
    );
}

#[test]
fn keys_that_exclude_each_other() {
    let text = "[signal]\ndifferential = \"± 1 mV\"\n[target]\ngain = 10\noutput = \"0 V .. 1 V\"\n";
    fault(
        text,
        "conflict",
        5,
        1,
        "output",
        "`gain` and `output` exclude each other",
        "keep one of `gain` and `output`",
    );
    let text = with("[resistors]\nstock = [\"100\"]\nseries = \"E24\"\n");
    fault(
        &text,
        "conflict",
        5,
        1,
        "series",
        "`series` and `stock` exclude each other",
        "keep one of `series` and `stock`",
    );
}

#[test]
fn all_at_once_in_the_order_of_the_file() {
    let faults = faults(
        "[source]\nresistance = 5\nspoon = 1\n[target]\ngain = -1\n[supply]\npositive = \"1 V\"\nreference = \"2 V\"\n",
    );
    let told: Vec<_> = faults.iter().map(|f| (f.line(), f.code)).collect();
    assert_eq!(told, [(2, "wrong-type"), (3, "unknown-key"), (5, "out-of-range"), (8, "reference-outside")]);
}

#[test]
fn syntax_faults_all_at_once_and_no_false_alarm_beside_them() {
    let faults = faults("[signal\n[source]\nfloating = \nresistance = 175 Ω\nspoon = 1\n[target]\ngain = = 2\n");
    let told: Vec<_> = faults.iter().map(|f| (f.line(), f.code)).collect();
    assert_eq!(
        told,
        [(1, "syntax"), (3, "syntax"), (4, "syntax"), (5, "unknown-key"), (7, "syntax"), (7, "syntax")],
        "{faults:#?}"
    );
    assert_eq!(faults[2].help.as_deref(), Some("text and values with a unit stand in quotes, as `\"4.7 kΩ\"`"));
    let twice = super::faults("[target]\ngain = 1\ngain = 2\n");
    assert_eq!((twice[0].code, twice[0].line()), ("syntax", 3));
}

#[test]
fn size_and_nesting_have_an_end() {
    let long = format!("#{}\n[target]\ngain = 1\n", "x".repeat(1 << 20));
    assert_eq!(faults(&long)[0].code, "too-large");
    let deep = format!("a = {}", "[".repeat(100_000));
    let deep = faults(&deep);
    assert_eq!((deep[0].code, deep[0].line(), deep[0].column()), ("too-deep", 1, 21));
}

#[test]
fn a_mark_and_carriage_returns_are_no_matter() {
    let text = "\u{feff}title = \"Ω\"\r\n[target]\r\ngain = 10\r\n";
    assert_eq!(one(text).question.title, "Ω");
    fault(
        "\u{feff}[target]\r\ngain = 10\r\nspoon = 1\r\n",
        "unknown-key",
        3,
        1,
        "spoon",
        "`spoon` is no key that is known here",
        "known here: gain, output, prefer",
    );
}

#[test]
fn forms_that_mean_the_same() {
    let a = one("target.gain = 10\nresistors = { stock = [\"100\", \"4k7\"], fixed.RF = \"10k\" }\n").question;
    assert_eq!(a.resistors.stock, Stock::Values(vec![100.0, 4700.0]));
    assert_eq!(a.resistors.fixed.keys().copied().collect::<Vec<_>>(), [Designator::RF1, Designator::RF2]);
    let b = one("[target]\ngain = \"10\"\n[yield]\nboards = 1e6\nseed = 0x10\n").question;
    assert_eq!((b.draw.boards, b.draw.seed), (Some(1_000_000), Some(16)));
    let c = one("[target]\ngain = 10.0\n[limits]\nrejection = \"100000:1\"\n[yield]\nboards = \"1M\"\n").question;
    assert_eq!((c.limits.rejection_db, c.draw.boards), (Some(100.0), Some(1_000_000)));
}
