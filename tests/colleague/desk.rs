//! Specs as text, asked as the command line would ask them.
use evenkeel::designator::Topology;
use evenkeel::spec::{self, Files};
use evenkeel::study::explain::{Lesson, Topic, Wanted, explain};
use evenkeel::study::{Design, DesignOptions, Question, Span, design};
use std::sync::OnceLock;

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
pub(crate) const MIXER: &str = include_str!("../../examples/mixer-torque.toml");

pub(crate) fn question(text: &str) -> Question {
    let spec = spec::read("spec", text, &Examples).unwrap_or_else(|faults| panic!("{faults:?}\n{text}"));
    spec.channels[0].question.clone()
}

pub(crate) fn lesson(text: &str, topic: Option<Topic>) -> Lesson {
    explain(&question(text), Wanted { topic, measured_db: None }).unwrap()
}

/// The whole working of every spec, with a measured rejection.
pub(crate) fn lessons() -> &'static [(String, Lesson)] {
    static LESSONS: OnceLock<Vec<(String, Lesson)>> = OnceLock::new();
    let wanted = Wanted { topic: None, measured_db: Some(74.0) };
    LESSONS.get_or_init(|| {
        specs().into_iter().map(|(name, text)| (name, explain(&question(&text), wanted).unwrap())).collect()
    })
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
    let mut all: Vec<(String, String)> = [
        ("hook-load", HOOK_LOAD),
        ("geophone", GEOPHONE),
        ("battery", BATTERY),
        ("mixer", MIXER),
        ("CV-IA3-01", CV_IA3_01),
    ]
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
    all.extend(crowded());
    all
}

/// Specs with everything around the circuit that there is.
fn crowded() -> Vec<(String, String)> {
    let around = "[signal]\ndifferential = \"-10 mV .. 30 mV\"\ncommon_mode = \"0.5 V .. 1.5 V\"\ndc_offset = \"-1 mV .. 1 mV\"\n\
        bandwidth = \"2 kHz\"\nnoise_bandwidth = \"single-pole\"\n\
        [supply]\npositive = \"9 V\"\nnegative = \"-9 V\"\nreference = \"0.5 V\"\nreference_resistance = \"3 Ω\"\n\
        ripple = \"20 mV\"\nripple_frequency = \"100 Hz\"\n\
        [interference]\nfrequency = \"50 Hz\"\namplitude = \"0.2 V\"\n\
        [source]\nresistance = \"120 Ω\"\nimbalance = \"7 Ω\"\nbias_return = \"1 MΩ\"\nbias_return_tolerance = \"2 %\"\n\
        cable_capacitance = \"1.5 nF\"\n\
        [input_filter]\nresistor = \"220 Ω\"\ncommon_capacitor = \"1 nF\"\ndifferential_capacitor = \"10 nF\"\n\
        fault_voltage = \"12 V\"\nfault_current = \"10 mA\"\n\
        [strays]\nthermal_emf = \"3 µV/K\"\nleg_gradient = \"0.4 K\"\nSTRAYS\
        [environment]\ntemperature = \"-10 °C .. 60 °C\"\n";
    let data = "bias_current = \"20 pA\"\noffset_current = \"10 pA\"\nbias_current_doubling = \"10 K\"\n\
        current_noise = \"2 fA/√Hz\"\nslew_rate = \"5 V/µs\"\ninput_resistance = \"2 GΩ\"\ninput_capacitance = \"4 pF\"\n\
        output_swing = { from_negative = \"1 V\", from_positive = \"1.2 V\" }\n\
        input_range = { from_negative = \"1.5 V\", from_positive = \"2 V\" }\n\
        supply_rejection = \"90 dB\"\nsupply_rejection_corner = \"20 Hz\"\n";
    let opamp = "open_loop_gain = \"110 dB\"\ngain_bandwidth = \"5 MHz\"\ngain_bandwidth_tolerance = \"20 %\"\n\
        rejection = \"90 dB\"\nrejection_corner = \"500 Hz\"\noffset = \"0.3 mV\"\noffset_drift = \"2 µV/K\"\n\
        voltage_noise = \"12 nV/√Hz\"\nvoltage_noise_corner = \"20 Hz\"\n";
    let resistors = "[resistors]\ntolerance = \"0.1 %\"\ntempco = \"25 ppm/K\"\n";
    let matched = "[[resistors.network]]\nmembers = [\"R1\", \"R2\", \"R3\", \"R4\"]\nmatch = \"0.02 %\"\nmatch_tempco = \"2 ppm/K\"\n";
    let gradient = "rg_gradient = \"0.2 K\"\n";
    let with_rg = around.replace("STRAYS", gradient);
    let plain = around.replace("STRAYS", "");
    let mut all: Vec<(String, String)> = [
        ("three-op-amp", "stage_two_gain = 2\n", 40.0, &with_rg),
        ("two-op-amp", "", 40.0, &with_rg),
        ("buffered-difference", "", 20.0, &plain),
        ("difference", "", 20.0, &plain),
    ]
    .into_iter()
    .map(|(topology, more, gain, around)| {
        let text = format!(
            "{around}[target]\ngain = {gain}\n[circuit]\ntopology = \"{topology}\"\n{more}{resistors}{matched}\
             [opamp.all]\n{opamp}{data}"
        );
        (format!("crowded {topology}"), text)
    })
    .collect();
    let chip = "base_gain = 1\ngain_constant = \"49.4k\"\ngain_error = [{ gain = 1, error = \"0.05 %\" }, { gain = 100, error = \"0.3 %\" }]\n\
        rejection = [{ gain = 1, at = \"80 dB\" }, { gain = 10, at = \"100 dB\" }]\nrejection_corner = \"200 Hz\"\nbandwidth = [{ gain = 1, at = \"1 MHz\" }, { gain = 100, at = \"100 kHz\" }]\n\
        gain_drift = \"20 ppm/K\"\nnonlinearity = \"20 ppm\"\noffset_in = \"50 µV\"\noffset_out = \"0.3 mV\"\n\
        offset_in_drift = \"0.3 µV/K\"\noffset_out_drift = \"3 µV/K\"\nnoise_in = \"10 nV/√Hz\"\nnoise_out = \"70 nV/√Hz\"\n\
        noise_in_corner = \"3 Hz\"\nnoise_out_corner = \"10 Hz\"\n";
    all.push((
        "crowded single-chip".to_owned(),
        format!("{with_rg}[target]\ngain = 40\n[circuit]\ntopology = \"single-chip\"\n{resistors}[chip]\n{chip}{data}"),
    ));
    all
}
