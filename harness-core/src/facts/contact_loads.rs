//! Mated contacts: what each carries in its worst mode, and what it may carry beside its loaded neighbours.

use super::{Facts, mated_pairs::Half};
use crate::{
    arena::IdVec,
    electrical::Charged,
    model::{EndId, Mate, ModeId, PointId},
    network::{EdgeId, EdgeKind},
    quantity::Ampere,
    standards::{capacity::counts_from, contact::loaded_factor},
    text::{Name, Span},
};

/// Current below which a contact without a rating carries nothing.
const NOTHING: f64 = 1e-6;

impl Facts {
    /// Every mated contact with its worst mode, those of one end together.
    ///
    /// Cost: one pass over the contacts for each mode. Asked by `contact/over-current` and by traces of pins and cavities.
    #[must_use]
    pub fn contact_loads(&self) -> &[ContactLoad] {
        self.made.contact_loads.get_or_init(|| loads(self))
    }
}

/// What a contact is rated for, and what says so.
#[derive(Debug, Clone, Copy)]
pub struct ContactRating {
    /// The current, with one contact loaded.
    pub amps: Ampere,
    /// Where it is written.
    pub place: Span,
    /// The housing or terminal.
    pub holder: Name,
    /// Where the end names the terminal that sets the limit; `None` if a housing or the partner's terminal does.
    pub chosen: Option<Span>,
}

/// A mated contact with its worst mode.
#[derive(Debug, Clone, Copy)]
pub struct ContactLoad {
    /// The loom end.
    pub end: EndId,
    /// Its cavity.
    pub cavity: PointId,
    /// The contact itself.
    pub edge: EdgeId,
    /// The least rating of both halves and their terminals; `None` where none of them gives one.
    pub rating: Option<ContactRating>,
    /// Its worst mode.
    pub worst: ContactWorst,
}

/// What a contact carries in the mode in which that is the largest share of what it may.
#[derive(Debug, Clone, Copy, Default)]
pub struct ContactWorst {
    /// Current over what is allowed.
    pub share: f64,
    /// The current.
    pub amps: Ampere,
    /// What is allowed with so many contacts loaded.
    pub allowed: Ampere,
    /// How many contacts of the end are loaded.
    pub loaded: u32,
    /// The mode; `None` where it carries nothing in any.
    pub mode: Option<ModeId>,
    /// The state of charge of batteries on charge.
    pub battery: Charged,
}

fn loads(facts: &Facts) -> Vec<ContactLoad> {
    let mut contacts = contacts(facts);
    for mode in facts.electrical().loaded_states() {
        let amps = |contact: &ContactLoad| {
            let given = facts.given_flow().of(contact.edge, mode.id).map_or(0.0, |given| given.amps.get());
            mode.working_amps(contact.edge, &facts.network()[contact.edge]).get().abs() + given
        };
        let mut loaded: IdVec<EndId, u32> = IdVec::of(0, facts.model().ends().len());
        for contact in &contacts {
            // The share is taken over from the rule for cables.
            let counts_from = contact.rating.map_or(NOTHING, |rating| counts_from().value * rating.amps.get());
            if amps(contact) > counts_from {
                loaded[contact.end] += 1;
            }
        }
        for contact in &mut contacts {
            let Some(rating) = contact.rating.filter(|rating| rating.amps.get() > 0.0) else { continue };
            let loaded = loaded[contact.end];
            let allowed = rating.amps.get() * if loaded > 1 { loaded_factor().value.get() } else { 1.0 };
            let share = amps(contact) / allowed;
            if share > contact.worst.share {
                let (amps, allowed) = (Ampere::new(amps(contact)), Ampere::new(allowed));
                contact.worst = ContactWorst { share, amps, allowed, loaded, mode: Some(mode.id), battery: mode.battery };
            }
        }
    }
    contacts
}

/// Every mated contact, those of one end together.
fn contacts(facts: &Facts) -> Vec<ContactLoad> {
    let model = facts.model();
    let edges = facts.network().edges().filter_map(|(edge, joined)| {
        let EdgeKind::Contact(end) = joined.kind else { return None };
        let halves = [Some(Mate::End(end)), model[end].mate].into_iter().flatten();
        let housings = halves.filter_map(|mate| Half::of(model, mate)).filter_map(|half| {
            let current = half.housing.current?;
            Some(ContactRating { amps: current.value, place: current.span, holder: half.housing.name, chosen: None })
        });
        let terminals = [(joined.a, true), (joined.b, false)].into_iter().filter_map(|(cavity, own)| {
            let (terminal, named) = facts.terminal_in(cavity)?;
            let terminal = &model[terminal];
            let current = terminal.current?;
            Some(ContactRating { amps: current.value, place: current.span, holder: terminal.name, chosen: own.then_some(named) })
        });
        let rating = housings.chain(terminals).reduce(|least, next| if next.amps < least.amps { next } else { least });
        Some(ContactLoad { end, cavity: joined.a, edge, rating, worst: ContactWorst::default() })
    });
    edges.collect()
}
