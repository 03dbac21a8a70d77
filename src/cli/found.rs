use super::complaint::Complaint;
use std::path::{Path, PathBuf};

/// The specs that files, folders and patterns stand for, in the order they are named; those of a
/// folder and of a pattern sorted by name. A file that is named twice is taken twice.
pub(super) fn specs(named: &[PathBuf]) -> Result<Vec<PathBuf>, Vec<Complaint>> {
    let (mut all, mut complaints) = (Vec::new(), Vec::new());
    for path in named {
        match one(path) {
            Ok(found) if all.is_empty() => all = found,
            Ok(found) => all.extend(found),
            Err(told) => complaints.push(told),
        }
    }
    if complaints.is_empty() { Ok(all) } else { Err(complaints) }
}

fn one(path: &Path) -> Result<Vec<PathBuf>, Complaint> {
    if path.is_dir() {
        return folder(path);
    }
    let pattern = path.to_str().filter(|text| text.contains(['*', '?', '[']) && !path.exists());
    let Some(pattern) = pattern else { return Ok(vec![path.to_path_buf()]) };
    let fault = |why: String| {
        Complaint::new("no-files", format!("`{pattern}`: {why}")).about(pattern).help("name specs, folders or patterns")
    };
    let matches = glob::glob(pattern).map_err(|why| fault(why.msg.to_owned()))?;
    let found: Vec<PathBuf> = matches.flatten().filter(|path| path.is_file()).collect();
    if found.is_empty() { Err(fault("no file has such a name".to_owned())) } else { Ok(found) }
}

/// The `.toml` files that stand directly in a folder.
fn folder(path: &Path) -> Result<Vec<PathBuf>, Complaint> {
    let name = path.display().to_string();
    let entries = path.read_dir().map_err(|fault| {
        Complaint::new("unreadable-file", format!("`{name}` could not be listed: {fault}")).about(&name)
    })?;
    let is_spec = |path: &PathBuf| path.extension().is_some_and(|end| end == "toml") && path.is_file();
    let mut found: Vec<PathBuf> = entries.filter_map(|entry| Some(entry.ok()?.path())).filter(is_spec).collect();
    found.sort_unstable();
    found.shrink_to_fit();
    if found.is_empty() {
        return Err(Complaint::new("no-files", format!("there are no specs in the folder `{name}`"))
            .about(&name)
            .help("a spec ends in `.toml`; folders below it are not searched"));
    }
    Ok(found)
}
