//! What share of boards will pass: the network replayed over boards that are drawn.
//!
//! Each uncertain quantity of a [`crate::stage::Stage`] is drawn independently on its bound
//! (figures.md, section 13); the same recorded elimination that serves the corners is replayed over
//! blocks of boards. Numbers come from xoshiro256++ with one seed for every [`CHUNK`] boards, so that
//! neither the number of threads nor the vector instructions change a byte of the answer.
mod batch;
mod beta;
mod direction;
mod histogram;
mod interval;
mod normal;
mod run;
mod shape;
mod shares;
mod slopes;
mod stream;
mod tail;
mod tally;
mod tilt;
mod variable;

pub use batch::{Bounds, DrawnLimit, Headroom, Problem, Temperature};
pub use beta::regularized;
pub use histogram::{Histogram, QUANTILES, Quantile};
pub use interval::{Interval, clopper_pearson};
pub use normal::{distribution, quantile};
pub use run::{CHUNK, Effort, run};
pub use shape::{Shape, cut_normal};
pub use shares::{Halved, PartShare, halved, shares};
pub use stream::{STREAMS, Stream, splitmix64};
pub use tail::{Tail, TailWish, tail};
pub use tally::Tally;
