//! Mutation testing in one build: see "Mutants" in DEVELOPERS.md.
mod copy;
mod list;
mod run;
mod sites;
mod told;
mod weave;

use std::path::PathBuf;

fn main() {
    let root = PathBuf::from(env!("CARGO_MANIFEST_DIR")).join("..").canonicalize().expect("the crate's folder");
    let arguments: Vec<String> = std::env::args().skip(1).collect();
    let words: Vec<&str> = arguments.iter().map(String::as_str).collect();
    let place = root.join("target/mutants");
    match words.as_slice() {
        ["build"] => {
            let copy = copy::Copy::new(&root);
            let mut mutants = list::mutants(&root);
            let programs = copy.weave(&mut mutants);
            run::save(&place.join("mutants.json"), &mutants);
            run::save(&place.join("programs.json"), &programs);
        }
        ["reach"] => run::reach(&place),
        ["run", seconds, only @ ..] => run::run(&place, seconds.parse().expect("seconds a mutant"), only),
        ["told"] => told::told(&root, &place, false),
        ["told", "--open"] => told::told(&root, &place, true),
        _ => {
            eprintln!("build | reach | run SECONDS [MODULE...] | told [--open]");
            std::process::exit(2);
        }
    }
}
