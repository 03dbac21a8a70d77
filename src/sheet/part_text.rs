//! What a bill says about a resistor: `24.9k 0.1% 0603`, in any order and any spelling.
use crate::quantity::{QuantityFault, Unit, parse};

/// What could be read of a cell.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub(super) struct PartText {
    pub(super) ohm: Option<f64>,
    pub(super) tolerance: Option<f64>,
    pub(super) tempco_per_k: Option<f64>,
    /// `DNP` and the like: the place on the board stays empty.
    pub(super) not_fitted: bool,
}

/// Why a cell says nothing that can be used.
#[derive(Clone, Debug, PartialEq)]
pub(super) enum PartFault {
    /// No resistance in it; why the first word is none.
    NoResistance(Option<QuantityFault>),
    /// Two different resistances.
    Two(f64, f64),
}

const NOT_FITTED: [&str; 12] =
    ["dnp", "dnf", "dni", "dns", "nf", "nc", "open", "notfitted", "nofit", "notplaced", "donotpopulate", "donotfit"];

/// Four digits that name the size of a chip resistor.
const SIZES: [&str; 14] =
    ["0075", "0100", "0201", "0402", "0603", "0612", "0805", "1206", "1210", "1218", "1812", "2010", "2512", "01005"];

/// IEC 60062 letters of tolerances, as in `4K7F`.
const LETTERS: [(char, f64); 8] =
    [('B', 0.001), ('C', 0.0025), ('D', 0.005), ('F', 0.01), ('G', 0.02), ('J', 0.05), ('K', 0.1), ('M', 0.2)];

/// Reads a cell; `unit` is what the heading's brackets say, for a bare number.
pub(super) fn read(text: &str, unit: Option<&str>) -> Result<PartText, PartFault> {
    let mut out = PartText::default();
    let plain = super::heading::plain(text);
    if NOT_FITTED.contains(&plain.as_str()) {
        out.not_fitted = true;
        return Ok(out);
    }
    if let Some(ohm) = unit.and_then(|unit| parse(&format!("{text} {unit}"), Unit::Ohm).ok()) {
        out.ohm = Some(ohm);
        return Ok(out);
    }
    let words = words(text);
    let mut first_fault = None;
    let mut found: Vec<(f64, bool)> = Vec::new();
    let mut at = 0;
    while at < words.len() {
        // `4.7 kΩ` and `0.1 %`: a number and its unit may be two words.
        let pair = words.get(at + 1).map(|next| format!("{} {next}", words[at]));
        let pair = pair.filter(|pair| take(pair, &mut out, &mut found, true).is_ok());
        if pair.is_some() {
            at += 2;
            continue;
        }
        // `24.9 kohms`: a number must not lose a unit that was not understood.
        let bare = words[at].chars().all(|c| c.is_ascii_digit() || c == '.');
        let unit = words.get(at + 1).filter(|next| next.starts_with(['k', 'K', 'M', 'm', 'R', 'G', 'Ω', 'o', 'O']));
        if let (true, Some(unit)) = (bare, unit) {
            let fault = parse(&format!("{} {unit}", words[at]), Unit::Ohm).err();
            return Err(PartFault::NoResistance(fault));
        }
        if let Err(fault) = take(words[at], &mut out, &mut found, false) {
            first_fault = first_fault.or(fault);
        }
        at += 1;
    }
    if found.iter().any(|(_, size)| !size) {
        found.retain(|(_, size)| !size);
    }
    let mut different = found.iter().map(|(ohm, _)| *ohm);
    match (different.next(), found.iter().find(|(ohm, _)| Some(*ohm) != found.first().map(|one| one.0))) {
        (Some(one), Some((two, _))) => Err(PartFault::Two(one, *two)),
        (Some(one), None) => {
            out.ohm = Some(one);
            Ok(out)
        }
        (None, _) => Err(PartFault::NoResistance(first_fault)),
    }
}

/// Takes one word (or a number with its unit) for what it is; `Err` where it says nothing here.
fn take(
    word: &str,
    out: &mut PartText,
    found: &mut Vec<(f64, bool)>,
    of_two: bool,
) -> Result<(), Option<QuantityFault>> {
    let bare = word.trim_start_matches(['±', '+', '-', '/']);
    if word.contains(['K', 'C'])
        && bare.contains('/')
        && let Ok(tempco) = parse(bare, Unit::PerKelvin)
    {
        out.tempco_per_k = Some(tempco);
        return Ok(());
    }
    if let Ok(fraction) = parse(bare, Unit::Fraction) {
        // A bill that says `25ppm` beside a resistance means the temperature coefficient.
        let place = if bare.ends_with("ppm") { &mut out.tempco_per_k } else { &mut out.tolerance };
        *place = Some(fraction);
        return Ok(());
    }
    // `0603` is a size whatever stands beside it: no one writes 603 Ω so.
    if SIZES.contains(&word) && word.starts_with('0') {
        return Ok(());
    }
    match parse(word, Unit::Ohm) {
        // Two bare numbers side by side are no number with its unit.
        Ok(ohm) if ohm > 0.0 && (!of_two || word.chars().any(char::is_alphabetic)) => {
            found.push((ohm, SIZES.contains(&word)));
            Ok(())
        }
        Ok(_) => Err(None),
        Err(fault) => {
            let coded = LETTERS.iter().find_map(|(letter, tolerance)| {
                let code = word.strip_suffix(*letter)?;
                let is_code = code.contains(['R', 'K', 'k', 'M']) && code.ends_with(|c: char| c.is_ascii_digit());
                Some((parse(code, Unit::Ohm).ok().filter(|_| is_code)?, *tolerance))
            });
            match coded {
                Some((ohm, tolerance)) if !of_two => {
                    found.push((ohm, false));
                    out.tolerance = out.tolerance.or(Some(tolerance));
                    Ok(())
                }
                _ => Err(Some(fault).filter(|_| word.starts_with(|c: char| c.is_ascii_digit()))),
            }
        }
    }
}

/// Words between spaces, and between commas that are no decimal commas.
fn words(text: &str) -> Vec<&str> {
    let mut out = Vec::new();
    for word in text.split([' ', '\u{a0}', '\u{202f}', '\t', '\n', '\r', '|', ';']) {
        let mut rest = word;
        while let Some(comma) = rest.find(',') {
            let digit = |c: Option<char>| c.is_some_and(|c| c.is_ascii_digit());
            let decimal = digit(rest[..comma].chars().next_back()) && digit(rest[comma + 1..].chars().next());
            if decimal {
                break;
            }
            out.push(&rest[..comma]);
            rest = &rest[comma + 1..];
        }
        out.push(rest);
    }
    out.retain(|word| !word.is_empty());
    out
}

/// A tolerance cell: `0.1%`, `±0.1 %`, `100 ppm`, or a bare number under a heading with a unit.
pub(super) fn tolerance(text: &str, unit: Option<&str>) -> Result<f64, QuantityFault> {
    let bare = text.trim().trim_start_matches(['±', '+', '-', '/', '−']).trim();
    if let Some(Ok(fraction)) = unit.map(|unit| parse(&format!("{bare} {unit}"), Unit::Fraction)) {
        return Ok(fraction);
    }
    if let [letter] = bare.chars().collect::<Vec<_>>()[..]
        && let Some((_, fraction)) = LETTERS.iter().find(|(known, _)| *known == letter)
    {
        return Ok(*fraction);
    }
    parse(bare, Unit::Fraction)
}

/// A tempco cell: `25ppm`, `±25 ppm/K`.
pub(super) fn tempco(text: &str, unit: Option<&str>) -> Result<f64, QuantityFault> {
    let bare = text.trim().trim_start_matches(['±', '+', '-', '/', '−']).trim();
    let with_unit = unit.map(|unit| parse(&format!("{bare} {unit}"), Unit::PerKelvin));
    if let Some(Ok(tempco)) = with_unit {
        return Ok(tempco);
    }
    parse(bare, Unit::PerKelvin).or_else(|fault| parse(bare, Unit::Fraction).map_err(|_| fault))
}
