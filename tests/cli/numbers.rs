//! What people read in any format is what scripts read, to the digits that are printed.
use crate::{fixture, proof};
use evenkeel::quantity::{Unit, parse};
use evenkeel::report::{self, Paint, Proof};
use serde_json::Value;

/// A row: its first words, which of the rows that begin so, the cell, and where JSON has the number.
type Row = (&'static str, usize, usize, &'static str, Unit);

/// What JSON has of the bench sheet: that of `verify --plan`.
const SHEET: [Row; 9] = [
    ("temperature of the bench", 0, 1, "/temperature_c", Unit::Celsius),
    ("output to be read within, for the gain", 0, 1, "/gain_needs_u_output_v", Unit::Volt),
    ("2", 0, 2, "/steps/1/differential_v", Unit::Volt),
    ("2", 0, 4, "/steps/1/output_v", Unit::Volt),
    ("2", 0, 5, "/steps/1/output_low_v", Unit::Volt),
    ("2", 0, 6, "/steps/1/output_high_v", Unit::Volt),
    ("A1 output", 1, 1, "/steps/0/nodes/0/nominal_v", Unit::Volt),
    ("A1 output", 1, 2, "/steps/0/nodes/0/low_v", Unit::Volt),
    ("A3 output", 1, 3, "/steps/0/nodes/1/high_v", Unit::Volt),
];

/// What JSON has as numbers of a design.
const READ: [Row; 59] = [
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
    ("RG", 2, 1, "/resistors/0/ohm", Unit::Ohm),
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
    ("yield", 0, 1, "/yield/fraction", Unit::Fraction),
    ("gain error", 1, 1, "/yield/by_limit/0/fraction", Unit::Fraction),
    ("0.1 %", 1, 1, "/yield/gain_error/quantiles/0/value", Unit::Fraction),
    ("99.9 %", 1, 1, "/yield/rejection_db/quantiles/2/value", Unit::Decibel),
    ("RG", 1, 1, "/yield/shares/0/of_gain_variance", Unit::Fraction),
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

fn hold(wanted: &[Row], rows: &Rows, json: &Value, format: &str) {
    for &(head, nth, cell, pointer, unit) in wanted {
        let row = rows.iter().filter(|row| row.first().is_some_and(|first| first == head)).nth(nth);
        let row = row.unwrap_or_else(|| panic!("{format}: no row {nth} `{head}`"));
        let exact = json.pointer(pointer).and_then(Value::as_f64).unwrap_or_else(|| panic!("no {pointer}"));
        near(&row[cell], unit, exact, &format!("{format}, {pointer}"));
    }
}

fn near(words: &str, unit: Unit, exact: f64, place: &str) {
    let (value, slack) = printed(words, unit);
    assert!((value - exact).abs() <= slack, "{place}: `{words}` for {exact}");
}

/// A result and what the network says beside it, as they are printed.
type Result = (String, Option<String>);

/// The last line of each equation on a board of characters.
fn of_boards(text: &str) -> Vec<Result> {
    let mut all = Vec::new();
    let mut last: Option<&str> = None;
    for line in text.lines().chain([""]) {
        match line.trim().strip_prefix("= ") {
            Some(side) => last = Some(side),
            None => {
                if let Some(side) = last.take() {
                    let (result, beside) = side.split_once("    (network ").unwrap_or((side, ""));
                    let beside = beside.strip_suffix(')').map(str::to_owned);
                    all.push((result.trim().to_owned(), beside));
                }
            }
        }
    }
    all
}

/// The last row of each equation of a page, and the words under it.
fn of_mathml(html: &str) -> Vec<Result> {
    let equation = |part: &str| {
        let (math, after) = part.split_once("</math>").expect("an equation ends");
        let result = math.rsplit("<mn>").next().and_then(|end| end.split("</mn>").next()).expect("a number");
        let beside = after.split("</div>").nth(1).and_then(|rest| rest.split("network ").nth(1));
        let beside = beside.and_then(|words| words.split('<').next()).map(str::to_owned);
        (result.replace("&#160;", " "), beside)
    };
    html.split("<math ").skip(1).map(equation).collect()
}

fn hold_working(results: &[Result], json: &Value, format: &str) {
    let steps = json["figures"].as_array().expect("figures").iter().flat_map(|one| one["steps"].as_array());
    let steps: Vec<&Value> = steps.flatten().filter(|step| step["equation"].is_string()).collect();
    assert_eq!((results.len(), steps.len()), (2, 2), "{format}");
    for ((result, beside), (step, unit)) in results.iter().zip(steps.iter().zip([Unit::Plain, Unit::VoltPerRootHertz]))
    {
        near(result, unit, step["result"].as_f64().expect("a number"), format);
        assert_eq!(beside.is_some(), step["exact"].is_number(), "{format}");
        if let Some(beside) = beside {
            near(beside, unit, step["exact"].as_f64().expect("a number"), format);
        }
    }
}

#[test]
fn numbers_of_every_format_are_those_of_json() {
    let (plan, lesson) = (proof::plan(), proof::lesson());
    let shown = Proof { plan: Some(&plan), working: Some(&lesson) };
    let document = report::proven(&fixture::design("Hook-load channel"), shown);
    let read = |json: String| -> Value { serde_json::from_str(&json).expect("JSON") };
    let (design, sheet, working) =
        (read(document.to_json()), read(report::plan(&plan).to_json()), read(report::explain(&lesson).to_json()));
    let (text, markdown, html) = (document.to_text(Paint::Plain), document.to_markdown(None), document.to_html());
    let formats = [
        ("text", of_text(&text), of_boards(&text)),
        ("markdown", of_markdown(&markdown), of_boards(&markdown)),
        ("html", of_html(&html), of_mathml(&html)),
    ];
    for (format, rows, results) in formats {
        hold(&READ, &rows, &design, format);
        hold(&SHEET, &rows, &sheet, format);
        hold_working(&results, &working, format);
    }
}

#[test]
fn a_wrong_digit_is_seen() {
    assert_eq!(printed("91.23 dB", Unit::Decibel).0, 91.23);
    assert!((91.235 - printed("91.23 dB", Unit::Decibel).0).abs() <= printed("91.23 dB", Unit::Decibel).1 * 1.01);
    assert!((91.236 - printed("91.23 dB", Unit::Decibel).0).abs() > printed("91.23 dB", Unit::Decibel).1);
    assert!((24_951.0 - printed("24.9 kΩ", Unit::Ohm).0).abs() > printed("24.9 kΩ", Unit::Ohm).1);
}
