//! The cheapest grades and the cheapest op amp with which every limit holds.
use super::aim::Aim;
use super::basket::{Basket, Baskets};
use super::bench::Bench;
use super::choose::{Choice, choose, choose_beside};
use super::trial::trial;
use super::{Candidate, Question, StudyFault};
use crate::designator::Designator;
use crate::part::PricedGrade;

/// As many baskets are tried for one op amp; further ones are no bargain anyone compares.
const TRIED: usize = 6000;

/// What is bought, where the spec lets the program choose.
#[derive(Clone, Debug, PartialEq)]
pub struct Purchase {
    /// Of resistors and op amps together.
    pub total: f64,
    /// Of the resistors, where grades are given.
    pub resistors: Option<f64>,
    /// Of the op amps, where prices are given.
    pub opamps: Option<f64>,
    /// Grades by resistor, dearest first, with the price of one.
    pub grades: Vec<(Designator, PricedGrade)>,
    /// False where more could have been tried than was.
    pub proven: bool,
    /// Where the money goes and why, in words.
    pub note: String,
}

/// An op amp that was tried.
#[derive(Clone, Debug, PartialEq)]
pub struct CandidateLine {
    /// What it is called.
    pub opamp: String,
    /// Price of all op amps of the circuit; `None`: not stated.
    pub price: Option<f64>,
    /// The limits it misses with the best grades, or `price`; empty: this one was taken.
    pub ruled_out_by: Vec<String>,
}

/// A question with grades and op amp decided, its values, and how that came about.
pub(super) struct Bought {
    pub(super) question: Question,
    pub(super) choice: Choice,
    pub(super) purchase: Option<Purchase>,
    pub(super) candidates: Vec<CandidateLine>,
}

/// Buys for a question: the least price with which every limit holds; the best of everything where none does.
pub(super) fn buy(question: &Question, aim: &Aim) -> Result<Bought, StudyFault> {
    buy_with(question, aim, choose)
}

/// The same where nobody asks for other sets of values beside the chosen one.
pub(super) fn buy_alone(question: &Question, aim: &Aim) -> Result<Bought, StudyFault> {
    buy_with(question, aim, |question, aim| choose_beside(question, aim, 0))
}

fn buy_with(
    question: &Question,
    aim: &Aim,
    choose_one: fn(&Question, &Aim) -> Result<Choice, StudyFault>,
) -> Result<Bought, StudyFault> {
    if question.resistors.grades.is_empty() && question.candidates.is_empty() {
        let choice = choose_one(question, aim)?;
        return Ok(Bought { question: question.clone(), choice, purchase: None, candidates: Vec::new() });
    }
    let shop = Shop::new(question);
    let mut offers: Vec<(Option<&Candidate>, Option<f64>, Question)> = match question.candidates.as_slice() {
        [] => vec![(None, opamp_price(question), question.clone())],
        all => all
            .iter()
            .map(|one| {
                let q = with(question, one);
                (Some(one), opamp_price(&q), q)
            })
            .collect(),
    };
    // an op amp without a price can't be compared: it comes last
    offers.sort_by(|a, b| a.1.unwrap_or(f64::INFINITY).total_cmp(&b.1.unwrap_or(f64::INFINITY)));
    let mut lines = Vec::new();
    let mut best: Option<Find> = None;
    let mut fallback: Option<(usize, usize, Find)> = None;
    for (at, (candidate, opamps, asked)) in offers.iter().enumerate() {
        // without a price nothing can be said to be cheaper
        let below = best.as_ref().map(|held| if opamps.is_some() { held.total } else { f64::NEG_INFINITY });
        let found = shop.search(asked, aim, *opamps, below)?;
        let ruled_out_by = match found {
            Search::Found(find) => {
                best = Some(Find { at, ..find });
                Vec::new()
            }
            Search::Dearer => vec!["price".to_owned()],
            Search::Fails(limits, find) => {
                if fallback.as_ref().is_none_or(|held| limits.len() < held.0) {
                    fallback = Some((limits.len(), at, Find { at, ..find }));
                }
                limits
            }
        };
        if let Some(candidate) = candidate {
            lines.push(CandidateLine { opamp: candidate.title.clone(), price: *opamps, ruled_out_by });
        }
    }
    let found = best.is_some();
    let Some(find) = best.or(fallback.map(|held| held.2)) else { return Err(nothing_offered()) };
    if found {
        for (at, line) in lines.iter_mut().enumerate() {
            if at != find.at && line.ruled_out_by.is_empty() {
                line.ruled_out_by.push("price".to_owned());
            }
        }
    }
    let (_, opamps, asked) = &offers[find.at];
    let bought = shop.with_grades(asked, &find.basket);
    let note = shop.note(&bought, &find, found);
    let resistors = (!shop.grades.is_empty()).then(|| shop.price(&find.basket));
    let mut grades = shop.bought(&find.basket);
    grades.sort_by(|a, b| b.1.price.total_cmp(&a.1.price).then(a.0.cmp(&b.0)));
    let purchase = Purchase { total: find.total, resistors, opamps: *opamps, grades, proven: find.proven, note };
    Ok(Bought { question: bought, choice: find.choice, purchase: Some(purchase), candidates: lines })
}

/// The question with one candidate in place; those that the circuit does not have are left out.
pub(super) fn with(question: &Question, candidate: &Candidate) -> Question {
    let mut out = question.clone();
    for (amp, data) in &candidate.opamps {
        let mut data = data.clone();
        data.title.get_or_insert_with(|| candidate.title.clone());
        out.opamps.insert(*amp, data);
    }
    out
}

/// Price of all op amps; `None` where one of them has none.
pub(super) fn opamp_price(question: &Question) -> Option<f64> {
    question.topology.amps().iter().map(|amp| question.opamps.get(amp).and_then(|data| data.price)).sum()
}

fn nothing_offered() -> StudyFault {
    StudyFault {
        code: "nothing-offered",
        key: "opamp.all.candidates".to_owned(),
        message: "there is nothing to choose from".to_owned(),
        help: "name a folder with part files".to_owned(),
    }
}

/// What was found for one op amp.
struct Find {
    at: usize,
    total: f64,
    basket: Basket,
    choice: Choice,
    proven: bool,
}

enum Search {
    Found(Find),
    /// Whatever holds costs more than what was found before.
    Dearer,
    /// Not even the best grades hold these limits.
    Fails(Vec<String>, Find),
}

/// The grades on offer, cheapest first, and what is bought as one.
struct Shop {
    grades: Vec<PricedGrade>,
    units: Vec<Vec<Designator>>,
}

impl Shop {
    fn new(question: &Question) -> Self {
        let mut grades = question.resistors.grades.clone();
        grades.sort_by(|a, b| a.price.total_cmp(&b.price).then(a.grade.tolerance.total_cmp(&b.grade.tolerance)));
        let there: Vec<Designator> = Designator::ALL
            .into_iter()
            .filter(|name| question.topology.resistors().contains(name) || question.resistors.fixed.contains_key(name))
            .filter(|name| !question.resistors.own_grade.contains_key(name))
            .collect();
        let mut units: Vec<Vec<Designator>> = Vec::new();
        for network in question.resistors.networks.iter().filter(|network| network.grade.is_none()) {
            units.push(network.members.iter().copied().filter(|name| there.contains(name)).collect());
        }
        let in_network = |name: &Designator| question.resistors.networks.iter().any(|one| one.members.contains(name));
        units.extend(there.iter().filter(|name| !in_network(name)).map(|name| vec![*name]));
        units.retain(|unit| !unit.is_empty());
        if grades.is_empty() {
            units.clear();
        }
        Self { grades, units }
    }

    fn baskets(&self) -> Baskets {
        let prices = self.grades.iter().map(|one| one.price).collect::<Vec<_>>();
        // without grades there is one basket, with nothing in it
        let prices = if prices.is_empty() { vec![0.0] } else { prices };
        Baskets::new(prices, self.units.iter().map(Vec::len).collect())
    }

    fn price(&self, basket: &Basket) -> f64 {
        self.baskets().price(basket)
    }

    fn bought(&self, basket: &Basket) -> Vec<(Designator, PricedGrade)> {
        let of = |(unit, &grade): (&Vec<Designator>, &usize)| {
            unit.iter().map(|name| (*name, self.grades[grade])).collect::<Vec<_>>()
        };
        self.units.iter().zip(basket).flat_map(of).collect()
    }

    fn with_grades(&self, question: &Question, basket: &Basket) -> Question {
        let mut out = question.clone();
        for (name, priced) in self.bought(basket) {
            match out.resistors.networks.iter_mut().find(|network| network.members.contains(&name)) {
                Some(network) => network.grade = Some(priced.grade),
                None => {
                    out.resistors.own_grade.insert(name, priced.grade);
                }
            }
        }
        out
    }

    /// The best of everything: least tolerance, then least tempco.
    fn finest(&self, reach_k: f64) -> Basket {
        let bound = |at: &usize| self.grades[*at].grade.bound(reach_k);
        let best = (0..self.grades.len()).min_by(|a, b| bound(a).total_cmp(&bound(b))).unwrap_or(0);
        vec![best; self.units.len()]
    }

    /// No unit of `one` is better than the same unit of `other`: what fails with `other` fails with `one`.
    fn no_better(&self, one: &Basket, other: &Basket) -> bool {
        one.iter().zip(other).all(|(&a, &b)| {
            let (a, b) = (self.grades[a].grade, self.grades[b].grade);
            a.tolerance >= b.tolerance && a.tempco_per_k >= b.tempco_per_k
        })
    }

    fn search(
        &self,
        question: &Question,
        aim: &Aim,
        opamps: Option<f64>,
        below: Option<f64>,
    ) -> Result<Search, StudyFault> {
        let finest = self.finest(question.environment.reach_k());
        let best = choose(&self.with_grades(question, &finest), aim)?;
        let total = |price: f64| price + opamps.unwrap_or(0.0);
        if !best.trial.holds() {
            let limits = misses(&best);
            let find = Find { at: 0, total: total(self.price(&finest)), basket: finest, choice: best, proven: true };
            return Ok(Search::Fails(limits, find));
        }
        let mut failed: Vec<Basket> = Vec::new();
        for (tried, (price, basket)) in self.baskets().enumerate() {
            if below.is_some_and(|below| total(price) >= below) {
                return Ok(Search::Dearer);
            }
            if tried > TRIED {
                let find =
                    Find { at: 0, total: total(self.price(&finest)), basket: finest, choice: best, proven: false };
                return Ok(Search::Found(find));
            }
            if failed.iter().any(|other| self.no_better(&basket, other)) {
                continue;
            }
            let asked = self.with_grades(question, &basket);
            // the values of the finest grades first; other values only where these fail
            let bench = Bench::new(&asked, &best.filled)?;
            let holds = trial(&asked, aim, &bench)?.holds();
            let choice = if holds || nearly(&asked, aim, &bench)? { Some(choose(&asked, aim)?) } else { None };
            match choice.filter(|choice| choice.trial.holds()) {
                Some(choice) => {
                    let find = Find { at: 0, total: total(price), basket, choice, proven: true };
                    return Ok(Search::Found(find));
                }
                None => failed.push(basket),
            }
        }
        let find = Find { at: 0, total: total(self.price(&finest)), basket: finest, choice: best, proven: false };
        Ok(Search::Found(find))
    }

    fn note(&self, question: &Question, find: &Find, found: bool) -> String {
        if !found {
            return "nothing on offer holds every limit; the best of it was taken".to_owned();
        }
        let mut best: Vec<(Designator, PricedGrade)> = self.bought(&find.basket);
        let Some(dearest) = best.iter().map(|one| one.1.price).reduce(f64::max) else {
            return "the cheapest op amp that holds every limit was taken".to_owned();
        };
        let cheapest = best.iter().map(|one| one.1.price).fold(f64::INFINITY, f64::min);
        if dearest == cheapest {
            return "one grade does for all resistors".to_owned();
        }
        best.retain(|one| one.1.price == dearest);
        let names: Vec<&str> = best.iter().map(|one| one.0.name()).collect();
        let ratio = names.iter().any(|name| matches!(*name, "R1" | "R2" | "R3" | "R4"));
        let why = match (ratio, question.limits.rejection_db.is_some()) {
            (true, true) => "where the rejection is lost",
            _ => "where the limits are tightest",
        };
        format!("the money goes into {}, {why}", names.join(", "))
    }
}

/// True where other values might hold what these miss: only the gain error depends on the digits of a value.
fn nearly(question: &Question, aim: &Aim, bench: &Bench) -> Result<bool, StudyFault> {
    let mut eased = question.clone();
    eased.limits.gain_error = eased.limits.gain_error.map(|limit| limit * 1.5 + 1e-4);
    eased.limits.total_error = eased.limits.total_error.map(|limit| limit * 1.5 + 1e-4);
    eased.limits.rejection_db = eased.limits.rejection_db.map(|limit| limit - 1.0);
    Ok(trial(&eased, aim, bench)?.holds())
}

/// The limits a choice misses, by their keys.
fn misses(choice: &Choice) -> Vec<String> {
    let missed = choice.trial.lines.iter().filter(|line| line.met == Some(false));
    let mut all: Vec<String> = missed.map(|line| line.limit.to_owned()).collect();
    if all.is_empty() && !choice.trial.fits {
        all.push("headroom".to_owned());
    }
    all
}
