use crate::study::{self, Question, RejectAnswer, RejectQuestion, SizeAnswer, SizeQuestion, Span, StudyFault};

/// The studies behind the commands; tests of this room may put others in their place.
#[derive(Clone, Copy, Debug)]
pub struct Desk {
    /// Answers `size`.
    pub size: fn(&SizeQuestion) -> Result<SizeAnswer, StudyFault>,
    /// Answers `reject`.
    pub reject: fn(&RejectQuestion) -> Result<RejectAnswer, StudyFault>,
    /// Answers `design`, over the frequencies of a sweep where they are given.
    pub design: fn(&Question, Option<Span>) -> Result<study::Design, StudyFault>,
}

impl Default for Desk {
    fn default() -> Self {
        Self { size: study::size, reject: |_| Err(unbuilt()), design: |_, _| Err(unbuilt()) }
    }
}

fn unbuilt() -> StudyFault {
    StudyFault {
        code: "not-built",
        key: String::new(),
        message: "this study is not built yet".to_owned(),
        help: "ask for `series` or `new`".to_owned(),
    }
}
