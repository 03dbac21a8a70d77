use super::complaint::{Complaint, Place, Spot};
use super::streams::Streams;
use crate::spec::Files;
use std::fs::File;
use std::io::{self, Read as _};
use std::path::{Path, PathBuf};
use std::sync::Arc;

/// No spec that a person or a script writes comes near this, in bytes.
const MOST: u64 = 4 << 20;

/// The folder of a spec, and nothing outside it.
pub(super) struct Folder(PathBuf);

impl Folder {
    /// The folder a spec stands in; the working folder where it comes from standard input.
    pub(super) fn of(spec: &Path) -> Self {
        let folder = spec.parent().filter(|folder| !folder.as_os_str().is_empty() && !is_stdin(spec));
        Self(folder.unwrap_or(Path::new(".")).to_path_buf())
    }

    /// The real place of a path, which a link may not lead out of the folder.
    fn inside(&self, path: &str) -> Result<PathBuf, String> {
        let home = self.0.canonicalize().map_err(|fault| fault.to_string())?;
        let place = home.join(path).canonicalize().map_err(|fault| fault.to_string())?;
        if place.starts_with(&home) { Ok(place) } else { Err("it lies outside the folder of the spec".to_owned()) }
    }
}

impl Files for Folder {
    fn read(&self, path: &str) -> Result<String, String> {
        let bytes = File::open(self.inside(path)?).and_then(whole).map_err(|fault| fault.to_string())?;
        String::from_utf8(bytes).map_err(|_| "it is not UTF-8 text".to_owned())
    }

    fn list(&self, folder: &str) -> Result<Vec<String>, String> {
        let entries = self.inside(folder)?.read_dir().map_err(|fault| fault.to_string())?;
        let name = |entry: io::Result<std::fs::DirEntry>| entry.ok()?.file_name().into_string().ok();
        Ok(entries.filter_map(name).collect())
    }
}

/// A spec as it was read: the name people know it by, and its text.
pub(super) struct SpecText {
    pub(super) name: String,
    pub(super) text: String,
}

impl SpecText {
    /// Reads a file that a flag or an argument names, as a bill of materials.
    pub(super) fn of_file(path: &Path, what: &str) -> Result<Self, Complaint> {
        let name = path.display().to_string();
        let bytes = File::open(path).and_then(whole).map_err(|fault| {
            Complaint::new("unreadable-file", format!("`{name}` could not be read: {fault}"))
                .about(&name)
                .help(format!("name {what}"))
        })?;
        match String::from_utf8(bytes) {
            Ok(text) => Ok(Self { name, text }),
            Err(fault) => Err(not_text(name, fault.as_bytes(), fault.utf8_error().valid_up_to())),
        }
    }

    /// Reads a spec from a file or, for `-`, from standard input.
    pub(super) fn read(spec: &Path, streams: &mut Streams<'_>) -> Result<Self, Complaint> {
        let (name, bytes) = if is_stdin(spec) {
            ("standard input".to_owned(), streams.read_stdin(MOST + 1).and_then(sized))
        } else {
            (spec.display().to_string(), File::open(spec).and_then(whole))
        };
        let bytes = bytes.map_err(|fault| {
            Complaint::new("unreadable-file", format!("`{name}` could not be read: {fault}"))
                .about(&name)
                .help("name a spec, or `-` for standard input; `evenkeel new` prints one to start from")
        })?;
        match String::from_utf8(bytes) {
            Ok(text) => Ok(Self { name, text }),
            Err(fault) => Err(not_text(name, fault.as_bytes(), fault.utf8_error().valid_up_to())),
        }
    }
}

fn is_stdin(spec: &Path) -> bool {
    spec.as_os_str() == "-"
}

fn whole(file: File) -> io::Result<Vec<u8>> {
    // most files are read at once
    let mut bytes = Vec::with_capacity(8 << 10);
    file.take(MOST + 1).read_to_end(&mut bytes)?;
    sized(bytes)
}

fn sized(bytes: Vec<u8>) -> io::Result<Vec<u8>> {
    if bytes.len() as u64 > MOST {
        return Err(io::Error::new(io::ErrorKind::InvalidData, "it is larger than 4 MiB"));
    }
    Ok(bytes)
}

fn not_text(name: String, bytes: &[u8], valid: usize) -> Complaint {
    let text: Arc<str> = String::from_utf8_lossy(bytes).into();
    let before = text.get(..valid).unwrap_or_default();
    let line = before.matches('\n').count() + 1;
    let column = before.rsplit('\n').next().unwrap_or_default().chars().count() + 1;
    let span = valid..valid + char::REPLACEMENT_CHARACTER.len_utf8();
    let mut complaint = Complaint::new("not-utf8", format!("`{name}` is not UTF-8 text"))
        .help("save the file as UTF-8; `ohm` and `u` may stand for Ω and µ");
    complaint.label = "not UTF-8 from here".to_owned();
    *complaint.place = Place::File { name, text, at: Some(Spot { span, line, column }) };
    complaint
}
