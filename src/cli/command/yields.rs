use super::chosen::Read;
use crate::cli::flag::Flags;
use crate::cli::grammar::{TemperatureArg, Yield};
use crate::cli::interrupt::Interrupt;
use crate::cli::progress::Progress;
use crate::cli::{Desk, FINE, INTERRUPTED, NOT_MET, Outcome, Streams};
use crate::quantity::{Unit, rounded};
use crate::report;
use crate::study::{USUAL_BOARDS, YieldFigure, YieldOptions};
use std::time::Duration;

pub(super) fn run(args: &Yield, desk: &Desk, streams: &mut Streams<'_>) -> Outcome {
    let mut flags = Flags::default();
    let options = options(args, &mut flags);
    let wish = flags.checked(args.output.wish());
    let wish = flags.settled(wish)?;
    let read = Read::new(&args.spec, streams)?;
    let channel = read.channel()?;
    let interrupt = Interrupt::listen();
    let boards = options.boards.or(channel.question.draw.boards).unwrap_or(USUAL_BOARDS);
    let mut progress = Progress::new(boards);
    let answer = (desk.yields)(&channel.question, &options, &mut |done| {
        progress.at(done, streams);
        !interrupt.heard()
    });
    let taken = progress.finish(streams);
    let figure = match answer {
        Ok(figure) => figure,
        Err(fault) => return read.unanswered(("evenkeel.yield.v1", channel), &fault, &wish, streams),
    };
    wish.deliver(&report::yields(&figure), streams).map_err(|told| vec![told])?;
    streams.tell(&speed(&figure, taken));
    Ok(match (figure.partial, figure.met()) {
        (true, _) => INTERRUPTED,
        (false, true) => FINE,
        (false, false) => NOT_MET,
    })
}

fn options(args: &Yield, flags: &mut Flags) -> YieldOptions {
    let cores = || std::thread::available_parallelism().map_or(1, std::num::NonZero::get);
    YieldOptions {
        boards: flags.count("--boards", args.boards.as_deref(), 1),
        seed: flags.count("--seed", args.seed.as_deref(), 0),
        shape: args.shape.map(Into::into),
        uniform_temperature: args.temperature.map(|temperature| temperature == TemperatureArg::Uniform),
        tail: args.tail,
        threads: args.threads.map_or_else(cores, usize::from),
        ..YieldOptions::default()
    }
}

/// How fast it went, the choice of values and what was tried beside the boards included.
fn speed(figure: &YieldFigure, taken: Duration) -> String {
    let seconds = taken.as_secs_f64();
    let rate = figure.boards as f64 / seconds.max(1e-9) / 1e6;
    let boards = rounded(figure.boards as f64 / 1e6, Unit::Plain, 4);
    format!(
        "{boards} M boards in {}: {} M boards/s\n",
        rounded(seconds, Unit::Second, 3),
        rounded(rate, Unit::Plain, 3)
    )
}
