/// What a spec may read beside itself. Paths are relative to the spec's own folder and never leave it.
pub trait Files {
    /// The text of a file.
    ///
    /// # Errors
    /// Why it can't be read, in words.
    fn read(&self, path: &str) -> Result<String, String>;

    /// The names of the files in a folder, in any order.
    ///
    /// # Errors
    /// Why it can't be listed, in words.
    fn list(&self, folder: &str) -> Result<Vec<String>, String>;
}

/// Nothing beside the spec, as where it comes from standard input.
#[derive(Clone, Copy, Debug, Default)]
pub struct NoFiles;

impl Files for NoFiles {
    fn read(&self, _: &str) -> Result<String, String> {
        Err("no files can be read here".to_owned())
    }
    fn list(&self, _: &str) -> Result<Vec<String>, String> {
        Err("no folders can be read here".to_owned())
    }
}
