use super::key::{Default, Key, Kind, Names, ROOT};
use crate::designator::{Designator, Topology};
use std::fmt::Write as _;

/// A commented starter spec for a topology: what most front ends need is there, the rest of the keys
/// stands commented out.
///
/// ```
/// use evenkeel::{designator::Topology, spec::{NoFiles, read, starter}};
/// let text = starter(Topology::TwoOpAmp);
/// assert!(read("starter.toml", &text, &NoFiles).is_ok());
/// ```
#[must_use]
pub fn starter(topology: Topology) -> String {
    let mut page = Page { topology, out: String::new() };
    let _ = writeln!(page.out, "# A front end in the circuit `{topology}`: put your own values in.");
    page.out.push_str("# A line that begins with `#` and a key is optional: take the `#` away to use it.\n\n");
    for key in ROOT.iter().filter(|key| key.name == "title") {
        page.key(key, true);
    }
    for key in ROOT.iter().filter(|key| !matches!(key.name, "title" | "channel")) {
        page.section(key, key.name);
    }
    page.out.push_str(
        "\n# Several channels in one file: a title and any of the sections above; its keys win over the shared ones.\n",
    );
    page.out.push_str("#[[channel]]\n#title = \"Load pin, starboard side\"\n");
    page.out
}

struct Page {
    topology: Topology,
    out: String,
}

impl Page {
    fn section(&mut self, key: &Key, path: &str) {
        if !key.usable_by(self.topology) {
            return;
        }
        match key.kind {
            Kind::Table(rows) => self.rows(key, &format!("[{path}]"), path, rows),
            Kind::Tables(rows) => self.rows(key, &format!("[[{path}]]"), path, rows),
            Kind::Each(names, one) => {
                if let Kind::Table(rows) = one.kind {
                    let name = self.example_of(names);
                    self.rows(key, &format!("[{path}.{name}]"), path, rows);
                }
            }
            _ => {}
        }
    }

    fn rows(&mut self, key: &Key, heading: &str, path: &str, rows: &'static [Key]) {
        let usable: Vec<&Key> = rows.iter().filter(|row| row.usable_by(self.topology)).collect();
        let (own, below): (Vec<&Key>, Vec<&Key>) = usable.into_iter().partition(|row| !row.sample.is_empty());
        let active = own.iter().any(|row| row.active);
        let hash = if active { "" } else { "#" };
        let _ = writeln!(self.out, "\n# {}\n{hash}{heading}", key.sentence);
        for row in own {
            self.key(row, active);
        }
        for row in below {
            self.section(row, &format!("{path}.{}", row.name));
        }
    }

    fn key(&mut self, key: &Key, section: bool) {
        let hash = if section && key.active { "" } else { "#" };
        let sample = match (key.name, self.topology) {
            ("topology", topology) => format!("\"{topology}\""),
            // A plain difference amplifier is loaded by its source: a shunt suits it, a bridge doesn't.
            ("resistance", Topology::Difference) => "\"0.1 Ω\"".to_owned(),
            ("range", Topology::SingleChip) => "{ RG = \"100 Ω .. 100 kΩ\" }".to_owned(),
            ("fixed" | "designators", Topology::SingleChip) => key.sample.replace("R1", "RG").replace("RG01", "R101"),
            ("imbalance", Topology::Difference) => "\"0.01 Ω\"".to_owned(),
            _ => key.sample.to_owned(),
        };
        let choice = match key.kind {
            Kind::Word(words) => format!(" One of {}.", words.join(", ")),
            _ => String::new(),
        };
        let default = match key.default {
            Default::Value(toml) if toml != key.sample => format!(" Default {}.", toml.trim_matches('"')),
            Default::Rule(words) => format!(" Left out: {words}."),
            _ => String::new(),
        };
        let _ = writeln!(self.out, "# {}{choice}{default}\n{hash}{} = {sample}", key.sentence, key.name);
    }

    fn example_of(&self, names: Names) -> &'static str {
        match names {
            Names::Resistors if self.topology.resistors().contains(&Designator::RG) => "RG",
            Names::Resistors => "R1",
            _ => "all",
        }
    }
}
