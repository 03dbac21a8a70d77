//! What one key says about another.
use super::{fault, faults, one};
use crate::study::{GainWish, Span};

fn with(rest: &str) -> String {
    format!("[target]\ngain = 10\n{rest}")
}

#[test]
fn the_reference_lies_within_the_supplies() {
    fault(
        &with("[supply]\npositive = \"5 V\"\nreference = \"6 V\"\n"),
        "reference-outside",
        5,
        13,
        "\"6 V\"",
        "`supply.reference` is 6 V; it must lie within the supplies, 0 V .. 5 V",
        "give a voltage from 0 V to 5 V",
    );
    fault(
        &with("[supply]\npositive = \"5 V\"\nreference = \"-1 mV\"\n"),
        "reference-outside",
        5,
        13,
        "\"-1 mV\"",
        "`supply.reference` is -1 mV; it must lie within the supplies, 0 V .. 5 V",
        "give a voltage from 0 V to 5 V",
    );
    assert_eq!(one(&with("[supply]\npositive = \"5 V\"\nreference = \"5 V\"\n")).question.reference_v, Some(5.0));
    assert_eq!(one(&with("[supply]\nreference = \"1 V\"\n")).question.supply, None);
}

#[test]
fn supplies_stand_the_right_way_up() {
    let help = "`positive` is the upper rail; a negative supply is written `negative = \"-5 V\"`";
    fault(
        &with("[supply]\npositive = \"5 V\"\nnegative = \"5 V\"\n"),
        "supplies",
        4,
        12,
        "\"5 V\"",
        "the positive supply, 5 V, is not above the negative one, 5 V",
        help,
    );
    fault(
        &with("[supply]\npositive = \"-5 V\"\n"),
        "supplies",
        4,
        12,
        "\"-5 V\"",
        "the positive supply, -5 V, is not above the negative one, 0 V",
        help,
    );
    fault(
        &with("[supply]\nripple = \"1 mV\"\n"),
        "missing-key",
        4,
        10,
        "\"1 mV\"",
        "`supply.ripple` is given, but `supply.positive` is missing",
        "add `positive = \"5 V\"` to `[supply]`",
    );
}

#[test]
fn each_leg_stays_above_zero() {
    let help = "each leg is `resistance` plus or minus half the imbalance";
    fault(
        &with("[source]\nresistance = \"1 Ω\"\nimbalance = \"2 Ω\"\n"),
        "imbalance",
        5,
        13,
        "\"2 Ω\"",
        "`source.imbalance` is 2 Ω; it must be below twice the resistance of a leg, 2 Ω",
        help,
    );
    fault(
        &with("[source]\nimbalance = \"2 Ω\"\n"),
        "imbalance",
        4,
        13,
        "\"2 Ω\"",
        "`source.imbalance` is 2 Ω; it must be below twice the resistance of a leg, 0 Ω",
        help,
    );
    one(&with("[source]\nresistance = \"1 Ω\"\nimbalance = \"1.999 Ω\"\n"));
    one(&with("[source]\nimbalance = \"0 Ω\"\n"));
}

#[test]
fn an_output_range_needs_a_signal() {
    let good = "[signal]\ndifferential = \"± 18 mV\"\n[target]\noutput = \"0.5 V .. 4.5 V\"\n";
    assert_eq!(one(good).question.target.gain, GainWish::Output(Span { low: 0.5, high: 4.5 }));
    fault(
        "[target]\noutput = \"0.5 V .. 4.5 V\"\n",
        "missing-key",
        2,
        10,
        "\"0.5 V .. 4.5 V\"",
        "`target.output` needs `signal.differential`, which is missing: the gain is one span over the other",
        "add `differential = \"-18 mV .. 18 mV\"` to `[signal]`, or give `gain`",
    );
    fault(
        "[signal]\ndifferential = \"18 mV\"\n[target]\noutput = \"0.5 V .. 4.5 V\"\n",
        "empty-range",
        2,
        16,
        "\"18 mV\"",
        "`signal.differential` is the one point 18 mV, which can't fill an output range",
        "write both ends, as `\"-18 mV .. 18 mV\"`, or give `target.gain`",
    );
    fault(
        "[signal]\ndifferential = \"± 18 mV\"\n[target]\noutput = \"4.5 V\"\n",
        "empty-range",
        4,
        10,
        "\"4.5 V\"",
        "`target.output` has no width",
        "write both ends, as `\"0.5 V .. 4.5 V\"`",
    );
    fault(
        &format!("{good}[supply]\nreference = \"0 V\"\n"),
        "reference-outside",
        6,
        13,
        "\"0 V\"",
        "the reference, 0 V, lies outside `target.output`, 500 mV .. 4.5 V",
        "give a reference inside it, or leave it out: one that fits is chosen",
    );
    fault(
        &with("[output]\nadc_bits = 12\nadc_range = \"5 V\"\n"),
        "empty-range",
        5,
        13,
        "\"5 V\"",
        "`output.adc_range` has no width",
        "write both ends, as `\"0 V .. 5 V\"`",
    );
}

#[test]
fn what_a_topology_cant_use() {
    fault(
        &with("[chip]\ngain_constant = \"50k\"\n"),
        "not-usable",
        3,
        2,
        "chip",
        "`chip` can't be used by the topology `three-op-amp`",
        "it belongs to `single-chip`; leave it out, or choose such a topology in `[circuit]`",
    );
    let two = "[circuit]\ntopology = \"two-op-amp\"\n";
    fault(
        &with(&format!("{two}[opamp.A3]\n")),
        "not-usable",
        5,
        8,
        "A3",
        "`two-op-amp` has no A3",
        "it has all, A1, A2",
    );
    fault(
        &with(&format!("{two}stage_two_gain = 2\n")),
        "not-usable",
        5,
        1,
        "stage_two_gain",
        "`circuit.stage_two_gain` can't be used by the topology `two-op-amp`",
        "it belongs to `three-op-amp`; leave it out, or choose such a topology in `[circuit]`",
    );
    let known = "it has RG, R1, R2, R3, R4";
    for (text, line, column) in [
        ("[resistors]\nfixed = { RF1 = \"1k\" }\n", 6, 11),
        ("[resistors]\nrange = { RF1 = \"1k .. 2k\" }\n", 6, 11),
        ("[resistors.part.RF1]\n", 5, 17),
        ("[board]\ndesignators = { RF1 = \"R1\" }\n", 6, 17),
    ] {
        fault(&with(&format!("{two}{text}")), "not-usable", line, column, "RF1", "`two-op-amp` has no RF1", known);
    }
    fault(
        &with(&format!("{two}[[resistors.network]]\nmembers = [\"R1\", \"RF1\"]\nmatch = \"1 %\"\n")),
        "not-usable",
        6,
        18,
        "\"RF1\"",
        "`two-op-amp` has no RF1",
        known,
    );
    fault(
        &with("[circuit]\ntopology = \"difference\"\n[strays]\nrg_resistance = \"1 Ω\"\n"),
        "not-usable",
        6,
        1,
        "rg_resistance",
        "`strays.rg_resistance` can't be used by the topology `difference`",
        "it belongs to `three-op-amp`, `two-op-amp`, `single-chip`; leave it out, or choose such a topology in `[circuit]`",
    );
    let chip = "[circuit]\ntopology = \"single-chip\"\n[chip]\ngain_constant = \"50k\"\n";
    assert_eq!(faults(&with(&format!("{chip}[opamp.all]\n")))[0].code, "not-usable");
    let pair = faults(&with("[resistors]\nfixed = { R5 = \"1k\", R6 = \"1k\" }\n"));
    assert_eq!(pair.iter().map(|f| (f.code, f.column())).collect::<Vec<_>>(), [("not-usable", 11), ("not-usable", 22)]);
}

#[test]
fn a_chip_where_one_is_due() {
    fault(
        &with("[circuit]\ntopology = \"single-chip\"\n"),
        "missing-key",
        4,
        12,
        "\"single-chip\"",
        "`[chip]` is missing: `single-chip` is described by its gain law",
        "add `[chip]` with `gain_constant = \"50k\"`",
    );
    let text = with(
        "[circuit]\ntopology = \"single-chip\"\n[chip]\ngain_constant = \"50k\"\nrejection = [{ gain = 1, at = \"80 dB\" }, { gain = 1, at = \"90 dB\" }]\n",
    );
    fault(
        &text,
        "duplicate-gain",
        7,
        51,
        "1",
        "`chip.rejection` has two entries at gain 1",
        "keep one entry for each gain",
    );
}
