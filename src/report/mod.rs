//! Room.
