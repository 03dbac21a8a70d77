use super::chosen::Read;
use crate::cli::grammar::Trim;
use crate::cli::{Desk, FINE, NOT_MET, Outcome, Streams};
use crate::report;

pub(super) fn run(args: &Trim, desk: &Desk, streams: &mut Streams<'_>) -> Outcome {
    let wish = args.output.wish().map_err(|told| vec![told])?;
    let read = Read::new(&args.spec, streams)?;
    let channel = read.channel()?;
    let answer = match (desk.trim)(&channel.question) {
        Ok(answer) => answer,
        Err(fault) => return read.unanswered(("evenkeel.trim.v1", channel), &fault, &wish, streams),
    };
    wish.deliver(&report::trim(&answer), streams).map_err(|told| vec![told])?;
    Ok(if answer.gain.is_none() && answer.rejection.is_none() { NOT_MET } else { FINE })
}
