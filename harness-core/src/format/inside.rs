//! Elements: what joins the pins inside a device, or is part of a loom.

use super::{
    lists::Listed,
    record::{record, variants},
    row::Row,
    source_resistance::SourceResistance,
    values::{Choice, List, Map},
};
use crate::{
    quantity::{Ampere, AmpereHour, Farad, Joule, Ohm, Ratio, Second, Volt, Watt},
    standards::{made_for::MadeFor, rated::RatedVoltage},
    text::{At, Text},
    vocabulary::{Demand, Economiser, LoadKind, Peak, RelayKind, Rest, Suppression},
};

variants! {
    /// An element inside a device or in a loom. In a loom one of two points may leave out `from` and `to`: it is in line, and its points
    /// are `NAME.1` and `NAME.2`.
    Element {
        Source(Source) = Source;
        Load(Load) = Load;
        Resistor(Resistor) = Resistor;
        Capacitor(Capacitor) = Capacitor;
        Diode(Diode) = Diode;
        Fuse(Fuse) = Fuse;
        Switch(Switch) = Switch;
        Selector(Selector) = Selector;
        Relay(Relay) = Relay;
        Disconnect(Disconnect) = Disconnect;
        Link(Link) = Link;
        Converter(Converter) = Converter;
        Interlock(Interlock) = Interlock;
    }
}

record! {
    /// A source: EMF with internal resistance. Several in series make a pack.
    Source {
        /// Open-circuit voltage.
        source: Option<At<Volt>> = Source required above_zero => alter();
        /// Internal resistance: one figure, that of a new and warm battery, or `{ new: 60 mohm, aged: 140 mohm }`. What a fuse must
        /// break is judged with the new one, whether it opens in time with the aged one; of an aged battery that gives none, twice
        /// the new one is assumed.
        resistance: Option<SourceResistance> = Resistance => alter();
        /// Largest current that it can deliver. A charger, alternator or panel limits itself to it. A battery, which has a `capacity`, does not: there it is what may be taken, and a fault takes more.
        limit: Option<At<Ampere>> = Limit above_zero => alter();
        /// Charge that it gives from full to flat.
        capacity: Option<At<AmpereHour>> = Capacity above_zero => alter();
        /// Point of its positive pole.
        positive: Option<Text> = Positive required => alter().naming(Naming::Point);
        /// Point of its negative pole.
        negative: Option<Text> = Negative required => alter().naming(Naming::Point);
        /// Modes in which it is there: all of them if the key is absent, none for `[]`.
        modes: Option<Listed<Text>> = In => paper().modes().moves(Current::Load);
        /// `false`: not fitted in this build.
        fitted: Option<At<bool>> = Fitted => work(Work::Insert).moves(Current::Fuse);
        /// Anything a reader should know.
        note: Option<Text> = Note => paper();
        /// The row of the list that `from` of the file names.
        row: Row = Row => files();
    }

    /// A load.
    Load {
        /// Constant current (A) or constant power (W).
        load: Option<At<Demand>> = Load required above_zero => alter().moves(Current::Load);
        /// Point at which the current goes in.
        from: Option<Text> = From => alter().naming(Naming::Point).moves(Current::Element);
        /// Point at which it comes out.
        to: Option<Text> = To => alter().naming(Naming::Point).moves(Current::Element);
        /// Modes in which it runs: all of them if the key is absent, none for `[]`.
        modes: Option<Listed<Text>> = In => paper().modes().moves(Current::Load);
        /// Largest short-time current, such as starting or inrush, with its time: `40 A for 200 ms`.
        peak: Option<At<Peak>> = Peak above_zero => paper();
        /// What it is.
        kind: Option<Choice<LoadKind>> = Kind => paper();
        /// Damaged, or does not work, if its poles are swapped.
        polarised: Option<At<bool>> = Polarised => paper();
        /// What limits the voltage of a coil when it is switched off.
        suppression: Option<Choice<Suppression>> = Suppression => alter();
        /// The voltage that it is made for, where its datasheet gives one: `24 V`, `230 V AC`, `12/24 V` for one that suits both, or a
        /// working range such as `9 V .. 32 V`. If the key is absent: the nominal voltage of its domain.
        voltage: Option<At<MadeFor>> = Voltage above_zero => alter();
        /// `false`: not fitted in this build.
        fitted: Option<At<bool>> = Fitted => work(Work::Insert).moves(Current::Fuse);
        /// Anything a reader should know.
        note: Option<Text> = Note => paper();
        /// The row of the list that `from` of the file names.
        row: Row = Row => files();
    }

    /// A resistor. At most 10 mohm it counts as a shunt: it measures a current and does not limit one.
    Resistor {
        /// Its resistance.
        resistor: Option<At<Ohm>> = Resistor required above_zero => alter();
        /// One end.
        from: Option<Text> = From => alter().naming(Naming::Point).moves(Current::Element);
        /// The other end.
        to: Option<Text> = To => alter().naming(Naming::Point).moves(Current::Element);
        /// The power that it takes for good.
        power: Option<At<Watt>> = Power above_zero => alter();
        /// The energy that it takes in one pulse.
        energy: Option<At<Joule>> = Energy above_zero => alter();
        /// It terminates a bus.
        terminator: Option<At<bool>> = Terminator => paper();
        /// `false`: not fitted in this build.
        fitted: Option<At<bool>> = Fitted => work(Work::Insert).moves(Current::Fuse);
        /// Anything a reader should know.
        note: Option<Text> = Note => paper();
        /// The row of the list that `from` of the file names.
        row: Row = Row => files();
    }

    /// A capacitor.
    Capacitor {
        /// Its capacitance.
        capacitor: Option<At<Farad>> = Capacitor required above_zero => alter();
        /// One end.
        from: Option<Text> = From => alter().naming(Naming::Point).moves(Current::Element);
        /// The other end.
        to: Option<Text> = To => alter().naming(Naming::Point).moves(Current::Element);
        /// `from` must be its positive side.
        polarised: Option<At<bool>> = Polarised => paper();
        /// Within this time a means of its own brings it to 60 V once it is cut off: an active discharge, a bleeder inside the box.
        discharged_in: Option<At<Second>> = DischargedIn above_zero => alter();
        /// `false`: not fitted in this build.
        fitted: Option<At<bool>> = Fitted => work(Work::Insert).moves(Current::Fuse);
        /// Anything a reader should know.
        note: Option<Text> = Note => paper();
        /// The row of the list that `from` of the file names.
        row: Row = Row => files();
    }

    /// A diode; conducts from `from` to `to`.
    Diode {
        /// Forward voltage.
        diode: Option<At<Volt>> = Diode required => alter();
        /// Anode.
        from: Option<Text> = From => alter().naming(Naming::Point).moves(Current::Element);
        /// Cathode.
        to: Option<Text> = To => alter().naming(Naming::Point).moves(Current::Element);
        /// `false`: not fitted in this build.
        fitted: Option<At<bool>> = Fitted => work(Work::Insert).moves(Current::Fuse);
        /// Anything a reader should know.
        note: Option<Text> = Note => paper();
        /// The row of the list that `from` of the file names.
        row: Row = Row => files();
    }

    /// A fuse in its holder.
    Fuse {
        /// The fuse kind, from `parts.fuses`.
        fuse: Option<Text> = Fuse required => work(Work::Insert).naming(anywhere(&[Kind::FuseKind])).moves(Current::Fuse);
        /// One side.
        from: Option<Text> = From => alter().naming(Naming::Point).moves(Current::Element);
        /// The other side.
        to: Option<Text> = To => alter().naming(Naming::Point).moves(Current::Element);
        /// `false`: the holder is empty in this build.
        fitted: Option<At<bool>> = Fitted => work(Work::Insert).moves(Current::Fuse);
        /// Anything a reader should know.
        note: Option<Text> = Note => paper();
        /// The row of the list that `from` of the file names.
        row: Row = Row => files();
    }

    /// A switch.
    Switch {
        /// Rest position.
        switch: Option<Choice<Rest>> = Switch required => alter();
        /// One side.
        from: Option<Text> = From => alter().naming(Naming::Point).moves(Current::Element);
        /// The other side.
        to: Option<Text> = To => alter().naming(Naming::Point).moves(Current::Element);
        /// Modes in which it is closed, though it is normally open.
        closed_in: List<Text> = ClosedIn => paper().modes();
        /// Modes in which it is open, though it is normally closed.
        open_in: List<Text> = OpenIn => paper().modes();
        /// Contacts that must be open when this one is open, as `element` of the same box or `device.element`: those that an emergency stop
        /// or a crash switch opens.
        opens: List<Text> = Opens => paper().set();
        /// `from` must be its positive side.
        polarised: Option<At<bool>> = Polarised => paper();
        /// Rated current.
        current: Option<At<Ampere>> = Current above_zero => alter();
        /// Rated voltage, such as `60 V` or `250 V AC`.
        voltage: Option<At<RatedVoltage>> = Voltage above_zero => alter();
        /// Resistance of the closed contact.
        contact_resistance: Option<At<Ohm>> = ContactResistance above_zero => alter();
        /// `false`: not fitted in this build.
        fitted: Option<At<bool>> = Fitted => work(Work::Insert).moves(Current::Fuse);
        /// Anything a reader should know.
        note: Option<Text> = Note => paper();
        /// The row of the list that `from` of the file names.
        row: Row = Row => files();
    }

    /// A switch of several positions: it is in one of them at a time, never in two.
    Selector {
        /// Its positions by name, each with the groups of points that it joins there; `[]` for a position that joins none.
        selector: Map<Listed<Listed<Text>>> = Selector required => alter();
        /// Its position in each mode, by the name of the mode.
        at: Map<Text> = At => paper();
        /// Its position in the modes that `at` does not name. If the key is absent: the one position that joins nothing, else all
        /// contacts are taken as open and a note says so.
        rest: Option<Text> = Rest => paper();
        /// Rated current of each contact.
        current: Option<At<Ampere>> = Current above_zero => alter();
        /// Rated voltage of each contact.
        voltage: Option<At<RatedVoltage>> = Voltage above_zero => alter();
        /// Resistance of each closed contact.
        contact_resistance: Option<At<Ohm>> = ContactResistance above_zero => alter();
        /// `false`: not fitted in this build.
        fitted: Option<At<bool>> = Fitted => work(Work::Insert).moves(Current::Fuse);
        /// Anything a reader should know.
        note: Option<Text> = Note => paper();
        /// The row of the list that `from` of the file names.
        row: Row = Row => files();
    }

    /// A relay or contactor: the contact follows the coil.
    Relay {
        /// Kind of contact.
        relay: Option<Choice<RelayKind>> = Relay required => alter();
        /// The two points of the coil, positive first.
        coil: List<Text> = Coil required => alter().naming(Naming::Point);
        /// The points of the contact; for a changeover: common, closed when energised, closed at rest.
        contact: List<Text> = Contact required => alter().naming(Naming::Point);
        /// Resistance of the coil. A relay without it, whose coil has the same two points as that of another relay of the box, is a
        /// further contact of that one.
        resistance: Option<At<Ohm>> = Resistance above_zero => alter();
        /// The voltage that the coil is made for: its rated voltage, such as `24 V` or `230 V AC`, `12/24 V` for one that suits both, or
        /// its working range, such as `9 V .. 36 V`.
        coil_voltage: Option<At<MadeFor>> = CoilVoltage above_zero => alter();
        /// Coil voltage at which it pulls in, at 20 degC.
        pull_in: Option<At<Volt>> = PullIn above_zero => alter();
        /// Coil voltage at which it still holds.
        hold: Option<At<Volt>> = Hold above_zero => alter();
        /// So long after its coil is energised the contact closes: its own delay, and that of what drives it.
        closing_delay: Option<At<Second>> = ClosingDelay => alter();
        /// What reduces the current of its coil once it has pulled in; a quarter is then taken to flow for good.
        economiser: Option<Choice<Economiser>> = Economiser => alter();
        /// Contacts that must be open when this one is open, as `element` of the same box or `device.element`: those that an isolation monitor opens.
        opens: List<Text> = Opens => paper().set();
        /// What limits the coil's voltage when it is switched off.
        suppression: Option<Choice<Suppression>> = Suppression => alter();
        /// Rated current of the contact.
        current: Option<At<Ampere>> = Current above_zero => alter();
        /// Rated voltage of the contact, such as `60 V` or `250 V AC`.
        voltage: Option<At<RatedVoltage>> = Voltage above_zero => alter();
        /// Resistance of the closed contact.
        contact_resistance: Option<At<Ohm>> = ContactResistance above_zero => alter();
        /// `false`: not fitted in this build.
        fitted: Option<At<bool>> = Fitted => work(Work::Insert).moves(Current::Fuse);
        /// Anything a reader should know.
        note: Option<Text> = Note => paper();
        /// The row of the list that `from` of the file names.
        row: Row = Row => files();
    }

    /// A service disconnect.
    Disconnect {
        /// Modes in which it is out.
        disconnect: List<Text> = Disconnect required => paper().modes();
        /// One side.
        from: Option<Text> = From => alter().naming(Naming::Point).moves(Current::Element);
        /// The other side.
        to: Option<Text> = To => alter().naming(Naming::Point).moves(Current::Element);
        /// Rated current.
        current: Option<At<Ampere>> = Current above_zero => alter();
        /// Rated voltage, such as `60 V` or `250 V AC`.
        voltage: Option<At<RatedVoltage>> = Voltage above_zero => alter();
        /// Resistance of its closed contacts.
        contact_resistance: Option<At<Ohm>> = ContactResistance above_zero => alter();
        /// `false`: not fitted in this build.
        fitted: Option<At<bool>> = Fitted => work(Work::Insert).moves(Current::Fuse);
        /// Anything a reader should know.
        note: Option<Text> = Note => paper();
        /// The row of the list that `from` of the file names.
        row: Row = Row => files();
    }

    /// A bus bar, jumper or shorting plug: joins its points.
    Link {
        /// The points that it joins.
        link: List<Text> = Link required => alter().naming(Naming::Point);
        /// Resistance between neighbouring points.
        resistance: Option<At<Ohm>> = Resistance above_zero => alter();
        /// Rated current of the bar, between any two neighbouring points.
        current: Option<At<Ampere>> = Current above_zero => alter();
        /// `false`: not fitted in this build.
        fitted: Option<At<bool>> = Fitted => work(Work::Insert).moves(Current::Fuse);
        /// Anything a reader should know.
        note: Option<Text> = Note => paper();
        /// The row of the list that `from` of the file names.
        row: Row = Row => files();
    }

    /// A galvanically isolated transfer from one domain to another.
    Converter {
        /// Output voltage.
        converter: Option<At<Volt>> = Converter required above_zero => alter();
        /// Input points, positive first.
        from: List<Text> = From required => alter().naming(Naming::Point).moves(Current::Element);
        /// Output points, positive first.
        to: List<Text> = To required => alter().naming(Naming::Point).moves(Current::Element);
        /// Largest output current.
        limit: Option<At<Ampere>> = Limit required above_zero => alter();
        /// Output power over input power; 90 % if the key is absent.
        efficiency: Option<At<Ratio>> = Efficiency share => alter();
        /// Output resistance; 10 mohm if the key is absent.
        resistance: Option<At<Ohm>> = Resistance above_zero => alter();
        /// Largest input current.
        current: Option<At<Ampere>> = Current above_zero => alter();
        /// Highest input voltage.
        voltage: Option<At<RatedVoltage>> = Voltage above_zero => alter();
        /// Modes in which it runs: all of them if the key is absent, none for `[]`.
        modes: Option<Listed<Text>> = In => paper().modes().moves(Current::Load);
        /// `false`: not fitted in this build.
        fitted: Option<At<bool>> = Fitted => work(Work::Insert).moves(Current::Fuse);
        /// Anything a reader should know.
        note: Option<Text> = Note => paper();
        /// The row of the list that `from` of the file names.
        row: Row = Row => files();
    }

    /// The bridge inside a connector or lid that closes the interlock loop.
    Interlock {
        /// The two points that it bridges.
        interlock: List<Text> = Interlock required => alter().naming(Naming::Point).set();
        /// The port or cover that opens it; the port of its first point if the key is absent.
        of: Option<Text> = Of => alter().naming(Naming::Point);
        /// Resistance of the closed bridge.
        resistance: Option<At<Ohm>> = Resistance above_zero => alter();
        /// Contacts that must be open when this one is open, as `element` of the same box or `device.element`. If the key is absent: all
        /// contactors of voltage class B.
        opens: List<Text> = Opens => paper().set();
        /// `false`: not fitted in this build.
        fitted: Option<At<bool>> = Fitted => work(Work::Insert).moves(Current::Fuse);
        /// Anything a reader should know.
        note: Option<Text> = Note => paper();
        /// The row of the list that `from` of the file names.
        row: Row = Row => files();
    }
}

impl Element {
    /// Whether it is in this build. A fuse or a link that is left out is an empty holder, which its kind keeps.
    #[must_use]
    pub fn fitted(&self) -> bool {
        let fitted = match self {
            Self::Source(item) => item.fitted,
            Self::Load(item) => item.fitted,
            Self::Resistor(item) => item.fitted,
            Self::Capacitor(item) => item.fitted,
            Self::Diode(item) => item.fitted,
            Self::Switch(item) => item.fitted,
            Self::Selector(item) => item.fitted,
            Self::Relay(item) => item.fitted,
            Self::Disconnect(item) => item.fitted,
            Self::Converter(item) => item.fitted,
            Self::Interlock(item) => item.fitted,
            Self::Fuse(_) | Self::Link(_) => None,
        };
        fitted.is_none_or(|flag| flag.value)
    }

    /// The contacts that must be open when it is.
    #[must_use]
    pub fn opens(&self) -> Option<&List<Text>> {
        match self {
            Self::Switch(item) => Some(&item.opens),
            Self::Relay(item) => Some(&item.opens),
            Self::Interlock(item) => Some(&item.opens),
            Self::Source(_) | Self::Load(_) | Self::Resistor(_) | Self::Capacitor(_) | Self::Diode(_) | Self::Fuse(_) => None,
            Self::Selector(_) | Self::Disconnect(_) | Self::Link(_) | Self::Converter(_) => None,
        }
    }

    /// Whether it has two points and names neither: in a loom it is in line, with points of its own.
    #[must_use]
    pub fn is_in_line(&self) -> bool {
        let points = match self {
            Self::Load(item) => [item.from, item.to],
            Self::Resistor(item) => [item.from, item.to],
            Self::Capacitor(item) => [item.from, item.to],
            Self::Diode(item) => [item.from, item.to],
            Self::Fuse(item) => [item.from, item.to],
            Self::Switch(item) => [item.from, item.to],
            Self::Disconnect(item) => [item.from, item.to],
            Self::Source(_) | Self::Selector(_) | Self::Relay(_) | Self::Link(_) | Self::Converter(_) => return false,
            Self::Interlock(_) => return false,
        };
        points == [None, None]
    }
}
