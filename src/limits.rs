//! Wanted bounds, margin, verdict.
