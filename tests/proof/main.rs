//! The engine held against things it was not made from: the circuits written down a second time and
//! solved by another library or in exact arithmetic, brute force, closed forms, published figures,
//! and laws that every linear network obeys.
#[cfg(test)]
mod attack;
#[cfg(test)]
mod bounds;
#[cfg(test)]
mod chip;
#[cfg(test)]
mod closed;
#[cfg(test)]
mod deep;
#[cfg(test)]
mod faults;
#[cfg(test)]
mod field;
#[cfg(test)]
mod gains;
#[cfg(test)]
mod idle;
#[cfg(test)]
mod laws;
#[cfg(test)]
mod near;
#[cfg(test)]
mod network_case;
#[cfg(test)]
mod published;
#[cfg(test)]
mod random;
#[cfg(test)]
mod ranges;
#[cfg(test)]
mod reference;
#[cfg(test)]
mod replay;
#[cfg(test)]
mod search;
#[cfg(test)]
mod star;
#[cfg(test)]
mod wild;
#[cfg(test)]
mod worst;
