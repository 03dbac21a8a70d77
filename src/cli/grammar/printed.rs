//! What the program tells of itself.
use super::{Answer, CIRCUITS, topology};
use crate::designator::Topology;
use clap::Args;

/// JSON Schema of the spec, for editors.
#[derive(Args)]
pub(in crate::cli) struct Schema {
    #[command(flatten)]
    pub(in crate::cli) output: Answer,
}

/// Completion of the arguments for a shell.
#[derive(Args)]
pub(in crate::cli) struct Completions {
    /// bash, elvish, fish, powershell or zsh.
    #[arg(hide_possible_values = true)]
    pub(in crate::cli) shell: clap_complete::Shell,
    #[command(flatten)]
    pub(in crate::cli) output: Answer,
}

/// The manual page.
#[derive(Args)]
pub(in crate::cli) struct Man {
    #[command(flatten)]
    pub(in crate::cli) output: Answer,
}

/// A commented starter spec.
#[derive(Args)]
pub(in crate::cli) struct New {
    #[arg(value_name = "CIRCUIT", help = CIRCUITS, value_parser = topology(), hide_possible_values = true)]
    #[arg(default_value = "three-op-amp", hide_default_value = true)]
    pub(in crate::cli) topology: Topology,
    #[command(flatten)]
    pub(in crate::cli) output: Answer,
}
