//! What a key of the format says of a thing. Each word is here once; a record refers to it.

/// Defines the attributes: sorted by their words, so that their order is that of the words.
macro_rules! attributes {
    ($($attribute:ident = $word:literal;)+) => {
        /// What a key of the format says of a thing: its size, its colour, what it mates.
        ///
        /// A word means one thing wherever it is written; what follows from it for a comparison is declared at the fields of the
        /// records, as a [`Class`](super::Class).
        #[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
        pub enum Attribute {
            $(#[doc = concat!("`", $word, "`")] $attribute,)+
        }

        impl Attribute {
            /// All of them, by their words.
            pub const ALL: &'static [Self] = &[$(Self::$attribute),+];

            /// The word as it is written in a netlist.
            #[must_use]
            pub const fn word(self) -> &'static str {
                match self { $(Self::$attribute => $word,)+ }
            }
        }
    };
}

attributes! {
    Access = "access";
    Active = "active";
    Aged = "aged";
    Allowance = "allowance";
    Ambient = "ambient";
    And = "and";
    Apart = "apart";
    At = "at";
    Barrier = "barrier";
    BeforePower = "before-power";
    Bench = "bench";
    Bend = "bend";
    Between = "between";
    Body = "body";
    BoltsTo = "bolts-to";
    Breaking = "breaking";
    BusGround = "bus-ground";
    By = "by";
    Cables = "cables";
    Capacitor = "capacitor";
    Capacity = "capacity";
    Case = "case";
    Charging = "charging";
    Chassis = "chassis";
    Clamped = "clamped";
    ClosedIn = "closed-in";
    ClosingDelay = "closing-delay";
    Coil = "coil";
    CoilVoltage = "coil-voltage";
    Colour = "colour";
    Colours = "colours";
    Conductors = "conductors";
    Contact = "contact";
    ContactResistance = "contact-resistance";
    Contacts = "contacts";
    Converter = "converter";
    Core = "core";
    Cores = "cores";
    Covering = "covering";
    Covers = "covers";
    Current = "current";
    Design = "design";
    Device = "device";
    Devices = "devices";
    Diameter = "diameter";
    Die = "die";
    Diode = "diode";
    DischargedIn = "discharged-in";
    Disconnect = "disconnect";
    Domain = "domain";
    Domains = "domains";
    Drive = "drive";
    Economiser = "economiser";
    Efficiency = "efficiency";
    Electronics = "electronics";
    Enables = "enables";
    End = "end";
    Ends = "ends";
    Energy = "energy";
    Error = "error";
    Exclusive = "exclusive";
    Face = "face";
    Family = "family";
    Feedback = "feedback";
    Ferrule = "ferrule";
    Finding = "finding";
    Fitted = "fitted";
    Format = "format";
    From = "from";
    Function = "function";
    Fuse = "fuse";
    FuseLoading = "fuse-loading";
    Fuses = "fuses";
    Gates = "gates";
    HandlingSize = "handling-size";
    Heater = "heater";
    Hold = "hold";
    Holds = "holds";
    Housing = "housing";
    Housings = "housings";
    Hv = "hv";
    Immobile = "immobile";
    In = "in";
    Include = "include";
    Inhibits = "inhibits";
    Inlet = "inlet";
    Inside = "inside";
    Insulation = "insulation";
    Interlock = "interlock";
    Isolation = "isolation";
    IsolationMonitor = "isolation-monitor";
    JointResistance = "joint-resistance";
    Key = "key";
    KeyAt = "key-at";
    Kind = "kind";
    Labels = "labels";
    Lamp = "lamp";
    LandsOn = "lands-on";
    Lasts = "lasts";
    LatchAt = "latch-at";
    Leads = "leads";
    Length = "length";
    Levels = "levels";
    Like = "like";
    Limit = "limit";
    Link = "link";
    Load = "load";
    Lock = "lock";
    Looms = "looms";
    LoopResistance = "loop-resistance";
    LowestBreak = "lowest-break";
    Mates = "mates";
    MatesFirst = "mates-first";
    MatesLast = "mates-last";
    MatesWith = "mates-with";
    Max = "max";
    MaxWires = "max-wires";
    Melting = "melting";
    Meter = "meter";
    Mixed = "mixed";
    Modes = "modes";
    Motor = "motor";
    Moves = "moves";
    Need = "need";
    Negative = "negative";
    Network = "network";
    Networks = "networks";
    New = "new";
    Node = "node";
    Nodes = "nodes";
    Nominal = "nominal";
    Note = "note";
    Of = "of";
    OpenIn = "open-in";
    Opens = "opens";
    OpensWithin = "opens-within";
    Other = "other";
    Part = "part";
    Parts = "parts";
    Passage = "passage";
    Peak = "peak";
    Pins = "pins";
    Plating = "plating";
    Plug = "plug";
    Plugged = "plugged";
    Points = "points";
    Polarised = "polarised";
    Policy = "policy";
    Ports = "ports";
    Positions = "positions";
    Positive = "positive";
    Power = "power";
    Pull = "pull";
    PullIn = "pull-in";
    Rate = "rate";
    Rated = "rated";
    Rating = "rating";
    Reach = "reach";
    Reaches = "reaches";
    Reason = "reason";
    Reference = "reference";
    Relay = "relay";
    Residual = "residual";
    Resistance = "resistance";
    Resistor = "resistor";
    Rest = "rest";
    Retired = "retired";
    Reviewed = "reviewed";
    Revision = "revision";
    Ring = "ring";
    Rings = "rings";
    RingsPerStud = "rings-per-stud";
    Role = "role";
    Route = "route";
    Row = "row";
    Screen = "screen";
    Screw = "screw";
    Seal = "seal";
    Sealed = "sealed";
    SeenFrom = "seen-from";
    Selector = "selector";
    Sensor = "sensor";
    SensorGround = "sensor-ground";
    Sequence = "sequence";
    Sheath = "sheath";
    Side = "side";
    Signal = "signal";
    Size = "size";
    Source = "source";
    Spares = "spares";
    Splices = "splices";
    Standard = "standard";
    Standing = "standing";
    Strand = "strand";
    Strip = "strip";
    StripLength = "strip-length";
    Stud = "stud";
    Suppression = "suppression";
    Switch = "switch";
    Tab = "tab";
    Takes = "takes";
    Tap = "tap";
    Terminal = "terminal";
    Terminals = "terminals";
    Termination = "termination";
    Terminator = "terminator";
    TestPoint = "test-point";
    To = "to";
    Torque = "torque";
    TouchSafe = "touch-safe";
    Twist = "twist";
    Type = "type";
    UnfusedLength = "unfused-length";
    Unsure = "unsure";
    Until = "until";
    Use = "use";
    Via = "via";
    Voltage = "voltage";
    VoltageDrop = "voltage-drop";
    Waivers = "waivers";
    Wall = "wall";
    Waste = "waste";
    Wet = "wet";
    Wire = "wire";
    Wires = "wires";
    Zone = "zone";
    Zones = "zones";
}

impl std::fmt::Display for Attribute {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        f.write_str(self.word())
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_order_is_that_of_the_words() {
        assert!(Attribute::ALL.is_sorted_by(|one, other| one.word() < other.word() && one < other));
    }
}
