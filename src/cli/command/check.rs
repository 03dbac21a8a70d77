use super::against::Before;
use crate::cli::complaint::Complaint;
use crate::cli::flag::Flags;
use crate::cli::folder::{Folder, SpecText};
use crate::cli::found;
use crate::cli::grammar::Check;
use crate::cli::output::written;
use crate::cli::{Desk, FINE, NOT_MET, Outcome, Streams};
use crate::designator::Designator;
use crate::report::{self, Baseline};
use crate::sheet::Bill;
use crate::spec::{self, Channel, Files as _};
use crate::study::{self, Board, CheckedBoard, Finding, LimitLine, ListedPart, Moved, Span};
use std::collections::BTreeMap;
use std::path::Path;

/// The sweep is no part of the answer: one point of it is enough.
const NO_SWEEP: Span = Span::point(1.0);

pub(super) fn run(args: &Check, desk: &Desk, streams: &mut Streams<'_>) -> Outcome {
    let mut flags = Flags::default();
    let wish = flags.checked(args.output.wish());
    let wish = flags.settled(wish)?;
    let mut complaints = Vec::new();
    let mut keep = |told: Vec<Complaint>| complaints.extend(told);
    let bill = args.bom.as_deref().map(|path| SpecText::of_file(path, "a bill of materials"));
    let bill = bill.transpose().map_err(|told| keep(vec![told])).ok().flatten();
    let before = args.against.as_deref().map(Before::read).transpose().map_err(|told| keep(vec![told])).ok().flatten();
    let mut boards = Vec::new();
    for path in found::specs(&args.specs)? {
        match read(&path, bill.as_ref(), streams) {
            Ok(found) => boards.extend(found),
            Err(told) => keep(told),
        }
    }
    let known = |board: &Read| (board.file.clone(), board.channel.question.title.clone());
    let matched = before.map(|before| before.matched(&boards.iter().map(known).collect::<Vec<_>>()));
    let matched = matched.transpose().map_err(|told| keep(vec![told])).ok().flatten();
    if !complaints.is_empty() {
        return Err(complaints);
    }
    let (mut checked, mut complaints) = (Vec::new(), Vec::new());
    for (at, board) in boards.iter().enumerate() {
        let baseline = matched.as_ref().and_then(|matched| matched.of(at));
        match board.checked(desk, baseline) {
            Ok(mut one) => {
                let without = matched.as_ref().filter(|_| baseline.is_none());
                one.findings.extend(without.map(|matched| Finding::no_baseline(&matched.titles())));
                checked.push(one);
            }
            Err(told) => complaints.push(told),
        }
    }
    if !complaints.is_empty() {
        return Err(complaints);
    }
    if let Some(path) = &args.junit {
        written(path, &report::junit(&checked), "--junit").map_err(|told| vec![told])?;
    }
    wish.deliver(&report::check(&checked), streams).map_err(|told| vec![told])?;
    Ok(if checked.iter().all(|board| board.met) { FINE } else { NOT_MET })
}

/// One board with what the bill lists for it.
struct Read {
    file: String,
    channel: Channel,
    titled: bool,
    listed: BTreeMap<Designator, ListedPart>,
}

fn read(path: &Path, bill: Option<&SpecText>, streams: &mut Streams<'_>) -> Result<Vec<Read>, Vec<Complaint>> {
    let SpecText { name, text } = SpecText::read(path, streams).map_err(|told| vec![told])?;
    let folder = Folder::of(path);
    let spec = spec::read(&name, &text, &folder).map_err(Complaint::of_faults)?;
    let titled = spec.titled;
    let (mut boards, mut complaints) = (Vec::new(), Vec::new());
    for channel in spec.channels {
        match listed(&name, &channel, bill, &folder) {
            Ok(listed) => boards.push(Read { file: name.clone(), channel, titled, listed }),
            Err(told) => complaints.extend(told),
        }
    }
    if complaints.is_empty() { Ok(boards) } else { Err(complaints) }
}

fn listed(
    spec: &str,
    channel: &Channel,
    bill: Option<&SpecText>,
    folder: &Folder,
) -> Result<BTreeMap<Designator, ListedPart>, Vec<Complaint>> {
    let board = channel.question.board.clone().unwrap_or_default();
    let read = |name: &str, text: &str, board: &Board| {
        let bill = Bill::read(name, text, &board.columns).map_err(Complaint::of_faults)?;
        bill.parts(board, channel.question.topology).map_err(Complaint::of_faults)
    };
    match (bill, &board.bom) {
        (Some(bill), _) => read(&bill.name, &bill.text, &board),
        (None, Some(bom)) => match folder.read(bom) {
            Ok(text) => read(&beside(spec, bom), &text, &board),
            Err(why) => Err(vec![unreadable(channel, bom, &why)]),
        },
        (None, None) => Ok(BTreeMap::new()),
    }
}

fn unreadable(channel: &Channel, bom: &str, why: &str) -> Complaint {
    let fault = study::StudyFault {
        code: "unreadable-file",
        key: "board.bom".to_owned(),
        message: format!("the bill of materials `{bom}` could not be read: {why}"),
        help: "name a CSV file below the folder of the spec, or give `--bom FILE.csv`".to_owned(),
    };
    channel.fault(&fault).into()
}

/// A path that is relative to the spec, as people read it.
fn beside(spec: &str, path: &str) -> String {
    let folder = spec.rfind(['/', '\\']).map_or("", |end| &spec[..=end]);
    format!("{folder}{path}")
}

impl Read {
    fn checked(&self, desk: &Desk, baseline: Option<&Baseline>) -> Result<CheckedBoard, Complaint> {
        let question = &self.channel.question;
        let (built, mut findings) = study::as_built(question, &self.listed);
        let design = match (desk.design)(&built, Some(NO_SWEEP)) {
            Ok(design) => design,
            Err(fault) if fault.no_value() => {
                findings.push(Finding::no_value(self.channel.fault(&fault).to_string()));
                return Ok(self.found(findings, Vec::new(), Vec::new(), false));
            }
            Err(fault) => return Err(self.channel.fault(&fault).into()),
        };
        findings.extend(study::chosen(&design.resistors));
        let moved = match baseline {
            None => Vec::new(),
            Some(before) => {
                let now = report::baseline(&report::design(&design).to_json())
                    .map_err(|why| Complaint::new("bad-baseline", why.to_string()))?;
                study::moved(&before.figures, &now.figures, &question.allow)
            }
        };
        findings.extend(moved.iter().map(Moved::finding));
        let met = design.met && !findings.iter().any(|finding| finding.grave);
        Ok(self.found(findings, design.limits, moved, met))
    }

    fn found(&self, findings: Vec<Finding>, limits: Vec<LimitLine>, moved: Vec<Moved>, met: bool) -> CheckedBoard {
        let title = self.channel.question.title.clone();
        let channel = self.titled.then(|| title.clone());
        CheckedBoard { file: self.file.clone(), channel, title, met, limits, findings, moved }
    }
}
