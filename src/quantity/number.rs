/// A decimal number as written: digits × 10^exponent. No leading or trailing zero digits; zero has none.
#[derive(Clone, Debug, PartialEq, Eq)]
pub(super) struct Decimal {
    negative: bool,
    digits: String,
    exponent: i64,
}

/// Beyond these places of the leading digit a double is infinite or zero.
const REACH: i64 = 400;
/// An exponent of this size decides by itself, whatever digits stand before it.
const EXPONENT_CAP: i64 = 1 << 40;

impl Decimal {
    pub(super) fn new(negative: bool, digits: &str, exponent: i64) -> Decimal {
        let kept = digits.trim_end_matches('0');
        let exponent = exponent.saturating_add((digits.len() - kept.len()) as i64);
        let kept = kept.trim_start_matches('0');
        if kept.is_empty() {
            return Decimal { negative: false, digits: String::new(), exponent: 0 };
        }
        Decimal { negative, digits: kept.to_owned(), exponent }
    }

    /// The shortest digits that name this double; `None` unless it is finite.
    pub(super) fn shortest(value: f64) -> Option<Decimal> {
        Decimal::printed(value, &format!("{value:e}"))
    }

    /// The double rounded to so many significant digits; `None` unless it is finite.
    pub(super) fn significant(value: f64, digits: usize) -> Option<Decimal> {
        Decimal::printed(value, &format!("{value:.*e}", digits.max(1) - 1))
    }

    fn printed(value: f64, text: &str) -> Option<Decimal> {
        if !value.is_finite() {
            return None;
        }
        lead(text).map(|(number, _)| number)
    }

    pub(super) fn is_zero(&self) -> bool {
        self.digits.is_empty()
    }

    pub(super) fn is_negative(&self) -> bool {
        self.negative
    }

    pub(super) fn is_whole(&self) -> bool {
        self.exponent >= 0
    }

    /// The whole number, if it is one and fits.
    pub(super) fn whole(&self) -> Option<u64> {
        self.scaled_integer(0).and_then(|whole| u64::try_from(whole).ok())
    }

    pub(super) fn negated(&self) -> Decimal {
        Decimal { negative: !self.negative && !self.is_zero(), ..self.clone() }
    }

    pub(super) fn shifted(&self, tens: i32) -> Decimal {
        if self.is_zero() {
            return self.clone();
        }
        Decimal { exponent: self.exponent.saturating_add(i64::from(tens)), ..self.clone() }
    }

    pub(super) fn digits(&self) -> &str {
        &self.digits
    }

    /// Power of ten of the leading digit: 0 for 4.7, 3 for 4700.
    pub(super) fn order(&self) -> i64 {
        (self.digits.len() as i64).saturating_add(self.exponent).saturating_sub(1)
    }

    /// The nearest double: infinite when too large, zero when too small.
    pub(super) fn value(&self) -> f64 {
        if self.is_zero() {
            return 0.0;
        }
        let order = self.order();
        let magnitude = match order {
            order if order > REACH => f64::INFINITY,
            order if order < -REACH => 0.0,
            // text of this shape always parses, correctly rounded
            order => format!("0.{}e{}", self.digits, order + 1).parse().unwrap_or(f64::NAN),
        };
        if self.negative { -magnitude } else { magnitude }
    }

    /// The sum, digit for digit, where it has no more than some 36 digits.
    pub(super) fn plus(&self, other: &Decimal) -> Option<Decimal> {
        if self.is_zero() {
            return Some(other.clone());
        }
        if other.is_zero() {
            return Some(self.clone());
        }
        let exponent = self.exponent.min(other.exponent);
        let sum = self.scaled_integer(exponent)? + other.scaled_integer(exponent)?;
        Some(Decimal::new(sum < 0, &sum.unsigned_abs().to_string(), exponent))
    }

    fn scaled_integer(&self, exponent: i64) -> Option<i128> {
        if self.is_zero() {
            return Some(0);
        }
        let zeros = usize::try_from(self.exponent.checked_sub(exponent)?).ok()?;
        if self.digits.len().saturating_add(zeros) > 36 {
            return None;
        }
        let magnitude: i128 = format!("{}{}", self.digits, "0".repeat(zeros)).parse().ok()?;
        Some(if self.negative { -magnitude } else { magnitude })
    }

    /// Positional where that is short, else scientific.
    pub(super) fn text(&self) -> String {
        if self.is_zero() {
            return "0".to_owned();
        }
        let sign = if self.negative { "-" } else { "" };
        let order = self.order();
        let digits = &self.digits;
        if !self.is_positional() {
            let (first, rest) = digits.split_at(1);
            let point = if rest.is_empty() { "" } else { "." };
            return format!("{sign}{first}{point}{rest}e{order}");
        }
        if order < 0 {
            return format!("{sign}0.{}{digits}", "0".repeat((-order - 1) as usize));
        }
        let whole = order as usize + 1;
        match digits.get(whole..) {
            None => format!("{sign}{digits}{}", "0".repeat(whole - digits.len())),
            Some("") => format!("{sign}{digits}"),
            Some(fraction) => format!("{sign}{}.{fraction}", &digits[..whole]),
        }
    }

    /// Whether [`Decimal::text`] does without an exponent.
    pub(super) fn is_positional(&self) -> bool {
        self.is_zero() || (-5..16).contains(&self.order())
    }
}

/// The number at the very start of `text`, and how many bytes it takes.
pub(super) fn lead(text: &str) -> Option<(Decimal, usize)> {
    let (negative, signed) = sign(text);
    let whole = digits_at(text, signed);
    let mut end = signed + whole.len();
    let mut fraction = "";
    if text[end..].starts_with('.') && !text[end..].starts_with("..") {
        fraction = digits_at(text, end + 1);
        end += 1 + fraction.len();
    }
    if whole.is_empty() && fraction.is_empty() {
        return None;
    }
    let mut exponent = 0;
    if text[end..].starts_with(['e', 'E']) {
        let (down, power_at) = sign(&text[end + 1..]);
        let power = digits_at(text, end + 1 + power_at);
        if !power.is_empty() {
            let size = power.parse::<i64>().unwrap_or(EXPONENT_CAP).min(EXPONENT_CAP);
            exponent = if down { -size } else { size };
            end += 1 + power_at + power.len();
        }
    }
    let number = Decimal::new(negative, &format!("{whole}{fraction}"), exponent - fraction.len() as i64);
    Some((number, end))
}

fn sign(text: &str) -> (bool, usize) {
    match text.chars().next() {
        Some('+') => (false, 1),
        Some(minus @ ('-' | '−')) => (true, minus.len_utf8()),
        _ => (false, 0),
    }
}

pub(super) fn digits_at(text: &str, from: usize) -> &str {
    let rest = &text[from..];
    let end = rest.find(|c: char| !c.is_ascii_digit()).unwrap_or(rest.len());
    &rest[..end]
}

const EXACT_POWERS: [f64; 23] = [
    1e0, 1e1, 1e2, 1e3, 1e4, 1e5, 1e6, 1e7, 1e8, 1e9, 1e10, 1e11, 1e12, 1e13, 1e14, 1e15, 1e16, 1e17, 1e18, 1e19, 1e20,
    1e21, 1e22,
];

/// `count` × 10^`power`, correctly rounded: what parsing that decimal gives.
pub(crate) fn tens(count: u16, power: i32) -> f64 {
    // both factors are exact up to 10^22, so the one rounding is the right one
    match EXACT_POWERS.get(power.unsigned_abs() as usize) {
        Some(factor) if power < 0 => f64::from(count) / factor,
        Some(factor) => f64::from(count) * factor,
        None => Decimal::new(false, &count.to_string(), i64::from(power)).value(),
    }
}
