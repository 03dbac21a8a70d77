use crate::cli::complaint::Complaint;
use crate::cli::flag::{self, Flags};
use crate::cli::grammar::SeriesArgs;
use crate::cli::{FINE, Outcome, Streams};
use crate::quantity::marking;
use crate::report::{self, NearLine, NearValue, SeriesLine};
use crate::series::Series;

pub(super) fn run(args: &SeriesArgs, streams: &mut Streams<'_>) -> Outcome {
    let mut flags = Flags::default();
    let ohm = flags.option(&flag::NEAR, args.near.as_deref());
    let wanted = args.name.map_or(Series::ALL.to_vec(), |one| vec![one]);
    let near: Option<Vec<NearLine>> = ohm.and_then(|ohm| wanted.iter().map(|one| near(*one, ohm)).collect());
    if let (Some(_), None, Some(text)) = (ohm, &near, args.near.as_deref()) {
        let told = Complaint::new("out-of-range", format!("`--near`: no preferred value lies near `{text}`"));
        flags.complain::<()>(told.at_flag(flag::NEAR.name, text).help("give a resistance from 1 pΩ to 9 TΩ"));
    }
    let wish = flags.checked(args.output.wish());
    let wish = flags.settled(wish)?;
    let document = match (ohm, near, args.name) {
        (Some(ohm), Some(lines), _) => report::near(ohm, &lines),
        (_, _, Some(one)) => report::series(&line(one)),
        _ => report::series_list(&wanted.into_iter().map(line).collect::<Vec<_>>()),
    };
    wish.deliver(&document, streams).map_err(|told| vec![told])?;
    Ok(FINE)
}

fn line(series: Series) -> SeriesLine {
    SeriesLine { name: series.name(), tolerance: series.customary_tolerance(), values: series.decade(0).collect() }
}

fn near(series: Series, ohm: f64) -> Option<NearLine> {
    let near = series.near(ohm)?;
    let value = |found: f64| NearValue { ohm: found, marking: marking::code(found), error: (found - ohm) / ohm };
    Some(NearLine { name: series.name(), values: [near.below, near.nearest, near.above].map(value) })
}
