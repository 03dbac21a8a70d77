//! What people read in any format is what scripts read, to the digits that are printed.
use crate::fixture;
use evenkeel::quantity::{Unit, parse};
use evenkeel::report::{self, Paint};
use serde_json::Value;

/// A row: its first words, which of the rows that begin so, the cell, and where JSON has the number.
const READ: [(&str, usize, usize, &str, Unit); 54] = [
    ("reference (chosen)", 0, 1, "/reference_v", Unit::Volt),
    ("gain error", 0, 1, "/limits/0/required", Unit::Fraction),
    ("gain error", 0, 2, "/limits/0/predicted", Unit::Fraction),
    ("gain error", 0, 3, "/limits/0/margin", Unit::Fraction),
    ("rejection", 0, 2, "/limits/1/predicted", Unit::Decibel),
    ("rejection", 0, 3, "/limits/1/margin", Unit::Decibel),
    ("rejection at interference", 0, 3, "/limits/2/margin", Unit::Decibel),
    ("wanted", 0, 1, "/gain/target", Unit::Plain),
    ("nominal", 0, 1, "/gain/nominal", Unit::Plain),
    ("error, nominal", 0, 1, "/gain/error_nominal", Unit::Fraction),
    ("error, lowest", 0, 1, "/gain/error_low", Unit::Fraction),
    ("error, highest", 0, 1, "/gain/error_high", Unit::Fraction),
    ("worst case", 0, 1, "/rejection/worst_db", Unit::Decibel),
    ("handbook estimate", 0, 1, "/rejection/closed_form_db", Unit::Decibel),
    ("ratio resistors", 0, 1, "/rejection/causes/0/alone_db", Unit::Decibel),
    ("first-stage op amps", 0, 1, "/rejection/causes/1/alone_db", Unit::Decibel),
    ("frequency", 0, 1, "/rejection/at_interference/hz", Unit::Hertz),
    ("worst case", 1, 1, "/rejection/at_interference/worst_db", Unit::Decibel),
    ("data-sheet convention", 0, 1, "/rejection/at_interference/rti_db", Unit::Decibel),
    ("100 Hz", 0, 1, "/rejection/harmonics/0/worst_db", Unit::Decibel),
    ("100 Hz", 1, 2, "/rejection/sweep/20/worst_db", Unit::Decibel),
    ("100 Hz", 1, 3, "/rejection/sweep/20/rti_db", Unit::Decibel),
    ("1 MHz", 0, 0, "/rejection/sweep/60/hz", Unit::Hertz),
    ("least margin", 0, 1, "/headroom/margin_v", Unit::Volt),
    ("least with resistors at their worst", 0, 1, "/headroom/worst_margin_v", Unit::Volt),
    ("largest gain that fits", 0, 1, "/headroom/largest_gain", Unit::Plain),
    ("A1 output", 0, 3, "/headroom/points/0/lowest_v", Unit::Volt),
    ("A1 output", 0, 4, "/headroom/points/0/highest_v", Unit::Volt),
    ("A3 output", 0, 5, "/headroom/points/1/margin_v", Unit::Volt),
    ("2.5 V", 0, 1, "/headroom/window/1/differential_v", Unit::Volt),
    ("common mode", 1, 1, "/impedance/common_mode_ohm", Unit::Ohm),
    ("positive input alone", 0, 1, "/impedance/positive_ohm", Unit::Ohm),
    ("differential bandwidth", 0, 1, "/input_filter/differential_hz", Unit::Hertz),
    ("common-mode bandwidth", 0, 1, "/input_filter/common_mode_hz", Unit::Hertz),
    ("resistance needed in each leg", 0, 1, "/input_filter/protection/needed_ohm", Unit::Ohm),
    ("current at the fault", 0, 1, "/input_filter/protection/current_a", Unit::Ampere),
    ("power in the resistor then", 0, 1, "/input_filter/protection/power_w", Unit::Watt),
    ("RG", 1, 1, "/resistors/0/ohm", Unit::Ohm),
    ("RF1", 0, 1, "/resistors/1/ohm", Unit::Ohm),
    ("R1", 0, 1, "/resistors/3/ohm", Unit::Ohm),
    ("differential impedance", 0, 1, "/limits/3/required", Unit::Ohm),
    ("drift", 0, 1, "/offset/drift_v_per_k", Unit::VoltPerKelvin),
    ("A1 bias current", 0, 1, "/offset/causes/1/rti_v", Unit::Volt),
    ("density at 1 kHz", 0, 1, "/noise/density_v_per_rthz", Unit::VoltPerRootHertz),
    ("over the band, rms", 0, 1, "/noise/rms_v", Unit::Volt),
    ("over the band, peak to peak", 0, 1, "/noise/peak_to_peak_v", Unit::Volt),
    ("RG", 0, 2, "/noise/causes/1/rms_v", Unit::Volt),
    ("small signal", 0, 1, "/bandwidth/small_signal_hz", Unit::Hertz),
    ("full power", 0, 1, "/bandwidth/full_power_hz", Unit::Hertz),
    ("least phase margin", 0, 1, "/bandwidth/phase_margin_deg", Unit::Degree),
    ("full scale", 0, 1, "/budget/full_scale_v", Unit::Volt),
    ("gain drift", 0, 2, "/budget/lines/1/ppm_after_calibration", Unit::Plain),
    ("gain drift", 0, 3, "/budget/lines/1/lsb", Unit::Plain),
    ("sum, calibrated", 0, 1, "/budget/sum_after_calibration_ppm", Unit::Plain),
];

/// A document as rows of cells.
type Rows = Vec<Vec<String>>;

fn of_text(text: &str) -> Rows {
    text.lines()
        .map(|line| line.trim().split("  ").map(|cell| cell.trim().to_owned()).filter(|c| !c.is_empty()).collect())
        .collect()
}

fn of_markdown(text: &str) -> Rows {
    let cells = |line: &str| {
        line.trim_matches('|').split('|').map(|cell| cell.replace('\u{a0}', " ").trim().to_owned()).collect()
    };
    text.lines().filter(|line| line.starts_with('|')).map(cells).collect()
}

fn of_html(text: &str) -> Rows {
    let text = text.replace("</dt><dd>", "</td><td>").replace("<div><dt>", "<tr><td>").replace("</dd>", "</td></tr>");
    let rows = text.split("<tr>").skip(1).map(|row| row.split("</tr>").next().unwrap_or_default());
    let bare = |cell: &str| {
        let words = cell.split('<').map(|part| part.split_once('>').map_or("", |(_, words)| words)).collect::<String>();
        words.replace('\u{a0}', " ").trim().to_owned()
    };
    rows.map(|row| row.replace("</th>", "</td>").split("</td>").map(&bare).collect()).collect()
}

/// The value of printed words, and half a step of their last digit.
fn printed(words: &str, unit: Unit) -> (f64, f64) {
    let value = parse(words, unit).unwrap_or_else(|fault| panic!("`{words}`: {fault}"));
    let number: String = words.chars().take_while(|c| c.is_ascii_digit() || matches!(c, '.' | '-')).collect();
    let places = number.split_once('.').map_or(0, |(_, places)| places.len());
    let mantissa: f64 = number.parse().expect("a number");
    let step = libm::pow(10.0, -f64::from(u8::try_from(places).expect("few places")));
    (value, if mantissa == 0.0 { step } else { (value / mantissa).abs() * step / 2.0 * (1.0 + 1e-9) })
}

fn hold(rows: &Rows, json: &Value, format: &str) {
    for (head, nth, cell, pointer, unit) in READ {
        let row = rows.iter().filter(|row| row.first().is_some_and(|first| first == head)).nth(nth);
        let row = row.unwrap_or_else(|| panic!("{format}: no row {nth} `{head}`"));
        let exact = json.pointer(pointer).and_then(Value::as_f64).unwrap_or_else(|| panic!("no {pointer}"));
        let (value, slack) = printed(&row[cell], unit);
        assert!((value - exact).abs() <= slack, "{format}: `{}` for {pointer} = {exact}", row[cell]);
    }
}

#[test]
fn numbers_of_every_format_are_those_of_json() {
    let document = report::design(&fixture::design("Hook-load channel"));
    let json = serde_json::from_str(&document.to_json()).expect("JSON");
    hold(&of_text(&document.to_text(Paint::Plain)), &json, "text");
    hold(&of_markdown(&document.to_markdown(None)), &json, "markdown");
    hold(&of_html(&document.to_html()), &json, "html");
}

#[test]
fn a_wrong_digit_is_seen() {
    assert_eq!(printed("91.23 dB", Unit::Decibel).0, 91.23);
    assert!((91.235 - printed("91.23 dB", Unit::Decibel).0).abs() <= printed("91.23 dB", Unit::Decibel).1 * 1.01);
    assert!((91.236 - printed("91.23 dB", Unit::Decibel).0).abs() > printed("91.23 dB", Unit::Decibel).1);
    assert!((24_951.0 - printed("24.9 kΩ", Unit::Ohm).0).abs() > printed("24.9 kΩ", Unit::Ohm).1);
}
