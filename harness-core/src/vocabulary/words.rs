//! The words as written, one enum for each list, and what each word means.

/// Defines words of the format: an enum, the words as written and what each means.
macro_rules! words {
    ($($(#[doc = $doc:literal])+ $name:ident { $($variant:ident = $word:literal, $means:literal;)+ })+) => {$(
        $(#[doc = $doc])+
        #[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, PartialOrd, Ord)]
        pub enum $name {
            $(#[doc = $means] $variant,)+
        }

        impl $name {
            /// The word as it is written in a netlist.
            #[must_use]
            pub fn word(self) -> &'static str {
                match self { $(Self::$variant => $word,)+ }
            }
        }

        impl $crate::vocabulary::Word for $name {
            const WORDS: &'static [(&'static str, &'static str)] = &[$(($word, $means)),+];

            fn from_word(word: &str) -> Option<Self> {
                match word { $($word => Some(Self::$variant),)+ _ => None }
            }

            fn written(self) -> &'static str {
                self.word()
            }
        }
    )+};
}

words! {
    /// Kind of voltage.
    Current {
        Direct = "dc", "Direct voltage.";
        Alternating = "ac", "Alternating voltage, given as its effective value.";
    }

    /// What the voltage of a domain is measured against.
    Reference {
        Floating = "floating", "Isolated from the chassis, both poles.";
        Chassis = "chassis", "The negative pole is the chassis.";
        Earth = "earth", "Protective earth.";
    }

    /// The table that decides what a conductor may carry. `AWG` is the nominal area of ASTM B258 in all of them.
    CapacityTable {
        Vehicle = "vehicle cable", "DIN VDE 0298-4 guide values for vehicle cable, 1 to 120 mm2; to 125 degC by a heat balance.";
        Marine = "marine", "33 CFR 183.425 table 5, AWG 18 to 4/0, 60 to 200 degC, with its factor for engine spaces at 50 degC.";
        Aircraft = "aircraft bundle", "FAA AC 43.13-1B table 11-9, AWG 24 to 4/0 in bundles, 105 to 200 degC, for 60,000 ft.";
    }

    /// A level to which a rule may be raised.
    LevelWord {
        Danger = "danger", "May hurt someone or start a fire.";
        Error = "error", "Will not work, or will be damaged.";
        Warning = "warning", "Poor practice, or may fail.";
        Note = "note", "Worth knowing.";
    }

    /// The side from which a face is seen.
    FaceSide {
        Mating = "mating side", "Looking at the contacts.";
        Wire = "wire side", "Looking at the backs, where the wires go in.";
    }

    /// The contacts of a housing.
    Contacts {
        Socket = "socket", "Sockets (female).";
        Pin = "pin", "Pins (male).";
    }

    /// Surface of a contact.
    Plating {
        Tin = "tin", "Tin.";
        Silver = "silver", "Silver.";
        Gold = "gold", "Gold.";
        Nickel = "nickel", "Nickel.";
    }

    /// Thickness of a wire's insulation.
    Wall {
        Thin = "thin", "Thin wall.";
        Thick = "thick", "Thick wall.";
    }

    /// Material of a wire's insulation.
    Insulation {
        Pvc = "PVC", "Polyvinyl chloride.";
        Xlpe = "XLPE", "Cross-linked polyethylene.";
        Epr = "EPR", "Ethylene propylene rubber.";
        Rubber = "rubber", "Natural or synthetic rubber.";
        Silicone = "silicone", "Silicone rubber.";
    }

    /// Body type of a fuse-link of road vehicles, utilisation category of any other, or characteristic of a circuit breaker.
    FuseBody {
        A = "A", "Female contacts (ISO 8820-4).";
        B = "B", "Bolt-in (ISO 8820-4); with a standard of circuit breakers characteristic B.";
        C = "C", "Medium blade (ISO 8820-3); with a standard of circuit breakers characteristic C.";
        D = "D", "Circuit breaker of characteristic D (IEC 60898-1).";
        E = "E", "High-current blade (ISO 8820-3).";
        F = "F", "Miniature blade (ISO 8820-3).";
        Strip30 = "SF 30", "Strip, holes 30 mm apart (ISO 8820-5).";
        Strip51 = "SF 51", "Strip, holes 51 mm apart (ISO 8820-5).";
        SingleBolt = "single-bolt", "Single bolt (ISO 8820-6).";
        H = "H", "Bolt-in, 450 V (ISO 8820-8).";
        J = "J", "Bolt-in, 450 V (ISO 8820-8).";
        L = "L", "High-current miniature (ISO 8820-10).";
        N = "N", "Sub-miniature (ISO 8820-12).";
        P = "P", "Sub-miniature with three tabs (ISO 8820-13).";
        General = "gG", "Full range, for conductors (IEC 60269-2).";
        Semiconductor = "gR", "Full range, for semiconductors (IEC 60269-4).";
        Solar = "gPV", "Full range, for photovoltaic strings (IEC 60269-6).";
        MotorBackUp = "aM", "Back-up for motors: breaks short circuits only (IEC 60269-2).";
        SemiconductorBackUp = "aR", "Back-up for semiconductors: breaks short circuits only (IEC 60269-4).";
    }

    /// The screen of a cable.
    Screen {
        Braid = "braid", "Braid.";
        Foil = "foil", "Foil with a drain wire.";
        Both = "foil and braid", "Foil under a braid.";
    }

    /// What a pin does on its net.
    Role {
        Supply = "supply", "Positive supply, given or taken.";
        Return = "return", "Return of a supply.";
        Chassis = "chassis", "Joined to the chassis.";
        Earth = "earth", "Protective earth.";
        Line = "line", "Line conductor of an AC supply.";
        Neutral = "neutral", "Neutral conductor of an AC supply.";
        Input = "input", "Takes a signal.";
        Output = "output", "Gives a signal.";
        Bidirectional = "bidirectional", "Gives and takes a signal.";
        Reference = "sensor supply", "Supply of a sensor, such as 5 V.";
        SensorReturn = "sensor return", "Return of a sensor.";
        CanHigh = "CAN high", "CAN high line.";
        CanLow = "CAN low", "CAN low line.";
        Lin = "LIN", "LIN line.";
        Screen = "screen", "Screen of a cable.";
        Interlock = "interlock", "HV interlock loop.";
        Pilot = "control pilot", "Control pilot of a charging inlet.";
        Proximity = "proximity", "Proximity contact of a charging inlet.";
        Phase = "phase", "Phase of a motor.";
    }

    /// How an output drives.
    Drive {
        HighSide = "high-side", "Switches to the supply.";
        LowSide = "low-side", "Switches to the return.";
        PushPull = "push-pull", "Drives both ways.";
    }

    /// What holds an input.
    Pull {
        Up = "up", "A pull-up.";
        Down = "down", "A pull-down.";
        Neither = "none", "Nothing.";
    }

    /// Whether a pin must be wired.
    Need {
        Wired = "wired", "Must be wired.";
        Optional = "optional", "Need not be wired.";
    }

    /// What the vehicle needs a device for.
    Function {
        Safety = "safety", "Someone is hurt if it fails.";
        Essential = "essential", "The vehicle stops if it fails.";
        Comfort = "comfort", "Nobody is stranded if it fails.";
    }

    /// Where on the vehicle a device is one of several alike.
    Side {
        Left = "left", "Left.";
        Right = "right", "Right.";
        Front = "front", "Front.";
        Rear = "rear", "Rear.";
        FrontLeft = "front left", "Front left.";
        FrontRight = "front right", "Front right.";
        RearLeft = "rear left", "Rear left.";
        RearRight = "rear right", "Rear right.";
    }

    /// What a signal permits or forbids.
    Permission {
        Drive = "drive", "That the vehicle drives.";
        Charge = "charge", "That it charges.";
    }

    /// The level at which a signal does something.
    Active {
        High = "high", "At the voltage of its supply.";
        Low = "low", "At ground.";
    }

    /// How live parts behind something can be reached.
    Access {
        Open = "open", "Without opening anything: a bare stud, an open frame.";
        WithoutTool = "without tool", "By hand: a plug, a latch, a cap, a knurled screw.";
        WithTool = "with tool", "With a tool alone.";
        Sealed = "sealed", "Not without destroying it.";
    }

    /// What reduces the current of a contactor's coil once it has pulled in.
    Economiser {
        BuiltIn = "built-in", "Electronics in the contactor.";
        External = "external", "What drives the coil must do it, or the coil burns.";
        Absent = "none", "Nothing: the coil takes its full voltage for good.";
    }

    /// Whether a bus is terminated inside a node.
    Termination {
        Fitted = "fitted", "A terminator is in it.";
        Absent = "none", "None is in it.";
        Switchable = "switchable", "One can be switched on by a jumper, a pin or a setting.";
        Unknown = "unknown", "Not known: a missing fact.";
    }

    /// What a node of a LIN bus is.
    LinNode {
        Commander = "commander", "It starts every message and has the pull-up of the bus.";
        Responder = "responder", "It answers.";
    }

    /// A charging inlet by its published type.
    Inlet {
        Type1 = "Type 1", "AC, one phase, five contacts: SAE J1772, IEC 62196-2.";
        Type2 = "Type 2", "AC, up to three phases, seven contacts: IEC 62196-2.";
        Combined1 = "Combined 1", "Type 1 with two DC contacts: IEC 62196-3 configuration EE.";
        Combined2 = "Combined 2", "Type 2 with two DC contacts: IEC 62196-3 configuration FF.";
    }

    /// A data bus.
    Bus {
        Can = "CAN", "CAN high speed: ISO 11898-2.";
        CanFd = "CAN FD", "CAN with a faster data phase: ISO 11898-2.";
        J1939 = "J1939", "CAN of heavy vehicles: SAE J1939-11, -14 or -15.";
        Lin = "LIN", "One wire: ISO 17987-4.";
        Rs485 = "RS-485", "One pair for many nodes: TIA-485-A. Its pins are `bidirectional`, and their signal ends in A or B, plus or minus.";
    }

    /// How a conductor is stranded.
    Strand {
        Solid = "solid", "One wire: IEC 60228 class 1.";
        Stranded = "stranded", "Stranded, for fixed laying: IEC 60228 class 2.";
        Fine = "fine", "Flexible: IEC 60228 class 5.";
        ExtraFine = "extra fine", "Very flexible: IEC 60228 class 6.";
    }

    /// The case of a device with voltage class B.
    Case {
        Conductive = "conductive", "Metal, or another conductor that a person can touch: it needs a bond to the chassis.";
        Insulating = "insulating", "Plastic: no part that a person can touch conducts.";
        Mounted = "bolted to chassis", "Metal, bolted bare metal to bare metal to the chassis: the joint is its bond.";
    }

    /// What a load is.
    LoadKind {
        Lamp = "lamp", "A lamp.";
        Motor = "motor", "A motor.";
        Starter = "starter", "The starter of an engine, whose cable goes without a fuse by common practice.";
        Heater = "heater", "A heater.";
        Coil = "coil", "A coil or solenoid.";
        Electronics = "electronics", "Electronics.";
        Sensor = "sensor", "A sensor.";
    }

    /// Rest position of a switch.
    Rest {
        Open = "open", "Rests open.";
        Closed = "closed", "Rests closed.";
    }

    /// Kind of a relay's contact.
    RelayKind {
        NormallyOpen = "normally-open", "Closes when the coil is energised.";
        NormallyClosed = "normally-closed", "Opens when the coil is energised.";
        Changeover = "changeover", "Common, closed when energised, closed at rest.";
    }

    /// What limits the voltage of a coil.
    Suppression {
        Diode = "diode", "A diode across the coil.";
        Resistor = "resistor", "A resistor across the coil.";
        Clamp = "clamp", "A Zener or transient-voltage diode.";
        Nothing = "none", "Nothing.";
    }

    /// How a loose end is treated.
    EndTreatment {
        Capped = "capped", "Closed off and insulated.";
    }

    /// What covers a bundle.
    Covering {
        Tape = "tape", "Tape.";
        Braid = "braid", "Braided sleeve.";
        Sleeve = "sleeve", "Smooth sleeve.";
        Conduit = "conduit", "Corrugated conduit.";
        Open = "open", "Tied, not covered.";
    }
}
