//! What a meter is set to, and what it shows.

/// What a meter is set to.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum Setting {
    /// Ohms.
    Ohms,
    /// The test of diodes.
    Diode,
}

/// What a meter showed.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum Reading {
    /// No connection.
    Open,
    /// Ohms, without the leads.
    Ohms(f64),
    /// Volts, at the test of diodes.
    Volts(f64),
}
