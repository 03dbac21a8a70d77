use super::sheet::Sheet;
use crate::part::{AtGain, Chip, OpAmp, Rails};
use crate::spec::tree::Table;

/// An op amp from its own table, part file laid under.
pub(super) fn opamp(table: &Table) -> OpAmp {
    let number = |key: &str| table.number(key);
    OpAmp {
        title: table.text("title").map(|title| title.trim().to_owned()),
        open_loop_gain: number("open_loop_gain"),
        gain_bandwidth_hz: number("gain_bandwidth"),
        gain_bandwidth_tolerance: number("gain_bandwidth_tolerance")
            .unwrap_or_else(|| Sheet(&Table::default()).number("opamp.all.gain_bandwidth_tolerance")),
        slew_rate_v_per_s: number("slew_rate"),
        rejection: number("rejection"),
        rejection_corner_hz: number("rejection_corner"),
        supply_rejection: number("supply_rejection"),
        supply_rejection_corner_hz: number("supply_rejection_corner"),
        offset_v: number("offset"),
        offset_drift_v_per_k: number("offset_drift"),
        bias_current_a: number("bias_current"),
        offset_current_a: number("offset_current"),
        bias_current_doubling_k: number("bias_current_doubling"),
        voltage_noise_v_per_rthz: number("voltage_noise"),
        voltage_noise_corner_hz: number("voltage_noise_corner"),
        current_noise_a_per_rthz: number("current_noise"),
        current_noise_corner_hz: number("current_noise_corner"),
        output_swing: rails(table, "output_swing"),
        input_range: rails(table, "input_range"),
        input_resistance_ohm: number("input_resistance"),
        input_capacitance_f: number("input_capacitance"),
        price: number("price"),
    }
}

fn rails(table: &Table, key: &str) -> Option<Rails> {
    let table = table.table(key)?;
    Some(Rails { from_negative_v: table.number("from_negative")?, from_positive_v: table.number("from_positive")? })
}

/// What `[chip]` states as an op amp does: currents, swings, input, supply rejection, price.
pub(super) fn chip_as_opamp(table: &Table) -> OpAmp {
    // The corner of the common-mode rejection belongs to the chip's own list.
    OpAmp { rejection_corner_hz: None, ..opamp(table) }
}

/// The chip itself.
pub(super) fn chip(table: &Table) -> Chip {
    let number = |key: &str| table.number(key);
    let list = |key: &str, value: &str| {
        let mut rows: Vec<AtGain> = table
            .tables(key)
            .iter()
            .filter_map(|(_, row)| Some(AtGain { gain: row.number("gain")?, value: row.number(value)? }))
            .collect();
        rows.sort_by(|a, b| a.gain.total_cmp(&b.gain));
        rows
    };
    Chip {
        gain_constant_ohm: number("gain_constant").unwrap_or(0.0),
        base_gain: number("base_gain").unwrap_or_else(|| Sheet(&Table::default()).number("chip.base_gain")),
        gain_error: list("gain_error", "error"),
        rejection: list("rejection", "at"),
        bandwidth: list("bandwidth", "at"),
        gain_drift_per_k: number("gain_drift"),
        nonlinearity: number("nonlinearity"),
        offset_in_v: number("offset_in"),
        offset_out_v: number("offset_out"),
        offset_in_drift_v_per_k: number("offset_in_drift"),
        offset_out_drift_v_per_k: number("offset_out_drift"),
        noise_in_v_per_rthz: number("noise_in"),
        noise_out_v_per_rthz: number("noise_out"),
        noise_in_corner_hz: number("noise_in_corner"),
        noise_out_corner_hz: number("noise_out_corner"),
        rejection_corner_hz: number("rejection_corner"),
        stage_one_gain: number("stage_one_gain"),
    }
}
