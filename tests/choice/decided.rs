//! What is asked after a design has its values, grades and op amps.
use crate::{designed, question};
use evenkeel::study::explain::{Wanted, explain};
use evenkeel::study::{Question, decided, plan};

const SPEC: &str = "[signal]\ndifferential = \"± 10 mV\"\ncommon_mode = \"2.4 V .. 2.6 V\"\nbandwidth = \"100 Hz\"\n\
    [source]\nresistance = \"500 Ω\"\nimbalance = \"5 Ω\"\n\
    [supply]\npositive = \"5 V\"\nnegative = \"0 V\"\nreference = \"2.5 V\"\n\
    [environment]\ntemperature = \"0 °C .. 50 °C\"\n[target]\ngain = 150\n\
    [opamp.all]\nrejection = \"100 dB\"\nopen_loop_gain = \"120 dB\"\noffset = \"50 µV\"\n\
    voltage_noise = \"10 nV/√Hz\"\ngain_bandwidth = \"1 MHz\"\n";
const GRADES: &str = "[limits]\nrejection = \"84 dB\"\n[[resistors.network]]\nmembers = [\"R1\", \"R2\"]\nmatch = \"0.02 %\"\n\
    [[resistors.grade]]\ntolerance = \"1 %\"\ntempco = \"100 ppm/K\"\nprice = 0.01\n\
    [[resistors.grade]]\ntolerance = \"0.1 %\"\ntempco = \"25 ppm/K\"\nprice = 0.05\n";

fn asked() -> [Question; 3] {
    let chip = "[target]\ngain = 50\n[circuit]\ntopology = \"single-chip\"\n[chip]\ngain_constant = \"50k\"\n";
    [question(SPEC), question(&format!("{SPEC}{GRADES}")), question(chip)]
}

#[test]
fn the_same_working_and_a_sheet_for_the_same_circuit() {
    for question in asked() {
        let design = designed(&question);
        let after = decided(&question, &design).expect("decided");
        assert!(after.resistors.grades.is_empty());
        let working = |question: &Question| explain(question, Wanted::default()).expect("a working");
        assert_eq!(working(&after), working(&question));
        let sheet = plan(&after, 25.0).expect("a sheet");
        let (low, high) = (&sheet.steps[1], &sheet.steps[2]);
        let gain = (high.output.nominal_v - low.output.nominal_v) / (high.differential_v - low.differential_v);
        assert!(
            (gain / design.gain.nominal - 1.0).abs() < 1e-9,
            "{gain} on the sheet, {} designed",
            design.gain.nominal
        );
    }
}
