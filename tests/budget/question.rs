//! A question with nothing asked but a gain; tests fill in what they need.
use evenkeel::designator::Topology;
use evenkeel::part::Grade;
use evenkeel::series::Series;
use evenkeel::study::{
    Draw, Environment, GainWish, Limits, Prefer, Question, Resistors, Signal, Source, Stock, Strays, Switch, Target,
    Trimmer,
};
use std::collections::BTreeMap;

pub(crate) fn question(topology: Topology, gain: f64) -> Question {
    Question {
        title: String::new(),
        signal: Signal::default(),
        source: Source::default(),
        strays: Strays::default(),
        filter: None,
        interference: None,
        supply: None,
        reference_v: None,
        reference_resistance_ohm: 0.0,
        environment: Environment::default(),
        target: Target { gain: GainWish::Ratio(gain), prefer: Prefer::Gain },
        converter: None,
        topology,
        stage_two_gain: None,
        resistors: Resistors {
            stock: Stock::Series(Series::E96),
            parts: 1,
            grade: Grade { tolerance: 0.0, tempco_per_k: 0.0 },
            range: BTreeMap::new(),
            fixed: BTreeMap::new(),
            own_grade: BTreeMap::new(),
            networks: Vec::new(),
            grades: Vec::new(),
            noise_index_db: None,
            thermal_resistance_k_per_w: None,
        },
        opamps: BTreeMap::new(),
        candidates: Vec::new(),
        chip: None,
        trimmer: Trimmer::default(),
        switch: Switch::default(),
        draw: Draw::default(),
        board: None,
        allow: BTreeMap::new(),
        limits: Limits::default(),
    }
}
