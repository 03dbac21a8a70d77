use crate::quantity::Unit;
use crate::report::Record;
use crate::study::{Design, Noise, NoiseLine};

pub(super) fn push(design: &Design, body: &mut Record) {
    let Some(figure) = &design.noise else { return };
    body.section("noise", "Noise, referred to the input", |part| {
        part.number("density_v_per_rthz", "density at 1 kHz", figure.density_v_per_rthz, Unit::VoltPerRootHertz);
        if let (Some(rms), Some(peak)) = (figure.rms_v, figure.peak_to_peak_v) {
            part.number("rms_v", "over the band, rms", rms, Unit::Volt);
            part.number("peak_to_peak_v", "over the band, peak to peak", peak, Unit::Volt);
        }
        part.table("causes", "Where it comes from", &loudest_first(figure), line);
    });
}

fn loudest_first(figure: &Noise) -> Vec<&NoiseLine> {
    let mut lines: Vec<&NoiseLine> = figure.causes.iter().collect();
    let loudness = |line: &NoiseLine| line.rms_v.unwrap_or(line.density_v_per_rthz);
    lines.sort_by(|a, b| loudness(b).total_cmp(&loudness(a)));
    lines
}

fn line(one: &&NoiseLine) -> Record {
    let mut row = Record::new();
    row.text("cause", "cause", &one.cause);
    row.number("density_v_per_rthz", "density at 1 kHz", one.density_v_per_rthz, Unit::VoltPerRootHertz);
    if let Some(rms) = one.rms_v {
        row.number("rms_v", "rms", rms, Unit::Volt);
    }
    row
}
