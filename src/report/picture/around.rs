//! Names of the parts between source and amplifier, on the drawing and in the parts list.
type Names = [&'static str; 2];

pub(super) const SOURCE: Names = ["RS1", "RS2"];
pub(super) const CABLE: Names = ["CW1", "CW2"];
pub(in crate::report) const FILTER_RESISTORS: Names = ["RI1", "RI2"];
pub(in crate::report) const COMMON_CAPACITORS: Names = ["CC1", "CC2"];
/// One part: it has the same name on both wires.
pub(in crate::report) const ACROSS: Names = ["CD", "CD"];
pub(in crate::report) const BIAS_RETURNS: Names = ["RB1", "RB2"];
