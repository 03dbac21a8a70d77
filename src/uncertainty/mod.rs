//! How sure a measured figure is: Student's t, effective degrees of freedom, and least squares with
//! uncertainties carried through it as the GUM says (JCGM 100:2008).
mod fit;
mod student;

pub use fit::{Errors, Estimate, Fit, FitFault, Spread, fit};
pub use student::{coverage_factor, effective_freedom, student_t};
