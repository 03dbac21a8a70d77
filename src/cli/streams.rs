use super::complaint::Complaint;
use anstream::{AutoStream, ColorChoice};
use std::io::{self, ErrorKind, Read, Write};

/// The streams a command reads from and writes to.
pub struct Streams<'a> {
    stdin: Box<dyn Read + 'a>,
    stdout: Box<dyn Write + 'a>,
    stderr: Box<dyn Write + 'a>,
    /// The answer goes to a terminal that takes colour.
    pub stdout_is_terminal: bool,
    /// The rest goes to a terminal that takes colour.
    pub stderr_is_terminal: bool,
}

impl<'a> Streams<'a> {
    /// Streams that are no terminals.
    pub fn new(stdin: impl Read + 'a, stdout: impl Write + 'a, stderr: impl Write + 'a) -> Self {
        Self {
            stdin: Box::new(stdin),
            stdout: Box::new(stdout),
            stderr: Box::new(stderr),
            stdout_is_terminal: false,
            stderr_is_terminal: false,
        }
    }

    /// Lends the streams of this process; whoever asks for no colour in the environment gets none.
    pub(super) fn of_process(work: impl FnOnce(&mut Streams<'_>) -> u8) -> u8 {
        let (stdout, stderr) = (io::stdout().lock(), io::stderr().lock());
        let colours = (AutoStream::choice(&stdout), AutoStream::choice(&stderr));
        let (stdout, stderr) = (AutoStream::new(stdout, colours.0), AutoStream::new(stderr, colours.1));
        let mut streams = Streams::new(io::stdin(), stdout, stderr);
        streams.stdout_is_terminal = colours.0 != ColorChoice::Never;
        streams.stderr_is_terminal = colours.1 != ColorChoice::Never;
        work(&mut streams)
    }

    /// Writes the answer. A reader who has closed the pipe has seen enough, which is no fault.
    pub(super) fn answer(&mut self, text: &str) -> Result<(), Complaint> {
        let written = self.stdout.write_all(text.as_bytes()).and_then(|()| self.stdout.flush());
        match written {
            Err(fault) if fault.kind() != ErrorKind::BrokenPipe => {
                Err(Complaint::new("write-failed", format!("the answer could not be written: {fault}")))
            }
            _ => Ok(()),
        }
    }

    /// Writes a part of the answer; false where the reader has closed the pipe.
    pub(super) fn answer_part(&mut self, text: &str) -> Result<bool, Complaint> {
        match self.stdout.write_all(text.as_bytes()) {
            Err(fault) if fault.kind() == ErrorKind::BrokenPipe => Ok(false),
            Err(fault) => Err(Complaint::new("write-failed", format!("the answer could not be written: {fault}"))),
            Ok(()) => Ok(true),
        }
    }

    /// Writes to standard error, where a failure can be told to nobody.
    pub(super) fn tell(&mut self, text: &str) {
        let _ = self.stderr.write_all(text.as_bytes()).and_then(|()| self.stderr.flush());
    }

    /// Reads all of standard input, but no more than so many bytes.
    pub(super) fn read_stdin(&mut self, most: u64) -> io::Result<Vec<u8>> {
        let mut bytes = Vec::new();
        (&mut self.stdin).take(most).read_to_end(&mut bytes)?;
        Ok(bytes)
    }
}
