use crate::study::{
    self, Comparison, Contender, Form, Question, RejectAnswer, RejectQuestion, SizeAnswer, SizeQuestion, Span,
    StudyFault, SwitchedAnswer, TrimAnswer, YieldFigure, YieldOptions,
    explain::{Lesson, Wanted},
};

/// The study behind `yield`.
pub type YieldStudy = fn(&Question, &YieldOptions, &mut dyn FnMut(u64) -> bool) -> Result<YieldFigure, StudyFault>;

/// The studies behind the commands; tests of this room may put others in their place.
#[derive(Clone, Copy, Debug)]
pub struct Desk {
    /// Answers `size`.
    pub size: fn(&SizeQuestion) -> Result<SizeAnswer, StudyFault>,
    /// Answers `reject`.
    pub reject: fn(&RejectQuestion) -> Result<RejectAnswer, StudyFault>,
    /// Answers a row of `batch`.
    pub row: fn(&Question) -> Result<study::Row, StudyFault>,
    /// Answers `design`, over the frequencies of a sweep where they are given.
    pub design: fn(&Question, Option<Span>) -> Result<study::Design, StudyFault>,
    /// The sheet for the bench, at a temperature in °C.
    pub plan: fn(&Question, f64) -> Result<study::Plan, StudyFault>,
    /// Answers `explain`.
    pub explain: fn(&Question, Wanted) -> Result<Lesson, StudyFault>,
    /// Answers `compare`.
    pub compare: fn(&Question, &[Contender]) -> Comparison,
    /// Answers `trim`.
    pub trim: fn(&Question) -> Result<TrimAnswer, StudyFault>,
    /// Answers `gains`.
    pub gains: fn(&Question, &[f64], Form) -> Result<SwitchedAnswer, StudyFault>,
    /// Answers `yield`; the last argument hears how many boards are done and may end the run.
    pub yields: YieldStudy,
}

impl Default for Desk {
    fn default() -> Self {
        Self {
            size: study::size,
            reject: study::reject,
            compare: study::compare,
            plan: study::plan,
            explain: study::explain::explain,
            trim: study::trim,
            gains: study::switched,
            row: study::row,
            design: |question, sweep| {
                let usual = study::DesignOptions::default();
                study::design(question, &study::DesignOptions { sweep_hz: sweep.unwrap_or(usual.sweep_hz) })
            },
            yields: study::yields,
        }
    }
}
