use super::channel::channel;
use crate::cli::complaint::Complaint;
use crate::cli::flag::{self, Flags};
use crate::cli::folder::{Folder, SpecText};
use crate::cli::grammar::Design;
use crate::cli::{Desk, FINE, NOT_MET, Outcome, Streams};
use crate::report;
use crate::spec;

pub(super) fn run(args: &Design, desk: &Desk, streams: &mut Streams<'_>) -> Outcome {
    let mut flags = Flags::default();
    let sweep = flags.range(&flag::SWEEP, args.sweep.as_deref());
    let wish = flags.checked(args.output.wish());
    let wish = flags.settled(wish)?;
    let SpecText { name, text } = SpecText::read(&args.spec, streams).map_err(|told| vec![told])?;
    let spec = spec::read(&name, &text, &Folder::of(&args.spec)).map_err(Complaint::of_faults)?;
    let channel = channel(&spec, &name, args.channel.as_deref()).map_err(|told| vec![told])?;
    let design = (desk.design)(&channel.question, sweep).map_err(|fault| vec![channel.fault(&fault).into()])?;
    wish.deliver(&report::design(&design).answering(text), streams).map_err(|told| vec![told])?;
    Ok(if design.met { FINE } else { NOT_MET })
}
