//! Factorisation of a symmetric positive definite matrix; the only place that knows the sparse solver.

use rsparse::data::{Nmrc, Sprs, Symb};

/// A Cholesky factor that is used for many right-hand sides.
#[derive(Debug)]
pub(super) struct Factor {
    lower: Nmrc<f64>,
    place: Vec<isize>,
    work: Vec<f64>,
}

impl Factor {
    /// Factors the matrix of size `size` whose entries are `(column, row, value)`; entries at one place are summed.
    ///
    /// Both triangles are given. `None` if an entry is not finite or the matrix is not positive definite in floating point.
    /// Cost: a sort of the entries, and the fill of an approximate minimum degree order, which is small for networks.
    pub(super) fn new(size: usize, mut entries: Vec<(u32, u32, f64)>) -> Option<Self> {
        if size == 0 || entries.iter().any(|entry| !entry.2.is_finite() || entry.0 as usize >= size || entry.1 as usize >= size) {
            return None;
        }
        entries.sort_unstable_by_key(|entry| (entry.0, entry.1));
        let mut starts = vec![0_isize; size + 1];
        let mut rows: Vec<usize> = Vec::with_capacity(entries.len());
        let mut values: Vec<f64> = Vec::with_capacity(entries.len());
        let mut before = None;
        for (column, row, value) in entries {
            match values.last_mut() {
                Some(last) if before == Some((column, row)) => *last += value,
                _ => {
                    rows.push(row as usize);
                    values.push(value);
                    if let Some(count) = starts.get_mut(column as usize + 1) {
                        *count += 1;
                    }
                }
            }
            before = Some((column, row));
        }
        let mut total = 0;
        for start in &mut starts {
            total += *start;
            *start = total;
        }
        let matrix = Sprs { nzmax: values.len(), m: size, n: size, p: starts, i: rows, x: values };
        // The fill-reducing order does not pay, and is fragile, for a handful of unknowns.
        let mut symbols: Symb = rsparse::schol(&matrix, if size < 4 { -1 } else { 0 });
        let lower = rsparse::chol(&matrix, &mut symbols).ok()?;
        if lower.l.x.iter().any(|value| !value.is_finite()) {
            return None;
        }
        let place = symbols.pinv.unwrap_or_else(|| (0..).take(size).collect());
        Some(Self { lower, place, work: vec![0.0; size] })
    }

    /// Replaces the right-hand side by the solution.
    pub(super) fn solve(&mut self, side: &mut [f64]) {
        for (value, &place) in side.iter().zip(&self.place) {
            if let Some(slot) = self.work.get_mut(place.unsigned_abs()) {
                *slot = *value;
            }
        }
        rsparse::lsolve(&self.lower.l, &mut self.work);
        rsparse::ltsolve(&self.lower.l, &mut self.work);
        for (value, &place) in side.iter_mut().zip(&self.place) {
            *value = self.work.get(place.unsigned_abs()).copied().unwrap_or(0.0);
        }
    }
}
