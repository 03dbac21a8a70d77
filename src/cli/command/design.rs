use super::chosen::Read;
use crate::cli::complaint::Complaint;
use crate::cli::flag::{self, Flags};
use crate::cli::grammar::Design;
use crate::cli::output;
use crate::cli::{Desk, FINE, NOT_MET, Outcome, Streams};
use crate::report::{self, Document};
use crate::study::explain::Wanted;
use crate::study::{self, Question, StudyFault};
use std::path::Path;

pub(super) fn run(args: &Design, desk: &Desk, streams: &mut Streams<'_>) -> Outcome {
    let mut flags = Flags::default();
    let sweep = flags.range(&flag::SWEEP, args.sweep.as_deref());
    let wish = flags.checked(args.output.wish());
    let wish = flags.settled(wish)?;
    let read = Read::new(&args.spec, streams)?;
    let channel = read.channel()?;
    let design = match (desk.design)(&channel.question, sweep) {
        Ok(design) => design,
        Err(fault) => return read.unanswered(("evenkeel.design.v1", channel), &fault, &wish, streams),
    };
    if let Some(path) = &args.parts_list {
        list(&design, path).map_err(|told| vec![told])?;
    }
    let document = if wish.format().is_kept() {
        proven(&channel.question, &design, desk).map_err(|fault| vec![channel.fault(&fault).into()])?
    } else {
        report::design(&design)
    };
    wish.deliver(&document.answering(read.text()), streams).map_err(|told| vec![told])?;
    Ok(if design.met { FINE } else { NOT_MET })
}

/// The report with its bench sheet and its working, which only a page that is kept shows.
fn proven(question: &Question, design: &study::Design, desk: &Desk) -> Result<Document, StudyFault> {
    let decided = study::decided(question, design)?;
    let plan = (desk.plan)(&decided, decided.environment.calibrated_at_c)?;
    let lesson = (desk.explain)(&decided, Wanted::default())?;
    Ok(report::proven(design, report::Proof { plan: Some(&plan), working: Some(&lesson) }))
}

/// Writes the parts list beside the report.
fn list(design: &study::Design, path: &Path) -> Result<(), Complaint> {
    let unwritten = |why: String| {
        let name = path.display().to_string();
        Complaint::new("write-failed", format!("`{name}` could not be written: {why}"))
            .at_flag("--parts-list", &name)
            .help("name a file in a folder that exists and may be written to")
    };
    let mut table = csv::Writer::from_writer(Vec::new());
    for row in report::parts_list(design) {
        table.write_record(&row).map_err(|fault| unwritten(fault.to_string()))?;
    }
    let bytes = table.into_inner().map_err(|fault| unwritten(fault.to_string()))?;
    output::replace(path, &String::from_utf8_lossy(&bytes)).map_err(|fault| unwritten(fault.to_string()))
}
