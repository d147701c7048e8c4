//! Whether there is room for what a few lines multiply: positions of a housing, parts of a device kind.
//!
//! Owns the counting against the limits of the format and the one finding for each limit that is met.

use super::{Model, build::Builder};
use crate::{
    format::limits::{Limit, grouped},
    text::Span,
};

impl Builder {
    /// Whether `more` of what `limit` counts may be added to the `have` that are there. Where the first of them may not, says so
    /// at `span`, where the thing is written that would bring them.
    pub(super) fn has_room(
        &mut self,
        limit: &'static Limit,
        have: usize,
        more: usize,
        span: Span,
        thing: impl FnOnce(&Model) -> String,
    ) -> bool {
        let all = have.saturating_add(more);
        if all <= limit.most {
            return true;
        }
        if !self.crowded.contains(&limit.what) {
            self.crowded.push(limit.what);
            let thing = thing(&self.model);
            let headline = format!(
                "with {thing} there would be {} {}, {} too many; it and what follows is left out",
                grouped(all),
                limit.what,
                grouped(all - limit.most)
            );
            self.findings.push(limit.exceeded(span, headline));
        }
        false
    }

    /// Ports, pins and cavities so far.
    pub(super) fn count_points(&self) -> usize {
        self.model.points.len() + self.model.ports.len()
    }
}
