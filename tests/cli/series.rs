use crate::asked::ask;

#[test]
fn the_series_are_listed_with_tolerance_and_count() {
    let told = ask("series").answers_json(0, "evenkeel.series.v1");
    let lines = told["series"].as_array().expect("a list");
    // Counts are the names themselves (IEC 60063).
    for (line, count) in lines.iter().zip([3, 6, 12, 24, 48, 96, 192]) {
        assert_eq!((&line["name"], &line["count"]), (&format!("E{count}").into(), &count.into()));
        assert!(line["tolerance"].is_f64());
    }
    assert_eq!(lines.len(), 7);
    assert!(ask("series").answers(0).contains("  E96                   1 %                  96\n"));
}

#[test]
fn one_series_shows_its_values() {
    let told = ask("series E6").answers_json(0, "evenkeel.series.v1");
    assert_eq!(told["values"], serde_json::json!([1.0, 1.5, 2.2, 3.3, 4.7, 6.8]));
    assert!(ask("series e192").answers(0).contains("9.88"));
}

#[test]
fn the_neighbours_of_a_resistance() {
    // E96 around 4.8 kΩ: 4.64, 4.75, 4.87 (IEC 60063); 4.75 / 4.8 - 1 = -1.04 %.
    let told = ask("series E96 --near 4k8").answers(0);
    assert!(told.starts_with("Nearest to 4.8 kΩ in E96: 4.75 kΩ, off by -1.04 %.\n"), "{told}");
    let told = ask("series E96 --near 4k8").answers_json(0, "evenkeel.series.v1");
    let ohms = ["below", "nearest", "above"].map(|place| told[place]["ohm"].as_f64().expect("a number"));
    assert_eq!(ohms, [4640.0, 4750.0, 4870.0]);
    assert_eq!(told["nearest"]["marking"], "4K75");
    let error = told["nearest"]["error"].as_f64().expect("a number");
    assert!((error - (4750.0 / 4800.0 - 1.0)).abs() < 1e-15, "{error}");
    assert_eq!(
        ask("series --near 4k8").answers_json(0, "evenkeel.series.v1")["series"].as_array().map(Vec::len),
        Some(7)
    );
}

#[test]
fn what_no_series_reaches_is_an_error() {
    for line in [
        "series E97",
        "series E96 --near 0",
        "series E96 --near -4k7",
        "series E96 --near 1e20ohm",
        "series E96 --near x",
    ] {
        ask(line).refuses();
    }
}
