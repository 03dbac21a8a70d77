//! `[[channel]]`, and faults that are found late.
use super::{fault, faults, one, spec};
use crate::designator::{Designator, Topology};
use crate::part::Fixed;
use crate::study::{GainWish, StudyFault};

const TWO: &str = r#"
title = "Crane"
[signal]
differential = "± 18 mV"
[target]
gain = 100
[resistors]
fixed = { R1 = "10k", RF = "20k" }
[[channel]]
title = "Hook"
[[channel]]
title = "Boom"
[channel.target]
output = "0.5 V .. 4.5 V"
[channel.resistors]
fixed = { R1 = "22k" }
"#;

#[test]
fn keys_of_a_channel_win_over_the_shared_ones() {
    let spec = spec(TWO);
    assert!(spec.titled);
    let [hook, boom] = &spec.channels[..] else { panic!("two channels") };
    assert_eq!((hook.question.title.as_str(), boom.question.title.as_str()), ("Hook", "Boom"));
    assert_eq!(hook.question.target.gain, GainWish::Ratio(100.0));
    assert_eq!(hook.question.resistors.fixed[&Designator::R1], Fixed::Ohm(10e3));
    // The channel's output takes the shared gain away; its R1 wins, the shared RF stays.
    assert!(matches!(boom.question.target.gain, GainWish::Output(_)));
    assert_eq!(boom.question.resistors.fixed[&Designator::R1], Fixed::Ohm(22e3));
    assert_eq!(boom.question.resistors.fixed[&Designator::RF2], Fixed::Ohm(20e3));
    assert!(!super::spec("[target]\ngain = 1\n").titled);
}

#[test]
fn titles_are_there_and_differ() {
    fault(
        "[target]\ngain = 1\n[[channel]]\ntitle = \"a\"\n[[channel]]\ntitle = \" a \"\n",
        "duplicate-title",
        6,
        9,
        "\" a \"",
        "two channels are called `a`",
        "give every channel a title of its own",
    );
    fault(
        "[target]\ngain = 1\n[[channel]]\n",
        "missing-key",
        3,
        1,
        "[[channel]]",
        "a `[[channel]]` has no `title`",
        "add `title = \"…\"`",
    );
    fault(
        "[target]\ngain = 1\n[[channel]]\ntitle = \"\"\n",
        "empty-text",
        4,
        9,
        "\"\"",
        "`title` is empty".replace("`title`", "`channel[0].title`").as_str(),
        "fill it, or leave the key out",
    );
}

#[test]
fn a_fault_of_what_is_shared_is_told_once() {
    let text =
        "[target]\ngain = 1\n[supply]\npositive = \"-1 V\"\n[[channel]]\ntitle = \"a\"\n[[channel]]\ntitle = \"b\"\n";
    assert_eq!(faults(text).len(), 1);
    let text = "[[channel]]\ntitle = \"a\"\n[channel.target]\ngain = 1\n[[channel]]\ntitle = \"b\"\n";
    let faults = faults(text);
    assert_eq!((faults.len(), faults[0].code), (1, "missing-key"));
}

#[test]
fn what_is_shared_suits_one_channel_at_least() {
    let shared = "[target]\ngain = 10\n[opamp.A3]\noffset = \"1 mV\"\n[[channel]]\ntitle = \"a\"\n[channel.circuit]\ntopology = \"two-op-amp\"\n";
    assert_eq!(faults(shared)[0].code, "not-usable");
    let channels = spec(&format!("{shared}[[channel]]\ntitle = \"b\"\n")).channels;
    assert!(channels[0].question.opamps.is_empty());
    assert_eq!(channels[1].question.opamps.len(), 1);
    let own = format!("{shared}[[channel]]\ntitle = \"b\"\n[channel.chip]\ngain_constant = \"1k\"\n");
    let faults = faults(&own);
    assert_eq!((faults.len(), faults[0].line()), (1, 11));
}

#[test]
fn late_faults_find_their_place() {
    let spec = spec(TWO);
    let late = |key: &str| {
        let fault =
            StudyFault { code: "too-little", key: key.to_owned(), message: "m".to_owned(), help: "h".to_owned() };
        let fault = spec.channels[1].fault(&fault);
        assert_eq!((fault.code, fault.message.as_str(), fault.help.as_deref()), ("too-little", "m", Some("h")));
        (fault.line(), fault.column())
    };
    assert_eq!(late("resistors.fixed.R1"), (16, 16));
    assert_eq!(late("resistors.fixed.RF1"), (8, 28));
    assert_eq!(late("resistors.fixed"), (16, 1));
    assert_eq!(late("target.output"), (14, 10));
    assert_eq!(late("signal.bandwidth"), (3, 2));
    assert_eq!(late("--gain"), (1, 1));
    assert!(spec.channels[0].says("target.gain") && !spec.channels[1].says("target.gain"));
}

#[test]
fn another_topology_for_the_same_requirement() {
    let channel = one(
        "[target]\ngain = 10\n[resistors]\nfixed = { RF = \"10k\" }\ntolerance = \"1 %\"\n[opamp.all]\noffset = \"1 mV\"\n",
    );
    let two = channel.in_topology(Topology::TwoOpAmp).expect("it can");
    assert_eq!((two.topology, two.opamps.len(), two.resistors.fixed.len()), (Topology::TwoOpAmp, 2, 0));
    assert_eq!(two.target, channel.question.target);
    let faults = channel.in_topology(Topology::SingleChip).expect_err("no chip");
    assert_eq!(faults.0[0].code, "missing-key");
    let both = "[target]\ngain = 10\n[opamp.all]\noffset = \"1 mV\"\n[chip]\ngain_constant = \"50k\"\n";
    let spec =
        crate::spec::read_for_every_topology("a.toml", both, &crate::spec::NoFiles).expect("both may stand there");
    assert!(spec.channels[0].question.chip.is_none());
    assert!(spec.channels[0].in_topology(Topology::SingleChip).expect("a chip").chip.is_some());
}
