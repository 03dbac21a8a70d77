use super::fault::SizingFault;
use std::sync::Arc;

/// The least resistor that is considered, Ω.
pub const LEAST_OHM: f64 = 1.0;
/// The greatest resistor that is considered, Ω.
pub const GREATEST_OHM: f64 = 10e6;

/// The values one can buy, or has in the drawer: ascending, each once, 1 Ω to 10 MΩ.
#[derive(Clone, Debug, PartialEq)]
pub struct Stock {
    values: Arc<[f64]>,
}

impl Stock {
    /// Takes values in any order; those outside 1 Ω to 10 MΩ are not considered.
    ///
    /// # Errors
    /// [`SizingFault::NotAResistance`] for a value that is not finite and above zero,
    /// [`SizingFault::EmptyStock`] when none is left.
    pub fn new(values: impl IntoIterator<Item = f64>) -> Result<Self, SizingFault> {
        let mut kept = Vec::new();
        for ohm in values {
            if !(ohm > 0.0 && ohm.is_finite()) {
                return Err(SizingFault::NotAResistance { ohm });
            }
            if (LEAST_OHM..=GREATEST_OHM).contains(&ohm) {
                kept.push(ohm);
            }
        }
        kept.sort_by(f64::total_cmp);
        kept.dedup();
        if kept.is_empty() {
            return Err(SizingFault::EmptyStock);
        }
        Ok(Self { values: kept.into() })
    }

    /// All values, ascending, Ω.
    #[must_use]
    pub fn values(&self) -> &[f64] {
        &self.values
    }

    /// The values from `low` to `high`, both included, Ω.
    #[must_use]
    pub fn within(&self, low: f64, high: f64) -> &[f64] {
        let from = self.values.partition_point(|&v| v < low);
        let to = self.values.partition_point(|&v| v <= high);
        self.values.get(from..to).unwrap_or_default()
    }
}
