//! Curves cut at the edges of a plot.

/// A point in seconds over ampere.
pub(super) type Pair = (f64, f64);

/// The part of a falling curve that is in the plot, cut at its edges on logarithmic scales.
pub(super) fn within(points: &[Pair], (amps, time): (Pair, Pair)) -> Vec<Pair> {
    let mut inside: Vec<Pair> = Vec::new();
    let logs = |(x, y): Pair| (x.max(f64::MIN_POSITIVE).ln(), y.max(f64::MIN_POSITIVE).ln());
    let (low, high) = (logs((amps.0, time.0)), logs((amps.1, time.1)));
    for pair in points.windows(2) {
        let &[a, b] = pair else { continue };
        let (a, b) = (logs(a), logs(b));
        // Liang and Barsky: the share of the piece that is between all four edges.
        let (mut from, mut to) = (0.0_f64, 1.0_f64);
        let (dx, dy) = (b.0 - a.0, b.1 - a.1);
        for (step, gap) in [(-dx, a.0 - low.0), (dx, high.0 - a.0), (-dy, a.1 - low.1), (dy, high.1 - a.1)] {
            if step == 0.0 {
                if gap < 0.0 {
                    to = -1.0;
                }
            } else if step < 0.0 {
                from = from.max(gap / step);
            } else {
                to = to.min(gap / step);
            }
        }
        if from > to {
            continue;
        }
        for share in [from, to] {
            let point = ((a.0 + dx * share).exp().clamp(amps.0, amps.1), (a.1 + dy * share).exp().clamp(time.0, time.1));
            if inside.last() != Some(&point) {
                inside.push(point);
            }
        }
    }
    inside
}

#[cfg(test)]
mod tests {
    use super::within;

    #[test]
    fn a_curve_is_cut_where_it_leaves_the_plot() {
        let cut = within(&[(0.1, 1000.0), (10.0, 0.1), (1000.0, 0.001)], ((1.0, 100.0), (0.01, 10.0)));
        assert!((cut.first().unwrap().0 - 1.0).abs() < 1e-9 && (cut.first().unwrap().1 - 10.0).abs() < 1e-9, "{cut:?}");
        assert!((cut.last().unwrap().0 - 100.0).abs() < 1e-9 && (cut.last().unwrap().1 - 0.01).abs() < 1e-9, "{cut:?}");
        assert!(within(&[(200.0, 1.0), (300.0, 0.5)], ((1.0, 100.0), (0.01, 10.0))).is_empty());
    }
}
