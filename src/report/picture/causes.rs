//! Which cause leaves how much of the common mode: long bars are what limits the rejection.
use super::Picture;
use super::bars::{Bar, bars, height};
use super::canvas::Canvas;
use super::chart::WIDTH;
use crate::quantity::{Unit, rounded};
use crate::study::Design;

/// Nothing where no cause is told.
pub(in crate::report) fn causes(design: &Design) -> Option<Picture> {
    let causes = &design.rejection.causes;
    let worst = causes.iter().find(|line| line.alone_db.is_some())?;
    let bar = |line: &crate::study::CauseLine| Bar {
        name: line.cause.clone(),
        // what is left of a volt of common mode, at the input
        length: line.alone_db.map(|db| libm::pow(10.0, -db / 20.0)),
        words: line.alone_db.map_or_else(|| "unbounded".to_owned(), |db| rounded(db, Unit::Decibel, 4)),
    };
    let each: Vec<Bar> = causes.iter().map(bar).collect();
    let mut canvas = Canvas::new(WIDTH, height(each.len()) + 16.0);
    bars(&mut canvas, 8.0, &each);
    let level = worst.alone_db.map_or_else(String::new, |db| rounded(db, Unit::Decibel, 4));
    Some(Picture {
        name: "causes",
        caption: "What each cause alone lets through of the common mode; the longest bar limits the rejection"
            .to_owned(),
        description: format!("Bars by cause. The longest is {}, {level} alone.", worst.cause),
        plain: Vec::new(),
        canvas,
    })
}
