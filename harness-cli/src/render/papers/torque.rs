//! The torque list on paper: what is bolted, what goes under it, room to sign.

use super::area;
use crate::render::kit::paper::{Cell, Column, Group, Paper, Section, Table, three_digits};
use harness_core::bench::{Bench, Joint, JointKind, JointRing};

const COLUMNS: [Column; 12] = [
    Column::words("joint", "joint", 0),
    Column::words("device", "device", 5).as_data(),
    Column::words("sort", "sort", 2),
    Column::words("thread", "thread", 0),
    Column::words("rings", "from below", 1).on_paper(),
    Column::words("ends", "ends from below", 5).as_data(),
    Column::words("wires", "wires from below", 5).as_data(),
    Column::figures("torque_Nm", "torque", "Nm", 0),
    Column::words("class", "class", 4),
    Column::words("first", "tightened", 0).on_paper(),
    Column::words("marked", "marked", 0).on_paper(),
    Column::words("by", "by", 0).on_paper(),
];

/// All joints.
pub(super) fn paper(bench: &Bench<'_>) -> Paper {
    let joints = bench.joints();
    let without = joints.iter().filter(|joint| joint.torque.is_none()).count();
    let mut groups: Vec<Group> = Vec::new();
    for joint in &joints {
        match groups.last_mut().filter(|group| group.heading == joint.device) {
            Some(group) => group.rows.push(row(joint)),
            None => groups.push(Group { heading: joint.device.clone(), rows: vec![row(joint)] }),
        }
    }
    let table =
        Table { key: "joints", caption: "one row a joint, device by device".to_owned(), columns: COLUMNS.to_vec(), groups };
    let mut unknown = Vec::new();
    if without > 0 {
        unknown.push(format!(
            "the torque of {without} of {} joints: take it from the datasheet of the part, nothing general is put in its place",
            joints.len()
        ));
    }
    Paper {
        name: "torque-list".to_owned(),
        title: "torque list".to_owned(),
        has_class_b: joints.iter().any(|joint| joint.is_class_b),
        lead: vec![
            "Rings in the order from below: the largest cross-section next to the surface that carries the current. Clean, tighten, mark \
             across nut and stud."
                .to_owned(),
        ],
        unknown,
        sections: vec![Section { table: Some(table), ..Section::default() }],
        sources: vec!["torques: the design alone; order of rings: common practice, no source".to_owned()],
        ..Paper::default()
    }
}

fn row(joint: &Joint) -> Vec<Cell> {
    let each = |of: fn(&JointRing) -> String| joint.rings.iter().map(of).collect::<Vec<_>>();
    let nothing = match joint.kind {
        JointKind::Fuse => "",
        JointKind::Body => "bare metal",
        JointKind::Stud | JointKind::Screw => "nothing yet",
    };
    vec![
        Cell::text(&joint.name),
        Cell::text(&joint.device),
        Cell::text(joint.kind.word()),
        Cell::text(&joint.thread),
        if joint.rings.is_empty() { Cell::None(nothing) } else { Cell::text(each(in_words).join("\n")) },
        Cell::text(each(|ring| ring.end.clone()).join("\n")),
        Cell::text(each(|ring| ring.wires.join(" ")).join("\n")),
        joint.torque.map_or(Cell::None("not given"), |torque| Cell::figure(torque.get())),
        Cell::text(if joint.is_class_b { "B" } else { "A" }),
        Cell::Write(18),
        Cell::Tick,
        Cell::Write(18),
    ]
}

fn in_words(ring: &JointRing) -> String {
    let size = ring.size.map_or_else(String::new, |size| format!(", {} mm2", three_digits(size.get())));
    let wires = if ring.wires.is_empty() { String::new() } else { format!(" (wire {})", ring.wires.join(", ")) };
    area(&format!("{}{wires}{size}", ring.end))
}
