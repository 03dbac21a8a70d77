//! Worst case over the box of all uncertain quantities.
