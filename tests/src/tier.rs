//! What an everyday run of the tests leaves for the full one.
//!
//! A few tests try hundreds of cases, each of which is a whole check. On an ordinary day they try a part of them, always
//! the same; with `HARNESS_TESTS=full` all. Nothing else depends on the tier: no test is left out.

#![expect(clippy::panic, reason = "a test fails by panicking")]

use std::{io::Write, sync::OnceLock};

/// The tests that try a part of their cases on an ordinary day, each with the share it takes: one in so many.
pub const SAMPLED: [(&str, usize); 33] = [
    ("single_faults_of_the_demo_are_found_by_their_readings", 8),
    ("a_thinner_conductor_of_the_demo_is_found", 20),
    ("slips_of_the_hand_are_found", 3),
    ("half_a_conductor_is_silent_only_where_it_is_within_its_limits", 40),
    ("a_larger_fuse_is_silent_only_where_its_conductors_carry_it", 40),
    ("a_larger_fuse_of_the_demo_is_found", 6),
    ("another_name_changes_nothing_but_the_name", 36),
    ("the_order_of_keys_never_matters", 8),
    ("a_thicker_wire_is_never_undersized_by_being_thicker", 8),
    ("the_steps_lead_from_any_design_to_what_edits_make_of_it", 3),
    ("shorts_of_random_networks_are_those_of_the_dense_reference", 25),
    ("shorts_of_whole_designs_are_cleared_as_computed_anew", 10),
    ("single_faults_of_whole_designs_are_those_of_circuits_solved_anew", 9),
    ("single_faults_of_random_designs_are_those_of_circuits_solved_anew", 4),
    ("a_fault_in_a_row_of_a_whole_design_is_that_tried_by_itself", 23),
    ("a_fault_in_a_row_of_a_random_design_is_that_tried_by_itself", 6),
    ("the_demo_finds_its_rest_at_other_lengths_too", 4),
    ("a_shuffled_twin_is_the_same_design", 11),
    ("a_shuffled_example_is_the_same_design", 5),
    ("what_is_read_without_a_mistake_validates", 20),
    ("designs_side_by_side_give_the_bytes_of_one_after_the_other", 4),
    ("the_steps_lead_from_any_design_to_any_other", 3),
    ("every_remedy_that_was_tried_removes_its_finding_and_adds_none", 6),
    ("what_is_live_with_anything_unmated_is_what_trying_shows", 4),
    ("files_may_share_every_thing_key_by_key", 30),
    ("swaps_of_random_designs_are_those_of_points_joined_anew", 15),
    ("an_export_imported_again_is_the_same_design", 4),
    ("a_blown_fuse_is_one_that_was_left_out_of_the_design", 4),
    ("every_design_means_the_same_when_it_is_tidy", 3),
    ("random_panels_are_brought_to_life_in_order_too", 20),
    ("what_is_left_out_of_a_large_design_decides_nothing", 40),
    ("three_slips_drawn_at_random_are_named", 3),
    ("every_thing_of_the_demo_can_bear_another_name_and_nothing_else_is_another", 12),
];

/// Whether this run tries everything.
///
/// # Panics
/// If `HARNESS_TESTS` is neither `full` nor `everyday`: a misspelt word must not leave cases out.
fn is_full() -> bool {
    static FULL: OnceLock<bool> = OnceLock::new();
    *FULL.get_or_init(|| match std::env::var("HARNESS_TESTS").as_deref() {
        Ok("full") => true,
        Err(std::env::VarError::NotPresent) | Ok("everyday") => {
            let parts: Vec<String> = SAMPLED.iter().map(|(test, share)| format!("{test} 1 in {share}")).collect();
            // Not by `eprintln!`, which a passing test keeps to itself.
            let line =
                format!("everyday tests, all cases are tried with HARNESS_TESTS=full; tried in part: {}\n", parts.join(", "));
            let _ = std::io::stderr().write_all(line.as_bytes());
            false
        }
        other => panic!("HARNESS_TESTS is {other:?}; leave it out, or write `full` or `everyday`"),
    })
}

/// One in how many cases of this test is tried: 1 where everything is.
///
/// # Panics
/// If the test is not in [`SAMPLED`].
#[must_use]
pub fn share(test: &str) -> usize {
    let Some((_, share)) = SAMPLED.iter().find(|(known, _)| *known == test) else {
        panic!("`{test}` is not in the list of sampled tests");
    };
    if is_full() { 1 } else { *share }
}

/// Those of all cases of this test that are tried.
///
/// # Panics
/// As [`share`].
pub fn sample<T>(test: &str, cases: impl IntoIterator<Item = T>) -> Vec<T> {
    cases.into_iter().step_by(share(test)).collect()
}
