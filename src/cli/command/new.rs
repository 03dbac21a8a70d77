use crate::cli::flag::Flags;
use crate::cli::grammar::New;
use crate::cli::{FINE, Outcome, Streams};
use crate::report;
use crate::spec;

pub(super) fn run(args: &New, streams: &mut Streams<'_>) -> Outcome {
    let mut flags = Flags::default();
    let wish = flags.checked(args.output.raw_wish());
    let wish = flags.settled(wish)?;
    let starter = spec::starter(args.topology);
    wish.deliver_raw(&starter, &report::starter(args.topology, &starter), streams).map_err(|told| vec![told])?;
    Ok(FINE)
}
