//! No input reaches a panic, and every fault has a place inside its text.
use super::Shelf;
use super::examples::{BATTERY_SHUNT, GEOPHONE, HOOK_LOAD, LOW_DRIFT};
use crate::designator::Topology;
use crate::spec::{read, starter};
use crate::study::StudyFault;
use proptest::prelude::*;
use std::collections::BTreeMap;

fn bear(text: &str) {
    let shelf = Shelf(BTreeMap::from([("parts/low-drift.toml", LOW_DRIFT)]));
    match read("a.toml", text, &shelf) {
        Ok(spec) => {
            for channel in &spec.channels {
                let late = StudyFault {
                    code: "c",
                    key: "resistors.fixed.RG".into(),
                    message: String::new(),
                    help: String::new(),
                };
                assert!(channel.fault(&late).column() >= 1);
                for topology in Topology::ALL {
                    let _ = channel.in_topology(topology);
                }
            }
        }
        Err(faults) => {
            assert!(!faults.0.is_empty());
            for fault in &faults.0 {
                assert!(fault.line() >= 1 && fault.column() >= 1 && !fault.message.is_empty());
                assert!(!fault.message.contains(['\n', '\u{1b}']), "{:?}", fault.message);
                if let Some(span) = &fault.span {
                    assert!(fault.text.get(span.clone()).is_some(), "{span:?}");
                }
            }
        }
    }
}

fn texts() -> Vec<String> {
    let mut out: Vec<String> =
        [HOOK_LOAD, BATTERY_SHUNT, GEOPHONE, include_str!("contract.toml")].map(str::to_owned).to_vec();
    out.extend(Topology::ALL.map(starter));
    out
}

proptest! {
    #![proptest_config(ProptestConfig { cases: 400, failure_persistence: None, ..ProptestConfig::default() })]

    #[test]
    fn changed_bytes(which in 0_usize..9, changes in prop::collection::vec((any::<prop::sample::Index>(), any::<u8>()), 1..6)) {
        let mut bytes = texts()[which].clone().into_bytes();
        for (at, byte) in changes {
            let at = at.index(bytes.len());
            bytes[at] = byte;
        }
        bear(&String::from_utf8_lossy(&bytes));
    }

    #[test]
    fn cut_and_joined(which in 0_usize..9, other in 0_usize..9, a in any::<prop::sample::Index>(), b in any::<prop::sample::Index>()) {
        let (one, two) = (&texts()[which], &texts()[other]);
        let one: String = one.chars().take(a.index(one.len())).collect();
        let two: String = two.chars().skip(b.index(two.len())).collect();
        bear(&(one + &two));
    }

    #[test]
    fn values_exchanged(which in 0_usize..9, line in any::<prop::sample::Index>(), value in prop_oneof![
        Just("\"\"".to_owned()), Just("[]".to_owned()), Just("{}".to_owned()), Just("1e999".to_owned()), Just("-nan".to_owned()),
        Just("99999999999999999999".to_owned()), Just("[[1], {a = 1}]".to_owned()), Just("1979-05-27T07:32:00Z".to_owned()),
        Just("'''\n1 k\nΩ'''".to_owned()), Just("\"\\u001b[31m\"".to_owned()), Just("\"\\U0001F600 µ\"".to_owned()), "\"[ -!#-~µΩ√°±]{0,12}\"",
    ]) {
        let text = &texts()[which];
        let mut lines: Vec<String> = text.lines().map(str::to_owned).collect();
        let at = line.index(lines.len());
        if let Some((key, _)) = lines[at].clone().split_once('=') {
            lines[at] = format!("{key}= {value}");
        }
        bear(&lines.join("\n"));
    }

    #[test]
    fn any_text(text in "(?s).{0,300}") {
        bear(&text);
    }
}
