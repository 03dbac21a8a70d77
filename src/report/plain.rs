use super::{Document, Record, Value, Verdict};

/// A text that the program makes of itself, for scripts that ask for JSON.
#[must_use]
pub fn plain(command: &str, shell: Option<&str>, text: &str) -> Document {
    let mut body = Record::new();
    if let Some(shell) = shell {
        body.push("shell", "shell", Value::Text(Some(shell.to_owned())));
    }
    body.text("text", "text", text);
    let schema = if command == "man" { "evenkeel.man.v1" } else { "evenkeel.completions.v1" };
    Document::new(schema, Verdict::plain(""), body)
}
