use crate::cli::flag::{self, Flags};
use crate::cli::grammar::Size;
use crate::cli::{Desk, FINE, NOT_MET, Outcome, Streams};
use crate::report;
use crate::study::{SizeQuestion, Stock};

/// Tolerance of values at hand, about which no series says anything.
const STOCK_TOLERANCE: f64 = 0.01;

pub(super) fn run(args: &Size, desk: &Desk, streams: &mut Streams<'_>) -> Outcome {
    let mut flags = Flags::default();
    let question = question(args, &mut flags);
    let wish = flags.checked(args.output.wish());
    let (question, wish) = flags.settled(question.zip(wish))?;
    let answer = (desk.size)(&question).map_err(|fault| flags.blame(&fault))?;
    wish.deliver(&report::size(&answer), streams).map_err(|told| vec![told])?;
    Ok(if answer.made { FINE } else { NOT_MET })
}

fn question(args: &Size, flags: &mut Flags) -> Option<SizeQuestion> {
    let stock = args.stock.as_deref().map(|list| Stock::Values(flags.list(&flag::STOCK, list)));
    let customary = if stock.is_some() { STOCK_TOLERANCE } else { args.series.customary_tolerance() };
    let gain = flags.value(&flag::SIZE_GAIN, &args.gain);
    let feedback_ohm = flags.option(&flag::FEEDBACK, args.feedback.as_deref());
    let tolerance = flags.option(&flag::TOLERANCE, args.tolerance.as_deref());
    let chip_constant_ohm = flags.option(&flag::CHIP_CONSTANT, args.chip_constant.as_deref());
    let base_gain = flags.option(&flag::BASE_GAIN, args.base_gain.as_deref());
    let stage_two_gain = flags.option(&flag::STAGE_TWO_GAIN, args.stage_two_gain.as_deref());
    Some(SizeQuestion {
        topology: args.topology,
        gain: gain?,
        feedback_ohm,
        stock: stock.unwrap_or(Stock::Series(args.series)),
        tolerance: tolerance.unwrap_or(customary),
        parts: args.parts,
        side: args.side.into(),
        chip_constant_ohm,
        base_gain: base_gain.unwrap_or(1.0),
        stage_two_gain: stage_two_gain.unwrap_or(1.0),
    })
}
