//! Strokes that differ without colour, and curves cut at the edges of a plot.

use super::{FINE, Pixel, Point};

/// How a line is drawn.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum Stroke {
    Solid,
    Dashed,
    DashDot,
    Dotted,
}

impl Stroke {
    /// Lengths of strokes and gaps in pixels, in turn.
    fn pattern(self) -> &'static [f64] {
        match self {
            Self::Solid => &[],
            Self::Dashed => &[14.0, 7.0],
            Self::DashDot => &[16.0, 6.0, 3.0, 6.0],
            Self::Dotted => &[3.0, 6.0],
        }
    }
}

/// The pieces of a line that are drawn.
pub(super) fn dashes(points: &[Pixel], style: Stroke) -> Vec<Vec<Pixel>> {
    let pattern = style.pattern();
    if pattern.is_empty() || points.len() < 2 {
        return if points.len() < 2 { Vec::new() } else { vec![points.to_vec()] };
    }
    let length = |at: usize| pattern.get(at % pattern.len()).copied().unwrap_or(1.0) * f64::from(FINE);
    let mut dashes: Vec<Vec<Pixel>> = Vec::new();
    let (mut at, mut left) = (0, length(0));
    let mut dash: Vec<Pixel> = points.first().copied().into_iter().collect();
    for pair in points.windows(2) {
        let &[(x0, y0), (x1, y1)] = pair else { continue };
        let (dx, dy) = (f64::from(x1 - x0), f64::from(y1 - y0));
        let whole = dx.hypot(dy);
        let mut done = 0.0;
        while whole - done >= left {
            done += left;
            let point = ((f64::from(x0) + dx * done / whole).round() as i32, (f64::from(y0) + dy * done / whole).round() as i32);
            // Even places are strokes, odd ones gaps.
            if at % 2 == 0 {
                dash.push(point);
                dashes.push(std::mem::take(&mut dash));
            } else {
                dash = vec![point];
            }
            at += 1;
            left = length(at);
        }
        left -= whole - done;
        if at % 2 == 0 {
            dash.push((x1, y1));
        }
    }
    if dash.len() > 1 {
        dashes.push(dash);
    }
    dashes
}

/// The part of a falling curve that is in the plot, cut at its edges on logarithmic scales.
pub(super) fn within(points: &[Point], (amps, time): (Point, Point)) -> Vec<Point> {
    let mut inside: Vec<Point> = Vec::new();
    let logs = |(x, y): Point| (x.max(f64::MIN_POSITIVE).ln(), y.max(f64::MIN_POSITIVE).ln());
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
    use super::{FINE, Stroke, dashes, within};

    #[test]
    fn a_line_of_strokes_is_as_long_as_its_pattern_says() {
        let drawn = dashes(&[(0, 0), (100 * FINE, 0)], Stroke::Dashed);
        assert_eq!(drawn.first(), Some(&vec![(0, 0), (14 * FINE, 0)]));
        assert_eq!(drawn.get(1), Some(&vec![(21 * FINE, 0), (35 * FINE, 0)]));
        assert_eq!(drawn.len(), 5);
        assert_eq!(dashes(&[(0, 0), (5, 5), (9, 9)], Stroke::Solid), [vec![(0, 0), (5, 5), (9, 9)]]);
        assert!(dashes(&[(0, 0)], Stroke::Dotted).is_empty());
    }

    #[test]
    fn a_stroke_goes_round_a_corner() {
        let drawn = dashes(&[(0, 0), (10 * FINE, 0), (10 * FINE, 30 * FINE)], Stroke::Dashed);
        assert_eq!(drawn.first(), Some(&vec![(0, 0), (10 * FINE, 0), (10 * FINE, 4 * FINE)]));
    }

    #[test]
    fn a_curve_is_cut_where_it_leaves_the_plot() {
        let cut = within(&[(0.1, 1000.0), (10.0, 0.1), (1000.0, 0.001)], ((1.0, 100.0), (0.01, 10.0)));
        assert!((cut.first().unwrap().0 - 1.0).abs() < 1e-9 && (cut.first().unwrap().1 - 10.0).abs() < 1e-9, "{cut:?}");
        assert!((cut.last().unwrap().0 - 100.0).abs() < 1e-9 && (cut.last().unwrap().1 - 0.01).abs() < 1e-9, "{cut:?}");
        assert!(within(&[(200.0, 1.0), (300.0, 0.5)], ((1.0, 100.0), (0.01, 10.0))).is_empty());
    }
}
