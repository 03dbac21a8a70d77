//! The typed question and the typed answer; the one place where sizing, corners, yield and
//! predictions are composed.
mod aim;
mod answer;
mod as_built;
mod assumed;
pub mod bandwidth;
mod basket;
mod bench;
pub mod budget;
mod cautions;
pub mod chip;
mod choose;
mod closed_form;
mod compare;
mod conditions;
mod decided;
mod design;
pub mod explain;
mod feasible;
mod fill;
pub mod filter;
mod ground;
pub mod headroom;
mod headroom_notes;
pub mod impedance;
mod judge;
mod largest_gain;
mod ledger;
mod lever;
mod limits;
pub mod nodes;
pub mod noise;
pub mod offset;
pub mod peaking;
mod place;
mod power;
mod purchase;
mod question;
mod queue;
mod reject;
mod rejection;
mod remedy;
pub mod review;
mod row;
mod runner_up;
pub mod self_heating;
mod size;
mod switched;
mod told;
mod trial;
mod trim;
mod trimmer;
mod verify;
mod yield_advice;
mod yield_remedy;
mod yields;

pub use answer::*;
pub use as_built::{CheckedBoard, FigureValue, Finding, ListedPart, Moved, as_built, chosen, moved};
pub use cautions::{NOT_ISOLATION, cautions};
pub use compare::{CompareOption, Comparison, Contender, compare};
pub use decided::decided;
pub use design::{DesignOptions, design};
pub use ledger::{BudgetFigure, BudgetLine, Carried, Ledger, Remaining, StaticCommonMode, totals};
pub use question::*;
pub use reject::reject;
pub use row::{BatchRow, LIMITS, NoRow, Row, row};
pub use size::size;
pub use switched::{Form, SwitchedAnswer, SwitchedGain, SwitchedResistor, switched};
pub use trim::{TrimAnswer, Trimmed, trim};
pub use trimmer::TrimPart;
pub use verify::{
    Inputs, Measured, NextReading, NodeSpan, Plan, PlanStep, Reading, ReadingErrors, Spread, Standing, VerifyAnswer,
    plan, verify,
};
pub use yields::{
    Quantile, Shape, ShareLine, Spread as YieldSpread, Tail, USUAL_BOARDS, USUAL_SEED, YieldFigure, YieldOptions,
    yields,
};

use bench::unsolved;
