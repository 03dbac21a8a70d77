//! Text to SI value and back (contract, section 1).

/// What a quantity is measured in; values are plain SI.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
pub enum Unit {
    /// Resistance, Ω; IEC 60062 codes and bare numbers are read too.
    Ohm,
    /// Voltage, V.
    Volt,
    /// Current, A.
    Ampere,
    /// Capacitance, F.
    Farad,
    /// Frequency, Hz.
    Hertz,
    /// Time, s.
    Second,
    /// Power, W.
    Watt,
    /// A fraction, written in %, ppm.
    Fraction,
    /// A relative change per kelvin, written in ppm/K or %/K.
    PerKelvin,
    /// A ratio in V/V, written `100 dB`, `100000:1` or `100 V/mV` (rejection, open-loop gain).
    Rejection,
    /// Decibels that stay decibels (a figure, a noise index).
    Decibel,
    /// Voltage noise, V/√Hz.
    VoltPerRootHertz,
    /// Current noise, A/√Hz.
    AmperePerRootHertz,
    /// Slew rate, V/s, written in V/µs.
    VoltPerSecond,
    /// Drift or thermal EMF, V/K.
    VoltPerKelvin,
    /// Temperature, °C.
    Celsius,
    /// Temperature difference, K.
    Kelvin,
    /// Thermal resistance, K/W.
    KelvinPerWatt,
    /// Angle, degrees.
    Degree,
    /// Gain, counts, prices: a number without unit.
    Plain,
}
