use crate::quantity::Unit;
use crate::report::{Record, Value, picture};
use crate::study::{Design, HeadroomPoint, LargestGain, WindowVertex};

pub(super) fn push(design: &Design, body: &mut Record) {
    let Some(figure) = &design.headroom else { return };
    body.section("headroom", "Headroom", |part| {
        part.flag("fits", "fits", figure.fits);
        part.number("margin_v", "least margin", figure.margin_v, Unit::Volt);
        part.text("limiting", "which limits it", &figure.limiting);
        part.number("worst_margin_v", "least with resistors at their worst", figure.worst_margin_v, Unit::Volt);
        match figure.largest_gain {
            LargestGain::UpTo(gain) => {
                part.number("largest_gain", "largest gain that fits", gain, Unit::Plain);
            }
            LargestGain::Unbounded => {
                part.number("largest_gain", "largest gain that fits", None, Unit::Plain);
            }
            LargestGain::None => {
                part.text("", "largest gain that fits", "none does").for_people();
            }
        }
        part.picture(picture::window(design));
        part.push("signal_common_mode_v", "", pair(figure.signals.common_mode_v)).for_data();
        part.push("signal_differential_v", "", pair(figure.signals.differential_v)).for_data();
        part.table("points", "Every op-amp pin over the signal range", &figure.points, point);
        part.table("window", "Window of usable inputs, corner by corner", &figure.window, vertex);
    });
}

fn pair((low, high): (f64, f64)) -> Value {
    Value::Numbers(vec![low, high], Unit::Volt, " .. ")
}

fn point(one: &HeadroomPoint) -> Record {
    let mut row = Record::new();
    row.text("where", "where", &one.name);
    row.number("low_limit_v", "from", one.low_limit_v, Unit::Volt);
    row.number("high_limit_v", "to", one.high_limit_v, Unit::Volt);
    row.number("lowest_v", "lowest", one.lowest_v, Unit::Volt);
    row.number("highest_v", "highest", one.highest_v, Unit::Volt);
    row.number("margin_v", "margin", one.margin_v, Unit::Volt);
    row
}

fn vertex(one: &WindowVertex) -> Record {
    let mut row = Record::new();
    row.number("common_mode_v", "common mode", one.common_mode_v, Unit::Volt);
    row.number("differential_v", "differential", one.differential_v, Unit::Volt);
    row
}
