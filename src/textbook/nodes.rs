use super::fault::{TextbookFault, optional};
use super::gains::{Bridge, Row};
use crate::designator::{Amp, Designator, Ohms, Topology};

/// What drives the circuit, V.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub struct Drive {
    /// At the positive input.
    pub positive_v: f64,
    /// At the negative input.
    pub negative_v: f64,
    /// At the reference.
    pub reference_v: f64,
}

/// The nodes of one ideal op amp, V; both inputs are at the same voltage.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct AmpNode {
    /// Which op amp.
    pub amp: Amp,
    /// At its two inputs.
    pub input_v: f64,
    /// At its output.
    pub output_v: f64,
}

/// Voltages at the op amps of a discrete circuit, in the order of the drawing; the last output is
/// the circuit's.
///
/// Volts and Ω; every resistance finite and above zero, RG absent: open.
///
/// ```text
/// three-op-amp  v_A1 = v_n - RF1*(v_p - v_n)/RG      v_A2 = v_p + RF2*(v_p - v_n)/RG
/// two-op-amp    v_A1 = v_n + R2*((v_n - v_ref)/R1 + (v_n - v_p)/RG)
///               v_A2 = v_p + R4*((v_p - v_A1)/R3 + (v_p - v_n)/RG)
/// the difference stage behind v_A1, v_A2 (or v_n, v_p)
///               node = (g3*v_A2 + g4*v_ref)/(g3 + g4 + g6)
///               v_out = R2*(g1 + g2 + g5)*node - R2*g1*v_A1
/// ```
///
/// # Errors
/// [`TextbookFault`] as [`super::gains()`].
///
/// docs/theory.md (3), (4), (8), (11), (12). Source: node equations, derived here; numbers of Sedra/Smith, *Microelectronic Circuits*,
/// example 2.17, in the tests.
pub fn nodes(topology: Topology, ohms: &Ohms, drive: Drive) -> Result<Vec<AmpNode>, TextbookFault> {
    let Drive { positive_v, negative_v, reference_v } = drive;
    let across_a = optional(ohms, Designator::RG)?.map_or(0.0, |rg| (positive_v - negative_v) / rg);
    let follower = |amp, v| AmpNode { amp, input_v: v, output_v: v };
    let behind = |amp, minus_v: f64, plus_v: f64| -> Result<AmpNode, TextbookFault> {
        let stage = Bridge::read(topology, ohms)?;
        Ok(AmpNode {
            amp,
            input_v: stage.node[0] * plus_v + stage.node[1] * reference_v,
            output_v: stage.a * plus_v - stage.b * minus_v + stage.to_reference * reference_v,
        })
    };
    match topology {
        Topology::Difference => Ok(vec![behind(Amp::A1, negative_v, positive_v)?]),
        Topology::BufferedDifference => Ok(vec![
            follower(Amp::A1, negative_v),
            follower(Amp::A2, positive_v),
            behind(Amp::A3, negative_v, positive_v)?,
        ]),
        Topology::ThreeOpAmp => {
            let rf1 = super::fault::need(topology, ohms, Designator::RF1)?;
            let rf2 = super::fault::need(topology, ohms, Designator::RF2)?;
            let (low_v, high_v) = (negative_v - rf1 * across_a, positive_v + rf2 * across_a);
            Ok(vec![
                AmpNode { amp: Amp::A1, input_v: negative_v, output_v: low_v },
                AmpNode { amp: Amp::A2, input_v: positive_v, output_v: high_v },
                behind(Amp::A3, low_v, high_v)?,
            ])
        }
        Topology::TwoOpAmp => {
            let row = Row::read(ohms)?;
            let first_v = negative_v + row.r2 * ((negative_v - reference_v) / row.r1 - across_a);
            let output_v = positive_v + row.r4 * ((positive_v - first_v) / row.r3 + across_a);
            Ok(vec![
                AmpNode { amp: Amp::A1, input_v: negative_v, output_v: first_v },
                AmpNode { amp: Amp::A2, input_v: positive_v, output_v },
            ])
        }
        Topology::SingleChip => Err(TextbookFault::NoResistors),
    }
}
