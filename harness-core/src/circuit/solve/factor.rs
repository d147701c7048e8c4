//! Factorisation of a symmetric positive definite matrix; the only place that knows the sparse solver.

use rsparse::data::{Nmrc, Sprs, Symb};

/// A Cholesky factor that is used for many right-hand sides.
#[derive(Debug)]
pub(super) struct Factor {
    lower: Nmrc<f64>,
    work: Vec<f64>,
    shape: Shape,
}

/// Where a matrix has entries, and the order of elimination that was found for it.
#[derive(Debug)]
struct Shape {
    starts: Vec<isize>,
    rows: Vec<usize>,
    symbols: Symb,
}

impl Factor {
    /// Factors the matrix of size `size` whose entries are `(column, row, value)`; entries at one place are summed.
    ///
    /// Both triangles are given. `None` if an entry is not finite or the matrix is not positive definite in floating point.
    /// Cost: a sort of the entries, and the fill of an approximate minimum degree order, which is small for networks; of a matrix with entries at the
    /// places of that `before` it no order is sought.
    pub(super) fn new(size: usize, mut entries: Vec<(u32, u32, f64)>, before: Option<Self>) -> Option<Self> {
        if size == 0 || entries.iter().any(|entry| !entry.2.is_finite() || entry.0 as usize >= size || entry.1 as usize >= size) {
            return None;
        }
        entries.sort_unstable_by_key(|entry| (entry.0, entry.1));
        let mut starts = vec![0_isize; size + 1];
        let mut rows: Vec<usize> = Vec::with_capacity(entries.len());
        let mut values: Vec<f64> = Vec::with_capacity(entries.len());
        let mut last_at = None;
        for (column, row, value) in entries {
            match values.last_mut() {
                Some(last) if last_at == Some((column, row)) => *last += value,
                _ => {
                    rows.push(row as usize);
                    values.push(value);
                    if let Some(count) = starts.get_mut(column as usize + 1) {
                        *count += 1;
                    }
                }
            }
            last_at = Some((column, row));
        }
        let mut total = 0;
        for start in &mut starts {
            total += *start;
            *start = total;
        }
        let known = before.map(|factor| factor.shape).filter(|shape| shape.starts == starts && shape.rows == rows);
        let matrix = Sprs { nzmax: values.len(), m: size, n: size, p: starts, i: rows, x: values };
        // The fill-reducing order does not pay, and is fragile, for a handful of unknowns.
        let order = if size < 4 { -1 } else { 0 };
        let mut symbols = known.map_or_else(|| rsparse::schol(&matrix, order), |shape| shape.symbols);
        let lower = rsparse::chol(&matrix, &mut symbols).ok()?;
        if lower.l.x.iter().any(|value| !value.is_finite()) {
            return None;
        }
        let shape = Shape { starts: matrix.p, rows: matrix.i, symbols };
        Some(Self { lower, work: vec![0.0; size], shape })
    }

    /// Replaces the right-hand side by the solution.
    pub(super) fn solve(&mut self, side: &mut [f64]) {
        // Without an order each unknown is at its own place.
        let order = self.shape.symbols.pinv.as_deref();
        let place = |at: usize| order.map_or(Some(at), |order| order.get(at).map(|place| place.unsigned_abs()));
        for (at, value) in side.iter().enumerate() {
            if let Some(slot) = place(at).and_then(|place| self.work.get_mut(place)) {
                *slot = *value;
            }
        }
        rsparse::lsolve(&self.lower.l, &mut self.work);
        rsparse::ltsolve(&self.lower.l, &mut self.work);
        for (at, value) in side.iter_mut().enumerate() {
            *value = place(at).and_then(|place| self.work.get(place)).copied().unwrap_or(0.0);
        }
    }
}
