use super::chosen::Read;
use crate::cli::grammar::Compare;
use crate::cli::{Desk, FINE, NOT_MET, Outcome, Streams};
use crate::designator::Topology;
use crate::report;
use crate::spec::Channel;
use crate::study::Contender;

pub(super) fn run(args: &Compare, desk: &Desk, streams: &mut Streams<'_>) -> Outcome {
    let wish = args.output.wish().map_err(|told| vec![told])?;
    let read = Read::for_every_topology(&args.spec, streams)?;
    let channel = read.channel()?;
    let contenders: Vec<Contender> = Topology::ALL.into_iter().map(|topology| contender(channel, topology)).collect();
    let answer = (desk.compare)(&channel.question, &contenders);
    wish.deliver(&report::compare(&answer), streams).map_err(|told| vec![told])?;
    Ok(if answer.any_met() { FINE } else { NOT_MET })
}

/// The requirement in one topology, or what the spec lacks for it.
fn contender(channel: &Channel, topology: Topology) -> Contender {
    let asked = channel.in_topology(topology).map_err(|faults| {
        let told: Vec<String> = faults.0.iter().map(|fault| fault.message.clone()).collect();
        told.join("; ")
    });
    (topology, asked)
}
