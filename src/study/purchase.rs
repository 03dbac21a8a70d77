//! The cheapest grades and the cheapest op amp with which every limit holds.
use super::aim::Aim;
use super::basket::{Basket, Baskets};
use super::bench::Bench;
use super::choose::{Choice, choose, choose_beside, nowhere};
use super::ground::divides;
use super::trial::trial;
use super::{Candidate, Question, StudyFault};
use crate::designator::Designator;
use crate::part::PricedGrade;
use crate::sizing::Filled;

/// As many baskets are tried for one op amp; further ones are no bargain anyone compares.
const TRIED: usize = 6000;
/// What is added where something cheaper may do.
const UNDECIDED: &str = "; it is not decided whether something cheaper would do with other values";

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
    let mut certain = true;
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
            Search::Dearer(proven) => {
                certain &= proven;
                vec!["price".to_owned()]
            }
            Search::Fails(limits, find) => {
                certain &= find.proven;
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
    let shop = &find.shop;
    let bought = shop.with_grades(asked, &find.basket);
    let proven = find.proven && certain;
    let note = shop.note(&bought, &find, found) + if proven { "" } else { UNDECIDED };
    let resistors = (!shop.grades.is_empty()).then(|| shop.price(&find.basket));
    let mut grades = shop.bought(&find.basket);
    grades.sort_by(|a, b| b.1.price.total_cmp(&a.1.price).then(a.0.cmp(&b.0)));
    let purchase = Purchase { total: find.total, resistors, opamps: *opamps, grades, proven, note };
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
    shop: Shop,
    total: f64,
    basket: Basket,
    choice: Choice,
    proven: bool,
}

enum Search {
    Found(Find),
    /// Whatever holds costs more than what was found before; true where that is certain.
    Dearer(bool),
    /// Not even the best grades hold these limits.
    Fails(Vec<String>, Find),
}

/// The grades on offer, cheapest first, and what is bought as one.
#[derive(Clone)]
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
            .filter(|name| {
                let divider = matches!(name, Designator::R5 | Designator::R6) && divides(question);
                let there = question.topology.resistors().contains(name) || question.resistors.fixed.contains_key(name);
                there || divider
            })
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

    /// What is bought for these values: R5 and R6 may be among them or not.
    fn of(&self, filled: &Filled) -> Self {
        let there = |name: &Designator| filled.values.iter().any(|value| value.name == *name);
        let mut out = self.clone();
        for unit in &mut out.units {
            unit.retain(there);
        }
        out.units.retain(|unit| !unit.is_empty());
        out
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
        let shop = self.of(&best.filled);
        let finest = shop.finest(question.environment.reach_k());
        let total = |price: f64| price + opamps.unwrap_or(0.0);
        let find = |price: f64, basket: Basket, choice: Choice, proven: bool| Find {
            at: 0,
            shop: shop.clone(),
            total: total(price),
            basket,
            choice,
            proven,
        };
        if !best.holds() {
            let (limits, proven) = (best.missed(), best.search.proven);
            return Ok(Search::Fails(limits, find(shop.price(&finest), finest, best, proven)));
        }
        let mut failed: Vec<Basket> = Vec::new();
        // false as soon as a basket was left behind that other values might do with
        let mut proven = true;
        for (tried, (price, basket)) in shop.baskets().enumerate() {
            if below.is_some_and(|below| total(price) >= below) {
                return Ok(Search::Dearer(proven));
            }
            if tried > TRIED {
                break;
            }
            if failed.iter().any(|other| shop.no_better(&basket, other)) {
                continue;
            }
            match shop.values(question, aim, &basket, &best)? {
                Values::Hold(choice) => return Ok(Search::Found(find(price, basket, *choice, proven))),
                Values::Miss(certain) => {
                    proven &= certain;
                    failed.push(basket);
                }
            }
        }
        Ok(Search::Found(find(shop.price(&finest), finest, best, false)))
    }

    /// Values with which a basket holds every limit, `best` being those of the finest grades.
    ///
    /// Where those miss a limit that can be held nowhere with these grades, no values do. Else values are chosen anew.
    fn values(&self, question: &Question, aim: &Aim, basket: &Basket, best: &Choice) -> Result<Values, StudyFault> {
        let asked = self.with_grades(question, basket);
        let told = trial(&asked, aim, &Bench::new(&asked, &best.filled)?)?;
        let missed = told.lines.iter().filter(|line| line.met == Some(false)).map(|line| line.limit);
        if nowhere(&asked, aim, missed)? {
            return Ok(Values::Miss(true));
        }
        let choice = choose(&asked, aim)?;
        if choice.holds() {
            return Ok(Values::Hold(Box::new(choice)));
        }
        Ok(Values::Miss(choice.search.proven))
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

/// Whether a basket will do.
enum Values {
    Hold(Box<Choice>),
    /// It will not; true where that is certain.
    Miss(bool),
}
