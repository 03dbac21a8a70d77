//! Argument grammar, files, terminal, snippets with carets, exit status.
//!
//! [`run`] is the whole program behind streams that are handed to it, so that a test needs no
//! process. Standard output carries the answer, standard error everything else.
mod command;
mod complaint;
mod desk;
mod flag;
mod folder;
mod found;
mod grammar;
mod interrupt;
mod json;
mod output;
mod progress;
mod snippet;
mod streams;

pub use desk::{Desk, YieldStudy};
pub use streams::Streams;

use clap::Parser as _;
use clap::error::ErrorKind;
use complaint::Complaint;
use grammar::Invocation;
use std::ffi::OsString;

/// Answered, and every limit is met.
const FINE: u8 = 0;
/// Answered, and a limit is missed, or no value can do it.
const NOT_MET: u8 = 1;
/// Not answered: flags, file or spec.
const UNANSWERED: u8 = 2;

/// Interrupted; what there is so far was told, marked as partial.
const INTERRUPTED: u8 = 130;

/// What a command comes to: an exit status, or why there is no answer.
type Outcome = Result<u8, Vec<Complaint>>;

/// Runs with the arguments and streams of this process, and returns its exit status.
#[must_use]
pub fn run_process() -> u8 {
    Streams::of_process(|streams| run(std::env::args_os(), streams))
}

/// Runs one command: `args` as the shell hands them over, the name of the program first.
///
/// Returns 0 when the question was answered and every limit is met, 1 when it was answered and
/// something is not met, 2 when it could not be answered, 130 when it was interrupted.
///
/// ```
/// use evenkeel::cli::{Streams, run};
///
/// let (mut answer, mut rest) = (Vec::new(), Vec::new());
/// let mut streams = Streams::new(std::io::empty(), &mut answer, &mut rest);
/// let status = run(["evenkeel", "series", "E96", "--near", "4k8"].map(Into::into), &mut streams);
/// drop(streams);
/// assert_eq!(status, 0);
/// assert!(String::from_utf8_lossy(&answer).contains("4.75 kΩ"));
/// assert!(rest.is_empty());
/// ```
pub fn run(args: impl IntoIterator<Item = OsString>, streams: &mut Streams<'_>) -> u8 {
    run_at(&Desk::default(), args, streams)
}

/// [`run`] with the studies given, for tests of this room alone.
pub fn run_at(desk: &Desk, args: impl IntoIterator<Item = OsString>, streams: &mut Streams<'_>) -> u8 {
    let args: Vec<OsString> = args.into_iter().collect();
    let outcome = match Invocation::try_parse_from(&args) {
        Ok(invocation) => command::run(&invocation.command, desk, streams),
        Err(refusal) => match refusal.kind() {
            ErrorKind::DisplayHelp | ErrorKind::DisplayVersion => {
                streams.answer(&refusal.render().to_string()).map(|()| FINE).map_err(|told| vec![told])
            }
            ErrorKind::DisplayHelpOnMissingArgumentOrSubcommand if !grammar::asks_for_json(&args) => {
                streams.tell(&refusal.render().to_string());
                Ok(UNANSWERED)
            }
            _ => Err(vec![Complaint::of_grammar(&refusal)]),
        },
    };
    outcome.unwrap_or_else(|complaints| {
        let told = if grammar::asks_for_json(&args) {
            json::told(&complaints)
        } else {
            snippet::told(&complaints, streams.stderr_is_terminal)
        };
        streams.tell(&told);
        UNANSWERED
    })
}
