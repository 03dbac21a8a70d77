use super::chosen::Read;
use crate::cli::flag::{self, Flags};
use crate::cli::grammar::Gains;
use crate::cli::{Desk, FINE, NOT_MET, Outcome, Streams};
use crate::designator::Topology;
use crate::report;
use crate::study::Form;

pub(super) fn run(args: &Gains, desk: &Desk, streams: &mut Streams<'_>) -> Outcome {
    let mut flags = Flags::default();
    let gains = flags.list(&flag::GAINS, &args.gains);
    let wish = flags.checked(args.output.wish());
    let wish = flags.settled(wish)?;
    let read = Read::new(&args.spec, streams)?;
    let channel = read.channel()?;
    let customary = if channel.question.topology == Topology::ThreeOpAmp { Form::Tapped } else { Form::Separate };
    let form = args.form.map_or(customary, Form::from);
    let answer = match (desk.gains)(&channel.question, &gains, form) {
        Ok(answer) => answer,
        Err(fault) => return read.unanswered(("evenkeel.gains.v1", channel), &fault, &wish, streams),
    };
    wish.deliver(&report::switched(&answer), streams).map_err(|told| vec![told])?;
    Ok(if answer.met() { FINE } else { NOT_MET })
}
