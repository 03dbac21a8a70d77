//! From the values of the uncertain quantities to the deviations of the network's slots.
use super::{Effect, Quantity, Stage};
use crate::network::{
    AmplifierValue, BATCH, CHUNK, CHUNKS, Chunk, Instructions, LANES, Lane, Slot, Task, by_length, each, load,
    reciprocals,
};
use num_complex::Complex64;
use std::borrow::{Borrow, BorrowMut};
use std::marker::PhantomData;

/// Turns quantities into slot deviations, for the slots a [`crate::network::Plan`] was recorded with.
#[derive(Clone, Debug)]
pub struct Shaker {
    slots: Vec<Slot>,
    recipes: Vec<Recipe>,
}

#[derive(Clone, Debug)]
pub(super) enum Recipe {
    /// Admittance of a resistor: `y/(1 + e) - y`.
    Resistor { siemens: f64, factors: Vec<(usize, f64)> },
    /// Admittance of a capacitor: `jωC·e`.
    Capacitor { siemens: f64, factors: Vec<(usize, f64)> },
    /// `a` against its nominal: open-loop gain, and `j·f/GBW`.
    InverseGain { open: Option<(usize, f64)>, band: Option<(usize, f64)> },
    /// `a` of an amplifier of fixed gain: `a/factor - a`.
    FixedGain { nominal: Complex64, factors: Vec<Factor> },
    /// `c` for a full quantity.
    CommonMode { quantity: usize, full: Complex64 },
}

/// A factor of a fixed gain.
#[derive(Clone, Copy, Debug)]
pub(super) enum Factor {
    /// `1 + q`
    Plain(usize),
    /// `1 - share + share/(1 + by·q)`
    Resistor { quantity: usize, share: f64, by: f64 },
}

impl Factor {
    pub(super) const fn quantity(&self) -> usize {
        match *self {
            Self::Plain(quantity) | Self::Resistor { quantity, .. } => quantity,
        }
    }

    /// The factor less one.
    fn excess(&self, value: impl Fn(usize) -> f64) -> f64 {
        match *self {
            Self::Plain(quantity) => value(quantity),
            Self::Resistor { quantity, share, by } => {
                let e = by * value(quantity);
                -share * e / (1.0 + e)
            }
        }
    }
}

impl Recipe {
    fn quantities(&self) -> Vec<usize> {
        match self {
            Self::Resistor { factors, .. } | Self::Capacitor { factors, .. } => {
                factors.iter().map(|&(quantity, _)| quantity).collect()
            }
            Self::InverseGain { open, band } => open.iter().chain(band).map(|&(quantity, _)| quantity).collect(),
            Self::FixedGain { factors, .. } => factors.iter().map(Factor::quantity).collect(),
            Self::CommonMode { quantity, .. } => vec![*quantity],
        }
    }

    fn deviation(&self, value: impl Fn(usize) -> f64) -> Complex64 {
        // (1 + x)(1 + y) - 1 without the ones: nothing cancels.
        let compound = |factors: &[(usize, f64)]| {
            factors.iter().fold(0.0, |e, &(quantity, by)| {
                let x = by * value(quantity);
                e + x + e * x
            })
        };
        match self {
            Self::Resistor { siemens, factors } => {
                let e = compound(factors);
                Complex64::new(-siemens * e / (1.0 + e), 0.0)
            }
            Self::Capacitor { siemens, factors } => Complex64::new(0.0, siemens * compound(factors)),
            Self::InverseGain { open, band } => Complex64::new(
                open.map_or(0.0, |(quantity, nominal)| value(quantity) - nominal),
                band.map_or(0.0, |(quantity, nominal)| {
                    let q = value(quantity);
                    -nominal * q / (1.0 + q)
                }),
            ),
            Self::FixedGain { nominal, factors } => {
                let e = factors.iter().fold(0.0, |e, factor| {
                    let x = factor.excess(&value);
                    e + x + e * x
                });
                nominal * (-e / (1.0 + e))
            }
            Self::CommonMode { quantity, full } => full * value(*quantity),
        }
    }
}

impl Shaker {
    /// For a stage, its quantities and a frequency.
    #[must_use]
    pub fn new(stage: &Stage, quantities: &[Quantity], hz: f64) -> Self {
        let mut shaker = Self { slots: Vec::new(), recipes: Vec::new() };
        for (index, quantity) in quantities.iter().enumerate() {
            for effect in &quantity.effects {
                shaker.add(stage, index, effect, hz);
            }
        }
        shaker
    }

    fn add(&mut self, stage: &Stage, index: usize, effect: &Effect, hz: f64) {
        let element = effect.element();
        let network = &stage.network;
        let slot = match effect {
            Effect::Scale { .. } => Slot::Admittance(element),
            Effect::OpenLoop { .. }
            | Effect::GainBandwidth { .. }
            | Effect::Gain { .. }
            | Effect::GainResistor { .. } => Slot::InverseGain(element),
            Effect::CommonMode { .. } => Slot::CommonMode(element),
        };
        let place = self.slots.iter().position(|&one| one == slot).unwrap_or_else(|| {
            let siemens = network.slot_value(slot, hz);
            self.slots.push(slot);
            self.recipes.push(match effect {
                Effect::Scale { .. } if network.farad(element).is_some() => {
                    Recipe::Capacitor { siemens: siemens.im, factors: Vec::new() }
                }
                Effect::Scale { .. } => Recipe::Resistor { siemens: siemens.re, factors: Vec::new() },
                Effect::OpenLoop { .. } | Effect::GainBandwidth { .. } => {
                    Recipe::InverseGain { open: None, band: None }
                }
                Effect::Gain { .. } | Effect::GainResistor { .. } => {
                    Recipe::FixedGain { nominal: siemens, factors: Vec::new() }
                }
                Effect::CommonMode { ratio, .. } => {
                    let own = network.amplifier(element).unwrap_or_default();
                    let full = AmplifierValue { common_mode: *ratio, ..own }.common_mode_at(hz);
                    Recipe::CommonMode { quantity: index, full }
                }
            });
            self.slots.len() - 1
        });
        let nominal = network.slot_value(slot, hz);
        match (&mut self.recipes[place], effect) {
            (Recipe::Resistor { factors, .. } | Recipe::Capacitor { factors, .. }, Effect::Scale { by, .. }) => {
                factors.push((index, *by));
            }
            (Recipe::InverseGain { open, .. }, Effect::OpenLoop { .. }) => *open = Some((index, nominal.re)),
            (Recipe::InverseGain { band, .. }, Effect::GainBandwidth { .. }) => *band = Some((index, nominal.im)),
            (Recipe::FixedGain { factors, .. }, Effect::Gain { .. }) => factors.push(Factor::Plain(index)),
            (Recipe::FixedGain { factors, .. }, &Effect::GainResistor { share, by, .. }) => {
                factors.push(Factor::Resistor { quantity: index, share, by });
            }
            _ => {}
        }
    }

    /// The slots that vary, in the order of the deviations.
    #[must_use]
    pub fn slots(&self) -> &[Slot] {
        &self.slots
    }

    pub(super) fn recipe(&self, slot: usize) -> &Recipe {
        &self.recipes[slot]
    }

    /// Which quantities move the `slot`th deviation.
    #[must_use]
    pub fn quantities_of(&self, slot: usize) -> Vec<usize> {
        self.recipes[slot].quantities()
    }

    /// One deviation for given values of the quantities.
    #[must_use]
    pub fn deviation<T: Lane>(&self, slot: usize, value: impl Fn(usize) -> f64) -> T {
        T::complex(self.recipes[slot].deviation(value))
    }

    /// All deviations of a block of boards, given a block of values for each quantity.
    pub fn fill<T: Lane, V, D>(&self, values: &[V], deviations: &mut [D], set: Instructions)
    where
        V: Borrow<[f64; LANES]>,
        D: BorrowMut<T::Block>,
    {
        set.run(Fill::<T, V, D> { kind: PhantomData, recipes: &self.recipes, values, deviations });
    }
}

struct Fill<'a, T, V, D> {
    kind: PhantomData<T>,
    recipes: &'a [Recipe],
    values: &'a [V],
    deviations: &'a mut [D],
}

impl<T: Lane, V: Borrow<[f64; LANES]>, D: BorrowMut<T::Block>> Task for Fill<'_, T, V, D> {
    type Output = ();
    #[inline(always)]
    fn run(self) {
        let (mut re, mut im) = ([0.0; LANES], [0.0; LANES]);
        // Resistors are divided by together.
        let mut batch = [0; BATCH];
        let mut filled = 0;
        for (slot, recipe) in self.recipes.iter().enumerate() {
            if matches!(recipe, Recipe::Resistor { .. }) {
                batch[filled] = slot;
                filled += 1;
                if filled == BATCH {
                    conduct(batch, PhantomData::<T>, self.recipes, self.values, self.deviations);
                    filled = 0;
                }
            } else {
                recipe.block(self.values, &mut re, &mut im);
                T::join(self.deviations[slot].borrow_mut(), &re, &im);
            }
        }
        let rest = &batch[..filled];
        by_length!(rest, conduct(PhantomData::<T>, self.recipes, self.values, self.deviations));
    }
}

/// Deviations of conductance, `y/(1 + e) - y`, of a batch of slots that are resistors.
#[inline(always)]
fn conduct<T, V, D, const N: usize>(
    batch: [usize; N],
    _: PhantomData<T>,
    recipes: &[Recipe],
    values: &[V],
    deviations: &mut [D],
) where
    T: Lane,
    V: Borrow<[f64; LANES]>,
    D: BorrowMut<T::Block>,
{
    let mut siemens = [0.0; N];
    let mut factors: [&[(usize, f64)]; N] = [&[]; N];
    for ((siemens, factors), &slot) in siemens.iter_mut().zip(&mut factors).zip(&batch) {
        if let Recipe::Resistor { siemens: of, factors: by } = &recipes[slot] {
            (*siemens, *factors) = (-of, by);
        }
    }
    for at in 0..CHUNKS {
        let (mut e, mut y) = ([[0.0; CHUNK]; N], [[0.0; CHUNK]; N]);
        for ((e, y), factors) in e.iter_mut().zip(&mut y).zip(&factors) {
            *e = compound_chunk(factors, values, at);
            *y = each(|l| 1.0 + e[l]);
        }
        for (k, inverse) in reciprocals(&y).iter().enumerate() {
            let change = each(|l| inverse[l] * (siemens[k] * e[k][l]));
            T::put(deviations[batch[k]].borrow_mut(), at, change);
        }
    }
}

/// `(1 + x)(1 + y) - 1` over the factors, for a few boards.
#[inline(always)]
fn compound_chunk<V: Borrow<[f64; LANES]>>(factors: &[(usize, f64)], values: &[V], at: usize) -> Chunk {
    let [(first, by), rest @ ..] = factors else { return [0.0; CHUNK] };
    let value = load(values[*first].borrow(), at);
    let mut e = each(|l| by * value[l]);
    for (quantity, by) in rest {
        let value = load(values[*quantity].borrow(), at);
        let x = each(|l| by * value[l]);
        e = each(|l| e[l] + x[l] + e[l] * x[l]);
    }
    e
}

/// `(1 + x)(1 + y) - 1` over the factors, lane by lane.
#[inline(always)]
fn compound<V: Borrow<[f64; LANES]>>(factors: &[(usize, f64)], values: &[V], e: &mut [f64; LANES]) {
    let [(first, by), rest @ ..] = factors else {
        e.fill(0.0);
        return;
    };
    for (e, value) in e.iter_mut().zip(values[*first].borrow()) {
        *e = by * value;
    }
    for (quantity, by) in rest {
        for (e, value) in e.iter_mut().zip(values[*quantity].borrow()) {
            let x = by * value;
            *e = *e + x + *e * x;
        }
    }
}

impl Recipe {
    #[inline(always)]
    fn block<V: Borrow<[f64; LANES]>>(&self, values: &[V], re: &mut [f64; LANES], im: &mut [f64; LANES]) {
        match self {
            Self::Resistor { .. } => {}
            Self::Capacitor { siemens, factors } => {
                compound(factors, values, im);
                for e in im.iter_mut() {
                    *e *= siemens;
                }
                re.fill(0.0);
            }
            Self::InverseGain { open, band } => {
                re.fill(0.0);
                im.fill(0.0);
                if let Some((quantity, nominal)) = open {
                    for (re, value) in re.iter_mut().zip(values[*quantity].borrow()) {
                        *re = value - nominal;
                    }
                }
                if let Some((quantity, nominal)) = band {
                    for (im, value) in im.iter_mut().zip(values[*quantity].borrow()) {
                        *im = -nominal * value / (1.0 + value);
                    }
                }
            }
            Self::FixedGain { .. } => {
                for (lane, (re, im)) in re.iter_mut().zip(im.iter_mut()).enumerate() {
                    let deviation = self.deviation(|quantity| values[quantity].borrow()[lane]);
                    (*re, *im) = (deviation.re, deviation.im);
                }
            }
            Self::CommonMode { quantity, full } => {
                for ((re, im), value) in re.iter_mut().zip(im.iter_mut()).zip(values[*quantity].borrow()) {
                    *re = full.re * value;
                    *im = full.im * value;
                }
            }
        }
    }
}
