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
    /// Temperature, °C. A kelvin reading is refused: it would need an offset, not a factor.
    Celsius,
    /// Temperature difference, K (`°C` is the same here).
    Kelvin,
    /// Thermal resistance, K/W.
    KelvinPerWatt,
    /// Energy, J.
    Joule,
    /// Energy per kelvin, J/K, as Boltzmann's constant.
    JoulePerKelvin,
    /// Angle, degrees.
    Degree,
    /// Gain, counts, prices: a number without unit.
    Plain,
}

impl Unit {
    /// Every unit, in the order of the declaration.
    pub const ALL: [Unit; 22] = [
        Unit::Ohm,
        Unit::Volt,
        Unit::Ampere,
        Unit::Farad,
        Unit::Hertz,
        Unit::Second,
        Unit::Watt,
        Unit::Fraction,
        Unit::PerKelvin,
        Unit::Rejection,
        Unit::Decibel,
        Unit::VoltPerRootHertz,
        Unit::AmperePerRootHertz,
        Unit::VoltPerSecond,
        Unit::VoltPerKelvin,
        Unit::Celsius,
        Unit::Kelvin,
        Unit::KelvinPerWatt,
        Unit::Joule,
        Unit::JoulePerKelvin,
        Unit::Degree,
        Unit::Plain,
    ];

    /// What is measured, with its article, for use in a sentence: `a resistance`.
    pub fn name(self) -> &'static str {
        self.words().0
    }

    /// A well-formed value of this unit, for use in a help text: `4.7 kΩ`.
    pub fn example(self) -> &'static str {
        self.words().1
    }

    /// The unit that a bare number most likely lacks: `%`, `ppm/K`, `dB`; empty for [`Unit::Plain`].
    pub fn customary(self) -> &'static str {
        self.words().2
    }

    fn words(self) -> (&'static str, &'static str, &'static str) {
        match self {
            Unit::Ohm => ("a resistance", "4.7 kΩ", "Ω"),
            Unit::Volt => ("a voltage", "20 mV", "V"),
            Unit::Ampere => ("a current", "2 nA", "A"),
            Unit::Farad => ("a capacitance", "100 pF", "F"),
            Unit::Hertz => ("a frequency", "1 kHz", "Hz"),
            Unit::Second => ("a time", "10 µs", "s"),
            Unit::Watt => ("a power", "0.1 W", "W"),
            Unit::Fraction => ("a fraction", "0.1 %", "%"),
            Unit::PerKelvin => ("a temperature coefficient", "25 ppm/K", "ppm/K"),
            Unit::Rejection => ("a rejection or open-loop gain", "100 dB", "dB"),
            Unit::Decibel => ("a level in decibels", "0.1 dB", "dB"),
            Unit::VoltPerRootHertz => ("a voltage noise density", "10 nV/√Hz", "nV/√Hz"),
            Unit::AmperePerRootHertz => ("a current noise density", "0.1 pA/√Hz", "pA/√Hz"),
            Unit::VoltPerSecond => ("a slew rate", "0.5 V/µs", "V/µs"),
            Unit::VoltPerKelvin => ("a drift", "0.5 µV/K", "µV/K"),
            Unit::Celsius => ("a temperature", "-20 °C", "°C"),
            Unit::Kelvin => ("a temperature difference", "10 K", "K"),
            Unit::KelvinPerWatt => ("a thermal resistance", "200 K/W", "K/W"),
            Unit::Joule => ("an energy", "1 mJ", "J"),
            Unit::JoulePerKelvin => ("an energy per kelvin", "2 J/K", "J/K"),
            Unit::Degree => ("an angle", "45°", "°"),
            Unit::Plain => ("a number without a unit", "100", ""),
        }
    }
}
