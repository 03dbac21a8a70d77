use super::channel::{Channel, Spec, title};
use super::fault::{Fault, Faults};
use super::files::Files;
use super::key::{Level, ROOT};
use super::part_file::PartFiles;
use super::place::Document;
use super::rules::{self, Case};
use super::tree::{Table, Value};
use super::vary::{self, Setting};
use super::walk::{Walk, printable};
use super::{syntax, usable};
use crate::designator::Topology;
use std::sync::Arc;

/// Reads a spec: `name` is what people know the file by, `text` what stands in it.
///
/// # Errors
/// [`Faults`]: everything that is wrong with it and with the part files it names, at once.
///
/// ```
/// use evenkeel::spec::{NoFiles, read};
/// let spec = read("a.toml", "[target]\ngain = 100\n", &NoFiles)?;
/// assert_eq!(spec.channels.len(), 1);
///
/// let faults = read("a.toml", "[target]\ngian = 100\n", &NoFiles).unwrap_err();
/// assert_eq!((faults.0[0].line(), faults.0[0].column()), (2, 1));
/// assert_eq!(faults.0[0].help.as_deref(), Some("did you mean `gain`?"));
/// # Ok::<(), evenkeel::spec::Faults>(())
/// ```
pub fn read(name: &str, text: &str, files: &dyn Files) -> Result<Spec, Faults> {
    spec(name, text, files, true, &[])
}

/// Reads a spec for a comparison: sections of other topologies may stand in it.
///
/// # Errors
/// As [`read`].
pub fn read_for_every_topology(name: &str, text: &str, files: &dyn Files) -> Result<Spec, Faults> {
    spec(name, text, files, false, &[])
}

/// Reads a spec in which keys are set from outside: they win over all that the file says.
///
/// # Errors
/// As [`read`], and where a list of tables that a setting speaks of is not there.
///
/// ```
/// use evenkeel::spec::{NoFiles, Setting, read_with};
///
/// let text = "[target]\ngain = 100\n";
/// let set = |value: &str| [Setting { key: "target.gain".to_owned(), value: value.to_owned() }];
/// assert!(read_with("s.toml", text, &NoFiles, &set("20")).is_ok());
/// assert!(read_with("s.toml", text, &NoFiles, &set("-20")).is_err());
/// ```
pub fn read_with(name: &str, text: &str, files: &dyn Files, settings: &[Setting]) -> Result<Spec, Faults> {
    spec(name, text, files, !vary::changes_circuit(settings), settings)
}

fn spec(name: &str, text: &str, files: &dyn Files, strict: bool, settings: &[Setting]) -> Result<Spec, Faults> {
    let document = Document::new(name, text);
    let mut faults = Vec::new();
    let toml = syntax::parse(&document, &mut faults);
    let broken = !faults.is_empty();
    let Some(toml) = toml else { return Err(Faults::sorted(faults)) };
    let root = Walk { document: &document, faults: &mut faults }.table(toml.get_ref(), Level::Rows(ROOT), "");
    if broken {
        // What could not be parsed may hold what seems to be missing: nothing beyond the tables is checked.
        return Err(Faults::sorted(without_echoes(faults)));
    }
    let mut cut = cut(root, &document, &mut faults);
    for tree in &mut cut.merged {
        faults.extend(settings.iter().filter_map(|setting| vary::lacking(tree, &document, setting)));
        settings.iter().for_each(|setting| vary::set(tree, setting));
    }
    if strict {
        usable::check(&cut.shared, &cut.own, &mut faults);
    }
    let mut parts = PartFiles::new(name, files);
    let mut channels = Vec::new();
    for tree in cut.merged {
        let topology = topology(&tree);
        let amps = parts.amps(&tree, &mut faults);
        rules::check(&mut Case { tree: &tree, topology, document: &document, faults: &mut faults });
        channels.push((tree, amps, topology));
    }
    if !faults.is_empty() {
        return Err(Faults::sorted(faults));
    }
    let channels = channels
        .into_iter()
        .map(|(tree, amps, topology)| Channel::new(document.clone(), tree, amps, topology))
        .collect();
    Ok(Spec { channels, titled: cut.titled })
}

/// Drops what was found in values that the parser made up to go on after a syntax fault.
fn without_echoes(faults: Vec<Fault>) -> Vec<Fault> {
    let lines: Vec<usize> = faults.iter().filter(|fault| fault.code == "syntax").map(Fault::line).collect();
    let made_up =
        |fault: &Fault| fault.span.as_ref().is_none_or(|span| span.is_empty()) || lines.contains(&fault.line());
    faults.into_iter().filter(|fault| fault.code == "syntax" || !made_up(fault)).collect()
}

/// A spec cut into its channels.
struct Cut {
    /// What stands outside the channels.
    shared: Table,
    /// What each channel says itself, with the topology that holds for it.
    own: Vec<(Table, Topology)>,
    /// Each channel with the shared keys under its own.
    merged: Vec<Table>,
    titled: bool,
}

fn cut(mut root: Table, document: &Arc<Document>, faults: &mut Vec<Fault>) -> Cut {
    let Some(list) = root.0.remove("channel") else {
        let own = vec![(Table::default(), topology(&root))];
        return Cut { merged: vec![root.clone()], shared: root, own, titled: false };
    };
    let Value::Tables(channels) = list.value else {
        return Cut { shared: Table::default(), own: Vec::new(), merged: Vec::new(), titled: true };
    };
    let mut out = Cut { shared: root, own: Vec::new(), merged: Vec::new(), titled: true };
    let mut titles: Vec<String> = Vec::new();
    for (at, own) in channels {
        match title(&at, &own) {
            (place, Some(name)) if titles.iter().any(|other| other == name.trim()) => faults.push(
                Fault::at(place, "duplicate-title", format!("two channels are called `{}`", printable(name.trim())))
                    .label("taken already")
                    .help("give every channel a title of its own"),
            ),
            (_, Some(name)) => titles.push(name.trim().to_owned()),
            (place, None) if !own.has("title") => faults.push(
                Fault::at(place, "missing-key", "a `[[channel]]` has no `title`")
                    .label("no title")
                    .help("add `title = \"…\"`"),
            ),
            _ => {}
        }
        let mut merged = out.shared.clone();
        merged.lay(&own, Level::Rows(ROOT));
        out.own.push((own, topology(&merged)));
        out.merged.push(merged);
    }
    if out.merged.is_empty() && faults.is_empty() {
        faults.push(Fault::of(document, "empty-list", "the spec has no channel"));
    }
    out
}

/// The topology of a channel; the default where it is wrong, which has been told.
fn topology(tree: &Table) -> Topology {
    tree.text("circuit.topology").and_then(|name| name.parse().ok()).unwrap_or(Topology::ThreeOpAmp)
}
