//! Equations as they are put on the board: one tree in symbols, from which the printed line, the line
//! with values, MathML and the number itself all come.
mod expr;
mod mathml;
mod text;
mod told;

pub use expr::{Expr, Symbol};
pub use told::{Equation, GIVEN_DIGITS, settle};
