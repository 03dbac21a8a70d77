use super::chosen::Read;
use crate::cli::grammar::Trim;
use crate::cli::{Desk, FINE, NOT_MET, Outcome, Streams};
use crate::report;

pub(super) fn run(args: &Trim, desk: &Desk, streams: &mut Streams<'_>) -> Outcome {
    let wish = args.output.wish().map_err(|told| vec![told])?;
    let read = Read::new(&args.spec, streams)?;
    let channel = read.channel()?;
    let answer = (desk.trim)(&channel.question).map_err(|fault| vec![channel.fault(&fault).into()])?;
    wish.deliver(&report::trim(&answer), streams).map_err(|told| vec![told])?;
    Ok(if answer.gain.is_none() && answer.rejection.is_none() { NOT_MET } else { FINE })
}
