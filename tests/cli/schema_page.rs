//! `docs/report-schema.md` against what is printed: golden files, the examples at the real desk, and runs of
//! the small commands.
//!
//! A section is `## ` and the schema in backquotes; in it a row that begins with a key in backquotes documents
//! that key, and one whose meaning is ``As `x` of `schema` `` all keys below it. A command that gets a section gets
//! runs in [`printed`].
use crate::asked::ask;
use evenkeel::cli::Desk;
use evenkeel::designator::Designator;
use evenkeel::report::batch_csv_heading;
use evenkeel::study::LIMITS;
use serde_json::Value;
use std::collections::{BTreeMap, BTreeSet};
use std::path::{Path, PathBuf};
use tempfile::TempDir;

#[derive(Clone)]
struct Row {
    types: Vec<String>,
    unit: String,
    always: bool,
    /// The schema and the key whose keys are those below this one.
    as_there: Option<(String, String)>,
    /// Documented by reference: where it is printed is the other section's business.
    lent: bool,
}

/// Keys of one schema, written with the way to them.
type Keys = BTreeMap<String, Row>;

/// Where no standard value can do it, the commands about one design answer with other keys.
const WITHOUT_VALUES: &str = "Without values";

fn at_root(path: &str) -> PathBuf {
    Path::new(env!("CARGO_MANIFEST_DIR")).join(path)
}

fn text() -> String {
    std::fs::read_to_string(at_root("docs/report-schema.md")).expect("the page is there")
}

fn page() -> BTreeMap<String, Keys> {
    let text = text();
    let mut sections: BTreeMap<String, Keys> = BTreeMap::new();
    let mut schema = String::new();
    for line in text.lines() {
        if let Some(heading) = line.strip_prefix("## ") {
            schema = heading.replace('`', "");
        } else if line.starts_with("| `") {
            let (key, row) = row(line);
            let keys = sections.entry(schema.clone()).or_default();
            assert!(keys.insert(key.clone(), row).is_none(), "{schema}: `{key}` stands twice");
        }
    }
    // yield first: design refers to it, and others to design
    for schema in ["evenkeel.design.v1", "evenkeel.compare.v1", "evenkeel.check.v1", "evenkeel.gains.v1"] {
        lend(&mut sections, schema);
    }
    sections
}

/// Adds the keys that a section documents by reference.
fn lend(sections: &mut BTreeMap<String, Keys>, schema: &str) {
    let mut lent = Vec::new();
    for (key, row) in &sections[schema] {
        let Some((there, of)) = &row.as_there else { continue };
        let keys = sections.get(there).unwrap_or_else(|| panic!("{schema}: `{key}`: no section on {there}"));
        let items = if row.types == ["list of objects"] { "[]." } else { "." };
        let below = if of.is_empty() { String::new() } else { format!("{of}{items}") };
        let found: Vec<_> = keys.iter().filter_map(|(one, row)| Some((one.strip_prefix(&below)?, row))).collect();
        assert!(!found.is_empty(), "{schema}: `{key}`: nothing below `{of}` of {there}");
        for (rest, row) in found.into_iter().filter(|(rest, _)| *rest != "schema") {
            lent.push((format!("{key}{items}{rest}"), Row { lent: true, ..row.clone() }));
        }
    }
    sections.get_mut(schema).expect("a section").extend(lent);
}

fn row(line: &str) -> (String, Row) {
    let cells: Vec<&str> = line.trim_matches('|').split('|').map(str::trim).collect();
    let [key, types, unit, present, meaning] = cells[..] else { panic!("five cells: {line}") };
    assert!(meaning.ends_with('.'), "a sentence: {line}");
    let always = present == "always";
    assert!(always || present.strip_prefix("optional: ").is_some_and(|when| !when.is_empty()), "presence: {line}");
    let types = types.replace("true or false", "flag").split(" or ").map(str::to_owned).collect();
    let named: Vec<&str> = meaning.split('`').skip(1).step_by(2).collect();
    let as_there = match named[..] {
        [schema, ..] if meaning.starts_with("As `evenkeel.") => Some((schema.to_owned(), String::new())),
        [of, schema] if meaning.starts_with("As `") && schema.starts_with("evenkeel.") => {
            Some((schema.to_owned(), of.to_owned()))
        }
        _ => None,
    };
    let row = Row { types, unit: unit.to_owned(), always, as_there, lent: false };
    (key.trim_matches('`').to_owned(), row)
}

fn from_file(path: &str) -> Value {
    let text = std::fs::read_to_string(at_root(path)).expect(path);
    serde_json::from_str(&text).expect(path)
}

/// What the real desk prints, whatever the status: one object, or one a line.
fn run(line: &str, files: &[&Path], stdin: &str) -> Vec<Value> {
    let asked = ask(line).desk(Desk::default()).stdin(stdin).arg("--format").arg("json");
    let told = files.iter().fold(asked, |asked, path| asked.arg(*path)).run();
    let text = if told.status == 2 && told.stdout.is_empty() { told.stderr } else { told.stdout };
    match serde_json::from_str(&text) {
        Ok(one) => vec![one],
        Err(_) => text.lines().map(|row| serde_json::from_str(row).expect(line)).collect(),
    }
}

const LITTLE: &str = "[target]\ngain = 1\n[input_filter]\nresistor = \"1k\"\n[limits]\nnoise = \"2 µV\"\n";
const TOO_MUCH: &str = "[signal]\ndifferential = \"± 1 V\"\ncommon_mode = \"9 V\"\n[supply]\npositive = \"5 V\"\n\
                        negative = \"0 V\"\n[target]\ngain = 10\n[opamp.all]\nslew_rate = \"1 V/µs\"\n\
                        gain_bandwidth = \"1 MHz\"\n";
const CHIP: &str = "[target]\ngain = 10\n[circuit]\ntopology = \"single-chip\"\n[chip]\ngain_constant = \"50k\"\n\
                    base_gain = 1\n[signal]\nbandwidth = \"1 kHz\"\n";

const SHOP: &str = "[target]\ngain = 20\n[circuit]\ntopology = \"difference\"\n[opamp.all]\ncandidates = \"parts/\"\n\
                    [[resistors.grade]]\ntolerance = \"1 %\"\ntempco = \"100 ppm/K\"\nprice = 0.01\n\
                    [[resistors.grade]]\ntolerance = \"0.1 %\"\ntempco = \"25 ppm/K\"\nprice = 0.05\n\
                    [limits]\nrejection = \"60 dB\"\n";
const BOARD: &str = "title = \"A\"\n[target]\ngain = 100\n[resistors]\ntolerance = \"0.1 %\"\nfixed = { RG = \"499\", RF = \"24.9k\" }\n\
                     [limits]\nrejection = \"70 dB\"\n";
const DRAWN: &str = "[target]\ngain = 100\n[supply]\npositive = \"5 V\"\n[resistors]\ntolerance = \"1 %\"\n[limits]\ngain_error = \"1 %\"\n\
                     rejection = \"75 dB\"\nheadroom = \"0.1 V\"\nyield = \"50 %\"\n[yield]\nboards = 20000\n";
const FULL: &str = "[signal]\ndifferential = \"± 10 mV\"\ncommon_mode = \"2.5 V\"\nbandwidth = \"1 kHz\"\n[supply]\npositive = \"5 V\"\n\
                    reference = \"2.5 V\"\n[target]\ngain = 100\n[opamp.all]\nvoltage_noise = \"10 nV/√Hz\"\n\
                    output_swing = { from_negative = \"0.1 V\", from_positive = \"0.1 V\" }\n";
const BENCH: &str = "differential [mV],common_mode,output,u_output\n-18,2.5,0.6856,10 µV\n18,2.5,4.3144,10 µV\n0,2.5,2.5,10 mV\n\
                     0,1.5,2.4999,10 mV\n0,3.5,2.5001,10 mV\n0,2.5,2.5,10 µV\n";

/// Files of the runs that need some.
fn shelf() -> TempDir {
    let shelf = tempfile::tempdir().expect("a folder");
    let write = |name: &str, text: &str| std::fs::write(shelf.path().join(name), text).expect("written");
    std::fs::create_dir(shelf.path().join("parts")).expect("made");
    write("shop.toml", SHOP);
    write("parts/one.toml", "title = \"One\"\nrejection = \"100 dB\"\nprice = 0.3\n");
    write("parts/two.toml", "rejection = \"110 dB\"\n");
    write("board.toml", &format!("{BOARD}[board]\nbom = \"bom.csv\"\n"));
    write("bom.csv", "Ref,Value\nRG,510\nRF1,24.9k\nRF2,24.9k\n");
    write("drawn.toml", DRAWN);
    write("full.toml", FULL);
    write("bench.csv", BENCH);
    write("pairs.csv", "differential,output\n-0.018,0.6856\n0.018,4.3144\n0,2.5\n");
    write(
        "half.toml",
        "[[channel]]\ntitle = \"a\"\n[channel.target]\ngain = 1\n[[channel]]\ntitle = \"b\"\n[channel.target]\ngian = 1\n",
    );
    write(
        "two.toml",
        "[[channel]]\ntitle = \"a\"\n[channel.target]\ngain = 10\n[[channel]]\ntitle = \"b\"\n[channel.target]\ngain = 0.1\n",
    );
    ask("design")
        .arg(shelf.path().join("board.toml"))
        .desk(Desk::default())
        .args("--format json --out")
        .arg(shelf.path().join("base.json"))
        .run();
    shelf
}

fn examples() -> Vec<PathBuf> {
    let mut examples: Vec<PathBuf> = std::fs::read_dir(at_root("examples"))
        .expect("examples are there")
        .filter_map(|entry| Some(entry.ok()?.path()))
        .filter(|path| path.extension().is_some_and(|end| end == "toml"))
        .collect();
    examples.sort();
    assert!(examples.len() >= 3, "examples are missing");
    examples
}

fn printed() -> Vec<Value> {
    let mut all: Vec<Value> = ["design", "size", "size-none", "reject", "reject-need"]
        .into_iter()
        .map(|name| from_file(&format!("tests/golden/{name}.json")))
        .collect();
    for path in examples() {
        all.extend(run("design", &[&path], ""));
    }
    for spec in [LITTLE, TOO_MUCH, CHIP, DRAWN, "[target]\ngian = 1\n", "[target]\ngain = 1e9\n"] {
        all.extend(run("design -", &[], spec));
    }
    let lines = [
        "size 1",
        "size 0.5",
        "size 100 --parts 2",
        "size 10 --topology difference",
        "size 100 --topology single-chip --chip-constant 50k",
        "reject --gain 100",
        "reject --gain 100 --tolerance 0.1% --opamp-rejection 60dB --need 90dB",
        "reject --gain 100 --tolerance 1% --opamp-rejection 100dB --need 90dB",
        "reject --gain 100 --tolerance 1% --match 0.05% --need 80dB",
        "series",
        "series E24",
        "series --near 503",
        "series E192 --near 503",
        "new",
        "new two-op-amp",
        "size x",
        "design no-such-file.toml",
        "man",
        "completions fish",
    ];
    lines.iter().for_each(|line| all.extend(run(line, &[], "")));
    all.extend(on_files());
    all
}

/// Runs of the commands that read more than a spec.
fn on_files() -> Vec<Value> {
    let shelf = shelf();
    let at = |name: &str| shelf.path().join(name);
    let example = |name: &str| at_root(&format!("examples/{name}.toml"));
    let mut all = Vec::new();
    for (line, files) in [
        ("design", vec![at("shop.toml")]),
        ("compare", vec![at("full.toml")]),
        ("compare", vec![at("shop.toml")]),
        ("trim", vec![example("hook-load")]),
        ("trim", vec![at("shop.toml")]),
        ("gains 1,10,100", vec![example("hook-load")]),
        ("gains 1,10,100 --form separate", vec![at("board.toml")]),
        ("yield --boards 20000 --tail", vec![example("hook-load")]),
        ("yield --boards 20000", vec![at("drawn.toml")]),
        ("explain", vec![example("hook-load")]),
        ("explain --measured 74dB", vec![example("hook-load"), "rejection".into()]),
        ("explain", vec![at("board.toml"), "topology".into()]),
        ("explain", vec![at("board.toml")]),
        ("check", vec![at("board.toml")]),
        ("check", vec![at("two.toml")]),
        ("verify --plan", vec![example("hook-load")]),
        ("verify --plan", vec![at("board.toml")]),
        ("verify", vec![example("hook-load"), at("bench.csv")]),
        ("verify", vec![example("hook-load"), at("pairs.csv")]),
        ("trim", vec![at("two.toml"), "--channel".into(), "b".into()]),
        ("batch --vary target.gain=10,200", vec![at("drawn.toml")]),
        ("batch", vec![at("two.toml"), at("half.toml"), at("drawn.toml")]),
    ] {
        let files: Vec<&Path> = files.iter().map(PathBuf::as_path).collect();
        all.extend(run(line, &files, ""));
    }
    let moved = BOARD.replace("499", "500");
    std::fs::write(at("board.toml"), moved).expect("written");
    all.extend(run("check", &[&at("board.toml"), Path::new("--against"), &at("base.json")], ""));
    all
}

/// A key as the page spells it: names that vary stand in angle brackets.
fn spelt(way: &str, name: &str) -> String {
    let designator = |name: &str| name.parse::<Designator>().is_ok();
    let of_batch = way.is_empty();
    match name {
        _ if of_batch && name.contains('.') => "<varied key>".to_owned(),
        _ if of_batch && name.strip_suffix("_ohm").is_some_and(designator) => "<designator>_ohm".to_owned(),
        _ if of_batch && name.strip_suffix("_predicted").is_some_and(|one| LIMITS.contains(&one)) => {
            "<limit>_predicted".to_owned()
        }
        _ if designator(name) => format!("{way}<designator>"),
        _ => format!("{way}{name}"),
    }
}

fn type_of(value: &Value) -> &'static str {
    match value {
        Value::Null => "null",
        Value::Bool(_) => "flag",
        Value::Number(number) if number.is_f64() => "number",
        Value::Number(_) => "count",
        Value::String(_) => "text",
        Value::Object(_) => "object",
        Value::Array(_) => "list",
    }
}

fn fits(documented: &str, value: &Value) -> bool {
    match (documented.strip_prefix("list of "), value) {
        (Some(items), Value::Array(values)) => {
            values.iter().all(|one| type_of(one) == items.strip_suffix('s').unwrap_or(items))
        }
        (None, value) => documented == type_of(value),
        _ => false,
    }
}

/// Holds one object against the keys documented below `way`; what it has is added to `seen`.
fn hold(value: &Value, way: &str, keys: &Keys, seen: &mut BTreeSet<String>) {
    let object = value.as_object().expect("an object");
    let inside = |key: &str| key.strip_prefix(way).is_some_and(|rest| !rest.contains('.'));
    for (key, _) in keys.iter().filter(|(key, row)| row.always && inside(key)) {
        assert!(object.contains_key(&key[way.len()..]), "`{key}` is absent and not marked optional: {value}");
    }
    for (name, inner) in object {
        let key = spelt(way, name);
        let row = keys.get(&key).unwrap_or_else(|| panic!("`{key}` is not documented"));
        assert!(row.types.iter().any(|one| fits(one, inner)), "`{key}` is {:?}, not {inner}", row.types);
        match inner {
            Value::Object(_) => hold(inner, &format!("{key}."), keys, seen),
            Value::Array(items) => {
                items
                    .iter()
                    .filter(|item| item.is_object())
                    .for_each(|one| hold(one, &format!("{key}[]."), keys, seen));
            }
            _ => {}
        }
        seen.insert(key);
    }
}

#[test]
fn every_key_is_documented_and_every_documented_key_is_printed() {
    let page = page();
    let mut seen: BTreeMap<&str, BTreeSet<String>> = BTreeMap::new();
    let all = printed();
    for object in &all {
        let schema = object["schema"].as_str().expect("a schema");
        let schema = if object["reason"].is_string() && object["help"].is_string() { WITHOUT_VALUES } else { schema };
        let keys = page.get(schema).unwrap_or_else(|| panic!("no section on {schema}"));
        hold(object, "", keys, seen.entry(schema).or_default());
    }
    for (schema, keys) in &page {
        let seen = seen.get(schema.as_str()).unwrap_or_else(|| panic!("{schema}: no run prints it"));
        let never: Vec<_> =
            keys.iter().filter(|(key, row)| !row.lent && !seen.contains(*key)).map(|(key, _)| key).collect();
        assert!(never.is_empty(), "{schema}: no run prints {never:?}");
    }
}

#[test]
fn a_number_has_the_unit_that_its_key_ends_in() {
    let units = [
        ("_v", "V"),
        ("_ohm", "Ω"),
        ("_hz", "Hz"),
        ("_s", "s"),
        ("_a", "A"),
        ("_w", "W"),
        ("_db", "dB"),
        ("_deg", "°"),
        ("_ppm", "ppm"),
        ("_v_per_k", "V/K"),
        ("_v_per_rthz", "V/√Hz"),
        ("tolerance", "fraction"),
    ];
    for (schema, keys) in page() {
        for (key, row) in keys {
            let is_number = row.types.iter().any(|one| one == "number" || one == "list of numbers");
            let key = &key;
            assert_eq!(is_number, !row.unit.is_empty(), "{schema}: `{key}` has the unit {:?}", row.unit);
            for (_, unit) in units.iter().filter(|(end, _)| is_number && key.ends_with(end)) {
                assert_eq!(&row.unit, unit, "{schema}: `{key}`");
            }
        }
    }
}

/// The columns of a batch's table are the keys of its rows.
#[test]
fn the_table_of_a_batch_has_the_columns_that_the_page_says() {
    let heading = batch_csv_heading(&["target.gain".to_owned()]);
    let mut columns: Vec<String> = heading.trim_end().split(',').map(|name| spelt("", name)).collect();
    columns.dedup();
    let keys = &page()["evenkeel.batch.v1"];
    assert!(columns.iter().all(|column| keys.contains_key(column)), "{columns:?}");
    let text = text();
    let words = text.split_once("**`batch --format csv`**").expect("a paragraph").1.split('`').skip(1).step_by(2);
    let said: Vec<&str> = words.take(columns.len() - 1).collect();
    columns.retain(|column| column != "<varied key>");
    assert_eq!(said, columns.iter().map(String::as_str).collect::<Vec<_>>());
}
