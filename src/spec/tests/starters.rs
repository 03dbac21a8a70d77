use super::{Shelf, one};
use crate::designator::Topology;
use crate::spec::{read, starter};
use std::collections::BTreeMap;

#[test]
fn a_starter_reads_as_it_is_and_is_of_its_topology() {
    for topology in Topology::ALL {
        let q = one(&starter(topology)).question;
        assert_eq!(q.topology, topology);
        assert!(q.limits.rejection_db.is_some() && q.supply.is_some());
    }
}

/// Each optional section and key, with the `#` taken away, is right as it stands.
#[test]
fn every_line_that_is_commented_out_can_be_used() {
    let shelf = Shelf(BTreeMap::from([("parts/low-drift.toml", "offset = \"3 mV\"\n")]));
    for topology in Topology::ALL {
        let text = starter(topology);
        let lines: Vec<&str> = text.lines().collect();
        let mut tried = 0;
        for (i, line) in lines.iter().enumerate() {
            let Some(setting) = line.strip_prefix('#').filter(|rest| !rest.starts_with([' ', '['])) else { continue };
            let header = lines[..i].iter().rposition(|line| line.trim_start_matches('#').starts_with('[')).unwrap_or(0);
            let whole = lines[header].starts_with("#[");
            let key = setting.split(" = ").next().expect("a key");
            let excluded = match key {
                "output" => "gain = ",
                "stock" => "series = ",
                _ => "\n",
            };
            let edited: String = lines
                .iter()
                .enumerate()
                .map(|(j, line)| match line.strip_prefix('#') {
                    _ if line.starts_with(excluded) => "\n".to_owned(),
                    // A section that is commented out as a whole is used as a whole.
                    Some(rest)
                        if j == i
                            || whole && j >= header && !rest.starts_with(' ') && section_of(&lines, j) == header =>
                    {
                        format!("{rest}\n")
                    }
                    _ => format!("{line}\n"),
                })
                .collect();
            let read = read("starter.toml", &edited, &shelf);
            assert!(read.is_ok() || key == "candidates", "{topology}: {setting}\n{}", read.expect_err("faults"));
            tried += 1;
        }
        assert!(tried > 40, "{tried}");
    }
}

fn section_of(lines: &[&str], at: usize) -> usize {
    lines[..=at].iter().rposition(|line| line.trim_start_matches('#').starts_with('[')).unwrap_or(0)
}
