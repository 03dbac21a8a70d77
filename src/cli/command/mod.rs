//! What each command does, a file a command.
mod against;
mod batch;
mod channel;
mod check;
mod chosen;
mod compare;
mod design;
mod explain;
mod gains;
mod new;
mod plain;
mod reject;
mod series;
mod size;
mod trim;
mod verify;
mod yields;

use super::grammar::Command;
use super::{Desk, Outcome, Streams};

pub(super) fn run(command: &Command, desk: &Desk, streams: &mut Streams<'_>) -> Outcome {
    match command {
        Command::Size(args) => size::run(args, desk, streams),
        Command::Reject(args) => reject::run(args, desk, streams),
        Command::Design(args) => design::run(args, desk, streams),
        Command::Compare(args) => compare::run(args, desk, streams),
        Command::Trim(args) => trim::run(args, desk, streams),
        Command::Gains(args) => gains::run(args, desk, streams),
        Command::Batch(args) => batch::run(args, desk, streams),
        Command::Check(args) => check::run(args, desk, streams),
        Command::Verify(args) => verify::run(args, desk, streams),
        Command::Yield(args) => yields::run(args, desk, streams),
        Command::Explain(args) => explain::run(args, desk, streams),
        Command::Series(args) => series::run(args, streams),
        Command::New(args) => new::run(args, streams),
        Command::Schema(args) => plain::schema(args, streams),
        Command::Completions(args) => plain::completions(args, streams),
        Command::Man(args) => plain::man(args, streams),
    }
}
