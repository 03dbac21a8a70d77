//! The mutants that cargo-mutants would make, each with a name that moved lines don't change.
use serde::{Deserialize, Serialize};
use std::collections::HashMap;
use std::path::Path;
use std::process::Command;

/// The folders under test.
pub const MODULES: [&str; 7] = ["network", "predict", "corners", "topology", "sizing", "series", "quantity"];

#[derive(Deserialize)]
struct Place {
    line: usize,
    column: usize,
}

#[derive(Deserialize)]
struct Span {
    start: Place,
    end: Place,
}

#[derive(Deserialize)]
struct Function {
    function_name: String,
    return_type: String,
}

#[derive(Deserialize)]
struct Listed {
    file: String,
    function: Option<Function>,
    genre: String,
    name: String,
    replacement: String,
    span: Span,
}

/// One change to one place.
#[derive(Clone, Serialize, Deserialize)]
pub struct Mutant {
    pub id: u32,
    pub file: String,
    pub genre: String,
    pub replacement: String,
    /// Bytes of the file that change.
    pub span: (usize, usize),
    /// Function, what stands there and what is changed: the same wherever the line moves to.
    pub key: String,
    pub line: usize,
    /// Return type hides what is returned, so that nothing else can be returned in its place.
    pub hidden: bool,
    /// The first mutant of the same place; none where it is not built in.
    pub site: Option<u32>,
}

impl Mutant {
    pub fn module(&self) -> &str {
        self.file.split('/').nth(1).unwrap_or_default()
    }
}

fn offset(text: &str, place: &Place) -> usize {
    let line: usize = text.split_inclusive('\n').take(place.line - 1).map(str::len).sum();
    line + text[line..].chars().take(place.column - 1).map(char::len_utf8).sum::<usize>()
}

/// The line around a change, in one spelling of its spaces.
fn code(text: &str, span: (usize, usize)) -> String {
    let start = text[..span.0].rfind('\n').map_or(0, |at| at + 1);
    let end = text[span.0..].find('\n').map_or(text.len(), |at| span.0 + at);
    text[start..end].split_whitespace().collect::<Vec<_>>().join(" ")
}

/// # Panics
/// When cargo-mutants is not there.
pub fn mutants(root: &Path) -> Vec<Mutant> {
    let mut command = Command::new("cargo");
    command.current_dir(root).args(["mutants", "--list", "--json"]);
    for module in MODULES {
        command.args(["-f", &format!("src/{module}/**/*.rs")]);
    }
    let output = command.output().expect("cargo-mutants runs");
    let listed: Vec<Listed> = serde_json::from_slice(&output.stdout).expect("a list in JSON");
    let mut texts = HashMap::new();
    let mut times = HashMap::new();
    let mut all = Vec::new();
    for one in listed {
        let text = texts
            .entry(one.file.clone())
            .or_insert_with(|| std::fs::read_to_string(root.join(&one.file)).expect("a listed file"));
        let span = (offset(text, &one.span.start), offset(text, &one.span.end));
        // `FILE:LINE:COLUMN: replace A with B in FUNCTION`
        let said = one.name.splitn(4, ':').nth(3).unwrap_or_default().trim();
        let function = one.function.as_ref().map_or("", |function| &function.function_name);
        let said = said.strip_suffix(&format!(" in {function}")).unwrap_or(said);
        let key = if one.genre == "FnValue" {
            format!("{function}: value {}", one.replacement)
        } else {
            format!("{function}: {said}: {}", code(text, span))
        };
        let seen = times.entry((one.file.clone(), key.clone())).or_insert(0);
        *seen += 1;
        all.push(Mutant {
            id: 1 + u32::try_from(all.len()).expect("few"),
            key: if *seen == 1 { key } else { format!("{key} #{seen}") },
            file: one.file,
            genre: one.genre,
            replacement: one.replacement,
            span,
            line: one.span.start.line,
            hidden: one.function.is_some_and(|function| function.return_type.contains("impl ")),
            site: None,
        });
    }
    all
}
