use super::chosen::Read;
use crate::cli::complaint::Complaint;
use crate::cli::flag::{self, Flags};
use crate::cli::folder::SpecText;
use crate::cli::grammar::Verify;
use crate::cli::output::Format;
use crate::cli::{Desk, FINE, NOT_MET, Outcome, Streams};
use crate::report;
use crate::sheet;
use crate::study::{self, Standing};

pub(super) fn run(args: &Verify, desk: &Desk, streams: &mut Streams<'_>) -> Outcome {
    let mut flags = Flags::default();
    let at = flags.option(&flag::AT, args.at.as_deref());
    let wish = flags.checked(args.output.wish());
    let wish = flags.settled(wish)?;
    let one = |told: Complaint| vec![told];
    if wish.format() == Format::Csv && !args.plan {
        let told = Complaint::new("unknown-format", "only the sheet of `--plan` is written as csv");
        return Err(one(told.help("add `--plan`, or take `--format json`")));
    }
    let read = Read::new(&args.spec, streams)?;
    let channel = read.channel()?;
    let question = &channel.question;
    let temperature_c = at.unwrap_or(question.environment.calibrated_at_c);
    let Some(path) = args.readings.as_ref().filter(|_| !args.plan) else {
        let plan = match (desk.plan)(question, temperature_c) {
            Ok(plan) => plan,
            Err(fault) => return read.unanswered(("evenkeel.verify-plan.v1", channel), &fault, &wish, streams),
        };
        match wish.format() {
            Format::Csv => wish.write(&report::plan_csv(&plan), streams),
            _ => wish.deliver(&report::plan(&plan), streams),
        }
        .map_err(one)?;
        return Ok(FINE);
    };
    let SpecText { name, text } = SpecText::of_file(path, "the readings, a CSV file").map_err(one)?;
    let readings = sheet::readings(&name, &text).map_err(Complaint::of_faults)?;
    let answer = match study::verify(question, &readings, temperature_c) {
        Ok(answer) => answer,
        Err(fault) if fault.key == "readings" => {
            return Err(vec![Complaint::new(fault.code, &fault.message).about(&name).help(&fault.help)]);
        }
        Err(fault) => return read.unanswered(("evenkeel.verify.v1", channel), &fault, &wish, streams),
    };
    wish.deliver(&report::verify(&answer), streams).map_err(one)?;
    let all = [Some(answer.gain), Some(answer.offset_v), answer.rejection_db];
    let outside = all.iter().flatten().any(|one| one.verdict == Standing::Outside);
    Ok(if outside { NOT_MET } else { FINE })
}
