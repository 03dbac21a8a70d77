//! What is made of the program itself: schema, completions, manual.
use crate::cli::complaint::Complaint;
use crate::cli::flag::Flags;
use crate::cli::grammar::{Answer, Completions, Invocation, Man, Schema};
use crate::cli::{FINE, Outcome, Streams};
use crate::report;
use crate::spec;
use clap::CommandFactory as _;

const NAME: &str = "evenkeel";

pub(super) fn schema(args: &Schema, streams: &mut Streams<'_>) -> Outcome {
    let text = serde_json::to_string_pretty(&spec::schema()).map(|text| text + "\n").unwrap_or_default();
    // A schema is JSON, whatever format is asked for.
    deliver(&args.output, "schema", None, &text, streams)
}

pub(super) fn completions(args: &Completions, streams: &mut Streams<'_>) -> Outcome {
    let mut bytes = Vec::new();
    clap_complete::generate(args.shell, &mut Invocation::command(), NAME, &mut bytes);
    deliver(&args.output, "completions", Some(&args.shell.to_string()), &String::from_utf8_lossy(&bytes), streams)
}

pub(super) fn man(args: &Man, streams: &mut Streams<'_>) -> Outcome {
    let page = pages().map_err(|fault| vec![Complaint::new("write-failed", fault.to_string())])?;
    deliver(&args.output, "man", None, &String::from_utf8_lossy(&page), streams)
}

/// The page of the program with those of its commands behind it.
fn pages() -> std::io::Result<Vec<u8>> {
    let mut whole = Invocation::command();
    whole.build();
    let mut bytes = Vec::new();
    clap_mangen::Man::new(whole.clone()).render(&mut bytes)?;
    for command in whole.get_subcommands().filter(|command| command.get_name() != "help") {
        let page = clap_mangen::Man::new(command.clone());
        bytes.extend(format!(".SH COMMAND {}\n", command.get_name().to_uppercase()).bytes());
        page.render_description_section(&mut bytes)?;
        page.render_options_section(&mut bytes)?;
    }
    Ok(bytes)
}

fn deliver(output: &Answer, command: &str, shell: Option<&str>, text: &str, streams: &mut Streams<'_>) -> Outcome {
    let mut flags = Flags::default();
    let wish = flags.checked(output.raw_wish());
    let wish = flags.settled(wish)?;
    let one = |told: Complaint| vec![told];
    if command == "schema" {
        wish.write(text, streams).map_err(one)?;
    } else {
        wish.deliver_raw(text, &report::plain(command, shell, text), streams).map_err(one)?;
    }
    Ok(FINE)
}
