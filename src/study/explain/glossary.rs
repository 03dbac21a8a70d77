//! What each symbol means that stands in an equation and is not worked out in the same working, and where
//! its value is from.
use super::explanation::{Explanation, Topic};
use crate::designator::Topology;
use crate::equation::Symbol;
use crate::quantity::Unit;
use std::fmt;

/// A symbol that a working takes as given.
#[derive(Clone, Debug, PartialEq)]
pub struct Given {
    /// As it stands in the equations.
    pub symbol: String,
    /// What it is.
    pub meaning: String,
    /// Its value, SI.
    pub value: f64,
    /// What that is measured in.
    pub unit: Unit,
    /// Where it is from.
    pub from: Origin,
}

/// Where a value is from.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Origin {
    /// A resistor of the drawing: fixed by the spec, or chosen.
    Drawing,
    /// The spec, its part files and defaults.
    Spec,
    /// A point that was chosen to work with.
    Chosen,
    /// A constant of nature.
    Nature,
    /// Found by trying.
    Trial,
    /// The network's own figure.
    Network,
    /// The working of another figure.
    Working(Topic),
}

impl fmt::Display for Origin {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            Self::Drawing => f.write_str("the drawing"),
            Self::Spec => f.write_str("the spec or its defaults"),
            Self::Chosen => f.write_str("chosen to work with"),
            Self::Nature => f.write_str("a constant"),
            Self::Trial => f.write_str("found by trial"),
            Self::Network => f.write_str("the network"),
            Self::Working(topic) => write!(f, "the working of {topic}"),
        }
    }
}

use Origin::{Chosen, Drawing, Nature, Network, Spec, Trial, Working};

type Row = (&'static str, &'static str, Origin);

/// A name that ends in `#` stands for all that begin so.
const ROWS: &[Row] = &[
    ("R1", "resistor", Drawing),
    ("R2", "resistor", Drawing),
    ("R3", "resistor", Drawing),
    ("R4", "resistor", Drawing),
    ("R5", "resistor", Drawing),
    ("R6", "resistor", Drawing),
    ("RF1", "feedback resistor of A1", Drawing),
    ("RF2", "feedback resistor of A2", Drawing),
    ("RG", "the resistor that sets the gain", Drawing),
    ("v_cm", "common mode of the two wires", Chosen),
    ("v_d", "difference of the two wires", Chosen),
    ("v_ref", "voltage of the reference", Spec),
    ("v_dmin", "lowest difference of the signal", Spec),
    ("v_dmax", "highest difference of the signal", Spec),
    ("v_cmin", "lowest common mode of the signal", Spec),
    ("v_cmax", "highest common mode of the signal", Spec),
    ("v_omin", "lowest dc offset of the source", Spec),
    ("v_omax", "highest dc offset of the source", Spec),
    ("R_s", "resistance of one leg of the source", Spec),
    ("dR_s", "greatest difference of the source's legs", Spec),
    ("R_b", "bias-return resistor", Spec),
    ("r_in#", "input resistance of an op amp at a wire", Spec),
    ("R_fil", "filter resistor in each leg", Spec),
    ("C_cab", "the cable, from one wire to ground", Spec),
    ("C_C", "filter capacitor from an input to ground", Spec),
    ("C_D", "filter capacitor across the inputs", Spec),
    ("C_in", "input capacitance of an op amp at a wire", Spec),
    ("dC_G", "difference of RG's ends in capacitance to ground", Spec),
    ("r_ref", "resistance that drives the reference", Spec),
    ("t_Rb", "tolerance of the bias-return resistors", Spec),
    ("t_Rfil", "tolerance of the filter's resistors", Spec),
    ("t_Cfil", "tolerance of the filter's capacitors", Spec),
    ("t_cab", "tolerance of the cable's capacitance", Spec),
    ("tol_#", "tolerance of a resistor", Spec),
    ("TC_R#", "temperature coefficient of a resistor", Spec),
    ("match_#", "match of a resistor network", Spec),
    ("TCm_#", "drift of that match with temperature", Spec),
    ("t_#", "tolerance of a resistor, with what temperature adds", Spec),
    ("t_GBW#", "tolerance of a gain-bandwidth product", Spec),
    ("t_chip", "gain error of the chip: the listed one at the next gain up", Spec),
    ("TC_chip", "drift of the chip's gain", Spec),
    ("dT", "greatest distance from the calibration temperature", Spec),
    ("dT_up", "from calibration to the hot end", Spec),
    ("d_T#", "rise of temperature that doubles the bias current", Spec),
    ("dT_leg", "temperature difference within a leg", Spec),
    ("dT_RG", "temperature difference of RG's ends", Spec),
    ("S_th", "thermal EMF of a joint against copper", Spec),
    ("M_#", "own rejection of an op amp, as a ratio", Spec),
    ("M_meas", "the rejection that was measured, as a ratio", Spec),
    ("A_OL#", "least open-loop gain of an op amp", Spec),
    ("GBW_#", "gain-bandwidth product of an op amp", Spec),
    ("f_c#", "corner of an op amp's rejection", Spec),
    ("SR_#", "slew rate of an op amp", Spec),
    ("PSR_#", "supply rejection of an op amp, as a ratio", Spec),
    ("f_s#", "corner of an op amp's supply rejection", Spec),
    ("V_r", "ripple of the supply", Spec),
    ("f_r", "frequency of that ripple", Spec),
    ("V_i", "amplitude of the interference", Spec),
    ("f_i", "frequency of the interference", Spec),
    ("V_pos", "positive supply", Spec),
    ("V_neg", "negative supply", Spec),
    ("d_oL#", "an output's distance from the negative supply", Spec),
    ("d_oH#", "an output's distance from the positive supply", Spec),
    ("d_iL#", "an input's distance from the negative supply", Spec),
    ("d_iH#", "an input's distance from the positive supply", Spec),
    ("V_os#", "offset voltage of an op amp", Spec),
    ("V_osi", "offset voltage of the chip's first stage", Spec),
    ("V_oso", "offset voltage of the chip's last stage", Spec),
    ("TC_os#", "drift of an op amp's offset voltage", Spec),
    ("TC_osi", "drift of the first stage's offset voltage", Spec),
    ("TC_oso", "drift of the last stage's offset voltage", Spec),
    ("I_b#", "bias current of an op amp", Spec),
    ("I_os#", "offset current of an op amp", Spec),
    ("k_B", "Boltzmann's constant", Nature),
    ("T", "temperature at calibration", Spec),
    ("e_A#", "voltage noise of an op amp", Spec),
    ("f_k#", "corner of an op amp's 1/f voltage noise", Spec),
    ("i_n#", "current noise of an op amp's input", Spec),
    ("f_ki#", "corner of the 1/f noise of an op amp's current", Spec),
    ("f_ki", "corner of the 1/f noise of a chip's first stage", Spec),
    ("f_ko", "corner of the 1/f noise of a chip's last stage", Spec),
    ("e_in", "noise of the chip's first stage", Spec),
    ("e_out", "noise of the chip's last stage", Spec),
    ("f_l", "lowest frequency that noise is counted from", Spec),
    ("f_h", "bandwidth of the signal", Spec),
    ("G_a", "listed gain below this one", Spec),
    ("G_b", "listed gain above this one", Spec),
    ("BW_a", "bandwidth of the chip that is listed at G_a", Spec),
    ("BW_b", "bandwidth of the chip that is listed at G_b", Spec),
    ("NL", "departure of the chip from a straight line", Spec),
    ("G_0", "gain of the chip without RG", Spec),
    ("K", "constant of the chip that RG divides", Spec),
    ("G_w", "the gain that is wanted", Spec),
    ("V_fault", "fault voltage", Spec),
    ("I_max", "current that the inputs survive", Spec),
    ("R_p", "R1 = R3 of the plain circuit", Chosen),
    ("G_p", "gain of the plain circuit", Spec),
    ("t_turn", "by how much one resistor is turned", Chosen),
    ("f_3dB", "where the poles together are 3 dB down", Trial),
    ("net_#", "this line as the network gives it", Network),
    ("G", "gain of the whole", Working(Topic::Gain)),
    ("G1", "gain of stage one", Working(Topic::Gain)),
    ("G2", "gain of stage two", Working(Topic::Gain)),
    ("G2'", "gain of the bridge as its balance counts it", Working(Topic::Topology)),
    ("R_leg", "what stands in one leg in front of the inputs", Working(Topic::Offset)),
    ("s_0", "spread of the gain at calibration", Working(Topic::Gain)),
    ("s_T", "spread of the gain over temperature", Working(Topic::Gain)),
    ("c_all", "share of the common mode at the input, dc", Working(Topic::Rejection)),
    ("c_i", "the same at the interference", Working(Topic::Rejection)),
    ("V_12", "offset voltages of A1 and A2 at the input", Working(Topic::Offset)),
    ("V_1", "offset voltage of A1 at the input", Working(Topic::Offset)),
    ("V_3", "offset voltage of A3 at the input", Working(Topic::Offset)),
    ("V_b#", "what a bias current makes at the input", Working(Topic::Offset)),
    ("V_c#", "what an offset current makes at the input", Working(Topic::Offset)),
    ("V_th", "what thermal EMFs make at the input", Working(Topic::Offset)),
    ("TC_V", "drift of the offset voltages at the input", Working(Topic::Offset)),
    ("V_pp", "noise from peak to peak", Working(Topic::Noise)),
];

fn row(name: &str) -> Option<&'static Row> {
    let exact = ROWS.iter().find(|row| row.0 == name);
    let fits = |row: &&Row| row.0.strip_suffix('#').is_some_and(|head| name.starts_with(head));
    exact.or_else(|| ROWS.iter().filter(fits).max_by_key(|row| row.0.len()))
}

/// What a working takes as given, in the order of its equations.
pub(super) fn given(working: &Explanation, topology: Topology) -> Vec<Given> {
    let mut all: Vec<Given> = Vec::new();
    let mut worked: Vec<&str> = Vec::new();
    let sizes = working.measured.iter().flat_map(|measured| &measured.causes).filter_map(|size| size.by_hand.as_ref());
    for equation in working.steps.iter().filter_map(|step| step.equation.as_ref()).chain(sizes) {
        for symbol in equation.law.symbols() {
            let known = worked.contains(&symbol.name.as_ref()) || all.iter().any(|one| one.symbol == symbol.name);
            if !known {
                all.push(of(symbol, topology));
            }
        }
        worked.push(&equation.name);
    }
    all
}

fn of(symbol: &Symbol, topology: Topology) -> Given {
    let (meaning, from) = row(&symbol.name).map_or(("", Network), |row| (row.1, row.2));
    let meaning = meaning.replace("an op amp", &part(&symbol.name, topology));
    Given { symbol: symbol.name.clone().into_owned(), meaning, value: symbol.value, unit: symbol.unit, from }
}

/// Which part a symbol with a number belongs to.
fn part(name: &str, topology: Topology) -> String {
    let number = name.chars().last().filter(char::is_ascii_digit);
    match (topology, number) {
        (Topology::SingleChip, _) => "the chip".to_owned(),
        (Topology::Difference, _) => "the op amp".to_owned(),
        (_, Some(number)) => format!("A{number}"),
        (_, None) => "an op amp".to_owned(),
    }
}
