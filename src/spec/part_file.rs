//! Part files: the op amps that `from` and `candidates` name.
use super::fault::Fault;
use super::files::Files;
use super::key::{Level, PART_FILE};
use super::place::{Document, Place};
use super::syntax;
use super::tree::{Entry, Table, Value};
use super::walk::Walk;
use crate::designator::Amp;
use std::collections::BTreeMap;

/// Every op amp's keys, part files laid under them.
#[derive(Clone, Debug, Default, PartialEq)]
pub(crate) struct Amps {
    /// By op amp, with `from` resolved.
    pub(crate) own: BTreeMap<Amp, Table>,
    /// The same for each candidate.
    pub(crate) candidates: Vec<BTreeMap<Amp, Table>>,
}

/// Reads part files, each once.
pub(crate) struct PartFiles<'f> {
    files: &'f dyn Files,
    folder: String,
    read: BTreeMap<String, Option<Table>>,
}

impl<'f> PartFiles<'f> {
    /// `spec` is the name of the spec; part files are shown beside it.
    pub(crate) fn new(spec: &str, files: &'f dyn Files) -> Self {
        let folder = spec.rfind(['/', '\\']).map_or("", |end| &spec[..=end]).to_owned();
        Self { files, folder, read: BTreeMap::new() }
    }

    /// The op amps of one channel's tree.
    pub(crate) fn amps(&mut self, tree: &Table, faults: &mut Vec<Fault>) -> Amps {
        let level = Level::Rows(PART_FILE);
        let mut out = Amps::default();
        let mut merged = BTreeMap::new();
        for amp in [Amp::A1, Amp::A2, Amp::A3] {
            let own = tree.table(&format!("opamp.{amp}"));
            let Some(mut keys) = tree.table("opamp.all").or(own).cloned() else { continue };
            if let Some(own) = own {
                keys.lay(own, level);
            }
            let base = keys.entry("from").cloned().and_then(|from| self.from(&from, faults));
            merged.insert(amp, keys.clone());
            out.own.insert(amp, over(base, &keys));
        }
        for base in self.candidates(tree, faults) {
            // An op amp that names its own part file is decided.
            let with = |(amp, keys): (&Amp, &Table)| {
                let decided = keys.has("from").then(|| out.own.get(amp).cloned()).flatten();
                (*amp, decided.unwrap_or_else(|| over(Some(base.clone()), keys)))
            };
            out.candidates.push(merged.iter().map(with).collect());
        }
        out
    }

    fn from(&mut self, from: &Entry, faults: &mut Vec<Fault>) -> Option<Table> {
        let Value::Text(path) = &from.value else { return None };
        self.file(path, &from.at, faults)
    }

    fn candidates(&mut self, tree: &Table, faults: &mut Vec<Fault>) -> Vec<Table> {
        let Some(entry) = tree.entry("opamp.all.candidates") else { return Vec::new() };
        let Value::Text(folder) = &entry.value else { return Vec::new() };
        let mut names = match self.files.list(folder) {
            Ok(names) => names,
            Err(reason) => {
                faults.push(
                    Fault::at(&entry.at, "part-file", format!("can't list `{folder}`: {reason}"))
                        .label("not a folder that can be read")
                        .help("name a folder of part files beside or below the spec"),
                );
                return Vec::new();
            }
        };
        names.retain(|name| name.ends_with(".toml"));
        names.sort();
        if names.is_empty() {
            faults.push(
                Fault::at(&entry.at, "part-file", format!("no part files in `{folder}`"))
                    .label("no part files here")
                    .help("a part file ends in `.toml`"),
            );
        }
        let folder = folder.trim_end_matches(['/', '\\']);
        names.iter().filter_map(|name| self.file(&format!("{folder}/{name}"), &entry.at, faults)).collect()
    }

    fn file(&mut self, path: &str, at: &Place, faults: &mut Vec<Fault>) -> Option<Table> {
        if let Some(read) = self.read.get(path) {
            return read.clone();
        }
        let table = match self.files.read(path) {
            Ok(text) => Some(self.parse(path, &text, faults)),
            Err(reason) => {
                faults.push(
                    Fault::at(at, "part-file", format!("can't read `{path}`: {reason}"))
                        .label("not a file that can be read")
                        .help("name a part file beside or below the spec, as `parts/low-drift.toml`"),
                );
                None
            }
        };
        self.read.insert(path.to_owned(), table.clone());
        table
    }

    fn parse(&self, path: &str, text: &str, faults: &mut Vec<Fault>) -> Table {
        let document = Document::new(&format!("{}{path}", self.folder), text);
        let Some(toml) = syntax::parse(&document, faults) else { return Table::default() };
        let mut table = Walk { document: &document, faults }.table(toml.get_ref(), Level::Rows(PART_FILE), "");
        let name = path.rsplit(['/', '\\']).next().unwrap_or(path).trim_end_matches(".toml").to_owned();
        let start = document.at(0..0);
        let title = Entry { key: start.clone(), at: start, value: Value::Text(name) };
        table.0.entry("title".to_owned()).or_insert(title);
        table
    }
}

fn over(base: Option<Table>, keys: &Table) -> Table {
    let mut out = base.unwrap_or_default();
    out.lay(keys, Level::Rows(PART_FILE));
    out
}
