//! tests/data/rejection_cases.toml: rejections by the closed forms that stand beside the network's.
use crate::row::{HALF_A_DIGIT, Kind, Row, read};
use evenkeel::designator::Topology;
use evenkeel::quantity::from_decibels;
use evenkeel::textbook::{self, ClosedForm, closed_form_rejection, rejection_db};
use serde::Deserialize;

#[derive(Deserialize)]
struct Published {
    case: Vec<Case>,
}

#[derive(Deserialize)]
struct Case {
    entry: String,
    source: String,
    status: String,
    form: String,
    db: String,
    g1: Option<f64>,
    g2: Option<f64>,
    t: Option<f64>,
    four_t: Option<f64>,
    x: Option<f64>,
    r: Option<f64>,
    r4: Option<f64>,
    a: Option<f64>,
    b: Option<f64>,
}

impl Case {
    fn stage(&self, bound: f64) -> ClosedForm {
        let stage_one_gain = self.g1.unwrap_or(1.0);
        ClosedForm {
            topology: if self.g1.is_some() { Topology::ThreeOpAmp } else { Topology::Difference },
            stage_one_gain,
            stage_two_gain: self.g2.unwrap_or(1.0),
            bounds: [bound; 4],
            opamp_rejections: [None; 3],
        }
    }

    fn computed(&self) -> f64 {
        let g2 = self.g2.unwrap_or(1.0);
        match self.form.as_str() {
            "worst" => closed_form_rejection(&self.stage(self.t.unwrap())).unwrap(),
            "matched" => closed_form_rejection(&self.stage(self.four_t.unwrap() / 4.0)).unwrap(),
            "one" => rejection_db(textbook::difference_one_resistor(g2, self.x.unwrap()).unwrap()),
            "reference" => rejection_db(textbook::reference_difference(g2, self.r4.unwrap(), self.r.unwrap()).unwrap()),
            "combined" => {
                let mut both = self.stage(0.5 / from_decibels(self.a.unwrap()));
                both.opamp_rejections[0] = Some(from_decibels(self.b.unwrap()));
                closed_form_rejection(&both).unwrap()
            }
            other => panic!("{other} is no form"),
        }
        .unwrap()
    }
}

pub(crate) fn rows() -> Vec<Row> {
    let published: Published = toml::from_str(include_str!("../data/rejection_cases.toml")).unwrap();
    let mut source = String::new();
    let mut rows = Vec::new();
    for case in published.case {
        if case.source != "as above" {
            source.clone_from(&case.source);
        }
        let (want, allowed) = read(&case.db);
        rows.push(Row {
            figure: "rejection, closed form".to_owned(),
            kind: Kind::of_status(&format!("{} {source}", case.status)),
            source: source.clone(),
            printed: format!("{} dB", case.db),
            ought: None,
            want,
            got: case.computed(),
            allowed,
            reason: HALF_A_DIGIT.to_owned(),
            entry: case.entry,
        });
    }
    rows
}
