//! `check --against`: which earlier design is that of which board.
use crate::cli::complaint::Complaint;
use crate::cli::folder::SpecText;
use crate::report::{self, Baseline};
use std::path::Path;

/// What the flag wants.
const WANTED: &str = "what `design --format json` or `batch --format json` wrote";
/// Titles that are listed in a message.
const LISTED: usize = 4;

/// Earlier designs, and the file they are from.
pub(super) struct Before {
    name: String,
    all: Vec<Baseline>,
}

/// Earlier designs with the boards they are of.
pub(super) struct Matched {
    all: Vec<Baseline>,
    /// For each board the place of its design.
    places: Vec<Option<usize>>,
}

impl Before {
    pub(super) fn read(path: &Path) -> Result<Self, Complaint> {
        let SpecText { name, text } = SpecText::of_file(path, WANTED)?;
        match report::baselines(&text) {
            Ok(all) => Ok(Self { name, all }),
            Err(why) => Err(Complaint::new("bad-baseline", format!("`{name}` is no baseline: {why}"))
                .about(&name)
                .help("write one with `evenkeel batch FILES --format json --out FILE.json`")),
        }
    }

    /// Finds the design of each board: of those with its title the one from its file, or the only one. A single design
    /// of a single board is that board's, whatever its title has become. No design of any board, and several of one, is a mistake.
    pub(super) fn matched(self, boards: &[(String, String)]) -> Result<Matched, Complaint> {
        if let ([_], [_]) = (self.all.as_slice(), boards) {
            return Ok(Matched { all: self.all, places: vec![Some(0)] });
        }
        let mut places: Vec<Option<usize>> = vec![None; boards.len()];
        // the same path, the same name somewhere else, and any: what one way has found is no other board's
        for way in [same_path, same_name, any_file] {
            let free: Vec<usize> = (0..self.all.len()).filter(|at| !places.contains(&Some(*at))).collect();
            for (place, (file, title)) in places.iter_mut().zip(boards).filter(|(place, _)| place.is_none()) {
                let is = |at: &&usize| self.all[**at].title == *title && way(&self.all[**at], file);
                let found: Vec<&usize> = free.iter().filter(is).collect();
                match found.as_slice() {
                    [] => {}
                    [one] => *place = Some(**one),
                    several => return Err(self.double(several.len(), called(title, file))),
                }
            }
            if let Some(at) = free.iter().find(|at| places.iter().filter(|place| **place == Some(**at)).count() > 1) {
                return Err(self.unclear(&self.all[*at].title));
            }
        }
        let found = Matched { all: self.all, places };
        if found.places.iter().all(Option::is_none) && !boards.is_empty() {
            let message = format!("`{}` is of {}, and no board has such a title", self.name, found.titles());
            return Err(Complaint::new("other-baseline", message)
                .about(&self.name)
                .help("name a baseline of one of them"));
        }
        Ok(found)
    }

    fn unclear(&self, title: &str) -> Complaint {
        let message = format!("`{}`: several boards are called `{title}`, and the design may be of any", self.name);
        let help = "write it with `evenkeel batch FILES --format json`: its rows tell the file, too";
        Complaint::new("unclear-baseline", message).about(&self.name).help(help)
    }

    fn double(&self, count: usize, called: &str) -> Complaint {
        let message = format!("`{}` holds {count} designs of `{called}`; one is due", self.name);
        let help = "a baseline has one row a board: leave out `--vary`, and name each spec once";
        Complaint::new("double-baseline", message).about(&self.name).help(help)
    }
}

fn same_path(one: &Baseline, file: &str) -> bool {
    one.file.as_deref() == Some(file)
}

fn same_name(one: &Baseline, file: &str) -> bool {
    let name = |path: &str| path.rsplit(['/', '\\']).next().map(str::to_owned);
    one.file.as_deref().is_some_and(|own| name(own) == name(file))
}

/// Without a title only the file tells.
const fn any_file(one: &Baseline, _: &str) -> bool {
    !one.title.is_empty()
}

impl Matched {
    /// The design of the board at a place.
    pub(super) fn of(&self, board: usize) -> Option<&Baseline> {
        self.all.get(self.places.get(board).copied().flatten()?)
    }

    /// The titles in the baseline, in words.
    pub(super) fn titles(&self) -> String {
        let name = |one: &Baseline| format!("`{}`", called(&one.title, one.file.as_deref().unwrap_or_default()));
        let mut words: Vec<String> = self.all.iter().take(LISTED).map(name).collect();
        if self.all.len() > LISTED {
            words.push(format!("{} more", self.all.len() - LISTED));
        }
        words.join(", ")
    }
}

/// The title, or the file where there is none.
fn called<'t>(title: &'t str, file: &'t str) -> &'t str {
    if title.is_empty() { file } else { title }
}
