//! The circuits of figures.md, sections 2 to 4, written down a second time from its text: node
//! voltages are the only unknowns, and at an op amp's output its own equation stands instead of
//! Kirchhoff's.
use crate::field::{Field, Real, Row, rounded_fraction};
use evenkeel::designator::{Amp, Designator, Topology};
use evenkeel::stage::Circuit;
use num_complex::{Complex, Complex64};
use num_rational::BigRational;
use std::collections::BTreeMap;
use std::f64::consts::TAU;

/// One board's op amp: its actual values.
#[derive(Clone, Debug)]
pub(crate) struct OpAmpValues<R> {
    pub(crate) a: R,
    pub(crate) per_gbw: R,
    /// The common-mode error is `share·c(f)`, `c` what it is at dc.
    pub(crate) c: R,
    /// From -1 to 1.
    pub(crate) share: R,
    pub(crate) per_corner: R,
    pub(crate) load_ohm: Option<R>,
    pub(crate) load_farad: Option<R>,
}

/// One board: its actual values by name. What is absent is open, or a wire where it stands in series.
#[derive(Clone, Debug)]
pub(crate) struct Board<R> {
    pub(crate) topology: Topology,
    pub(crate) ohms: BTreeMap<&'static str, R>,
    pub(crate) farads: BTreeMap<&'static str, R>,
    pub(crate) amps: Vec<OpAmpValues<R>>,
}

/// `A_d` and `A_cm`.
#[derive(Clone, Copy, Debug)]
pub(crate) struct Pair<T> {
    pub(crate) differential: T,
    pub(crate) common: T,
}

impl<R: Real> Board<R> {
    /// The nominal board.
    pub(crate) fn nominal(circuit: &Circuit) -> Self {
        let around = &circuit.surroundings;
        let mut ohms: BTreeMap<&'static str, R> =
            circuit.ohms.present().map(|(name, ohm)| (name.name(), R::of(ohm))).collect();
        let mut farads = BTreeMap::new();
        if circuit.ohms.get(Designator::RG).is_none() {
            ohms.remove("RG");
        }
        let mut ohm = |name, value: f64| {
            if value != 0.0 {
                ohms.insert(name, R::of(value));
            }
        };
        let mut farad = |name, value: f64| {
            if value != 0.0 {
                farads.insert(name, R::of(value));
            }
        };
        for name in ["source+", "source-"] {
            ohm(name, around.source.resistance_ohm);
        }
        for name in ["bias+", "bias-"] {
            ohm(name, around.source.bias_return_ohm.unwrap_or(0.0));
        }
        for name in ["cable+", "cable-"] {
            farad(name, around.source.cable_capacitance_f.unwrap_or(0.0));
        }
        if let Some(filter) = &around.filter {
            for name in ["filter+", "filter-"] {
                ohm(name, filter.resistor_ohm);
            }
            for name in ["cc+", "cc-"] {
                farad(name, filter.common_capacitor_f);
            }
            farad("cd", filter.differential_capacitor_f);
        }
        ohm("reference", around.reference_resistance_ohm);
        ohm("wiring", around.strays.rg_resistance_ohm);
        farad("stray", around.strays.rg_capacitance_f);
        let inverse = |value: Option<f64>| value.map_or(R::zero(), |x| R::one() / R::of(x));
        let amps = [Amp::A1, Amp::A2, Amp::A3]
            .into_iter()
            .take(match circuit.topology {
                Topology::Difference | Topology::SingleChip => 1,
                Topology::TwoOpAmp => 2,
                Topology::BufferedDifference | Topology::ThreeOpAmp => 3,
            })
            .map(|amp| {
                let data = circuit.opamps.get(&amp).cloned().unwrap_or_default();
                OpAmpValues {
                    a: inverse(data.open_loop_gain),
                    per_gbw: inverse(data.gain_bandwidth_hz),
                    c: R::zero(),
                    share: R::one(),
                    per_corner: inverse(data.rejection_corner_hz),
                    load_ohm: data.input_resistance_ohm.map(R::of),
                    load_farad: data.input_capacitance_f.map(R::of),
                }
            })
            .collect();
        Self { topology: circuit.topology, ohms, farads, amps }
    }

    /// The drawing, with admittances and op-amp factors in the wanted numbers.
    fn drawing<F: Field>(
        &self,
        conductance: impl Fn(&R) -> F,
        susceptance: impl Fn(&R) -> Option<F>,
        amp: impl Fn(&OpAmpValues<R>) -> (F, F),
    ) -> Drawing<F> {
        let mut d = Drawing { parts: Vec::new(), amps: Vec::new() };
        let ohm = |name: &str| self.ohms.get(name).map(&conductance);
        let farad = |name: &str| self.farads.get(name).and_then(&susceptance);
        // Source, cable, filter, bias return.
        let mut inputs = Vec::new();
        for [emf, behind_source, input, source, cable, filter, shunt, bias] in [
            ["E+", "s+", "in+", "source+", "cable+", "filter+", "cc+", "bias+"],
            ["E-", "s-", "in-", "source-", "cable-", "filter-", "cc-", "bias-"],
        ] {
            let at_source = d.in_series(emf, behind_source, ohm(source));
            d.part(at_source, "0", farad(cable));
            let at_input = d.in_series(at_source, input, ohm(filter));
            d.part(at_input, "0", farad(shunt));
            d.part(at_input, "REF", ohm(bias));
            inputs.push(at_input);
        }
        let (positive, negative) = (inputs[0], inputs[1]);
        d.part(positive, negative, farad("cd"));
        let reference = d.in_series("REF", "ref", ohm("reference"));
        // RG between the two inverting nodes, its wiring in series.
        let gain_set = |d: &mut Drawing<F>| {
            if let Some(y) = ohm("RG") {
                let end = d.in_series("n2", "w", ohm("wiring"));
                d.part("n1", end, Some(y));
            }
            d.part("n1", "0", farad("stray"));
        };
        let difference = |d: &mut Drawing<F>, positive, negative| {
            d.part(negative, "m", ohm("R1"));
            d.part("m", "out", ohm("R2"));
            d.part(positive, "p", ohm("R3"));
            d.part("p", reference, ohm("R4"));
        };
        let pins: &[(Place, Place, Place)] = match self.topology {
            Topology::Difference => {
                difference(&mut d, positive, negative);
                d.part("m", "0", ohm("R5"));
                d.part("p", "0", ohm("R6"));
                &[("p", "m", "out")]
            }
            Topology::BufferedDifference => {
                difference(&mut d, "o2", "o1");
                &[(negative, "o1", "o1"), (positive, "o2", "o2"), ("p", "m", "out")]
            }
            Topology::ThreeOpAmp => {
                d.part("o1", "n1", ohm("RF1"));
                d.part("o2", "n2", ohm("RF2"));
                gain_set(&mut d);
                difference(&mut d, "o2", "o1");
                &[(negative, "n1", "o1"), (positive, "n2", "o2"), ("p", "m", "out")]
            }
            Topology::TwoOpAmp => {
                d.part(reference, "n1", ohm("R1"));
                d.part("n1", "o1", ohm("R2"));
                d.part("o1", "n2", ohm("R3"));
                d.part("n2", "out", ohm("R4"));
                gain_set(&mut d);
                &[(negative, "n1", "o1"), (positive, "n2", "out")]
            }
            Topology::SingleChip => panic!("not drawn here"),
        };
        for (&(plus, minus, out), values) in pins.iter().zip(&self.amps) {
            for input in [plus, minus] {
                d.part(input, "0", values.load_ohm.as_ref().map(&conductance));
                d.part(input, "0", values.load_farad.as_ref().and_then(&susceptance));
            }
            let (a, c) = amp(values);
            d.amps.push(Drawn { plus, minus, out, a, c });
        }
        d
    }

    fn at_dc(&self) -> Drawing<R> {
        self.drawing(|r| R::one() / r.clone(), |_| None, |amp| (amp.a.clone(), amp.c.clone() * amp.share.clone()))
    }

    /// Gains at dc.
    pub(crate) fn gains_dc(&self) -> Pair<R> {
        self.at_dc().gains()
    }

    /// All node voltages at dc for EMFs `[positive, negative, reference]`.
    pub(crate) fn voltages_dc(&self, emfs: [f64; 3]) -> BTreeMap<Place, R> {
        let drive = emfs.map(R::of);
        let drawing = self.at_dc();
        let (free, mut all) = drawing.solve(&[drive]).unwrap();
        free.into_iter().zip(all.remove(0)).collect()
    }
}

/// `c·(1 + j·f/f_c)`, limited to 0.1 with its phase kept (figures.md, section 4).
fn common_mode(c: f64, hz: f64, per_corner: f64) -> Complex64 {
    let full = Complex64::new(c, c * hz * per_corner);
    let size = libm::hypot(full.re, full.im);
    if size > 0.1 { full * 0.1 / size } else { full }
}

impl Board<f64> {
    fn at_frequency(&self, hz: f64) -> Drawing<Complex64> {
        self.drawing(
            |r| Complex64::new(1.0 / r, 0.0),
            |c| Some(Complex64::new(0.0, TAU * hz * c)),
            |amp| (Complex64::new(amp.a, hz * amp.per_gbw), common_mode(amp.c, hz, amp.per_corner) * amp.share),
        )
    }

    /// Gains at a frequency.
    pub(crate) fn gains_at(&self, hz: f64) -> Pair<Complex64> {
        self.at_frequency(hz).gains()
    }
}

impl Board<BigRational> {
    /// Gains at a frequency, without rounding; `TAU * hz` is the rounded product.
    pub(crate) fn gains_at(&self, hz: f64) -> Pair<Complex64> {
        let zero = BigRational::of(0.0);
        let gains = self
            .drawing(
                |r| Complex::new(r.recip(), zero.clone()),
                |c| Some(Complex::new(zero.clone(), BigRational::of(TAU * hz) * c)),
                |amp| {
                    let c = &amp.c * &amp.share;
                    (
                        Complex::new(amp.a.clone(), BigRational::of(hz) * &amp.per_gbw),
                        Complex::new(c.clone(), &c * BigRational::of(hz) * &amp.per_corner),
                    )
                },
            )
            .gains();
        let near = |z: &Complex<BigRational>| Complex64::new(rounded_fraction(&z.re), rounded_fraction(&z.im));
        Pair { differential: near(&gains.differential), common: near(&gains.common) }
    }

    /// Gains at dc as doubles.
    pub(crate) fn rounded_gains_dc(&self) -> Pair<f64> {
        let gains = self.gains_dc();
        Pair { differential: rounded_fraction(&gains.differential), common: rounded_fraction(&gains.common) }
    }
}

impl Pair<f64> {
    pub(crate) fn rejection(&self) -> f64 {
        (self.differential / self.common).abs()
    }
}

impl Pair<Complex64> {
    pub(crate) fn rejection(&self) -> f64 {
        size(self.differential) / size(self.common)
    }
}

/// Modulus.
pub(crate) fn size(z: Complex64) -> f64 {
    libm::hypot(z.re, z.im)
}

/// A node by name. `E+`, `E-`, `REF` and `0` are held, the others free.
pub(crate) type Place = &'static str;

struct Drawn<F> {
    plus: Place,
    minus: Place,
    out: Place,
    a: F,
    c: F,
}

struct Drawing<F> {
    parts: Vec<(Place, Place, F)>,
    amps: Vec<Drawn<F>>,
}

impl<F: Field> Drawing<F> {
    fn part(&mut self, a: Place, b: Place, admittance: Option<F>) {
        if let Some(y) = admittance {
            self.parts.push((a, b, y));
        }
    }

    fn in_series(&mut self, from: Place, to: Place, admittance: Option<F>) -> Place {
        if admittance.is_none() {
            return from;
        }
        self.part(from, to, admittance);
        to
    }

    /// Free nodes, and their voltages for each set of EMFs `[positive, negative, reference]`.
    fn solve(&self, drives: &[[F; 3]]) -> Option<(Vec<Place>, Vec<Vec<F>>)> {
        let held = |place: Place| match place {
            "E+" => Some(Some(0)),
            "E-" => Some(Some(1)),
            "REF" => Some(Some(2)),
            "0" => Some(None),
            _ => None,
        };
        let mut free: Vec<Place> = Vec::new();
        let ends = self.parts.iter().flat_map(|&(a, b, _)| [a, b]);
        for place in ends.chain(self.amps.iter().flat_map(|amp| [amp.plus, amp.minus, amp.out])) {
            if held(place).is_none() && !free.contains(&place) {
                free.push(place);
            }
        }
        let mut rows: Vec<Row<F>> = vec![Vec::new(); free.len()];
        let mut sides: Vec<Vec<F>> = vec![vec![F::zero(); free.len()]; drives.len()];
        let mut put = |row: usize, place: Place, value: F| match held(place) {
            None => rows[row].push((free.iter().position(|&one| one == place).unwrap(), value)),
            Some(None) => {}
            Some(Some(emf)) => {
                for (side, drive) in sides.iter_mut().zip(drives) {
                    side[row] = side[row].clone() - value.clone() * drive[emf].clone();
                }
            }
        };
        let two = F::one() + F::one();
        for (row, &place) in free.iter().enumerate() {
            if let Some(amp) = self.amps.iter().find(|amp| amp.out == place) {
                let half = amp.c.clone() / two.clone();
                put(row, amp.plus, F::one() + half.clone());
                put(row, amp.minus, half - F::one());
                put(row, amp.out, -amp.a.clone());
                continue;
            }
            for &(a, b, ref y) in &self.parts {
                for (here, there) in [(a, b), (b, a)] {
                    if here == place {
                        put(row, here, y.clone());
                        put(row, there, -y.clone());
                    }
                }
            }
        }
        let all = F::solve(&rows, &sides)?;
        Some((free, all))
    }

    fn gains(&self) -> Pair<F> {
        let (half, zero) = (F::of(0.5), F::zero());
        let drives = [[half.clone(), -half, zero.clone()], [F::one(), F::one(), zero]];
        let (free, all) = self.solve(&drives).unwrap();
        let out = free.iter().position(|&place| place == "out").unwrap();
        Pair { differential: all[0][out].clone(), common: all[1][out].clone() }
    }
}
