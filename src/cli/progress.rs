use super::streams::Streams;
use std::time::{Duration, Instant};

/// Columns of the bar.
const WIDTH: usize = 30;
/// A run is given so long before anything is shown, and so long between two pictures.
const PATIENCE: Duration = Duration::from_secs(1);
const PAUSE: Duration = Duration::from_millis(100);

/// A bar on a terminal for what takes longer than a second.
pub(super) struct Progress {
    all: u64,
    started: Instant,
    shown: Option<Instant>,
}

impl Progress {
    /// Begins a run of so many pieces.
    pub(super) fn new(all: u64) -> Self {
        Self { all, started: Instant::now(), shown: None }
    }

    /// Shows how much is done.
    pub(super) fn at(&mut self, done: u64, streams: &mut Streams<'_>) {
        let now = Instant::now();
        let due = self.shown.map_or(self.started + PATIENCE, |shown| shown + PAUSE);
        if streams.stderr_is_terminal && now >= due {
            self.shown = Some(now);
            let share = (done as f64 / self.all.max(1) as f64).min(1.0);
            let full = (share * WIDTH as f64) as usize;
            let bar = format!("\r{}{} {:3.0} %", "█".repeat(full), "░".repeat(WIDTH - full), 100.0 * share);
            streams.tell(&bar);
        }
    }

    /// Wipes the bar away; tells how long the run has taken.
    pub(super) fn finish(self, streams: &mut Streams<'_>) -> Duration {
        if self.shown.is_some() {
            streams.tell(&format!("\r{}\r", " ".repeat(WIDTH + 6)));
        }
        self.started.elapsed()
    }
}

#[cfg(test)]
#[allow(clippy::unwrap_used, reason = "a test that cannot go on has failed")]
mod tests {
    use super::*;

    fn shown(terminal: bool, seconds: u64, done: &[u64]) -> String {
        let mut out = Vec::new();
        let mut streams = Streams::new(std::io::empty(), std::io::empty(), &mut out);
        streams.stderr_is_terminal = terminal;
        let mut progress = Progress::new(200);
        progress.started = progress.started.checked_sub(Duration::from_secs(seconds)).unwrap();
        done.iter().for_each(|&done| progress.at(done, &mut streams));
        assert!(progress.finish(&mut streams) >= Duration::from_secs(seconds));
        drop(streams);
        String::from_utf8(out).unwrap()
    }

    #[test]
    fn only_long_work_on_a_terminal_is_shown_and_the_bar_is_wiped_away() {
        assert_eq!(shown(false, 5, &[100]), "");
        assert_eq!(shown(true, 0, &[100]), "");
        let told = shown(true, 5, &[100, 101]);
        let bar = format!("\r{}{}  50 %", "█".repeat(15), "░".repeat(15));
        assert_eq!(told, format!("{bar}\r{}\r", " ".repeat(bar.chars().count() - 1)), "once in a tenth of a second");
        assert!(shown(true, 5, &[900]).contains("100 %"), "never more than all");
    }
}
