//! Four equal resistors behind the first stage come before several values, where the gain is as good with them.
use crate::{designed, ohm, question};
use evenkeel::series::Series;

fn spec(gain: u32, series: &str, tolerance: &str) -> String {
    format!(
        "[target]\ngain = {gain}\n[resistors]\nseries = \"{series}\"\ntolerance = \"{tolerance}\"\ntempco = \"0 ppm/K\"\n\
         [opamp.all]\nvoltage_noise = \"8 nV/√Hz\"\n"
    )
}

/// 1 + 2·RF/RG of the nearest pair, RF from 10 kΩ to 100 kΩ, by plain loops.
fn nearest(gain: f64, series: Series) -> f64 {
    let errors = series.ohms(10e3, 100e3).into_iter().flat_map(|feedback| {
        series.ohms(1.0, 1e6).into_iter().map(move |set| ((1.0 + 2.0 * feedback / set) / gain - 1.0).abs())
    });
    errors.fold(f64::INFINITY, f64::min)
}

#[test]
fn four_equal_resistors_where_the_gain_is_as_good() {
    for (gain, name, series, tolerance) in [
        (13, "E24", Series::E24, "1 %"),
        (47, "E24", Series::E24, "1 %"),
        (250, "E96", Series::E96, "0.1 %"),
        (100, "E96", Series::E96, "0.1 %"),
        (20, "E24", Series::E24, "1 %"),
    ] {
        let found = designed(&question(&spec(gain, name, tolerance)));
        let all = ["R1", "R2", "R3", "R4"].map(|name| ohm(&found, name));
        let alike = all.iter().all(|ohm| *ohm == all[0]);
        // a tenth of the spread counts as equal
        let equal = 0.1 * (found.gain.error_high - found.gain.error_low);
        let there_are = nearest(f64::from(gain), series) <= 0.98 * equal;
        assert_eq!(alike, there_are, "{gain} {name}: {all:?}, {:?}", found.gain);
        assert!(found.gain.error_nominal.abs() <= equal, "{:?}", found.gain);
    }
}
