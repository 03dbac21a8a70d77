//! Writes a file with all its mutants in it, each behind the switch.
use crate::list::Mutant;
use crate::sites::{Finder, Kind, Site};
use std::cmp::Reverse;
use std::collections::HashSet;
use std::fmt::Write;
use std::ops::Range;
use syn::visit::Visit;

/// What the compiler refused.
#[derive(Default)]
pub struct Refused {
    pub mutants: HashSet<u32>,
    /// Functions that have to stay `const`.
    pub constant: HashSet<String>,
}

struct Weaver<'t> {
    text: &'t str,
    sites: Vec<Site>,
    refused: &'t HashSet<u32>,
}

fn asks(site: &Site) -> String {
    let first = site.mutants.iter().map(|mutant| mutant.id).min().unwrap_or_default();
    format!("crate::mutant::at({first})")
}

fn arm(mutant: &Mutant, text: &str) -> String {
    let id = mutant.id;
    format!("{id}u32 => /*<{id}*/{text}/*>*/, ")
}

impl Weaver<'_> {
    fn render(&self, range: Range<usize>, from: usize) -> String {
        let mut out = String::new();
        let mut done = range.start;
        for (index, site) in self.sites.iter().enumerate().skip(from) {
            if site.at.start >= done && site.at.end <= range.end {
                out.push_str(&self.text[done..site.at.start]);
                out.push_str(&self.site(index));
                done = site.at.end;
            }
        }
        out.push_str(&self.text[done..range.end]);
        out
    }

    fn site(&self, index: usize) -> String {
        let site = &self.sites[index];
        let inner = |range: &Range<usize>| self.render(range.clone(), index + 1);
        let on: Vec<&Mutant> = site.mutants.iter().filter(|mutant| !self.refused.contains(&mutant.id)).collect();
        if matches!(site.kind, Kind::Const) {
            return String::new();
        }
        let Some(first) = on.first() else { return inner(&site.at) };
        let asked = asks(site);
        let arms =
            |each: &dyn Fn(&Mutant) -> String| on.iter().map(|mutant| arm(mutant, &each(mutant))).collect::<String>();
        let id = first.id;
        let written = match &site.kind {
            Kind::Binary { left, right, op } => {
                let (l, r) = (inner(left), inner(right));
                match op.as_str() {
                    "&&" | "||" => {
                        let more: Vec<&&Mutant> =
                            on.iter().filter(|one| !["&&", "||"].contains(&one.replacement.as_str())).collect();
                        assert!(more.is_empty(), "an unknown change of {op}");
                        let sign = if op == "&&" { "!=" } else { "==" };
                        format!("{{ let l: bool = {l}; if l {sign} ({asked} == {id}) {{ {r} }} else {{ l }} }}")
                    }
                    _ if op.ends_with('=') && !["==", "!=", "<=", ">="].contains(&op.as_str()) => {
                        let arms = arms(&|mutant| format!("{{ {l} {} {r}; }}", mutant.replacement));
                        format!("match {asked} {{ {arms} _ => {{ {l} {op} {r}; }} }}")
                    }
                    "==" | "!=" | "<" | ">" | "<=" | ">=" => {
                        let arms = arms(&|mutant| format!("*l {} *r", mutant.replacement));
                        format!("match (&({l}), &({r})) {{ (l, r) => match {asked} {{ {arms} _ => *l {op} *r }} }}")
                    }
                    _ => {
                        let arms = arms(&|mutant| format!("l {} r", mutant.replacement));
                        format!("match (({l}), ({r})) {{ (l, r) => match {asked} {{ {arms} _ => l {op} r }} }}")
                    }
                }
            }
            Kind::Unary { operand, op } => {
                format!("match ({}) {{ v => match {asked} {{ {} _ => {op} v }} }}", inner(operand), arm(first, "v"))
            }
            Kind::Guard { stands } => {
                let arms = arms(&|mutant| {
                    if mutant.genre == "MatchArm" { "false".into() } else { mutant.replacement.clone() }
                });
                let otherwise = if *stands { inner(&site.at) } else { "true".into() };
                let word = if *stands { "" } else { " if " };
                return format!("{word}/*[{id}*/(match {asked} {{ {arms} _ => {otherwise} }})/*]*/");
            }
            Kind::Body => {
                let arms = arms(&|mutant| format!("{{ return {}; }}", mutant.replacement));
                return format!("/*[{id}*/match {asked} {{ {arms} _ => {{}} }}/*]*/ ");
            }
            Kind::Field { name, value, of, base } => {
                let (value, of, base) = (inner(value), &self.text[of.clone()], inner(base));
                return format!(
                    "{name}: /*[{id}*/if {asked} == {id} {{ let base: {of} = {base}; base.{name} }} else {{ {value} }}/*]*/"
                );
            }
            Kind::Const => return String::new(),
        };
        format!("/*[{id}*/({written})/*]*/")
    }
}

/// The text with its mutants, and the site of each mutant that is in it.
pub fn weave(text: &str, mutants: &[&Mutant], refused: &Refused) -> (String, Vec<(u32, u32)>) {
    let syntax = syn::parse_file(text).expect("a file that compiles");
    let mut finder = Finder::new(
        mutants.iter().copied().filter(|mutant| !(mutant.hidden && mutant.genre == "FnValue")),
        &refused.constant,
    );
    finder.visit_file(&syntax);
    let mut sites = finder.sites;
    sites.sort_by_key(|site| (site.at.start, Reverse(site.at.end)));
    let mut built = Vec::new();
    for site in &sites {
        let first = site.mutants.iter().map(|mutant| mutant.id).min().unwrap_or_default();
        let there = site.mutants.iter().filter(|mutant| !refused.mutants.contains(&mutant.id));
        built.extend(there.map(|mutant| (mutant.id, first)));
    }
    let weaver = Weaver { text, sites, refused: &refused.mutants };
    (weaver.render(0..text.len(), 0), built)
}

/// Mutants that the compiler points at: the one whose arm it is, else the whole place; none where it points
/// elsewhere.
pub fn blamed(woven: &str, at: usize) -> Option<(u32, bool)> {
    let mut open: Vec<(u32, bool)> = Vec::new();
    let mut rest = &woven[..at.min(woven.len())];
    while let Some(found) = rest.find("/*") {
        rest = &rest[found + 2..];
        let number = || rest[1..].split("*/").next().and_then(|digits| digits.parse().ok());
        match rest.as_bytes().first() {
            Some(b'<') => open.extend(number().map(|id| (id, true))),
            Some(b'[') => open.extend(number().map(|id| (id, false))),
            Some(b'>' | b']') => drop(open.pop()),
            _ => {}
        }
    }
    open.last().copied()
}

/// One line for people.
pub fn line(mutant: &Mutant) -> String {
    let mut out = String::new();
    let _ = write!(out, "{}:{} {}", mutant.file, mutant.line, mutant.key);
    out
}
