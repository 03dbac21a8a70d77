use super::streams::Streams;
use std::time::{Duration, Instant};

/// Columns of the bar.
const WIDTH: u64 = 30;
/// A run is given so long before anything is shown, and so long between two pictures.
const PATIENCE: Duration = Duration::from_secs(1);
const PAUSE: Duration = Duration::from_millis(100);

/// A bar on a terminal for what takes longer than a second.
pub(super) struct Progress<'s, 'a> {
    streams: &'s mut Streams<'a>,
    started: Instant,
    shown: Option<Instant>,
    all: u64,
}

impl<'s, 'a> Progress<'s, 'a> {
    pub(super) fn new(streams: &'s mut Streams<'a>, all: u64) -> Self {
        Self { streams, started: Instant::now(), shown: None, all }
    }

    /// Shows how much is done.
    pub(super) fn at(&mut self, done: u64) {
        let now = Instant::now();
        let due = self.shown.map_or(self.started + PATIENCE, |shown| shown + PAUSE);
        if self.streams.stderr_is_terminal && now >= due {
            self.shown = Some(now);
            let share = done as f64 / self.all.max(1) as f64;
            let full = ((share * WIDTH as f64) as u64).min(WIDTH) as usize;
            let rest = WIDTH as usize - full;
            let bar = format!("\r{}{} {:3.0} %", "█".repeat(full), "░".repeat(rest), 100.0 * share);
            self.streams.tell(&bar);
        }
    }

    /// Wipes the bar away; tells how long the run has taken.
    pub(super) fn finish(self) -> Duration {
        if self.shown.is_some() {
            self.streams.tell(&format!("\r{}\r", " ".repeat(WIDTH as usize + 6)));
        }
        self.started.elapsed()
    }
}
