//! Shorts followed one by one, in full: for who wants to follow each by hand.

use super::{Strike, frozen, parts::Parts, shorted::Returns};
use crate::{
    circuit::{Circuit, ports::Shorts},
    electrical::{Electrical, ModeState, conductors::installation::Installation, modes::branches::Maker},
    model::{ModeId, PointId},
};
use std::{collections::BTreeMap, sync::OnceLock};

/// A mode, ready for shorts.
#[derive(Debug)]
pub struct Striking<'e> {
    electrical: &'e Electrical,
    state: &'e ModeState,
    parts: Parts,
    hot: Circuit,
}

/// All modes, each made ready when the first short in it is followed.
#[derive(Debug)]
pub struct StrikingModes<'e> {
    electrical: &'e Electrical,
    modes: BTreeMap<ModeId, OnceLock<Option<Striking<'e>>>>,
}

impl<'e> StrikingModes<'e> {
    /// The modes that were computed.
    #[must_use]
    pub fn new(electrical: &'e Electrical) -> Self {
        Self { electrical, modes: electrical.modes().map(|mode| (mode.id, OnceLock::new())).collect() }
    }

    /// One of them; `None` if it was not computed.
    #[must_use]
    pub fn mode(&self, mode: ModeId) -> Option<&Striking<'e>> {
        self.modes.get(&mode)?.get_or_init(|| self.electrical.striking(mode)).as_ref()
    }

    /// All of them.
    pub fn all(&self) -> impl Iterator<Item = &Striking<'e>> {
        self.modes.keys().filter_map(|mode| self.mode(*mode))
    }
}

impl Electrical {
    /// A mode in which shorts are followed; `None` if it was not computed. Cost: a few passes over edges and wires.
    #[must_use]
    pub fn striking(&self, mode: ModeId) -> Option<Striking<'_>> {
        let state = self.in_mode(mode)?;
        let installation = Installation::new(&self.network);
        let circuit = Maker::new(&self.network, &installation).circuit(mode);
        let mut parts = Parts::new(&self.network, &self.domains);
        parts.enter(self.network.model(), self.beside.of(mode)?);
        let hot = frozen::frozen(&self.network, &circuit, state, &parts.idle, &parts.hot, |edge| parts.aged(edge));
        Some(Striking { electrical: self, state, parts, hot })
    }
}

impl Striking<'_> {
    /// What a short does, with the points that are shorted: `back` is the return of the point where none is given.
    ///
    /// `None` if nothing joins the point to a return.
    #[must_use]
    pub fn strike(&self, (point, back): (PointId, Option<PointId>)) -> Option<(Strike, (PointId, PointId))> {
        let Self { electrical, state, parts, hot } = self;
        let (network, domains) = (&electrical.network, &electrical.domains);
        let mut shorts = Shorts::new(hot);
        let backs = match back {
            Some(back) => vec![back],
            None => Returns::new(network, domains, &electrical.protection, state, hot, &shorts).of(point, &shorts).to_vec(),
        };
        let strikes = backs.into_iter().map(|back| {
            let mut strike = Strike::default();
            strike.run(&mut shorts, parts, point.index() as u32, back.index() as u32);
            (strike, (point, back))
        });
        // The one that lasts longest; of equal ones that of the smallest current.
        strikes.reduce(|worst, other| if other.0.lasts_longer_than(&worst.0) { other } else { worst })
    }
}
