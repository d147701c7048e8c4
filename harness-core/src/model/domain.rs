//! What the highest voltage of a domain means: its class and the isolation that it needs.

use super::Domain;
use crate::{
    quantity::Ohm,
    standards::{
        Sourced,
        rated::Service,
        voltage::{VoltageClass, class, least_isolation},
    },
    vocabulary::Reference,
};

impl Domain {
    /// Its voltages, against which the rating of a part is held.
    #[must_use]
    pub fn service(&self) -> Service {
        Service { nominal: self.nominal, max: self.max, ac: self.ac }
    }

    /// The class of its highest voltage.
    #[must_use]
    pub fn class(&self) -> VoltageClass {
        class(self.max, self.ac)
    }

    /// Whether it is of class B, dangerous to touch.
    #[must_use]
    pub fn is_class_b(&self) -> bool {
        match self.class() {
            VoltageClass::A => false,
            VoltageClass::B => true,
        }
    }

    /// Whether it is that of the mains: alternating, of class B and against earth.
    #[must_use]
    pub fn is_mains(&self) -> bool {
        self.is_class_b() && self.ac && self.reference == Reference::Earth
    }

    /// The isolation resistance to the chassis that it needs at least.
    #[must_use]
    pub fn least_isolation(&self) -> Sourced<Ohm> {
        least_isolation(self.max, self.ac)
    }
}
