//! The counts, and the survivors against the list of those explained.
use crate::list::{MODULES, Mutant};
use crate::run::{load, results};
use std::collections::{BTreeMap, HashSet};
use std::path::Path;

type Explained = BTreeMap<String, BTreeMap<String, String>>;

/// Prints counts by module, survivors without a reason, and reasons without a survivor.
pub fn told(root: &Path, place: &Path, open: bool) {
    let mutants: Vec<Mutant> = load(&place.join("mutants.json"));
    let found = results(place);
    let text = std::fs::read_to_string(root.join("mutants/survivors.toml")).expect("the list");
    let explained: Explained = toml::from_str(&text).expect("a list in TOML");
    let mut needed = HashSet::new();
    println!("| module | mutants | not built | killed | timed out | explained | open | not run |");
    println!("| --- | --- | --- | --- | --- | --- | --- | --- |");
    let mut left = Vec::new();
    for module in MODULES {
        let mut counts = BTreeMap::<&str, usize>::new();
        for mutant in mutants.iter().filter(|mutant| mutant.module() == module) {
            let state =
                found.get(&format!("{}\t{}", mutant.file, mutant.key)).map_or("unrun", |found| found.0.as_str());
            let reason = explained
                .get(&mutant.file)
                .and_then(|file| file.get(&mutant.key))
                .filter(|why| !why.starts_with("open"));
            let state = match (mutant.site, state) {
                (None, _) => "not built",
                (_, "killed" | "timeout") => state,
                (_, "unrun") => state,
                (_, _) if reason.is_some() => "explained",
                _ => {
                    left.push((mutant, state));
                    "open"
                }
            };
            needed.extend((state == "explained" || state == "open").then_some((&mutant.file, &mutant.key)));
            *counts.entry(state).or_default() += 1;
        }
        let count = |state| counts.get(state).copied().unwrap_or_default();
        let all: usize = counts.values().sum();
        let (not, killed, time) = (count("not built"), count("killed"), count("timeout"));
        println!(
            "| {module} | {all} | {not} | {killed} | {time} | {} | {} | {} |",
            count("explained"),
            count("open"),
            count("unrun")
        );
    }
    if open {
        left.iter().for_each(|(mutant, state)| println!("{state}: {}:{} {}", mutant.file, mutant.line, mutant.key));
    }
    for (file, reasons) in &explained {
        for key in reasons.keys().filter(|key| !needed.contains(&(file, *key))) {
            println!("a reason without a survivor: {file}: {key}");
        }
    }
}
