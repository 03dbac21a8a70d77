use crate::cli::flag::{self, Flags};
use crate::cli::grammar::Reject;
use crate::cli::{Desk, FINE, NOT_MET, Outcome, Streams};
use crate::designator::Topology;
use crate::quantity::decibels;
use crate::report;
use crate::study::RejectQuestion;

pub(super) fn run(args: &Reject, desk: &Desk, streams: &mut Streams<'_>) -> Outcome {
    let mut flags = Flags::default();
    let question = question(args, &mut flags);
    let wish = flags.checked(args.output.wish());
    let (question, wish) = flags.settled(question.zip(wish))?;
    let answer = (desk.reject)(&question).map_err(|fault| flags.blame(&fault))?;
    wish.deliver(&report::reject(&answer), streams).map_err(|told| vec![told])?;
    Ok(if answer.need.is_some_and(|need| !need.reachable) { NOT_MET } else { FINE })
}

fn question(args: &Reject, flags: &mut Flags) -> Option<RejectQuestion> {
    flags.only_for(&flag::STAGE_TWO_GAIN, args.stage_two_gain.as_deref(), args.topology, &[Topology::ThreeOpAmp]);
    let gain = flags.value(&flag::GAIN, &args.gain);
    let tolerance = flags.option(&flag::TOLERANCE, args.tolerance.as_deref());
    let match_fraction = flags.option(&flag::MATCH, args.matched.as_deref());
    let opamp_rejection = flags.option(&flag::OPAMP_REJECTION, args.opamp_rejection.as_deref());
    let stage_two_gain = flags.option(&flag::STAGE_TWO_GAIN, args.stage_two_gain.as_deref());
    let need = flags.option(&flag::NEED, args.need.as_deref());
    Some(RejectQuestion {
        topology: args.topology,
        gain: gain?,
        tolerance,
        match_fraction,
        opamp_rejection,
        stage_two_gain: stage_two_gain.unwrap_or(1.0),
        need_db: need.map(decibels),
    })
}
