use crate::asked::ask;
use evenkeel::designator::Topology;
use evenkeel::spec::{schema, starter};
use serde_json::Value;

/// As much of JSON Schema 2020-12 as the schema uses; what it does not know fails.
fn valid(schema: &Value, value: &Value, path: &str) -> Result<(), String> {
    let wrong = |why: &str| Err(format!("{path}: {why}"));
    for (keyword, rule) in schema.as_object().expect("a schema") {
        match keyword.as_str() {
            "$schema" | "title" | "description" | "examples" | "default" => {}
            "type" => {
                let is = match rule.as_str().expect("a type") {
                    "object" => value.is_object(),
                    "array" => value.is_array(),
                    "string" => value.is_string(),
                    "boolean" => value.is_boolean(),
                    "integer" => value.is_i64(),
                    "number" => value.is_number(),
                    other => panic!("{other}"),
                };
                if !is {
                    return wrong(&format!("no {rule}"));
                }
            }
            "properties" => {
                for (name, inner) in value.as_object().into_iter().flatten() {
                    if let Some(rule) = rule.get(name) {
                        valid(rule, inner, &format!("{path}.{name}"))?;
                    }
                }
            }
            "additionalProperties" => {
                let known = schema["properties"].as_object().expect("properties");
                if let Some(name) = value
                    .as_object()
                    .into_iter()
                    .flatten()
                    .map(|(name, _)| name)
                    .find(|name| !known.contains_key(*name))
                {
                    return wrong(&format!("unknown {name}"));
                }
            }
            "required" => {
                for name in rule.as_array().expect("a list") {
                    if value.get(name.as_str().expect("a name")).is_none() {
                        return wrong(&format!("{name} is missing"));
                    }
                }
            }
            "items" => {
                for item in value.as_array().into_iter().flatten() {
                    valid(rule, item, &format!("{path}[]"))?;
                }
            }
            "enum" => {
                if !rule.as_array().expect("a list").contains(value) {
                    return wrong("not one of the words");
                }
            }
            "anyOf" => {
                if !rule.as_array().expect("a list").iter().any(|one| valid(one, value, path).is_ok()) {
                    return wrong("none of several");
                }
            }
            "allOf" => rule.as_array().expect("a list").iter().try_for_each(|one| valid(one, value, path))?,
            "not" => {
                if valid(rule, value, path).is_ok() {
                    return wrong("excluded");
                }
            }
            "pattern" => {
                let text = value.as_str().unwrap_or_default();
                let fits = match rule.as_str().expect("a pattern") {
                    "[0-9]" => text.contains(|c: char| c.is_ascii_digit()),
                    "[0-9]|^open$" => text == "open" || text.contains(|c: char| c.is_ascii_digit()),
                    _ => !text.starts_with('/') && !text.contains(".."),
                };
                if !fits {
                    return wrong("another pattern");
                }
            }
            "minItems" => assert!(value.as_array().is_none_or(|list| !list.is_empty())),
            "minimum" | "exclusiveMinimum" | "maximum" | "exclusiveMaximum" => {
                let (value, bound) = (value.as_f64().expect("a number"), rule.as_f64().expect("a number"));
                let fits = match keyword.as_str() {
                    "minimum" => value >= bound,
                    "exclusiveMinimum" => value > bound,
                    "maximum" => value <= bound,
                    _ => value < bound,
                };
                if !fits {
                    return wrong(keyword);
                }
            }
            other => panic!("unknown keyword {other}"),
        }
    }
    Ok(())
}

fn json(toml: &str) -> Value {
    serde_json::to_value(toml::from_str::<toml::Table>(toml).expect("TOML")).expect("JSON")
}

#[test]
fn the_schema_takes_the_specs_that_the_reader_takes() {
    let schema = schema();
    for topology in Topology::ALL {
        valid(&schema, &json(&starter(topology)), "").unwrap_or_else(|why| panic!("{topology}: {why}"));
    }
    for name in ["hook-load", "geophone", "battery-shunt"] {
        let text =
            std::fs::read_to_string(format!("{}/examples/{name}.toml", env!("CARGO_MANIFEST_DIR"))).expect("read");
        valid(&schema, &json(&text), "").unwrap_or_else(|why| panic!("{name}: {why}"));
    }
    for wrong in [
        "[target]\ngian = 1",
        "[target]\ngain = -1",
        "[target]\ngain = 1\noutput = \"0 V .. 1 V\"",
        "[resistors]\ntolerance = 0.1\n[target]\ngain = 1",
        "[circuit]\ntopology = \"spoon\"\n[target]\ngain = 1",
        "title = \"x\"",
        "[target]\ngain = 1\n[board]\nbom = \"../x.csv\"",
    ] {
        assert!(valid(&schema, &json(wrong), "").is_err(), "{wrong}");
    }
}

#[test]
fn completions_for_every_shell_and_a_manual() {
    for shell in ["bash", "elvish", "fish", "powershell", "zsh"] {
        let told = ask("completions").arg(shell).run();
        assert_eq!((told.status, told.stderr.as_str()), (0, ""));
        for command in ["batch", "check", "verify", "junit"] {
            assert!(told.stdout.contains(command), "{shell} {command}");
        }
        let json = ask("completions").arg(shell).answers_json(0, "evenkeel.completions.v1");
        assert_eq!((&json["shell"], &json["text"]), (&shell.into(), &told.stdout.into()));
    }
    let man = ask("man").run();
    assert_eq!(man.status, 0);
    assert!(man.stdout.contains(".TH evenkeel") && man.stdout.contains(".SH COMMAND VERIFY"), "{}", man.stdout);
    let told = ask("schema").run();
    assert_eq!(
        serde_json::from_str::<Value>(&told.stdout).expect("JSON")["$schema"],
        "https://json-schema.org/draft/2020-12/schema"
    );
}
