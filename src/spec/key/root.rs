use super::{Key, Kind, board, chip, environment, limits, opamp, resistors, signal};
use crate::designator::Topology::SingleChip;

const TITLE: Key =
    Key::new("title", Kind::Text, "What the design is called.").sample(r#""Load pin, port side""#).active();

/// The sections, in the order of the page; a channel has the same.
macro_rules! sections {
    ($($more:expr),* $(,)?) => {
        &[
            Key::new("signal", Kind::Table(signal::SIGNAL), "What is amplified."),
            Key::new("source", Kind::Table(signal::SOURCE), "What the signal comes from."),
            Key::new("strays", Kind::Table(signal::STRAYS), "Wiring, strays and joints."),
            Key::new("input_filter", Kind::Table(signal::FILTER), "The filter in front of the amplifier."),
            Key::new("interference", Kind::Table(signal::INTERFERENCE), "Common-mode pick-up."),
            Key::new("supply", Kind::Table(environment::SUPPLY), "Rails and reference."),
            Key::new("environment", Kind::Table(environment::ENVIRONMENT), "Temperatures."),
            Key::new("target", Kind::Table(environment::TARGET), "What the circuit has to do; the one section that is required."),
            Key::new("output", Kind::Table(environment::OUTPUT), "What reads the output; errors are told in its steps too."),
            Key::new("circuit", Kind::Table(environment::CIRCUIT), "Which circuit."),
            Key::new("resistors", Kind::Table(resistors::RESISTORS), "How resistors are bought, and what is decided."),
            opamp::OPAMPS,
            Key::new("chip", Kind::Table(chip::CHIP), "The one amplifier of a `single-chip` circuit.").only(&[SingleChip]),
            Key::new("trimmer", Kind::Table(board::TRIMMER), "The trimmer, for `trim`."),
            Key::new("switch", Kind::Table(board::SWITCH), "The switches, for `gains`."),
            Key::new("yield", Kind::Table(board::YIELD), "How `yield` draws; flags of the command win."),
            Key::new("board", Kind::Table(board::BOARD), "The board as built, for `check`."),
            Key::new("check", Kind::Table(board::CHECK), "What may change, for `check --against`."),
            Key::new("limits", Kind::Table(limits::LIMITS), "Bounds that are to be met, every one optional."),
            $($more,)*
        ]
    };
}

const CHANNEL: &[Key] = sections![
    Key::new("title", Kind::Text, "What the channel is called; no two alike.").required().sample(r#""Boom angle""#)
];

/// The whole spec.
pub const ROOT: &[Key] = sections![
    TITLE,
    Key::new(
        "channel",
        Kind::Tables(CHANNEL),
        "Several channels in one file: a title and any of the sections; its keys win over the shared ones."
    ),
];
