//! Resistance codes of IEC 60062: `4K7`, `24K9`, `R47`.

use super::Unit;
use super::fault::{FaultKind, QuantityFault};
use super::number::{Decimal, digits_at};
use super::spelling::spells_ohm;

/// Multiplier letters of resistance: power of ten (IEC 60062; from memory but for R, K, M).
const OHM_LETTERS: [(char, i32); 7] = [('L', -3), ('R', 0), ('K', 3), ('k', 3), ('M', 6), ('G', 9), ('T', 12)];
/// Multiplier letters of capacitance.
const FARAD_LETTERS: [(char, i32); 7] = [('p', -12), ('n', -9), ('u', -6), ('µ', -6), ('μ', -6), ('m', -3), ('F', 0)];

/// Symmetrical tolerance letters in hundred-thousandths (IEC 60062, table from memory).
const TOLERANCES: [(char, u16); 14] = [
    ('E', 5),
    ('L', 10),
    ('P', 20),
    ('W', 50),
    ('B', 100),
    ('C', 250),
    ('D', 500),
    ('F', 1000),
    ('G', 2000),
    ('H', 3000),
    ('J', 5000),
    ('K', 10_000),
    ('M', 20_000),
    ('N', 30_000),
];

/// The code of a resistance in Ω, with at most four significant digits; `None` if it has none that is exact.
///
/// Two digits at least (`1K0`, `R10`), the letter in place of the decimal point, no leading zero.
/// Below 10 mΩ, or where R would need more than four digits, the letter is L (milliohm).
///
/// ```
/// use evenkeel::quantity::marking;
/// assert_eq!(marking::code(4700.0).as_deref(), Some("4K7"));
/// assert_eq!(marking::code(0.05).as_deref(), Some("R05"));
/// assert_eq!(marking::code(12_345.0), None);
/// ```
pub fn code(ohm: f64) -> Option<String> {
    if ohm.is_nan() || ohm <= 0.0 {
        return None;
    }
    let number = Decimal::shortest(ohm)?;
    let digits = number.digits();
    let order = i32::try_from(number.order()).ok()?;
    if digits.len() > 4 || order > 14 {
        return None;
    }
    if order >= 0 {
        let letter = ["R", "K", "M", "G", "T"].get(order as usize / 3)?;
        return Some(whole_and_fraction(digits, order % 3, letter));
    }
    if order >= -2
        && let Some(code) = below_one(digits, order, "R")
    {
        return Some(code);
    }
    match order + 3 {
        order @ 0.. => Some(whole_and_fraction(digits, order, "L")),
        order => below_one(digits, order, "L"),
    }
}

fn whole_and_fraction(digits: &str, order: i32, letter: &str) -> String {
    let whole = order as usize + 1;
    match digits.get(whole..) {
        Some(fraction) if !fraction.is_empty() => format!("{}{letter}{fraction}", &digits[..whole]),
        _ if whole == 1 => format!("{digits}{letter}0"),
        _ => format!("{digits}{}{letter}", "0".repeat(whole - digits.len())),
    }
}

fn below_one(digits: &str, order: i32, letter: &str) -> Option<String> {
    let zeros = "0".repeat((-order - 1) as usize);
    let pad = if zeros.is_empty() && digits.len() == 1 { "0" } else { "" };
    (zeros.len() + digits.len() <= 4).then(|| format!("{letter}{zeros}{digits}{pad}"))
}

/// Reads a resistance code, Ω: digits with one of L, R, K (or k), M, G, T in place of the decimal point.
///
/// # Errors
/// [`QuantityFault`] where the text is not such a code; a tolerance letter is one too many here.
///
/// ```
/// assert_eq!(evenkeel::quantity::marking::read("4K7")?, 4700.0);
/// # Ok::<(), evenkeel::quantity::QuantityFault>(())
/// ```
pub fn read(code: &str) -> Result<f64, QuantityFault> {
    match shape(code, &OHM_LETTERS) {
        Some((number, "")) => Ok(number.value()),
        _ => Err(not_a_code(code)),
    }
}

/// Reads a resistance code that may end in a tolerance letter: resistance in Ω, and the tolerance as a fraction.
///
/// # Errors
/// [`QuantityFault`] where the text is not such a code or the last letter is no symmetrical tolerance.
///
/// ```
/// use evenkeel::quantity::marking::read_with_tolerance;
/// assert_eq!(read_with_tolerance("27KK")?, (27_000.0, Some(0.1)));
/// assert_eq!(read_with_tolerance("27K")?, (27_000.0, None));
/// # Ok::<(), evenkeel::quantity::QuantityFault>(())
/// ```
pub fn read_with_tolerance(code: &str) -> Result<(f64, Option<f64>), QuantityFault> {
    let Some((number, rest)) = shape(code, &OHM_LETTERS) else {
        return Err(not_a_code(code));
    };
    let mut letters = rest.chars();
    let (first, second) = (letters.next(), letters.next());
    match (first, second) {
        (None, _) => Ok((number.value(), None)),
        (Some(letter), None) => match TOLERANCES.iter().find(|(known, _)| *known == letter) {
            Some((_, share)) => Ok((number.value(), Some(super::tens(*share, -5)))),
            None => {
                let place = code.len() - rest.len()..code.len();
                let help = "write one of E L P W B C D F G H J K M N".to_owned();
                Err(QuantityFault::new(code, place, FaultKind::NotATolerance { read: rest.to_owned() }, help))
            }
        },
        _ => Err(not_a_code(code)),
    }
}

fn not_a_code(code: &str) -> QuantityFault {
    let kind = FaultKind::NotACode { read: code.to_owned() };
    QuantityFault::new(code, 0..code.len(), kind, "write a code like `4K7`, `470R` or `R47`".to_owned())
}

/// A code in whole, with its sign or its unit behind it if they are written.
pub(super) fn decimal(text: &str, unit: Unit) -> Option<Decimal> {
    let letters = match unit {
        Unit::Ohm => &OHM_LETTERS,
        Unit::Farad => &FARAD_LETTERS,
        _ => return None,
    };
    let (negative, body) = match text.strip_prefix(['-', '−']) {
        Some(body) => (true, body),
        None => (false, text),
    };
    let (number, rest) = shape(body, letters)?;
    // `100k` is a number with a prefix: beside a bare number in a range it is not clear as a code is
    if unit == Unit::Ohm && body[..body.len() - rest.len()].ends_with(['R', 'K', 'k', 'M', 'G', 'T']) {
        return None;
    }
    let rest = rest.trim_start();
    let unit_repeated = unit == Unit::Ohm && matches!(rest, "Ω" | "\u{2126}" | "ohm") && spells_ohm(rest);
    if !rest.is_empty() && !unit_repeated {
        return None;
    }
    Some(if negative { number.negated() } else { number })
}

/// Digits, one letter, digits; and what stands behind them.
fn shape<'a>(text: &'a str, letters: &[(char, i32)]) -> Option<(Decimal, &'a str)> {
    let whole = digits_at(text, 0);
    let letter = text[whole.len()..].chars().next()?;
    let (_, tens) = letters.iter().find(|(known, _)| *known == letter)?;
    let after = whole.len() + letter.len_utf8();
    let fraction = digits_at(text, after);
    if whole.is_empty() && fraction.is_empty() {
        return None;
    }
    let number = Decimal::new(false, &format!("{whole}{fraction}"), i64::from(*tens) - fraction.len() as i64);
    Some((number, &text[after + fraction.len()..]))
}
