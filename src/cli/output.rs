//! Where the answer goes and in which format.
use super::complaint::Complaint;
use super::streams::Streams;
use crate::report::{Document, Paint};
use std::io::{self, Write as _};
use std::path::{Path, PathBuf};

/// How an answer is written.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) enum Format {
    Text,
    Json,
    Markdown,
    Html,
    Csv,
}

impl Format {
    /// What a document is written in.
    pub(super) const ALL: [Self; 4] = [Self::Text, Self::Json, Self::Markdown, Self::Html];
    /// Every one that some command knows.
    pub(super) const EVERY: [Self; 5] = [Self::Text, Self::Json, Self::Markdown, Self::Html, Self::Csv];

    pub(super) const fn name(self) -> &'static str {
        match self {
            Self::Text => "text",
            Self::Json => "json",
            Self::Markdown => "markdown",
            Self::Csv => "csv",
            Self::Html => "html",
        }
    }

    /// Whether the answer is kept, and shows its proof: bench sheet and working.
    pub(super) const fn is_kept(self) -> bool {
        matches!(self, Self::Markdown | Self::Html)
    }

    /// The format a file's name speaks of.
    fn of_name(path: &Path) -> Option<Self> {
        match path.extension() {
            None => Some(Self::Text),
            Some(end) => match end.to_str()?.to_ascii_lowercase().as_str() {
                "txt" | "text" => Some(Self::Text),
                "json" => Some(Self::Json),
                "md" | "markdown" => Some(Self::Markdown),
                "csv" => Some(Self::Csv),
                "html" | "htm" => Some(Self::Html),
                _ => None,
            },
        }
    }
}

/// What a command was asked to write, and where.
#[derive(Clone, Debug)]
pub(super) struct Wish {
    format: Format,
    out: Option<PathBuf>,
    pictures: Option<PathBuf>,
}

impl Wish {
    /// `known` are the formats the command writes. Without a format the name of the file decides.
    pub(super) fn new(format: Option<Format>, out: Option<&Path>, known: &[Format]) -> Result<Self, Complaint> {
        let named = out.map(Format::of_name);
        let format = match (format, named) {
            (Some(format), _) => format,
            (None, None) => Format::Text,
            (None, Some(Some(format))) if known.contains(&format) => format,
            (None, Some(_)) => {
                let name = out.unwrap_or(Path::new("")).display().to_string();
                let known: Vec<&str> = known.iter().map(|format| format.name()).collect();
                return Err(Complaint::new(
                    "unknown-format",
                    format!("the name `{name}` tells no format of this command"),
                )
                .at_flag("--out", &name)
                .help(format!("add `--format {}`", known.join("` or `--format "))));
            }
        };
        Ok(Self { format, out: out.map(Path::to_path_buf), pictures: None })
    }

    /// The same with a folder for the pictures, which only markdown keeps apart.
    pub(super) fn pictures(self, folder: Option<&Path>) -> Result<Self, Complaint> {
        match folder {
            Some(folder) if self.format != Format::Markdown => {
                let message = format!("`--pictures` is for markdown, and this is {}", self.format.name());
                Err(Complaint::new("pictures-without-markdown", message)
                    .at_flag("--pictures", &folder.display().to_string())
                    .help("add `--format markdown`; a page in html holds its pictures itself"))
            }
            _ => Ok(Self { pictures: folder.map(Path::to_path_buf), ..self }),
        }
    }

    /// Writes the document.
    pub(super) fn deliver(&self, document: &Document, streams: &mut Streams<'_>) -> Result<(), Complaint> {
        let paint = if self.out.is_none() && streams.stdout_is_terminal { Paint::Styled } else { Paint::Plain };
        let text = match self.format {
            Format::Text | Format::Csv => document.to_text(paint),
            Format::Json => document.to_json(),
            Format::Markdown => {
                let folder =
                    self.pictures.as_deref().map(|folder| drawn(document, folder).map(|()| self.beside(folder)));
                document.to_markdown(folder.transpose()?.as_deref())
            }
            Format::Html => document.to_html(),
        };
        self.write(&text, streams)
    }

    /// The folder of the pictures as the written document finds it.
    fn beside(&self, folder: &Path) -> String {
        let home = self.out.as_deref().and_then(Path::parent).filter(|home| !home.as_os_str().is_empty());
        let within = home.and_then(|home| folder.strip_prefix(home).ok()).unwrap_or(folder);
        let within = if within.as_os_str().is_empty() { Path::new(".") } else { within };
        within.display().to_string().trim_end_matches(['/', '\\']).to_owned()
    }

    /// Writes a text as it stands, unless JSON was asked for.
    pub(super) fn deliver_raw(
        &self,
        text: &str,
        document: &Document,
        streams: &mut Streams<'_>,
    ) -> Result<(), Complaint> {
        match self.format {
            Format::Json => self.write(&document.to_json(), streams),
            Format::Text | Format::Markdown | Format::Html | Format::Csv => self.write(text, streams),
        }
    }

    pub(super) const fn format(&self) -> Format {
        self.format
    }

    pub(super) const fn writes_a_file(&self) -> bool {
        self.out.is_some()
    }

    pub(super) fn write(&self, text: &str, streams: &mut Streams<'_>) -> Result<(), Complaint> {
        match &self.out {
            None => streams.answer(text),
            Some(path) => written(path, text, "--out"),
        }
    }
}

/// Writes a file that a flag names.
pub(super) fn written(path: &Path, text: &str, flag: &str) -> Result<(), Complaint> {
    replace(path, text).map_err(|fault| {
        let name = path.display().to_string();
        Complaint::new("write-failed", format!("`{name}` could not be written: {fault}"))
            .at_flag(flag, &name)
            .help("name a file in a folder that exists and may be written to")
    })
}

/// Writes every picture of a document into a folder, which is made where it is missing.
fn drawn(document: &Document, folder: &Path) -> Result<(), Complaint> {
    let told = |fault: io::Error| {
        let name = folder.display().to_string();
        Complaint::new("write-failed", format!("the pictures could not be written to `{name}`: {fault}"))
            .at_flag("--pictures", &name)
            .help("name a folder that may be written to")
    };
    std::fs::create_dir_all(folder).map_err(told)?;
    for picture in document.pictures() {
        replace(&folder.join(picture.file_name()), &picture.to_svg()).map_err(told)?;
    }
    Ok(())
}

/// Puts a file in place as a whole: either the new text is there or whatever was there before.
pub(super) fn replace(path: &Path, text: &str) -> io::Result<()> {
    let target = std::fs::canonicalize(path).unwrap_or_else(|_| path.to_path_buf());
    let before = std::fs::metadata(&target).ok();
    if before.as_ref().is_some_and(|file| !file.is_file()) {
        return std::fs::OpenOptions::new().write(true).open(&target)?.write_all(text.as_bytes());
    }
    let folder = target.parent().filter(|folder| !folder.as_os_str().is_empty()).unwrap_or(Path::new("."));
    let mut file = begun(folder)?;
    file.write_all(text.as_bytes())?;
    file.as_file().sync_all()?;
    if let Some(before) = before {
        if before.permissions().readonly() {
            return Err(io::Error::new(io::ErrorKind::PermissionDenied, "it is read-only"));
        }
        file.as_file().set_permissions(before.permissions())?;
    }
    file.persist(&target).map_err(|fault| fault.error)?;
    Ok(())
}

/// A new file beside the one that is to be replaced, as open as any other new file.
fn begun(folder: &Path) -> io::Result<tempfile::NamedTempFile> {
    let mut builder = tempfile::Builder::new();
    builder.prefix(".evenkeel-");
    #[cfg(unix)]
    {
        use std::os::unix::fs::PermissionsExt as _;
        builder.permissions(std::fs::Permissions::from_mode(0o666));
    }
    builder.tempfile_in(folder)
}
