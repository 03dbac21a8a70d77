//! A reader of printed equations that shares nothing with what prints them.
use std::collections::BTreeMap;
use std::f64::consts::PI;

/// What a printed line comes to, with the values of the names in it.
pub(crate) fn read(text: &str, names: &BTreeMap<String, f64>) -> f64 {
    let mut reader = Reader { rest: text, names };
    let value = reader.parallel();
    assert!(reader.rest.trim().is_empty(), "`{}` is left of `{text}`", reader.rest);
    value
}

struct Reader<'a> {
    rest: &'a str,
    names: &'a BTreeMap<String, f64>,
}

impl Reader<'_> {
    fn takes(&mut self, sign: &str) -> bool {
        let trimmed = self.rest.trim_start();
        match trimmed.strip_prefix(sign) {
            Some(rest) => {
                self.rest = rest;
                true
            }
            None => false,
        }
    }

    fn parallel(&mut self) -> f64 {
        let mut value = self.sum();
        while self.takes("∥") {
            let other = self.sum();
            value = 1.0 / (1.0 / value + 1.0 / other);
        }
        value
    }

    fn sum(&mut self) -> f64 {
        let mut value = self.product();
        loop {
            if self.takes("+") {
                value += self.product();
            } else if self.takes("-") {
                value -= self.product();
            } else {
                return value;
            }
        }
    }

    fn product(&mut self) -> f64 {
        let mut value = self.power();
        loop {
            if self.takes("·") {
                value *= self.power();
            } else if self.takes("/") {
                value /= self.power();
            } else {
                return value;
            }
        }
    }

    fn power(&mut self) -> f64 {
        if self.takes("-") {
            return -self.power();
        }
        let value = self.single();
        if self.takes("²") { value * value } else { value }
    }

    fn single(&mut self) -> f64 {
        if self.takes("√(") {
            return self.until(")").sqrt();
        }
        if self.takes("log10(") {
            return libm::log10(self.until(")"));
        }
        if self.takes("ln(") {
            return libm::log(self.until(")"));
        }
        if self.takes("2^(") {
            return libm::exp2(self.until(")"));
        }
        if self.takes("(") {
            return self.until(")");
        }
        if self.takes("|") {
            return self.until("|").abs();
        }
        if self.takes("π") {
            return PI;
        }
        self.rest = self.rest.trim_start();
        if let Some(name) = self.name() {
            return *self.names.get(&name).unwrap_or_else(|| panic!("no value for {name}"));
        }
        let number = self.number();
        number * self.unit()
    }

    fn until(&mut self, end: &str) -> f64 {
        let value = self.parallel();
        assert!(self.takes(end), "no `{end}` before `{}`", self.rest);
        value
    }

    /// The longest known name that begins here.
    fn name(&mut self) -> Option<String> {
        let name =
            self.names.keys().filter(|name| self.rest.starts_with(name.as_str())).max_by_key(|name| name.len())?;
        self.rest = &self.rest[name.len()..];
        Some(name.clone())
    }

    fn number(&mut self) -> f64 {
        let bytes = self.rest.as_bytes();
        let mut end = 0;
        while end < bytes.len() {
            let exponent = bytes[end] == b'e' || (end > 0 && bytes[end - 1] == b'e' && bytes[end] == b'-');
            if !(bytes[end].is_ascii_digit() || bytes[end] == b'.' || exponent) {
                break;
            }
            end += 1;
        }
        let (number, rest) = self.rest.split_at(end);
        self.rest = rest;
        number.parse().unwrap_or_else(|_| panic!("a number was due before `{}`", self.rest))
    }

    /// A unit one space behind a number; 1 where there is none.
    fn unit(&mut self) -> f64 {
        let Some(after) = self.rest.strip_prefix(' ') else { return 1.0 };
        let end = after.find([' ', ')', '|']).unwrap_or(after.len());
        let (word, rest) = after.split_at(end);
        if word.is_empty() || matches!(word, "+" | "-" | "·" | "/" | "∥") {
            return 1.0;
        }
        self.rest = rest;
        if let Some(factor) =
            [("%", 1e-2), ("ppm", 1e-6), ("V/µs", 1e6), ("ppm/K", 1e-6), ("%/K", 1e-2)].iter().find(|one| one.0 == word)
        {
            return factor.1;
        }
        let bases = ["V/√Hz", "A/√Hz", "V/K", "J/K", "J", "Ω", "V", "A", "F", "Hz", "K", "s"];
        let prefixes = [
            ("", 1.0),
            ("f", 1e-15),
            ("p", 1e-12),
            ("n", 1e-9),
            ("µ", 1e-6),
            ("m", 1e-3),
            ("k", 1e3),
            ("M", 1e6),
            ("G", 1e9),
        ];
        for base in bases {
            if let Some(prefix) = word.strip_suffix(base)
                && let Some(factor) = prefixes.iter().find(|one| one.0 == prefix)
            {
                return factor.1;
            }
        }
        panic!("`{word}` is no unit this reader knows")
    }
}

#[test]
fn the_reader_reads_as_a_person_would() {
    let names: BTreeMap<String, f64> = [("RF", 2.0), ("RF1", 3.0), ("v_d", 0.5)].map(|(n, v)| (n.to_owned(), v)).into();
    let cases = [
        ("1 + 2 · 3 / 4 · 2", 4.0),
        ("1 / (2 kΩ ∥ 2 kΩ)", 1e-3),
        ("-RF1/RF - (-v_d)²", -1.75),
        ("|2 mV - 5 mV|", 3e-3),
        ("20 · log10(1 / 0.1 %)", 60.0),
        ("√((3 nV/√Hz)² + (4 nV/√Hz)²)", 5e-9),
        ("2·π·1.5e-3", PI * 3e-3),
        ("0.5 V/µs", 5e5),
        ("ln(20 Hz / 10 Hz) · 2", 2.0 * std::f64::consts::LN_2),
        ("3 · 2^(30 K / 10 K)", 24.0),
        ("25 ppm/K · 40 K", 1e-3),
        ("4 · 1.5e-23 J/K · 300 K", 1.8e-20),
    ];
    for (text, value) in cases {
        let told = read(text, &names);
        assert!((told - value).abs() <= 1e-12 * value.abs(), "{text} is {value}, read as {told}");
    }
}
