use crate::cli::complaint::Complaint;
use crate::spec::{Channel, Spec};

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
