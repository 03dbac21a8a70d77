use crate::cli::complaint::Complaint;
use crate::cli::flag::Flags;
use crate::cli::folder::{Folder, SpecText};
use crate::cli::found;
use crate::cli::grammar::Batch;
use crate::cli::output::{Format, written};
use crate::cli::progress::Progress;
use crate::cli::{Desk, FINE, NOT_MET, Outcome, Streams, UNANSWERED};
use crate::report;
use crate::spec::{self, Channel, Setting, Variation};
use crate::study::{BatchRow, NoRow};
use rayon::prelude::*;
use std::collections::BTreeMap;
use std::path::{Path, PathBuf};

/// So many specs are in memory at a time.
const BLOCK: usize = 512;
/// The most combinations of varied values.
const MOST: usize = 10_000_000;

pub(super) fn run(args: &Batch, desk: &Desk, streams: &mut Streams<'_>) -> Outcome {
    let mut flags = Flags::default();
    let wish = flags.checked(args.output.wish());
    let variations: Option<Vec<Variation>> = args.vary.iter().map(|text| flags.checked(variation(text))).collect();
    let (wish, variations) = flags.settled(wish.zip(variations))?;
    let combinations = variations.iter().try_fold(1_usize, |n, one| n.checked_mul(one.values.len()));
    let Some(combinations) = combinations.filter(|count| *count <= MOST) else {
        let told = Complaint::new("too-many", "the values of `--vary` have more than ten million combinations");
        return Err(vec![told.help("take fewer values")]);
    };
    let specs = specs(args, streams)?;
    if let Some(folder) = &args.reports {
        std::fs::create_dir_all(folder).map_err(|fault| {
            let name = folder.display().to_string();
            let told = Complaint::new("write-failed", format!("the folder `{name}` could not be made: {fault}"));
            vec![told.at_flag("--reports", &name)]
        })?;
    }
    let pool = rayon::ThreadPoolBuilder::new().num_threads(args.threads).build();
    let pool = pool.map_err(|fault| vec![Complaint::new("no-threads", fault.to_string())])?;
    let work = Work { desk, variations: &variations, combinations, specs: &specs, reports: args.reports.as_deref() };
    let mut paper = Paper::new(wish.format(), &variations);
    let mut collected = String::new();
    let count = specs.paths.len() * combinations;
    let mut progress = Progress::new(count as u64);
    for first in (0..count).step_by(BLOCK) {
        let jobs = first..count.min(first + BLOCK);
        let rows: Result<Vec<Vec<BatchRow>>, Complaint> =
            pool.install(|| jobs.into_par_iter().map(|job| work.rows(job)).collect());
        let rows = rows.map_err(|told| vec![told])?;
        rows.iter().flatten().for_each(|row| paper.row(row));
        if wish.writes_a_file() {
            collected += &std::mem::take(&mut paper.text);
        } else if !streams.answer_part(&std::mem::take(&mut paper.text)).map_err(|told| vec![told])? {
            // Nobody reads on.
            break;
        }
        progress.at((first + BLOCK) as u64, streams);
    }
    progress.finish(streams);
    paper.end();
    collected += &paper.text;
    wish.write(&collected, streams).map_err(|told| vec![told])?;
    Ok(match (paper.unanswered, paper.missed) {
        (1.., _) => UNANSWERED,
        (0, 1..) => NOT_MET,
        (0, 0) => FINE,
    })
}

fn variation(text: &str) -> Result<Variation, Complaint> {
    spec::variation("--vary", text).map_err(|fault| {
        let told = Complaint::new(fault.code, &fault.message).at_flag("--vary", text);
        match (&fault.help, &fault.span) {
            (help, Some(span)) => {
                let told = told.narrowed("--vary", span.clone());
                help.as_ref().map_or_else(|| told.clone(), |help| told.clone().help(help))
            }
            (Some(help), None) => told.help(help),
            (None, None) => told,
        }
    })
}

/// The specs that are to be read: of thousands nothing but their paths is kept.
struct Specs {
    paths: Vec<PathBuf>,
    /// The texts of those that came from standard input.
    texts: BTreeMap<usize, SpecText>,
    /// The stems of their reports; none where none are written.
    stems: Vec<String>,
}

fn specs(args: &Batch, streams: &mut Streams<'_>) -> Result<Specs, Vec<Complaint>> {
    let paths = found::specs(&args.specs)?;
    let mut texts = BTreeMap::new();
    for (at, path) in paths.iter().enumerate().filter(|(_, path)| path.as_os_str() == "-") {
        texts.insert(at, SpecText::read(path, streams).map_err(|told| vec![told])?);
    }
    let stems = if args.reports.is_some() { stems(&paths) } else { Vec::new() };
    Ok(Specs { paths, texts, stems })
}

/// The stem of each, numbered where another has it, too.
fn stems(paths: &[PathBuf]) -> Vec<String> {
    let mut seen: BTreeMap<String, usize> = BTreeMap::new();
    let mut stem_of = |path: &PathBuf| {
        let stem = path.file_stem().map_or_else(|| "spec".to_owned(), |stem| safe(&stem.to_string_lossy()));
        let times = seen.entry(stem.clone()).and_modify(|times| *times += 1).or_insert(1);
        if *times > 1 { format!("{stem}-{times}") } else { stem }
    };
    paths.iter().map(&mut stem_of).collect()
}

/// Letters and digits of a name, anything else as one hyphen.
fn safe(name: &str) -> String {
    let parts: Vec<&str> = name.split(|c: char| !c.is_alphanumeric()).filter(|part| !part.is_empty()).collect();
    if parts.is_empty() { "spec".to_owned() } else { parts.join("-") }
}

struct Work<'w> {
    desk: &'w Desk,
    variations: &'w [Variation],
    combinations: usize,
    specs: &'w Specs,
    reports: Option<&'w Path>,
}

impl Work<'_> {
    /// The rows of one spec with one combination of values; only a report that can't be written is a fault.
    fn rows(&self, job: usize) -> Result<Vec<BatchRow>, Complaint> {
        let at = job / self.combinations;
        let Some(path) = self.specs.paths.get(at) else { return Ok(Vec::new()) };
        let stdin = self.specs.texts.get(&at);
        let settings = self.settings(job % self.combinations);
        let file = stdin.map_or_else(|| path.display().to_string(), |text| text.name.clone());
        let varied: Vec<(String, String)> = settings.iter().map(|one| (one.key.clone(), one.value.clone())).collect();
        let unread = |why: String| BatchRow {
            file: file.clone(),
            channel: None,
            title: String::new(),
            varied: varied.clone(),
            answer: Err(NoRow { message: why, no_value: false }),
        };
        let text = match stdin {
            Some(text) => text.text.clone(),
            None => match SpecText::of_file(path, "a spec") {
                Ok(text) => text.text,
                Err(told) => return Ok(vec![unread(told.message)]),
            },
        };
        let read = match spec::read_with(&file, &text, &Folder::of(path), &settings) {
            Ok(read) => read,
            Err(faults) => {
                let each: Vec<String> = faults.0.iter().map(ToString::to_string).collect();
                return Ok(vec![unread(each.join("; "))]);
            }
        };
        let mut rows = Vec::new();
        for (index, channel) in read.channels.iter().enumerate() {
            let mut row = unread(String::new());
            row.title.clone_from(&channel.question.title);
            row.channel = read.titled.then(|| row.title.clone());
            row.answer = (self.desk.row)(&channel.question)
                .map_err(|fault| NoRow { no_value: fault.no_value(), message: channel.fault(&fault).to_string() });
            if let (Some(folder), Ok(_)) = (self.reports, &row.answer) {
                self.report(folder, &self.report_name(at, job % self.combinations, &row, index), channel)?;
            }
            rows.push(row);
        }
        Ok(rows)
    }

    /// The values of one combination; the last key varies fastest.
    fn settings(&self, combination: usize) -> Vec<Setting> {
        let mut rest = combination;
        let mut settings: Vec<Setting> = Vec::new();
        for one in self.variations.iter().rev() {
            let value = one.values.get(rest % one.values.len().max(1)).cloned().unwrap_or_default();
            rest /= one.values.len().max(1);
            settings.push(Setting { key: one.key.clone(), value });
        }
        settings.reverse();
        settings
    }

    fn report_name(&self, spec: usize, combination: usize, row: &BatchRow, index: usize) -> String {
        let channel = row.channel.as_ref().map(|title| format!("-{}-{}", index + 1, safe(title)));
        let varied = if self.combinations > 1 { format!("-v{}", combination + 1) } else { String::new() };
        format!("{}{}{varied}.md", self.specs.stems[spec], channel.unwrap_or_default())
    }

    fn report(&self, folder: &Path, name: &str, channel: &Channel) -> Result<(), Complaint> {
        // A row that was answered has a design; should it not, the row has said why.
        let Ok(design) = (self.desk.design)(&channel.question, None) else { return Ok(()) };
        written(&folder.join(name), &report::design(&design).to_markdown(None), "--reports")
    }
}

/// Rows on their way out.
struct Paper {
    format: Format,
    text: String,
    rows: usize,
    missed: usize,
    unanswered: usize,
}

impl Paper {
    fn new(format: Format, variations: &[Variation]) -> Self {
        let text = match format {
            Format::Csv => report::batch_csv_heading(&variations.iter().map(|one| one.key.clone()).collect::<Vec<_>>()),
            Format::Json => String::new(),
            _ => report::batch_text_heading(),
        };
        Self { format, text, rows: 0, missed: 0, unanswered: 0 }
    }

    fn row(&mut self, row: &BatchRow) {
        self.rows += 1;
        match &row.answer {
            Err(why) if !why.no_value => self.unanswered += 1,
            Ok(answer) if answer.met => {}
            _ => self.missed += 1,
        }
        self.text += &match self.format {
            Format::Csv => report::batch_csv(row),
            Format::Json => report::batch_json(row),
            _ => report::batch_text(row),
        };
    }

    fn end(&mut self) {
        if !matches!(self.format, Format::Csv | Format::Json) {
            self.text += &report::batch_summary(self.rows, self.missed, self.unanswered);
        }
    }
}
