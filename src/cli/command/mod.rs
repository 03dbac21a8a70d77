//! What each command does, a file a command.
mod channel;
mod design;
mod explain;
mod new;
mod reject;
mod series;
mod size;

use super::grammar::Command;
use super::{Desk, Outcome, Streams};

pub(super) fn run(command: &Command, desk: &Desk, streams: &mut Streams<'_>) -> Outcome {
    match command {
        Command::Size(args) => size::run(args, desk, streams),
        Command::Reject(args) => reject::run(args, desk, streams),
        Command::Design(args) => design::run(args, desk, streams),
        Command::Explain(args) => explain::run(args, streams),
        Command::Series(args) => series::run(args, streams),
        Command::New(args) => new::run(args, streams),
    }
}
