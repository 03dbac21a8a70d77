use super::streams::Streams;
use std::time::{Duration, Instant};

/// Work that is over sooner needs no progress.
const LONG: Duration = Duration::from_secs(1);

/// How far long work has come, on standard error where that is a terminal.
pub(super) struct Progress {
    total: usize,
    began: Instant,
    shown: bool,
    wanted: bool,
}

impl Progress {
    pub(super) fn new(total: usize, wanted: bool) -> Self {
        Self { total, began: Instant::now(), shown: false, wanted }
    }

    pub(super) fn reached(&mut self, done: usize, streams: &mut Streams<'_>) {
        if !self.wanted || self.began.elapsed() < LONG {
            return;
        }
        let done = done.min(self.total);
        let bar = "#".repeat(40 * done / self.total.max(1));
        streams.tell(&format!("\r[{bar:40}] {done} of {}", self.total));
        self.shown = true;
    }

    /// Takes the bar away.
    pub(super) fn end(&self, streams: &mut Streams<'_>) {
        if self.shown {
            streams.tell("\r\u{1b}[2K");
        }
    }
}
