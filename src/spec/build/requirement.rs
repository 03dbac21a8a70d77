use super::sheet::Sheet;
use crate::study::{
    Converter, Environment, GainWish, InputFilter, Interference, Limits, Prefer, Signal, Source, Span, Strays, Supply,
    Target,
};

pub(super) fn signal(sheet: &Sheet<'_>) -> Signal {
    Signal {
        differential: sheet.span("signal.differential"),
        common_mode: sheet.span("signal.common_mode"),
        dc_offset: sheet.span("signal.dc_offset"),
        bandwidth_hz: sheet.maybe("signal.bandwidth"),
        noise_from_hz: sheet.maybe("signal.noise_from"),
        single_pole_noise: sheet.is("signal.noise_bandwidth", "single-pole"),
    }
}

pub(super) fn source(sheet: &Sheet<'_>) -> Source {
    Source {
        resistance_ohm: sheet.number("source.resistance"),
        imbalance_ohm: sheet.number("source.imbalance"),
        floating: sheet.flag("source.floating"),
        bias_return_ohm: sheet.maybe("source.bias_return"),
        bias_return_tolerance: sheet.maybe("source.bias_return_tolerance"),
        cable_capacitance_f: sheet.maybe("source.cable_capacitance"),
        cable_tolerance: sheet.number("source.cable_tolerance"),
        on_body: sheet.flag("source.on_body"),
        mains_connected: sheet.flag("source.mains_connected"),
    }
}

pub(super) fn strays(sheet: &Sheet<'_>) -> Strays {
    Strays {
        rg_resistance_ohm: sheet.number("strays.rg_resistance"),
        rg_capacitance_f: sheet.number("strays.rg_capacitance"),
        thermal_emf_v_per_k: sheet.maybe("strays.thermal_emf"),
        leg_gradient_k: sheet.number("strays.leg_gradient"),
        rg_gradient_k: sheet.number("strays.rg_gradient"),
    }
}

pub(super) fn filter(sheet: &Sheet<'_>) -> Option<InputFilter> {
    sheet.0.has("input_filter").then(|| InputFilter {
        resistor_ohm: sheet.number("input_filter.resistor"),
        common_capacitor_f: sheet.number("input_filter.common_capacitor"),
        differential_capacitor_f: sheet.number("input_filter.differential_capacitor"),
        resistor_tolerance: sheet.number("input_filter.resistor_tolerance"),
        capacitor_tolerance: sheet.number("input_filter.capacitor_tolerance"),
        fault_voltage_v: sheet.maybe("input_filter.fault_voltage"),
        fault_current_a: sheet.maybe("input_filter.fault_current"),
    })
}

pub(super) fn interference(sheet: &Sheet<'_>) -> Option<Interference> {
    let frequency_hz = sheet.maybe("interference.frequency")?;
    Some(Interference { frequency_hz, amplitude_v: sheet.number("interference.amplitude") })
}

pub(super) fn supply(sheet: &Sheet<'_>) -> Option<Supply> {
    let positive_v = sheet.maybe("supply.positive")?;
    Some(Supply {
        positive_v,
        negative_v: sheet.number("supply.negative"),
        ripple_v: sheet.number("supply.ripple"),
        ripple_frequency_hz: sheet.maybe("supply.ripple_frequency"),
    })
}

pub(super) fn environment(sheet: &Sheet<'_>) -> Environment {
    let calibrated_at_c = sheet.number("environment.calibrated_at");
    let temperature_c = sheet.span("environment.temperature").unwrap_or(Span::point(calibrated_at_c));
    Environment { temperature_c, calibrated_at_c }
}

pub(super) fn target(sheet: &Sheet<'_>) -> Target {
    let gain = match sheet.span("target.output") {
        Some(output) => GainWish::Output(output),
        None => GainWish::Ratio(sheet.number("target.gain")),
    };
    let wish = |word| sheet.is("target.prefer", word);
    let prefer = match () {
        () if wish("parts") => Prefer::Parts,
        () if wish("noise") => Prefer::Noise,
        () if wish("price") => Prefer::Price,
        () => Prefer::Gain,
    };
    Target { gain, prefer }
}

pub(super) fn converter(sheet: &Sheet<'_>) -> Option<Converter> {
    let bits = sheet.count("output.adc_bits")?;
    Some(Converter { bits: u32::try_from(bits).ok()?, range_v: sheet.span("output.adc_range")? })
}

pub(super) fn limits(sheet: &Sheet<'_>) -> Limits {
    Limits {
        gain_error: sheet.maybe("limits.gain_error"),
        rejection_db: sheet.maybe("limits.rejection"),
        rejection_at_interference_db: sheet.maybe("limits.rejection_at_interference"),
        headroom_v: sheet.maybe("limits.headroom"),
        offset_v: sheet.maybe("limits.offset"),
        noise_v: sheet.maybe("limits.noise"),
        bandwidth_hz: sheet.maybe("limits.bandwidth"),
        differential_impedance_ohm: sheet.maybe("limits.differential_impedance"),
        total_error: sheet.maybe("limits.total_error"),
        yield_fraction: sheet.maybe("limits.yield"),
    }
}
