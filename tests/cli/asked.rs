//! Asks the command line as a shell would, and expects silence on standard error unless told otherwise.
use crate::fixture;
use evenkeel::cli::{Desk, Streams, run_at};
use serde_json::Value;
use std::ffi::OsString;

pub(crate) struct Ask {
    args: Vec<OsString>,
    stdin: String,
    terminal: bool,
    desk: Desk,
}

pub(crate) struct Told {
    pub(crate) status: u8,
    pub(crate) stdout: String,
    pub(crate) stderr: String,
}

/// The arguments in one line, split at spaces.
pub(crate) fn ask(line: &str) -> Ask {
    Ask { args: line.split_whitespace().map(Into::into).collect(), ..Ask::default() }
}

impl Default for Ask {
    fn default() -> Self {
        Self { args: Vec::new(), stdin: String::new(), terminal: false, desk: desk() }
    }
}

/// Stand-ins for the studies that are composed elsewhere: what comes out is the fixture.
fn desk() -> Desk {
    Desk {
        reject: |question| Ok(fixture::reject(question.need_db.map(|db| db < 100.0))),
        design: |question, sweep| {
            let mut design = fixture::design(&question.title);
            design.met = question.limits.rejection_db.is_none_or(|db| db < 91.0);
            if let Some(span) = sweep {
                design.rejection.sweep.retain(|at| (span.low..=span.high).contains(&at.hz));
            }
            Ok(design)
        },
        ..Desk::default()
    }
}

impl Ask {
    /// One more argument, spaces and all.
    pub(crate) fn arg(mut self, arg: impl Into<OsString>) -> Self {
        self.args.push(arg.into());
        self
    }
    /// More arguments in one line, split at spaces.
    pub(crate) fn args(mut self, line: &str) -> Self {
        self.args.extend(line.split_whitespace().map(OsString::from));
        self
    }
    pub(crate) fn stdin(mut self, text: &str) -> Self {
        text.clone_into(&mut self.stdin);
        self
    }
    pub(crate) fn on_a_terminal(mut self) -> Self {
        self.terminal = true;
        self
    }
    pub(crate) fn desk(mut self, desk: Desk) -> Self {
        self.desk = desk;
        self
    }

    pub(crate) fn run(self) -> Told {
        let (mut stdout, mut stderr) = (Vec::new(), Vec::new());
        let mut streams = Streams::new(self.stdin.as_bytes(), &mut stdout, &mut stderr);
        streams.stdout_is_terminal = self.terminal;
        streams.stderr_is_terminal = self.terminal;
        let args = std::iter::once("evenkeel".into()).chain(self.args);
        let status = run_at(&self.desk, args, &mut streams);
        drop(streams);
        let text = |bytes| String::from_utf8(bytes).expect("output is UTF-8");
        Told { status, stdout: text(stdout), stderr: text(stderr) }
    }

    /// Answered with this status; standard error stays silent.
    pub(crate) fn answers(self, status: u8) -> String {
        let told = self.run();
        assert_eq!((told.status, told.stderr.as_str()), (status, ""), "stdout: {}", told.stdout);
        narrow(&told.stdout);
        told.stdout
    }

    /// Answered as JSON of this schema.
    pub(crate) fn answers_json(self, status: u8, schema: &str) -> Value {
        let told = self.arg("--format").arg("json").run();
        assert_eq!((told.status, told.stderr.as_str()), (status, ""), "stdout: {}", told.stdout);
        assert!(told.stdout.starts_with(&format!("{{\n  \"schema\": \"{schema}\",")), "{}", told.stdout);
        serde_json::from_str(&told.stdout).expect("the answer is JSON")
    }

    /// Not answered: nothing on standard output, the reason on standard error.
    pub(crate) fn refuses(self) -> String {
        let told = self.run();
        assert_eq!((told.status, told.stdout.as_str()), (2, ""), "stderr: {}", told.stderr);
        narrow(&told.stderr);
        told.stderr
    }

    /// Not answered: the errors as the contract's object.
    pub(crate) fn refuses_json(self) -> Vec<Value> {
        let told = self.arg("--format").arg("json").run();
        assert_eq!((told.status, told.stdout.as_str()), (2, ""), "stderr: {}", told.stderr);
        let object: Value = serde_json::from_str(&told.stderr).expect("errors are JSON");
        assert_eq!(object["schema"], "evenkeel.error.v1");
        let errors = object["errors"].as_array().expect("a list").clone();
        assert!(!errors.is_empty());
        for error in &errors {
            let keys: Vec<&str> = error.as_object().expect("an object").keys().map(String::as_str).collect();
            assert_eq!(keys, ["code", "column", "file", "help", "line", "message"]);
        }
        errors
    }
}

/// No line is wider than a terminal of 80 columns.
pub(crate) fn narrow(text: &str) {
    for line in text.lines() {
        assert!(line.chars().count() <= 80, "{} columns: {line}", line.chars().count());
        assert_eq!(line, line.trim_end(), "space at the end of a line");
    }
}
