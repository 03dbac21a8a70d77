//! The laws the working cites: their numbers in docs/theory.md, and where they are from.

/// A law of docs/theory.md.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Law {
    /// Its number there.
    pub number: u16,
    /// Where it is published.
    pub from: &'static str,
}

const fn law(number: u16, from: &'static str) -> Law {
    Law { number, from }
}

const BY_HAND: &str = "node equations, worked out here";
const SEDRA_DIFFERENCE: &str = "Sedra/Smith, Microelectronic Circuits, section on difference amplifiers (from memory)";
const SEDRA_THREE: &str = "Sedra/Smith, Microelectronic Circuits, example 2.17";
const AD627: &str = "Analog Devices AD627 data sheet, Rev. E, p. 19";
const SUPERPOSED: &str = "textbook result: superposition of input errors";
const TEXTBOOK: &str = "textbook result";

pub(super) const INPUTS: Law = law(1, "definition of common mode and difference");
pub(super) const LEVEL: Law = law(2, "the rules of the op amp with feedback: Sedra/Smith, Microelectronic Circuits");
pub(super) const DIVIDER: Law = law(3, SEDRA_DIFFERENCE);
pub(super) const STAGE_OUTPUT: Law = law(4, SEDRA_DIFFERENCE);
pub(super) const DIFFERENCE_GAIN: Law = law(5, SEDRA_DIFFERENCE);
pub(super) const COMMON_GAIN: Law = law(6, SEDRA_DIFFERENCE);
pub(super) const GAIN_CURRENT: Law = law(7, SEDRA_THREE);
pub(super) const STAGE_ONE_OUTPUTS: Law = law(8, SEDRA_THREE);
pub(super) const STAGE_ONE_GAIN: Law = law(9, SEDRA_THREE);
pub(super) const WHOLE_GAIN: Law = law(10, SEDRA_THREE);
pub(super) const FIRST_OF_TWO: Law =
    law(11, "node equations, worked out here; Analog Devices AD627 data sheet, Rev. E");
pub(super) const SECOND_OF_TWO: Law =
    law(12, "node equations, worked out here; Analog Devices AD627 data sheet, Rev. E");
pub(super) const TWO_GAIN: Law = law(13, "Analog Devices AD627 data sheet, Rev. E");
pub(super) const CHIP_GAIN: Law = law(14, "the chip's own data sheet");
pub(super) const GAIN_SPREAD: Law = law(15, "first-order sensitivities of the gain, worked out here");
pub(super) const REJECTION: Law = law(16, "definition of common-mode rejection");
pub(super) const RATIO_RESISTORS: Law =
    law(17, "Sedra/Smith, Microelectronic Circuits, example 2.15; Texas Instruments RES11A data sheet, SLPS785");
pub(super) const RATIO_RESISTORS_TWO: Law = law(18, AD627);
pub(super) const OP_AMPS_THREE: Law = law(19, SUPERPOSED);
pub(super) const OP_AMPS_TWO: Law = law(20, SUPERPOSED);
pub(super) const ADDED: Law = law(21, "Texas Instruments RES11A data sheet, SLPS785");
pub(super) const LOOP_GAIN_THREE: Law = law(22, TEXTBOOK);
pub(super) const LOOP_GAIN_TWO: Law = law(23, TEXTBOOK);
pub(super) const REFERENCE_DIFFERENCE: Law = law(24, "Analog Devices MT-061 (from memory)");
pub(super) const REFERENCE_TWO: Law = law(25, TEXTBOOK);
pub(super) const SOURCE_IMBALANCE: Law = law(26, "Ott, Noise Reduction Techniques in Electronic Systems (from memory)");
pub(super) const CABLE: Law = law(27, TEXTBOOK);
pub(super) const STRAY: Law = law(28, TEXTBOOK);
pub(super) const BIAS_RETURN: Law = law(29, TEXTBOOK);
pub(super) const IMBALANCE_AT_DC: Law = law(34, "divider of each leg, worked out here");
pub(super) const SWING: Law = law(30, SEDRA_THREE);
pub(super) const MARGIN: Law = law(31, "definition of headroom");
pub(super) const LEG_IMPEDANCE: Law = law(32, BY_HAND);
pub(super) const BRIDGE_IMPEDANCE: Law =
    law(33, "node equations, worked out here; Sedra/Smith, Microelectronic Circuits, example 2.15 (2·R1)");
pub(super) const OFFSET: Law = law(35, "definition: referred to the input");
pub(super) const OFFSET_VOLTAGE: Law = law(36, "textbook result: superposition of input errors");
pub(super) const OFFSET_CURRENTS: Law = law(37, "node equations, worked out here");
pub(super) const THERMAL: Law =
    law(38, "Nyquist, Thermal Agitation of Electric Charge in Conductors, Phys. Rev. 32 (1928) (from memory)");
pub(super) const NOISE_SUM: Law = law(39, "textbook result: independent sources add by squares");
pub(super) const NOISE_BAND: Law = law(40, "definition of a density that is flat");
pub(super) const CLOSED_LOOP: Law =
    law(41, "Sedra/Smith, Microelectronic Circuits, section on finite open-loop gain and bandwidth (from memory)");
pub(super) const FILTER: Law =
    law(42, "Analog Devices, data sheets AD8429 and AD8229, section on radio-frequency interference");
pub(super) const POLES_TOGETHER: Law = law(43, "rule of thumb of the trade, as for rise times (from memory)");
pub(super) const FULL_POWER: Law =
    law(44, "Sedra/Smith, Microelectronic Circuits, section on large-signal operation (from memory)");
pub(super) const BUDGET: Law = law(45, "definition of the error budget");

pub(super) const AHEAD: Law = law(46, "parts in series and side by side, worked out here");
pub(super) const BOUNDS: Law = law(47, "definition of tolerance, match and temperature coefficient");
pub(super) const NOISE_GAIN: Law = law(48, SEDRA_DIFFERENCE);
pub(super) const RIGHT_ANGLE: Law = law(49, "complex quantities, worked out here");
pub(super) const REJECTION_CORNER: Law = law(50, "definition of a corner: one pole");
pub(super) const SPEED_THREE: Law = law(51, BY_HAND);
pub(super) const SPEED_TWO: Law = law(52, BY_HAND);
pub(super) const THERMAL_EMF: Law =
    law(53, "thermocouple law: voltage in proportion to the temperature difference (from memory)");
pub(super) const DOUBLING: Law = law(54, "definition: a current that doubles every so many kelvin");
pub(super) const PROTECTION: Law = law(55, "Ohm's law");
pub(super) const BUDGET_GAIN: Law = law(56, BY_HAND);
pub(super) const LOADING: Law = law(57, "divider of each leg, worked out here");
pub(super) const RIPPLE: Law = law(58, "definition of supply rejection: ripple as an offset voltage");

/// All of them, by number.
pub const LAWS: &[Law] = &[
    INPUTS,
    LEVEL,
    DIVIDER,
    STAGE_OUTPUT,
    DIFFERENCE_GAIN,
    COMMON_GAIN,
    GAIN_CURRENT,
    STAGE_ONE_OUTPUTS,
    STAGE_ONE_GAIN,
    WHOLE_GAIN,
    FIRST_OF_TWO,
    SECOND_OF_TWO,
    TWO_GAIN,
    CHIP_GAIN,
    GAIN_SPREAD,
    REJECTION,
    RATIO_RESISTORS,
    RATIO_RESISTORS_TWO,
    OP_AMPS_THREE,
    OP_AMPS_TWO,
    ADDED,
    LOOP_GAIN_THREE,
    LOOP_GAIN_TWO,
    REFERENCE_DIFFERENCE,
    REFERENCE_TWO,
    SOURCE_IMBALANCE,
    CABLE,
    STRAY,
    BIAS_RETURN,
    SWING,
    MARGIN,
    LEG_IMPEDANCE,
    BRIDGE_IMPEDANCE,
    IMBALANCE_AT_DC,
    OFFSET,
    OFFSET_VOLTAGE,
    OFFSET_CURRENTS,
    THERMAL,
    NOISE_SUM,
    NOISE_BAND,
    CLOSED_LOOP,
    FILTER,
    POLES_TOGETHER,
    FULL_POWER,
    BUDGET,
    AHEAD,
    BOUNDS,
    NOISE_GAIN,
    RIGHT_ANGLE,
    REJECTION_CORNER,
    SPEED_THREE,
    SPEED_TWO,
    THERMAL_EMF,
    DOUBLING,
    PROTECTION,
    BUDGET_GAIN,
    LOADING,
    RIPPLE,
];
