//! Specs as text, asked as the command line would ask them.
use evenkeel::designator::Topology;
use evenkeel::spec::{self, Files};
use evenkeel::study::explain::{Lesson, Topic, Wanted, explain};
use evenkeel::study::{Design, DesignOptions, Question, Span, design};

/// The folder of the examples, as far as they need it.
struct Examples;

impl Files for Examples {
    fn read(&self, path: &str) -> Result<String, String> {
        match path {
            "parts/low-drift.toml" => Ok(include_str!("../../examples/parts/low-drift.toml").to_owned()),
            _ => Err(format!("no {path}")),
        }
    }
    fn list(&self, _: &str) -> Result<Vec<String>, String> {
        Err("none".to_owned())
    }
}

pub(crate) const HOOK_LOAD: &str = include_str!("../../examples/hook-load.toml");
pub(crate) const GEOPHONE: &str = include_str!("../../examples/geophone.toml");
pub(crate) const BATTERY: &str = include_str!("../../examples/battery-shunt.toml");

pub(crate) fn question(text: &str) -> Question {
    let spec = spec::read("spec", text, &Examples).unwrap_or_else(|faults| panic!("{faults:?}\n{text}"));
    spec.channels[0].question.clone()
}

pub(crate) fn lesson(text: &str, topic: Option<Topic>) -> Lesson {
    explain(&question(text), Wanted { topic, measured_db: None }).unwrap()
}

pub(crate) fn designed(text: &str) -> Design {
    design(&question(text), &DesignOptions { sweep_hz: Span::point(10.0) }).unwrap()
}

/// Example 2.17 of Sedra/Smith, Microelectronic Circuits (CV-IA3-01, seen): RG 1 kΩ, RF 500 kΩ, R1 to R4 10 kΩ,
/// 5 V common, 10 mV peak between.
pub(crate) const CV_IA3_01: &str = "[signal]\ndifferential = \"± 10 mV\"\ncommon_mode = \"5 V\"\n\
    [supply]\npositive = \"15 V\"\nnegative = \"-15 V\"\nreference = \"0 V\"\n[target]\ngain = 1001\n\
    [resistors]\ntolerance = \"1 %\"\n[resistors.fixed]\nRG = \"1k\"\nRF = \"500k\"\nR1 = \"10k\"\nR2 = \"10k\"\n";

/// Every spec the laws of this folder hold for.
pub(crate) fn specs() -> Vec<(String, String)> {
    let mut all: Vec<(String, String)> =
        [("hook-load", HOOK_LOAD), ("geophone", GEOPHONE), ("battery", BATTERY), ("CV-IA3-01", CV_IA3_01)]
            .map(|(name, text)| (name.to_owned(), text.to_owned()))
            .to_vec();
    for topology in Topology::ALL {
        all.push((format!("starter {topology}"), spec::starter(topology)));
    }
    let signal = "[signal]\ndifferential = \"-3 mV .. 17 mV\"\ncommon_mode = \"-1 V .. 2 V\"\nbandwidth = \"1 kHz\"\n";
    let rest = "[supply]\npositive = \"6 V\"\nnegative = \"-6 V\"\nreference = \"0.3 V\"\nreference_resistance = \"7 Ω\"\n\
        [interference]\nfrequency = \"60 Hz\"\namplitude = \"0.3 V\"\n\
        [source]\nresistance = \"510 Ω\"\nimbalance = \"11 Ω\"\nbias_return = \"2.2 MΩ\"\ncable_capacitance = \"220 pF\"\n\
        [strays]\nrg_resistance = \"20 mΩ\"\nrg_capacitance = \"1 pF\"\n\
        [resistors]\ntolerance = \"0.5 %\"\ntempco = \"50 ppm/K\"\n\
        [environment]\ntemperature = \"0 °C .. 50 °C\"\n\
        [opamp.all]\nopen_loop_gain = \"110 dB\"\ngain_bandwidth = \"3 MHz\"\nrejection = \"95 dB\"\noffset = \"0.2 mV\"\n\
        bias_current = \"5 nA\"\noffset_current = \"1 nA\"\nvoltage_noise = \"8 nV/√Hz\"\ncurrent_noise = \"0.4 pA/√Hz\"\n\
        slew_rate = \"2 V/µs\"\ninput_resistance = \"40 MΩ\"\n";
    for (circuit, gain) in [
        ("topology = \"three-op-amp\"\nstage_two_gain = 4", 60.0),
        ("topology = \"three-op-amp\"\nstage_two_gain = 5", 5.0),
        ("topology = \"two-op-amp\"", 1.5),
        ("topology = \"two-op-amp\"", 2.0),
        ("topology = \"buffered-difference\"", 12.0),
    ] {
        let rest =
            if gain == 5.0 || gain == 2.0 { rest.replace("rg_resistance = \"20 mΩ\"\n", "") } else { rest.to_owned() };
        let text = format!("{signal}{rest}[circuit]\n{circuit}\n[target]\ngain = {gain}\n");
        let text = if circuit.contains("buffered") {
            text.replace("[strays]\nrg_resistance = \"20 mΩ\"\nrg_capacitance = \"1 pF\"\n", "")
        } else {
            text
        };
        all.push((format!("{circuit} at {gain}"), text));
    }
    all
}
