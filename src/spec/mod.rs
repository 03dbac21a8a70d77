//! The door from TOML to a question.
