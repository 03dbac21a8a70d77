//! Collects arguments and streams, and hands over to [`evenkeel::cli::run`].
use std::process::ExitCode;

fn main() -> ExitCode {
    ExitCode::from(evenkeel::cli::run_process())
}
