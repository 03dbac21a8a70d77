use crate::cli::complaint::Complaint;
use crate::cli::flag::{self, Flags};
use crate::cli::folder::{Folder, SpecText};
use crate::cli::grammar::Design;
use crate::cli::{Desk, FINE, NOT_MET, Outcome, Streams};
use crate::report;
use crate::spec::{self, Channel, Spec};

pub(super) fn run(args: &Design, desk: &Desk, streams: &mut Streams<'_>) -> Outcome {
    let mut flags = Flags::default();
    let sweep = flags.range(&flag::SWEEP, args.sweep.as_deref());
    let wish = flags.checked(args.output.wish());
    let wish = flags.settled(wish)?;
    let SpecText { name, text } = SpecText::read(&args.spec, streams).map_err(|told| vec![told])?;
    let spec = spec::read(&name, &text, &Folder::of(&args.spec)).map_err(Complaint::of_faults)?;
    let channel = channel(&spec, &name, args.channel.as_deref()).map_err(|told| vec![told])?;
    let design = (desk.design)(&channel.question, sweep).map_err(|fault| vec![channel.fault(&fault).into()])?;
    wish.deliver(&report::design(&design), streams).map_err(|told| vec![told])?;
    Ok(if design.met { FINE } else { NOT_MET })
}

/// The one channel that is meant.
pub(super) fn channel<'s>(spec: &'s Spec, name: &str, wanted: Option<&str>) -> Result<&'s Channel, Complaint> {
    let titles: Vec<&str> = spec.channels.iter().map(|channel| channel.question.title.trim()).collect();
    let listed = format!("its channels: `{}`", titles.join("`, `"));
    match (wanted, spec.channels.as_slice()) {
        (None, [only]) => Ok(only),
        (None, _) => Err(Complaint::new("several-channels", format!("`{name}` has several channels, and one is due"))
            .about(name)
            .help(format!("add `--channel TITLE`; {listed}"))),
        (Some(wanted), channels) => {
            let at = titles.iter().position(|title| *title == wanted.trim());
            let missing = || {
                let message = format!("`{name}` has no channel `{wanted}`");
                let help =
                    if spec.titled { listed.clone() } else { "leave `--channel` out: the spec has none".to_owned() };
                Complaint::new("unknown-channel", message).at_flag("--channel", wanted).help(help)
            };
            at.and_then(|at| channels.get(at)).ok_or_else(missing)
        }
    }
}
