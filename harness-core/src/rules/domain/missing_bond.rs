//! A conductive case with voltage class B is bonded to the chassis, and a protective earth leads there.

use crate::{
    analysis::Analysis,
    evidence::{additions, spare_earth_core},
    facts::{
        Facts,
        bonds::{BondedBox, EarthPoint, Goal, Needs},
        opened_earths::OpenedEarth,
    },
    finding::{Finding, Level},
    model::{ElementId, Model, PointId},
    network::EdgeId,
    rules::{Rule, RulePage},
    standards::bonding::continuity,
    vocabulary::{Case, Role},
    wording::{count_of, list_of_first, quoted},
};

pub(super) static RULE: Rule = Rule {
    page: RulePage {
        name: "domain/missing-bond",
        level: Level::Danger,
        since: "0.1.0",
        finds: "a conductive case with voltage class B, or a protective earth, that does not reach the chassis",
        docs: include_str!("missing_bond.md"),
    },
    check,
};

/// What a bond leads to: its name, and where a wire to it ends.
type Words = (&'static str, &'static str);

const CHASSIS: Words = ("the chassis", "a stud of the chassis");
const MAINS_EARTH: Words = ("the earth of the mains", "the protective earth of the mains");

/// Most boxes that one sentence names.
const MOST: usize = 5;

fn check(analysis: &Analysis) -> Vec<Finding> {
    let (facts, model, bonds) = (analysis.facts(), analysis.model(), analysis.facts().bonds());
    let goal = match bonds.goal {
        // `review/missing-fact` says so.
        Goal::Nothing => return Vec::new(),
        Goal::Chassis => CHASSIS,
        Goal::MainsEarth => MAINS_EARTH,
    };
    let mut findings = Vec::new();
    let mut unknown: Vec<&BondedBox> = Vec::new();
    let mut dead: Vec<DeadEnd<'_>> = Vec::new();
    for one in &bonds.boxes {
        let name = model.device_name(one.device);
        let leads_nowhere = |earth: &&EarthPoint| earth.is_earth && earth.way.is_none() && !earth.is_at_shield;
        let ends = one.earths.iter().filter(leads_nowhere).map(|earth| (one, earth));
        match one.needs {
            Needs::Case if one.is_bonded() => {}
            Needs::Case if one.earths.iter().any(|earth| earth.is_earth) => dead.extend(ends),
            // A case that nothing describes, of switchgear or in a circuit that is isolated from the chassis: it may well be plastic.
            Needs::Case if one.case.is_none() && (one.mains.is_none() || one.is_switchgear) => unknown.push(one),
            Needs::Case => findings.push(bare(facts, one, goal)),
            Needs::Supply if one.earths.is_empty() => findings.push(
                RULE.finding(model[one.device].span, format!("`{name}` brings in the mains and has no protective earth"), [])
                    .label("no pin of role `earth`")
                    .help(format!(
                        "add the protective earth of the mains as a pin with `role: earth` to `{name}`, and wire it to {}",
                        goal.0
                    ))
                    .concerns(name),
            ),
            // An insulating case joins nothing: each of its earths has to get there by itself.
            Needs::Supply => dead.extend(ends),
            Needs::Nothing => dead.extend(ends.filter(|(_, earth)| earth.is_wired)),
        }
    }
    // What is swapped with a live conductor is reported as that.
    let is_swapped = |earth: &EarthPoint| {
        let net = facts.network().net_points(facts.network().net(earth.point));
        net.iter().any(|point| facts.is_of_swapped_earth(facts.pins().run(*point)))
    };
    if !facts.swapped_earths().is_empty() {
        dead.retain(|(_, earth)| !is_swapped(earth));
    }
    // What a fuse or contact cuts off is reported at that.
    let opened = facts.opened_earths();
    let is_reported = |(_, earth): &DeadEnd<'_>| {
        in_the_way(facts, earth.point).is_some_and(|element| opened.iter().any(|opened| opened.element == element))
    };
    if !opened.is_empty() {
        dead.retain(|end| !is_reported(end));
        findings.extend(opened.iter().map(|opened| can_open(facts, opened)));
    }
    // Earths that are joined are one fault: it is shown where it is to be put right.
    dead.sort_by_key(|(one, earth)| (earth.metal, rank(one), earth.point));
    findings.extend(dead.chunk_by(|a, b| a.1.metal == b.1.metal).filter_map(|group| dead_end(facts, group, goal)));
    findings.extend(undescribed(model, &unknown, goal));
    findings
}

/// Where earths that are joined are put right: at a conductive case, else at the inlet, and at the supply of the house last.
fn rank(one: &BondedBox) -> u8 {
    match one.needs {
        _ if one.is_supply => 3,
        Needs::Case => 0,
        Needs::Supply => 1,
        Needs::Nothing => 2,
    }
}

/// A box and an earth point of it that does not reach the chassis.
type DeadEnd<'a> = (&'a BondedBox, &'a EarthPoint);

/// Earth points that are joined to each other and not to the chassis.
fn dead_end(facts: &Facts, group: &[DeadEnd<'_>], (goal, stud): Words) -> Option<Finding> {
    let model = facts.model();
    let (one, earth) = group.first()?;
    let (name, point) = (model.device_name(one.device), model.point_name(earth.point));
    let headline = if earth.is_wired {
        format!("protective earth `{point}` does not reach {goal}")
    } else {
        format!("nothing is connected to the protective earth `{point}`")
    };
    let help = match one.needs {
        Needs::Case => format!("wire `{point}` to {stud}, near `{name}`{}", additions::no_room(facts)),
        Needs::Supply | Needs::Nothing => {
            format!("wire `{point}` to {stud}, or to the case of a box that is bonded to it{}", additions::no_room(facts))
        }
    };
    let mut finding = RULE
        .finding(model[earth.point].span, headline, [])
        .label("its conductors lead nowhere else")
        .figure("limit", continuity())
        .help(help);
    if !earth.is_wired {
        finding.primary.text = "no wire, ring or bar".to_owned();
    }
    for (_, other) in group.iter().skip(1) {
        finding = finding.context(model[other.point].span, "joined to it, and cut off too");
    }
    if let Some(element) = in_the_way(facts, earth.point) {
        let name = model.element_name(element);
        finding.primary.text = format!("reaches it over `{name}` only, which can open");
        finding = finding.context(model[element].value_span, "a protective conductor has no switch and no fuse").concerns(name);
    }
    // A bond from there would tie what is joined to it to the chassis.
    let other = group.iter().find_map(|(_, earth)| not_earth(facts, earth.point));
    if let Some(other) = other {
        let other_name = model.point_name(other);
        finding = finding.context(model[other].span, "joined to the earth, and not an earth");
        finding.help = format!(
            "take what leads to `{other_name}` off `{point}` first; then wire `{point}` to {stud} with a conductor of its own"
        );
    }
    let cores = group.iter().flat_map(|(one, earth)| spare_earth_core(facts, one, earth.point));
    let candidates = cores.chain(additions::bond(facts, one, Some(earth.point))).filter(|_| other.is_none());
    let finding = candidates.fold(assumed(finding, one), Finding::remedy);
    Some(group.iter().fold(finding, |finding, (_, earth)| finding.concerns(model.point_name(earth.point))))
}

/// A pin on the metal of an earth that is not an earth: it carries current, or brings a voltage.
fn not_earth(facts: &Facts, earth: PointId) -> Option<PointId> {
    let pins = facts.pins().of(facts.network().net(earth));
    let is_other = |role: Role| !matches!(role, Role::Earth | Role::Chassis | Role::Screen);
    pins.iter().find(|pin| pin.role.is_some_and(is_other)).map(|pin| pin.point)
}

/// The nearest of the pins that [`not_earth`] finds.
fn nearest_other(facts: &Facts, earth: PointId) -> Option<PointId> {
    not_earth(facts, earth)?;
    let network = facts.network();
    let is_other = |role: Role| !matches!(role, Role::Earth | Role::Chassis | Role::Screen);
    let pins = facts.pins().of(network.net(earth));
    let is_goal = |point: PointId| pins.iter().any(|pin| pin.point == point && pin.role.is_some_and(is_other));
    network.path(earth, is_goal, |_, edge| edge.role.is_metal())?.last().map(|step| step.point)
}

/// A fuse or contact in a protective earth.
fn can_open(facts: &Facts, opened: &OpenedEarth) -> Finding {
    let model = facts.model();
    let name = model.element_name(opened.element);
    let names: Vec<String> = opened.behind.iter().map(|point| quoted(model.point_name(*point))).collect();
    let (what, verb) = if opened.is_fuse { ("fuse", "a fuse") } else { ("contact", "a switch or contact") };
    let of = if names.is_empty() { String::new() } else { format!(" of {}", list_of_first(&names, MOST, 0)) };
    let finding = RULE
        .finding(model[opened.element].value_span, format!("{what} `{name}` is in the protective earth{of}"), [])
        .label(format!("{verb} in a protective earth: once it is open, the cases behind it are not bonded"))
        .figure("limit", continuity())
        .help(format!("join the two sides of `{name}` solidly in its place, with a `link`"))
        .concerns(name);
    opened.behind.iter().fold(finding, |finding, point| finding.concerns(model.point_name(*point)))
}

/// The switch, contact or fuse over which alone an earth reaches the chassis.
fn in_the_way(facts: &Facts, earth: PointId) -> Option<ElementId> {
    let (model, network) = (facts.model(), facts.network());
    let is_chassis = |point: PointId| model.device_at(point).is_some_and(|device| model[device].chassis);
    let path = network.path(earth, is_chassis, |_, edge| edge.role.conducts_when_closed())?;
    let opens = |edge: &EdgeId| network[*edge].role.is_fuse() || network[*edge].role.is_switched();
    network[path.iter().map(|step| step.edge).find(opens)?].element()
}

/// A box without an earth point.
fn bare(facts: &Facts, one: &BondedBox, (goal, stud): Words) -> Finding {
    // A box with the mains in it is another danger than one with an isolated direct voltage.
    let live = one
        .mains
        .map_or_else(String::new, |domain| format!(", with `{}` inside,", facts.model().text(facts.model()[domain].name)));
    let model = facts.model();
    let name = model.device_name(one.device);
    let finding = RULE
        .finding(model[one.device].span, format!("the conductive case of `{name}`{live} has no bond to {goal}"), [])
        .label("no stud or pin of role `earth`")
        .figure("limit", continuity())
        .help(format!(
            "add a stud with `role: earth` to `{name}` and wire it to {stud}{}; if the case is plastic, state `case: insulating`",
            additions::no_room(facts)
        ));
    // A bond that leads to a pole in place of the chassis is moved; a second one would tie that pole to the chassis.
    if let Some((own, other)) = misled(facts, one) {
        let (own_name, other_name) = (model.point_name(own), model.point_name(other));
        let mut finding = assumed(finding, one).context(model[own].span, format!("leads to `{other_name}`, not to {goal}"));
        finding.primary.text = format!("`{own_name}` leads to `{other_name}`, not to {goal}");
        finding.help = format!("take what leads from `{own_name}` off `{other_name}`, and wire `{own_name}` to {stud}");
        return finding.concerns(name).concerns(own_name);
    }
    let finding = additions::bond(facts, one, None).into_iter().fold(assumed(finding, one), Finding::remedy);
    finding.concerns(name)
}

/// A point of a box that is for its chassis or earth, and what it is joined to that is neither.
fn misled(facts: &Facts, one: &BondedBox) -> Option<(PointId, PointId)> {
    let model = facts.model();
    let is_own = |point: PointId| model.device_at(point) == Some(one.device);
    let points = model.points().map(|(id, _)| id).filter(|point| is_own(*point));
    points
        .filter(|point| {
            let pins = facts.pins().of(facts.network().net(*point));
            pins.iter().any(|pin| pin.point == *point && pin.role.is_some_and(|role| matches!(role, Role::Earth | Role::Chassis)))
        })
        .find_map(|point| Some((point, nearest_other(facts, point)?)))
}

fn assumed(finding: Finding, one: &BondedBox) -> Finding {
    match one.case {
        None => finding.figure("case", "assumed conductive: `case` is not stated"),
        Some(case) => finding.figure("case", Case::word(case)),
    }
}

/// Boxes of isolated circuits of which neither the case nor a bond is described: one finding.
fn undescribed(model: &Model, boxes: &[&BondedBox], (goal, stud): Words) -> Option<Finding> {
    let first = boxes.first()?;
    let names: Vec<String> = boxes.iter().map(|one| quoted(model.device_name(one.device))).collect();
    let mut finding = RULE
        .finding(
            model[first.device].span,
            format!(
                "{} class B, no bond to {goal} and no stated `case`: {}",
                count_of(boxes.len(), "box has", "boxes have"),
                list_of_first(&names, MOST, 0)
            ), [])
        .label("its case is assumed conductive")
        .figure("limit", continuity())
        .help(format!(
            "for each box, state `case: insulating` or `case: bolted to chassis`, or add a stud with `role: earth` and wire it to {stud}"
        ));
    finding.stated = Level::Warning;
    Some(boxes.iter().fold(finding, |finding, one| finding.concerns(model.device_name(one.device))))
}
