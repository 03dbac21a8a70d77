//! A second derivation that shares nothing with the library: Kirchhoff's law at every node whose voltage
//! is neither given nor an op amp's output, and one equation for each op amp; solved by nalgebra.
use nalgebra::{DMatrix, DVector};
use std::collections::BTreeMap;

/// A front end as figures.md, section 2 words it.
#[derive(Clone, Debug, Default)]
pub(crate) struct Drawing {
    pub(crate) topology: &'static str,
    pub(crate) ohms: BTreeMap<&'static str, f64>,
    pub(crate) source: f64,
    pub(crate) filter: f64,
    pub(crate) bias_return: Option<f64>,
    pub(crate) reference_resistance: f64,
    pub(crate) open_loop_gain: Option<f64>,
    pub(crate) input_resistance: Option<f64>,
}

/// Voltages by node, currents out of the two EMFs.
#[derive(Clone, Debug)]
pub(crate) struct Solved {
    voltages: BTreeMap<String, f64>,
    pub(crate) positive_a: f64,
    pub(crate) negative_a: f64,
    amps: Vec<(String, String, String)>,
}

#[derive(Default)]
struct Wiring {
    resistors: Vec<(String, String, f64)>,
    amps: Vec<(String, String, String)>,
}

impl Wiring {
    fn resistor(&mut self, a: &str, b: &str, ohm: f64) {
        self.resistors.push((a.to_owned(), b.to_owned(), ohm));
    }

    fn amp(&mut self, plus: &str, minus: &str, out: &str) {
        self.amps.push((plus.to_owned(), minus.to_owned(), out.to_owned()));
    }
}

impl Drawing {
    fn leg(&self, wiring: &mut Wiring, emf: &str) -> String {
        let mut at = emf.to_owned();
        for (step, ohm) in [("behind source", self.source), ("behind filter", self.filter)] {
            if ohm > 0.0 {
                let next = format!("{emf} {step}");
                wiring.resistor(&at, &next, ohm);
                at = next;
            }
        }
        if let Some(ohm) = self.bias_return {
            wiring.resistor(&at, "vref", ohm);
        }
        at
    }

    fn wiring(&self) -> Wiring {
        let mut w = Wiring::default();
        let (ip, im) = (self.leg(&mut w, "ep"), self.leg(&mut w, "en"));
        let mut r = "vref";
        if self.reference_resistance > 0.0 {
            r = "behind reference";
            w.resistor("vref", r, self.reference_resistance);
        }
        let ohm = |name: &str| self.ohms[name];
        let difference = |w: &mut Wiring, plus_in: &str, minus_in: &str| {
            w.resistor(minus_in, "m", ohm("R1"));
            w.resistor("m", "out", ohm("R2"));
            w.resistor(plus_in, "p", ohm("R3"));
            w.resistor("p", r, ohm("R4"));
            if self.ohms.contains_key("R5") {
                w.resistor("m", "0", ohm("R5"));
                w.resistor("p", "0", ohm("R6"));
            }
        };
        match self.topology {
            "difference" => {
                difference(&mut w, &ip, &im);
                w.amp("p", "m", "out");
            }
            "buffered-difference" => {
                w.amp(&im, "o1", "o1");
                w.amp(&ip, "o2", "o2");
                difference(&mut w, "o2", "o1");
                w.amp("p", "m", "out");
            }
            "three-op-amp" => {
                w.amp(&im, "g1", "o1");
                w.amp(&ip, "g2", "o2");
                w.resistor("o1", "g1", ohm("RF1"));
                w.resistor("o2", "g2", ohm("RF2"));
                if self.ohms.contains_key("RG") {
                    w.resistor("g1", "g2", ohm("RG"));
                }
                difference(&mut w, "o2", "o1");
                w.amp("p", "m", "out");
            }
            _ => {
                w.amp(&im, "g1", "o1");
                w.amp(&ip, "g2", "out");
                w.resistor(r, "g1", ohm("R1"));
                w.resistor("g1", "o1", ohm("R2"));
                w.resistor("o1", "g2", ohm("R3"));
                w.resistor("g2", "out", ohm("R4"));
                if self.ohms.contains_key("RG") {
                    w.resistor("g1", "g2", ohm("RG"));
                }
            }
        }
        if let Some(ohm) = self.input_resistance {
            for (plus, minus, _) in w.amps.clone() {
                w.resistor(&plus, "0", ohm);
                w.resistor(&minus, "0", ohm);
            }
        }
        w
    }

    /// All voltages at given EMFs and reference.
    pub(crate) fn solve(&self, positive: f64, negative: f64, reference: f64) -> Solved {
        let wiring = self.wiring();
        let given: BTreeMap<&str, f64> = [("0", 0.0), ("ep", positive), ("en", negative), ("vref", reference)].into();
        let mut unknown: Vec<&str> = wiring
            .resistors
            .iter()
            .flat_map(|(a, b, _)| [a.as_str(), b.as_str()])
            .chain(wiring.amps.iter().flat_map(|(p, m, o)| [p.as_str(), m.as_str(), o.as_str()]))
            .filter(|node| !given.contains_key(node))
            .collect();
        unknown.sort_unstable();
        unknown.dedup();
        let place = |node: &str| unknown.iter().position(|&one| one == node);
        let size = unknown.len();
        let (mut matrix, mut right) = (DMatrix::<f64>::zeros(size, size), DVector::<f64>::zeros(size));
        let mut row = 0;
        let mut add = |row: usize, node: &str, weight: f64, right: &mut DVector<f64>| match place(node) {
            Some(column) => matrix[(row, column)] += weight,
            None => right[row] -= weight * given[node],
        };
        for node in unknown.iter().filter(|&&node| wiring.amps.iter().all(|(_, _, out)| out != node)) {
            for (a, b, ohm) in &wiring.resistors {
                for (here, there) in [(a, b), (b, a)] {
                    if here == node {
                        // In units of 10 kΩ, so that all rows are of one size.
                        add(row, here, 1e4 / ohm, &mut right);
                        add(row, there, -1e4 / ohm, &mut right);
                    }
                }
            }
            row += 1;
        }
        for (plus, minus, out) in &wiring.amps {
            add(row, plus, 1.0, &mut right);
            add(row, minus, -1.0, &mut right);
            add(row, out, -self.open_loop_gain.map_or(0.0, |gain| 1.0 / gain), &mut right);
            row += 1;
        }
        assert_eq!(row, size);
        let x = matrix.full_piv_lu().solve(&right).unwrap();
        let mut voltages: BTreeMap<String, f64> =
            given.iter().map(|(node, volt)| ((*node).to_owned(), *volt)).collect();
        voltages.extend(unknown.iter().zip(x.iter()).map(|(node, volt)| ((*node).to_owned(), *volt)));
        let out_of = |emf: &str| -> f64 {
            let current = |(a, b, ohm): &(String, String, f64)| match (a == emf, b == emf) {
                (true, false) => (voltages[a] - voltages[b]) / ohm,
                (false, true) => (voltages[b] - voltages[a]) / ohm,
                _ => 0.0,
            };
            wiring.resistors.iter().map(current).sum()
        };
        let (positive_a, negative_a) = (out_of("ep"), out_of("en"));
        Solved { voltages, positive_a, negative_a, amps: wiring.amps }
    }

    /// Gain from the EMFs to the output.
    pub(crate) fn gain(&self) -> f64 {
        self.solve(0.5, -0.5, 0.0).voltages["out"]
    }
}

impl Solved {
    /// `A1 output`, `A1 + input`, `A1 - input` and so on, with true for outputs.
    pub(crate) fn terminals(&self) -> Vec<(String, bool, f64)> {
        let mut all = Vec::new();
        for (index, (plus, minus, out)) in self.amps.iter().enumerate() {
            for (word, node) in [("output", out), ("+ input", plus), ("- input", minus)] {
                all.push((format!("A{} {word}", index + 1), word == "output", self.voltages[node]));
            }
        }
        all
    }
}
