use super::fault::{FaultKind, QuantityFault};
use super::number;
use super::read::trimmed;

/// Reads a whole number from zero up: `1000000`, `1e6`, `1M`, `10k`.
///
/// # Errors
/// [`QuantityFault`]: not a number, negative, not whole, above 2^64 − 1, or text left over.
///
/// ```
/// use evenkeel::quantity::parse_count;
/// assert_eq!(parse_count("1M")?, 1_000_000);
/// assert!(parse_count("1.5").is_err());
/// # Ok::<(), evenkeel::quantity::QuantityFault>(())
/// ```
pub fn parse_count(text: &str) -> Result<u64, QuantityFault> {
    const DUE: &str = "a count";
    let help = || "write a whole number like `1000000`, `1e6` or `1M`".to_owned();
    let place = trimmed(text, 0..text.len());
    let written = &text[place.clone()];
    let read = written.to_owned();
    if written.is_empty() {
        return Err(QuantityFault::new(text, place, FaultKind::Empty { due: DUE }, help()));
    }
    let Some((number, length)) = number::lead(written) else {
        return Err(QuantityFault::new(text, place, FaultKind::NoNumber { read, due: DUE }, help()));
    };
    let tens = match written[length..].trim_start() {
        "" => 0,
        "k" => 3,
        "M" => 6,
        "G" => 9,
        _ => {
            let rest = trimmed(text, place.start + length..place.end);
            let kind = FaultKind::LeftOver { read: text[rest.clone()].to_owned(), due: DUE };
            return Err(QuantityFault::new(text, rest, kind, help()));
        }
    };
    let number = number.shifted(tens);
    if number.is_negative() || !number.is_whole() {
        return Err(QuantityFault::new(text, place, FaultKind::NotWhole { read }, help()));
    }
    number.whole().ok_or_else(|| {
        let help = "write a count of at most 18446744073709551615".to_owned();
        QuantityFault::new(text, place, FaultKind::TooLarge { read }, help)
    })
}
