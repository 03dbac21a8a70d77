//! What a deviation and its slopes can be while the quantities are anywhere in a box, at dc.
use super::Shaker;
use super::shaker::{Factor, Recipe};
use crate::network::Interval;

impl Shaker {
    /// The `slot`th deviation at dc; `slope(quantity, of)` is called with its slope along each quantity that
    /// moves it. `None` where a factor can vanish.
    pub fn enclose(
        &self,
        slot: usize,
        value: impl Fn(usize) -> Interval,
        mut slope: impl FnMut(usize, Interval),
    ) -> Option<Interval> {
        const ONE: Interval = Interval::point(1.0);
        match self.recipe(slot) {
            // y/p - y with p the product of all 1 + by·q; its slope along one q is -y·by/(p·(1 + by·q)).
            Recipe::Resistor { siemens, factors } => {
                let factor = |&(quantity, by): &(usize, f64)| ONE + value(quantity).scale(by);
                let inverse = factors.iter().fold(ONE, |product, one| product * factor(one)).recip()?;
                for one in factors {
                    slope(one.0, (inverse * factor(one).recip()?).scale(-siemens * one.1));
                }
                Some((inverse - ONE).scale(*siemens))
            }
            Recipe::Capacitor { .. } => Some(Interval::point(0.0)),
            Recipe::InverseGain { open, .. } => Some(match *open {
                Some((quantity, nominal)) => {
                    slope(quantity, ONE);
                    value(quantity) - Interval::point(nominal)
                }
                None => Interval::point(0.0),
            }),
            // a/g - a with g the product of all factors; its slope along one q is -a·f'/(g·f).
            Recipe::FixedGain { nominal, factors } => {
                let factor = |one: &Factor| match *one {
                    Factor::Plain(quantity) => Some((ONE + value(quantity), ONE)),
                    Factor::Resistor { quantity, share, by } => {
                        let inverse = (ONE + value(quantity).scale(by)).recip()?;
                        Some((Interval::point(1.0 - share) + inverse.scale(share), inverse.square().scale(-share * by)))
                    }
                };
                let mut product = ONE;
                for one in factors {
                    product = product * factor(one)?.0;
                }
                let inverse = product.recip()?;
                for one in factors {
                    let (here, steep) = factor(one)?;
                    slope(one.quantity(), (inverse * here.recip()? * steep).scale(-nominal.re));
                }
                Some((inverse - ONE).scale(nominal.re))
            }
            Recipe::CommonMode { quantity, full } => {
                slope(*quantity, Interval::point(full.re));
                Some(value(*quantity).scale(full.re))
            }
        }
    }
}
