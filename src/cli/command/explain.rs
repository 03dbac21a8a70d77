use super::chosen::Read;
use crate::cli::complaint::Complaint;
use crate::cli::flag::{self, Flags};
use crate::cli::grammar::Explain;
use crate::cli::{Desk, FINE, Outcome, Streams};
use crate::quantity::decibels;
use crate::report;
use crate::study::explain::{self, Topic, Wanted};

pub(super) fn run(args: &Explain, desk: &Desk, streams: &mut Streams<'_>) -> Outcome {
    let mut flags = Flags::default();
    let topic = args.figure.as_deref().and_then(|name| flags.checked(topic(name)));
    let measured = flags.option(&flag::MEASURED, args.measured.as_deref());
    if let (Some(text), Some(topic)) = (&args.measured, topic)
        && topic != Topic::Rejection
    {
        let message = format!("`--measured` says nothing about `{topic}`");
        let help = "ask for `rejection`, or leave it out";
        flags.complain::<()>(Complaint::new("useless-flag", message).at_flag("--measured", text).help(help));
    }
    let wish = flags.checked(args.output.wish());
    let wish = flags.settled(wish)?;
    let read = Read::new(&args.spec, streams)?;
    let channel = read.channel()?;
    let wanted = Wanted { topic, measured_db: measured.map(decibels) };
    let lesson = match (desk.explain)(&channel.question, wanted) {
        Ok(lesson) => lesson,
        Err(fault) => return read.unanswered(("evenkeel.explain.v1", channel), &fault, &wish, streams),
    };
    wish.deliver(&report::explain(&lesson), streams).map_err(|told| vec![told])?;
    Ok(FINE)
}

fn topic(name: &str) -> Result<Topic, Complaint> {
    name.parse().map_err(|fault: explain::UnknownTopic| {
        Complaint::new("unknown-figure", format!("`{name}` is no figure that has a working"))
            .at_flag("explain", name)
            .help(format!("one of these would be right: {}", fault.known))
    })
}
