//! What asks for one kind of element alone, or for one role of an edge, and leaves all others to a wildcard.
//!
//! Such a place compiles when a kind is added, though somebody should decide. Each is in the table with its reason; whoever adds a
//! kind reads the table and asks of each line whether the new one is meant too.

use super::{is_test, project, sources};
use std::collections::BTreeSet;
use syn::{
    Arm, Attribute, BinOp, Expr, ExprBinary, ExprLet, ExprMatch, Item, ItemEnum, ItemMod, ItemUse, Local, Macro, Pat, Path,
    UseTree,
    parse::ParseStream,
    visit::{self, Visit},
};

/// How many kinds of element and roles of an edge there were when the table was last read from end to end.
const READ_FOR: [usize; 2] = [12, 16];

/// Where a kind or role is asked for alone: the file in `harness-core/src`, the kind, and why no other is meant.
const ALONE: &[(&str, &str, &str)] = &[
    (
        "bench/going_live/batteries.rs",
        "ElementKind::Source",
        "a battery is there in every mode; a converter only drives when fed",
    ),
    ("bench/going_live/details.rs", "ElementKind::Fuse", "its rating is written beside its name"),
    (
        "bench/going_live/paper.rs",
        "ElementKind::Disconnect",
        "what is out in the mode in which hands work; a switch moves with its mode",
    ),
    (
        "bench/going_live/vehicle.rs",
        "ElementKind::Converter",
        "one that makes class B of class A is kept off as a supply is, by its modes",
    ),
    (
        "bench/going_live/vehicle.rs",
        "ElementKind::Disconnect",
        "what a hand takes out and locks; a main switch is asked for by its modes",
    ),
    ("bench/going_live/vehicle.rs", "ElementKind::Fuse", "what a hand takes out of its holder; a link stays"),
    (
        "bench/going_live/vehicle.rs",
        "ElementKind::Source",
        "what is plugged in or running in a mode; a converter only drives when fed",
    ),
    ("bench/joints.rs", "ElementKind::Fuse", "the one element that has a torque of its own"),
    ("bench/labels.rs", "ElementKind::Fuse", "what is changed by its label; relays are named by their box"),
    ("bench/stock/mod.rs", "ElementKind::Fuse", "what is put into a box; the rest comes with it"),
    ("bench/stock/mod.rs", "ElementKind::Relay", "what is put into a box; the rest comes with it"),
    (
        "diff/rework/reach.rs",
        "ElementKind::Source",
        "what stays live with all unplugged: what only drives when fed is cut off with its feed",
    ),
    ("electrical/alternatives/conflicts.rs", "EdgeRole::Diode", "the one conductor that conducts in one direction alone"),
    ("electrical/battery.rs", "ElementKind::Source", "the cells of a battery, by their figures"),
    (
        "electrical/battery/lumps.rs",
        "ElementKind::Fuse",
        "put back for the pack to work; a link that is left out is another build",
    ),
    ("electrical/battery/lumps.rs", "ElementKind::Source", "cells in a row, by their modes"),
    ("electrical/coils.rs", "EdgeRole::Coil", "a coil of a relay is by itself; loads are asked for their kind"),
    (
        "electrical/conductors/given.rs",
        "ElementKind::Converter",
        "runs when its modes say so, and alone has a limit that is all it gives",
    ),
    (
        "electrical/conductors/given.rs",
        "ElementKind::Load",
        "runs when its modes say so; other kinds have no modes in which they run",
    ),
    ("electrical/faults/shorted.rs", "EdgeRole::Diode", "a pole is not reached past a diode"),
    ("electrical/fuses/protection/diodes.rs", "EdgeRole::Diode", "the one conductor that conducts in one direction alone"),
    ("electrical/ground_shift.rs", "ElementKind::Capacitor", "a plug that ends a bus holds what has no supply"),
    ("electrical/ground_shift.rs", "ElementKind::Resistor", "a plug that ends a bus holds what has no supply"),
    ("electrical/modes/branches.rs", "EdgeRole::MakeContact", "of the two contacts of a relay the one that closes"),
    (
        "electrical/modes/charge.rs",
        "ElementKind::Source",
        "a generator beside a battery; a converter runs while its input is fed",
    ),
    ("electrical/nominal.rs", "EdgeRole::Diode", "the one conductor that conducts in one direction alone"),
    ("electrical/nominal.rs", "ElementKind::Load", "only loads hang on a sensor supply"),
    (
        "electrical/single_faults/fault.rs",
        "EdgeRole::BreakContact",
        "the two contacts of a relay, which weld or stick; a switch is moved by a person",
    ),
    ("electrical/single_faults/fault.rs", "EdgeRole::Fuse", "what blows; a breaker is a fuse here"),
    (
        "electrical/single_faults/fault.rs",
        "EdgeRole::MakeContact",
        "the two contacts of a relay, which weld or stick; a switch is moved by a person",
    ),
    ("electrical/single_faults/lasting.rs", "EdgeRole::MakeContact", "of the two contacts of a relay the one that closes"),
    ("electrical/single_faults/things.rs", "EdgeRole::Coil", "a coil is watched for its contacts, not for its voltage"),
    ("electrical/single_faults/things.rs", "EdgeRole::ConverterInput", "of the two sides of a converter the one that takes"),
    ("electrical/single_faults/things.rs", "EdgeRole::Load", "what draws and is neither a coil nor an input"),
    ("electrical/single_faults/trial.rs", "EdgeRole::MakeContact", "of the two contacts of a relay the one that closes"),
    ("evidence/other_kinds.rs", "ElementKind::Fuse", "who else has a kind of fuse"),
    ("evidence/remedies.rs", "ElementKind::Fuse", "another rating is proposed for a fuse alone"),
    ("facts/always_enabled.rs", "EdgeRole::Diode", "a feed comes through no diode of a lamp"),
    (
        "facts/always_enabled.rs",
        "ElementKind::Load",
        "a box is for its converters and sources, and for its loads where it has none",
    ),
    ("facts/bonds.rs", "EdgeRole::ConverterInput", "the side of an isolating transformer that the mains feeds"),
    ("facts/bonds/isolators.rs", "EdgeRole::Diode", "a galvanic isolator is made of diodes"),
    ("facts/borrowed_neutrals.rs", "ElementKind::Switch", "the positions of a selector choose between sources"),
    ("facts/bridged.rs", "EdgeRole::Diode", "the one conductor that conducts in one direction alone"),
    ("facts/bridged.rs", "ElementKind::Switch", "positions of one selector join the same points"),
    ("facts/bridged_fields.rs", "EdgeRole::BreakContact", "the contacts of a reverser, each by its role"),
    ("facts/bridged_fields.rs", "EdgeRole::MakeContact", "the contacts of a reverser, each by its role"),
    ("facts/bridged_fields.rs", "EdgeRole::Resistor", "a field winding is given as its resistance"),
    ("facts/bridged_fields.rs", "EdgeRole::Shunt", "a field winding of few milliohms"),
    ("facts/bridged_fields.rs", "EdgeRole::Switch", "the contacts of a reverser, each by its role"),
    ("facts/buses/ground_loops.rs", "EdgeRole::Metal", "what a node joins inside is drawn as a bar"),
    ("facts/buses/ground_loops.rs", "EdgeRole::Source", "the pole at which returns end"),
    ("facts/buses/nodes.rs", "EdgeRole::Metal", "how a hub passes a line on is drawn as a bar"),
    ("facts/buses/other_pairs.rs", "ElementKind::Resistor", "the one kind that says that it terminates a bus"),
    ("facts/buses/terminators.rs", "EdgeRole::Capacitor", "the middle of a split terminator is joined to a capacitor"),
    (
        "facts/buses/terminators.rs",
        "EdgeRole::Metal",
        "what is joined to the middle of a split terminator by metal is that middle",
    ),
    ("facts/buses/terminators.rs", "EdgeRole::Resistor", "a bus is terminated by resistors"),
    ("facts/buses/terminators.rs", "ElementKind::Resistor", "the one kind that may say that it terminates a bus"),
    ("facts/charged_parts.rs", "EdgeRole::Capacitor", "what stays charged"),
    ("facts/charged_parts.rs", "EdgeRole::Resistor", "what empties a capacitor for good; a load may stop before it is empty"),
    ("facts/charged_parts.rs", "ElementKind::Capacitor", "what stays charged, and may have a means of its own to empty it"),
    ("facts/discharges.rs", "EdgeRole::Capacitor", "what is emptied together with another one"),
    ("facts/discharges.rs", "EdgeRole::Coil", "a winding empties what it is joined to"),
    ("facts/discharges.rs", "EdgeRole::Diode", "the one conductor that a charge behind it turns on"),
    ("facts/discharges.rs", "EdgeRole::Resistor", "what empties a capacitor for good"),
    ("facts/drive_gates.rs", "ElementKind::Load", "electronics inside show that a box decides by itself"),
    ("facts/drive_gates/search.rs", "EdgeRole::Switch", "what a hand or the program of a box moves; relays follow their coils"),
    ("facts/drive_gates/wires.rs", "EdgeRole::Coil", "what decides about a contact of a relay"),
    ("facts/economisers.rs", "ElementKind::Relay", "only relays have coils with an economiser"),
    ("facts/idle_sources.rs", "EdgeRole::Diode", "the way to a battery is one of contacts and fuses"),
    ("facts/idle_sources.rs", "EdgeRole::Resistor", "a leak through a resistor does not bring the current of a source back"),
    ("facts/idle_sources.rs", "ElementKind::Fuse", "only a fuse holder can be empty"),
    ("facts/inlets.rs", "ElementKind::Converter", "a charger, which is fed by what is plugged in"),
    ("facts/inlets.rs", "ElementKind::Link", "metal of the inlet itself"),
    ("facts/inlets.rs", "ElementKind::Source", "the mains, and the station behind the control pilot"),
    ("facts/inrush.rs", "EdgeRole::Resistor", "what limits the current into an empty capacitor"),
    ("facts/inrush.rs", "ElementKind::Capacitor", "what is empty at first"),
    ("facts/inrush.rs", "ElementKind::Resistor", "what limits the current into an empty capacitor, by its resistance"),
    ("facts/interlocks.rs", "EdgeRole::Interlock", "the loop that a plug opens"),
    (
        "facts/isolations.rs",
        "ElementKind::Interlock",
        "a contact of the interlock loop is in the plugs of class B on purpose, whatever the port is called",
    ),
    ("facts/live_parts.rs", "ElementKind::Resistor", "insulation and measuring leads, by their resistance"),
    ("facts/live_past.rs", "ElementKind::Resistor", "what leaves a contact of class B live, by its resistance"),
    ("facts/loaded_earths.rs", "ElementKind::Load", "what an edge of the role `Load` asks for"),
    ("facts/loops.rs", "EdgeRole::Interlock", "the bridge of a loop; what else may close one is asked for by its pins"),
    (
        "facts/loops.rs",
        "EdgeRole::MakeContact",
        "a contactor with a coil, which a loop drops; the one that opens with it is dropped closed",
    ),
    (
        "facts/loops/effect.rs",
        "EdgeRole::MakeContact",
        "a contactor with a coil, which a loop drops; the one that opens with it is dropped closed",
    ),
    ("facts/mains_sides.rs", "ElementKind::Fuse", "only fuses have a kind by which they melt each by itself"),
    ("facts/missing/batteries.rs", "ElementKind::Source", "only sources have a capacity"),
    ("facts/missing/coils.rs", "ElementKind::Relay", "only relays pull in"),
    ("facts/missing/coils.rs", "ElementKind::Resistor", "what bears the pulse of a precharge"),
    ("facts/missing/idle.rs", "EdgeRole::ConverterInput", "the side of a converter that gets nothing"),
    ("facts/missing/inlets.rs", "ElementKind::Load", "the motor of the drive"),
    ("facts/missing/lamps.rs", "ElementKind::Load", "the one kind that is a lamp"),
    (
        "facts/missing/positions.rs",
        "EdgeRole::ConverterInput",
        "what is before a converter isolates it and is not switched in use",
    ),
    ("facts/missing/shorts.rs", "ElementKind::Fuse", "only fuses have a kind with a breaking capacity"),
    ("facts/missing/voltages.rs", "ElementKind::Fuse", "only a fuse has a rating of its kind that says neither AC nor DC"),
    ("facts/off_chassis.rs", "EdgeRole::Diode", "a return passes no diode"),
    ("facts/one_pole.rs", "EdgeRole::Capacitor", "what stays charged at a pole takes nothing and counts as joined"),
    ("facts/one_pole.rs", "ElementKind::Load", "whether it takes no more than a measurement does, by what it asks for"),
    ("facts/open_points.rs", "ElementKind::Disconnect", "what opens and closes between two points"),
    ("facts/open_points.rs", "ElementKind::Fuse", "a holder opens and closes between two points"),
    ("facts/open_points.rs", "ElementKind::Interlock", "the bridge in a plug, which closes contacts without a wire"),
    ("facts/open_points.rs", "ElementKind::Relay", "what opens and closes between two points"),
    ("facts/open_points.rs", "ElementKind::Switch", "what opens and closes between two points"),
    ("facts/openings.rs", "ElementKind::Interlock", "the one kind that a port or cover works"),
    ("facts/past_disconnects.rs", "EdgeRole::Disconnect", "what a person takes out before work; contactors open by themselves"),
    ("facts/peaks.rs", "ElementKind::Load", "the one kind that gives a short-time current; a wire gives its own"),
    ("facts/pilot_circuits.rs", "EdgeRole::Diode", "the one conductor that conducts in one direction alone"),
    ("facts/polarised.rs", "EdgeRole::Coil", "polarised by what is built in, and named so; all else says `polarised`"),
    ("facts/polarised.rs", "EdgeRole::ConverterInput", "of the two sides of a converter the one that is fed"),
    ("facts/pole_roles.rs", "EdgeRole::Diode", "the one conductor that conducts in one direction alone"),
    (
        "facts/precharge.rs",
        "EdgeRole::Coil",
        "coils run while a capacitor is charged; what else draws waits for the main contact",
    ),
    ("facts/precharge/undrawn.rs", "EdgeRole::Capacitor", "what is charged"),
    ("facts/precharge/undrawn.rs", "EdgeRole::Resistor", "what charges it"),
    ("facts/rated_currents.rs", "EdgeRole::ConverterInput", "of the two sides of a converter the one that is rated"),
    ("facts/rated_currents.rs", "ElementKind::Link", "a bar of several pieces is rated once"),
    ("facts/returns.rs", "EdgeRole::ConverterInput", "of the edges of a converter the one that takes"),
    ("facts/returns.rs", "ElementKind::Converter", "what gives and takes by one pole"),
    ("facts/reversed_sources.rs", "EdgeRole::Diode", "blocks one way: what is behind it need not be at the pole"),
    ("facts/reversed_sources.rs", "EdgeRole::Disconnect", "fitted whenever the battery is in use, unlike a switch"),
    ("facts/reversed_sources.rs", "ElementKind::Source", "its pins say which pole is which; those of a converter are also fed"),
    ("facts/rings.rs", "EdgeRole::ConverterInput", "only a converter has an input that its own output can feed"),
    ("facts/rings.rs", "EdgeRole::Diode", "lets through one way only"),
    ("facts/role_clashes.rs", "EdgeRole::Metal", "outputs that their own device joins are one driver"),
    ("facts/role_clashes.rs", "ElementKind::Load", "whose ground carries the current of a motor or lamp"),
    ("facts/role_clashes/poles.rs", "ElementKind::Source", "whose poles say which nets are between cells in series"),
    ("facts/screens/chains.rs", "EdgeRole::Metal", "the chassis joins all its studs and is not a conductor between two grounds"),
    ("facts/screens/pieces.rs", "EdgeRole::Metal", "the chassis joins all its studs; a bar passes a screen on"),
    ("facts/sensor_returns.rs", "EdgeRole::Metal", "what a sensor joins inside is drawn as a bar"),
    ("facts/sensor_returns.rs", "EdgeRole::Source", "the pole at which returns end"),
    ("facts/sensor_returns.rs", "ElementKind::Load", "what draws a current through the return of a sensor"),
    ("facts/signals.rs", "EdgeRole::Load", "the lamp in a push button, and what runs when its modes say so"),
    ("facts/stuck_inputs.rs", "EdgeRole::Diode", "the one conductor that conducts in one direction alone"),
    ("facts/stuck_inputs.rs", "EdgeRole::Resistor", "what a box draws as the pull of its input"),
    ("facts/supply_cuts/causes.rs", "EdgeRole::ConverterOutput", "what feeds a part only while it is fed itself"),
    ("facts/supply_cuts/causes.rs", "EdgeRole::Load", "what draws and is neither a coil nor an input"),
    ("facts/supply_cuts/causes.rs", "ElementKind::Converter", "the modes of that converter"),
    ("facts/supply_cuts/origin.rs", "EdgeRole::Coil", "what closes the contact of a relay"),
    (
        "facts/supply_cuts/origin.rs",
        "EdgeRole::MakeContact",
        "of the two contacts of a relay the one that stays open without its coil",
    ),
    ("facts/swapped_converters.rs", "ElementKind::Converter", "whose two sides may be swapped"),
    ("facts/swaps/poles.rs", "EdgeRole::Diode", "the one conductor that conducts in one direction alone"),
    ("facts/swaps/spots.rs", "ElementKind::Converter", "states the voltage that it gives; that of others is their domain's"),
    (
        "facts/swaps/spots.rs",
        "ElementKind::Load",
        "has a kind, and a diode that shorts it the wrong way round; others are polarised or not",
    ),
    ("facts/switched_loads.rs", "EdgeRole::Coil", "the one load whose relay stays pulled in"),
    ("facts/switched_loads.rs", "EdgeRole::Resistor", "what bridges an open contact while a bus is charged"),
    ("facts/switched_loads.rs", "ElementKind::Load", "runs when its modes say so, and is what a switch is there for"),
    ("facts/wrong_voltages.rs", "ElementKind::Relay", "only relays pull in"),
    ("facts/wrong_voltages/state.rs", "EdgeRole::Coil", "of the edges of a relay the one that pulls in"),
    ("facts/wrong_voltages/state.rs", "EdgeRole::ConverterInput", "only a converter starts and stops"),
    ("facts/wrong_voltages/state.rs", "ElementKind::Capacitor", "a filter at a pin has no voltage that it is made for"),
    ("facts/wrong_voltages/state.rs", "ElementKind::Relay", "only relays pull in"),
    ("facts/wrong_voltages/state.rs", "ElementKind::Resistor", "a potentiometer or divider has no voltage that it is made for"),
    ("inspect/lists/fuses.rs", "ElementKind::Fuse", "the list of fuses"),
    ("inspect/loads.rs", "ElementKind::Fuse", "the table of fuses"),
    (
        "inspect/single_faults/mod.rs",
        "EdgeRole::BreakContact",
        "of the two contacts of a changeover relay the one that is named apart",
    ),
    ("inspect/trace/element.rs", "ElementKind::Fuse", "has margins of its own; all else is shown by its points"),
    ("model/elements.rs", "ElementKind::Relay", "only relays have contacts that the coil of another one moves"),
    ("network/inputs.rs", "EdgeRole::ConverterInput", "the side of a converter that line and neutral reach either way round"),
    ("rules/battery/standing_drain.rs", "ElementKind::Source", "only sources have a capacity"),
    ("rules/charging/live_inlet.rs", "EdgeRole::MakeContact", "a contactor: a contact that rests closed opens nothing at rest"),
    ("rules/charging/live_inlet.rs", "EdgeRole::Switch", "a contactor that is drawn as a switch; a disconnect is pulled by hand"),
    (
        "rules/domain/unbonded_neutral.rs",
        "ElementKind::Converter",
        "of what is against earth, converters alone are bonded on board",
    ),
    (
        "rules/domain/under_rated_insulation.rs",
        "ElementKind::Fuse",
        "only a fuse or breaker has a standard for alternating voltage alone",
    ),
    ("rules/domain/wrong_colour.rs", "ElementKind::Source", "a panel is a source that limits itself and holds no charge"),
    ("rules/interlock/overloaded_precharge.rs", "ElementKind::Resistor", "what bears the pulse of a precharge"),
    ("rules/netlist/always_enabled.rs", "ElementKind::Converter", "what drains a battery once it is switched on"),
    (
        "rules/netlist/back_feed.rs",
        "ElementKind::Load",
        "works when fed though its mode says that it does not; coils are asked before",
    ),
    ("rules/netlist/held_relay.rs", "ElementKind::Relay", "what a held coil belongs to"),
    (
        "rules/netlist/no_steady_state.rs",
        "ElementKind::Converter",
        "only relays and converters switch themselves, each by a fault of its own",
    ),
    ("rules/netlist/reversed_polarity.rs", "EdgeRole::Coil", "named by what is built in, a diode; all else is polarised itself"),
    ("rules/netlist/reversed_polarity.rs", "EdgeRole::ConverterInput", "of the two sides of a converter the one that is fed"),
    (
        "rules/netlist/reversed_polarity.rs",
        "EdgeRole::Switch",
        "closed, it shows its polarity by its current; all else by its voltage",
    ),
    ("rules/netlist/reversed_source.rs", "ElementKind::Converter", "it has `to` where a source has poles"),
    ("rules/netlist/source_overload.rs", "ElementKind::Load", "what an edge of the role `Load` asks for"),
];

#[test]
fn whoever_asks_for_one_kind_of_element_says_why() {
    let root = project().join("harness-core/src");
    let read = |file: &str| std::fs::read_to_string(root.join(file)).expect("a source can be read");
    let kinds = variants(&read("model/element.rs"), "ElementKind");
    let roles = variants(&read("network/role.rs"), "EdgeRole");
    let mut found: BTreeSet<(String, String)> = BTreeSet::new();
    for (path, text) in sources(&root).into_iter().filter(|(path, _)| !is_test(path)) {
        let file = path.strip_prefix(&root).expect("a file of the core").to_string_lossy().replace('\\', "/");
        found.extend(alone(&text).into_iter().map(|kind| (file.clone(), kind)));
    }
    let known: BTreeSet<(String, String)> =
        ALONE.iter().map(|(file, kind, _)| ((*file).to_owned(), (*kind).to_owned())).collect();
    let new: Vec<_> = found.difference(&known).collect();
    assert!(
        new.is_empty(),
        "these ask for one kind and say nothing of the others; name every kind, ask a predicate of `EdgeRole` or `ElementKind`, or \
         say in the table `ALONE` why no other kind is meant: {new:#?}"
    );
    let gone: Vec<_> = known.difference(&found).collect();
    assert!(gone.is_empty(), "these lines of the table `ALONE` are no longer needed: {gone:#?}");
    assert!(ALONE.is_sorted(), "the table is sorted by file and kind");
    assert_eq!(
        [kinds.len(), roles.len()],
        READ_FOR,
        "kinds of element or roles of an edge came or went: read the table `ALONE`, decide for each line whether a new one is meant \
         too, then set the number"
    );
}

/// The names of the variants of an enum.
fn variants(text: &str, name: &str) -> Vec<String> {
    let file = syn::parse_file(text).expect("a source can be parsed");
    let found = file.items.iter().find_map(|item| match item {
        Item::Enum(ItemEnum { ident, variants, .. }) if ident == name => Some(variants),
        _ => None,
    });
    found.expect("the enum").iter().map(|variant| variant.ident.to_string()).collect()
}

/// The kinds and roles that a source asks for alone: by `==`, by `matches!`, by `let`, or in a `match` with an arm for all others.
fn alone(text: &str) -> BTreeSet<String> {
    let file = syn::parse_file(text).expect("a source can be parsed");
    let mut short = Short::default();
    short.visit_file(&file);
    let mut seen = Seen { short: short.0, found: BTreeSet::new() };
    seen.visit_file(&file);
    seen.found
}

/// The variants that a source names without their enum, with it.
#[derive(Default)]
struct Short(Vec<(String, String)>);

impl Visit<'_> for Short {
    fn visit_item_use(&mut self, item: &ItemUse) {
        let mut waiting = vec![(String::new(), &item.tree)];
        while let Some((of, tree)) = waiting.pop() {
            match tree {
                UseTree::Path(path) => waiting.push((path.ident.to_string(), &path.tree)),
                UseTree::Group(group) => waiting.extend(group.items.iter().map(|tree| (of.clone(), tree))),
                UseTree::Name(name) if is_ours(&of) => self.0.push((name.ident.to_string(), of)),
                UseTree::Glob(_) => assert!(!is_ours(&of), "the variants of `{of}` are imported by their names"),
                UseTree::Rename(_) => assert!(!is_ours(&of), "a variant of `{of}` is imported under its own name"),
                UseTree::Name(_) => {}
            }
        }
    }
}

fn is_ours(name: &str) -> bool {
    ["ElementKind", "EdgeRole"].contains(&name)
}

struct Seen {
    short: Vec<(String, String)>,
    found: BTreeSet<String>,
}

impl Seen {
    /// A kind or role that a path names.
    fn name(&mut self, path: &Path) {
        let mut names = path.segments.iter().rev().map(|segment| segment.ident.to_string());
        let (Some(last), of) = (names.next(), names.next()) else { return };
        let short = self.short.iter().find(|(name, _)| of.is_none() && *name == last).map(|(_, of)| of.clone());
        if let Some(of) = of.filter(|of| is_ours(of)).or(short) {
            self.found.insert(format!("{of}::{last}"));
        }
    }

    /// All that a pattern names.
    fn pattern(&mut self, pattern: &Pat) {
        let mut paths = Paths(Vec::new());
        paths.visit_pat(pattern);
        for path in paths.0 {
            self.name(&path);
        }
    }
}

/// The paths of a pattern.
struct Paths(Vec<Path>);

impl Visit<'_> for Paths {
    fn visit_path(&mut self, path: &Path) {
        self.0.push(path.clone());
    }

    // A variant without fields looks like the name of a new binding.
    fn visit_pat_ident(&mut self, ident: &syn::PatIdent) {
        self.0.push(ident.ident.clone().into());
        visit::visit_pat_ident(self, ident);
    }
}

impl Visit<'_> for Seen {
    fn visit_item_mod(&mut self, module: &ItemMod) {
        if !module.attrs.iter().any(is_for_tests) {
            visit::visit_item_mod(self, module);
        }
    }

    fn visit_expr_binary(&mut self, expr: &ExprBinary) {
        if matches!(expr.op, BinOp::Eq(_) | BinOp::Ne(_)) {
            for side in [&expr.left, &expr.right] {
                match &**side {
                    Expr::Path(path) => self.name(&path.path),
                    Expr::Struct(made) => self.name(&made.path),
                    Expr::Call(call) => {
                        if let Expr::Path(path) = &*call.func {
                            self.name(&path.path);
                        }
                    }
                    _ => {}
                }
            }
        }
        visit::visit_expr_binary(self, expr);
    }

    fn visit_macro(&mut self, macro_: &Macro) {
        if macro_.path.is_ident("matches") {
            let parts = |input: ParseStream<'_>| {
                let asked: Expr = input.parse()?;
                input.parse::<syn::Token![,]>()?;
                let pattern = Pat::parse_multi_with_leading_vert(input)?;
                let guard = input.parse::<Option<syn::Token![if]>>()?.map(|_| input.parse::<Expr>()).transpose()?;
                input.parse::<Option<syn::Token![,]>>()?;
                Ok((asked, pattern, guard))
            };
            let (asked, pattern, guard) = macro_.parse_body_with(parts).expect("`matches!` of an expression and a pattern");
            self.pattern(&pattern);
            Visit::visit_expr(self, &asked);
            guard.iter().for_each(|guard| Visit::visit_expr(self, guard));
        }
    }

    fn visit_expr_let(&mut self, expr: &ExprLet) {
        self.pattern(&expr.pat);
        visit::visit_expr_let(self, expr);
    }

    fn visit_local(&mut self, local: &Local) {
        self.pattern(&local.pat);
        visit::visit_local(self, local);
    }

    fn visit_expr_match(&mut self, expr: &ExprMatch) {
        if expr.arms.iter().any(|arm| arm.guard.is_none() && takes_all(&arm.pat)) {
            expr.arms.iter().for_each(|Arm { pat, .. }| self.pattern(pat));
        }
        visit::visit_expr_match(self, expr);
    }
}

fn is_for_tests(attribute: &Attribute) -> bool {
    attribute.path().is_ident("cfg") && attribute.parse_args::<syn::Ident>().is_ok_and(|word| word == "test")
}

/// Whether a pattern takes whatever comes.
fn takes_all(pattern: &Pat) -> bool {
    match pattern {
        Pat::Wild(_) | Pat::Rest(_) => true,
        // A name in lower case is a binding, else a variant.
        Pat::Ident(ident) => ident.subpat.is_none() && ident.ident.to_string().starts_with(char::is_lowercase),
        Pat::Tuple(tuple) => tuple.elems.iter().all(takes_all),
        Pat::Reference(reference) => takes_all(&reference.pat),
        Pat::Paren(paren) => takes_all(&paren.pat),
        Pat::Or(or) => or.cases.iter().any(takes_all),
        _ => false,
    }
}

#[test]
fn places_that_ask_for_one_kind_are_seen() {
    let of = |body: &str| {
        let text = format!("use crate::network::EdgeRole::{{Load, Coil}};\nfn f() {{ {body} }}");
        alone(&text).into_iter().collect::<Vec<_>>().join(" ")
    };
    assert_eq!(of("edge.role != EdgeRole::Fuse"), "EdgeRole::Fuse");
    assert_eq!(of("edge.role == Coil"), "EdgeRole::Coil");
    assert_eq!(
        of("matches!(kind, ElementKind::Load { .. } | model::ElementKind::Diode(_) if on)"),
        "ElementKind::Diode ElementKind::Load"
    );
    assert_eq!(of("let ElementKind::Load { demand, .. } = kind else { return };"), "ElementKind::Load");
    assert_eq!(of("if let (ElementKind::Load { .. }, [a, b]) = pair {}"), "ElementKind::Load");
    assert_eq!(of("match role { Load => { 1 } Coil => 2, _ => 3 }"), "EdgeRole::Coil EdgeRole::Load");
    assert_eq!(of("match role { EdgeRole::Fuse => 1, other => of(other) }"), "EdgeRole::Fuse");
    assert_eq!(of("match (role, at) { (Load, Some(_)) => 1, (_, _) => 3 }"), "EdgeRole::Load");
    // Every kind is named, the wildcard is of something else, or nothing is asked.
    assert_eq!(of("match role { Load => 1, Coil => 2 }"), "");
    assert_eq!(of("match (role, at) { (Load, Some(_)) => 1, (Load | Coil, _) => 3 }"), "");
    assert_eq!(of("match role { Load => match at { Some(_) => 1, _ => 2 }, Coil => 2 }"), "");
    assert_eq!(of("let role = EdgeRole::Fuse; add(ElementKind::Diode(drop));"), "");
    assert_eq!(of("suppression == Suppression::Diode"), "");
}
