//! Speed of a design (figures.md, section 11).
use super::told::STABLE;
use super::{Question, Told, Warning, peaking};
use crate::predict::{FullPower, LoopMargin, Motion, PolesFault, full_power, loop_margins, response, settling};
use crate::quantity::{Unit, rounded};
use crate::stage::Stage;
use crate::topology::BuildFault;

/// What a design can follow, and how it arrives.
#[derive(Clone, Debug, PartialEq)]
pub struct BandwidthFigure {
    /// Lowest frequency 3 dB below dc, Hz; `None`: unlimited.
    pub small_signal_hz: Option<f64>,
    /// Full-power bandwidth; `None`: not predicted.
    pub full_power: Option<FullPowerLine>,
    /// Greatest gain over its dc value, dB; `None`: it grows without bound.
    pub peaking_db: Option<f64>,
    /// Where it is greatest, Hz; `None` without a peak.
    pub peak_hz: Option<f64>,
    /// The least phase margin and whose it is; `None`: no loop gain falls through 1.
    pub phase_margin: Option<LoopMargin>,
    /// Every op amp whose loop gain falls through 1.
    pub margins: Vec<LoopMargin>,
    /// Settling after a full-scale step, coarsest first; only what is predicted.
    pub settling: Vec<SettlingLine>,
}

/// Full-power bandwidth.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct FullPowerLine {
    /// The op amp that limits it; `None`: unlimited.
    pub limited: Option<FullPower>,
}

/// Settling to one accuracy.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct SettlingLine {
    /// `0.1 %`, `0.01 %` or `half LSB`.
    pub to: &'static str,
    /// The same as a fraction of the step.
    pub fraction: f64,
    /// The linear network's time plus the time spent slewing, s; `None`: it rings practically for ever.
    pub seconds: Option<f64>,
    /// The part spent slewing, s.
    pub slewing_s: f64,
}

/// Bandwidth, peaking, margins and settling of a stage built for a question.
///
/// A circuit that oscillates has none of them: it is warned of as `unstable`. One that peaks is warned of
/// as `stage-peaks`, with the feedback capacitor that cures it. Where a slew rate is given, full power and
/// settling need `signal.differential`.
///
/// # Errors
/// [`BuildFault`] when the circuit has no solution.
pub fn figure(question: &Question, stage: &Stage) -> Result<Told<BandwidthFigure>, BuildFault> {
    Told::with_poles("bandwidth", over_frequency(question, stage))
}

fn over_frequency(question: &Question, stage: &Stage) -> Result<Told<BandwidthFigure>, PolesFault> {
    let motion = Motion::of(&stage.network)?;
    let margins = loop_margins(stage, &motion)?;
    let least = margins.iter().copied().min_by(|a, b| a.phase_margin_deg.total_cmp(&b.phase_margin_deg));
    if !motion.is_stable() {
        let mut told = Told::missing("bandwidth", &[STABLE]);
        told.warnings.push(unstable(&motion, least, peaking::cure(stage)?));
        return Ok(told);
    }
    let response = response(stage, &motion)?;
    let mut told = Told::figure(BandwidthFigure {
        small_signal_hz: response.small_signal_hz,
        full_power: None,
        peaking_db: response.peaking_db,
        peak_hz: response.peak_hz,
        phase_margin: least,
        margins,
        settling: Vec::new(),
    });
    let peaks = response.peaking_db.is_none_or(|db| db > peaking::LITTLE_PEAKING_DB)
        || least.is_some_and(|one| one.phase_margin_deg < peaking::TOLERABLE_MARGIN_DEG);
    if let (true, Some(figure)) = (peaks, &told.figure) {
        let warning = stage_peaks(figure, peaking::cure(stage)?);
        told.warnings.push(warning);
    }
    in_time(question, stage, &motion, told)
}

/// Full power and settling, as far as the signal is known.
fn in_time(
    question: &Question,
    stage: &Stage,
    motion: &Motion<'_>,
    mut told: Told<BandwidthFigure>,
) -> Result<Told<BandwidthFigure>, PolesFault> {
    let amps = stage.circuit.topology.amps();
    let slews = amps.iter().any(|&amp| stage.circuit.opamp(amp).slew_rate_v_per_s.is_some());
    let width = question.signal.differential.map(super::Span::width);
    if width.is_none() && slews {
        for figure in ["bandwidth.full_power_hz", "bandwidth.settling"] {
            told = told.lacking(figure, "signal.differential");
        }
        return Ok(told);
    }
    // Nothing slews without a slew rate, and the linear network's time is the same for every step.
    let step = width.unwrap_or(1.0);
    let mut wanted = vec![("0.1 %", 1e-3), ("0.01 %", 1e-4)];
    if let Some(converter) = &question.converter {
        let gain = motion.transfer(&stage.differential(), stage.ports.output).dc.abs();
        match width {
            Some(width) if width * gain > 0.0 => {
                let lsb = libm::ldexp(converter.range_v.width(), -i32::try_from(converter.bits).unwrap_or(i32::MAX));
                wanted.push(("half LSB", lsb / 2.0 / (width * gain)));
            }
            _ => told = told.lacking("bandwidth.settling to half an LSB", "signal.differential"),
        }
    }
    let fractions: Vec<f64> = wanted.iter().map(|&(_, fraction)| fraction).collect();
    let settling = settling(stage, motion, step, &fractions)?;
    if let Some(figure) = &mut told.figure {
        figure.full_power = Some(FullPowerLine { limited: full_power(stage, step)? });
        figure.settling = wanted
            .iter()
            .zip(&settling.linear_s)
            .map(|(&(to, fraction), linear)| SettlingLine {
                to,
                fraction,
                seconds: linear.map(|linear| linear + settling.slewing_s),
                slewing_s: settling.slewing_s,
            })
            .collect();
    }
    Ok(told)
}

fn unstable(motion: &Motion<'_>, least: Option<LoopMargin>, cure: Option<peaking::Cure>) -> Warning {
    let fastest = motion.poles().into_iter().max_by(|a, b| a.re.total_cmp(&b.re));
    let hz = fastest.map_or(0.0, |pole| pole.im.abs() / std::f64::consts::TAU);
    let mut message = if hz > 0.0 {
        format!("the circuit oscillates by itself near {}", rounded(hz, Unit::Hertz, 3))
    } else {
        "the circuit does not come to rest: feedback is positive somewhere".to_owned()
    };
    if let Some(margin) = least {
        message += &format!("; {} has a phase margin of {:.0}°", margin.amp, margin.phase_margin_deg);
    }
    Warning { code: "unstable", message, advice: advice(cure) }
}

fn stage_peaks(figure: &BandwidthFigure, cure: Option<peaking::Cure>) -> Warning {
    let mut message = match (figure.peaking_db, figure.peak_hz) {
        (None, _) => "the gain grows with frequency without bound: no op amp limits it".to_owned(),
        (Some(db), Some(hz)) => {
            format!("the gain peaks by {} at {}", rounded(db, Unit::Decibel, 3), rounded(hz, Unit::Hertz, 3))
        }
        (Some(_), None) => "a loop is close to ringing".to_owned(),
    };
    if let Some(margin) = figure.phase_margin {
        message += &format!("; {} has a phase margin of {:.0}°", margin.amp, margin.phase_margin_deg);
    }
    let advice = match figure.peaking_db {
        None => "state gain_bandwidth of every op amp, or leave its input_capacitance out".to_owned(),
        Some(_) => advice(cure),
    };
    Warning { code: "stage-peaks", message, advice }
}

fn advice(cure: Option<peaking::Cure>) -> String {
    let Some(cure) = cure else {
        return "lower the feedback resistors, or take op amps with less input capacitance or another speed; \
                no capacitor across the feedback cures it"
            .to_owned();
    };
    let places: Vec<String> = cure
        .capacitors
        .iter()
        .map(|one| format!("{} across {}", rounded(one.farad, Unit::Farad, 2), one.across))
        .collect();
    let bandwidth = cure.small_signal_hz.map_or_else(|| "unlimited".to_owned(), |hz| rounded(hz, Unit::Hertz, 3));
    let margin = cure.phase_margin_deg.map_or_else(String::new, |deg| format!("phase margin {deg:.0}°, "));
    format!(
        "put {}: {margin}peaking {}, bandwidth {bandwidth}; or lower the resistors",
        places.join(", "),
        rounded(cure.peaking_db, Unit::Decibel, 3)
    )
}
