//! Straight lines between the points of a table.

/// A table of `(x, y)` with x rising.
#[derive(Debug, Clone, Copy)]
pub(crate) struct Curve(pub(crate) &'static [(f64, f64)]);

impl Curve {
    /// y at `x`; beyond the ends the end's own value.
    pub(crate) fn clamped(self, x: f64) -> f64 {
        let (first, last) = self.ends();
        self.extended(x.clamp(first.0, last.0))
    }

    /// y at `x`; beyond the ends the end's own straight line continues.
    pub(crate) fn extended(self, x: f64) -> f64 {
        let points = self.0;
        // The line whose right end is the first point beyond x, or the last line.
        let right = points
            .partition_point(|p| p.0 < x)
            .clamp(1, points.len() - 1);
        let ((x0, y0), (x1, y1)) = (points[right - 1], points[right]);
        y0 + (y1 - y0) * (x - x0) / (x1 - x0)
    }

    /// x at which the curve has the value `y`, for y rising with x; beyond the
    /// ends the end's own straight line continues.
    pub(crate) fn inverse(self, y: f64) -> f64 {
        let points = self.0;
        let right = points
            .partition_point(|p| p.1 < y)
            .clamp(1, points.len() - 1);
        let ((x0, y0), (x1, y1)) = (points[right - 1], points[right]);
        x0 + (x1 - x0) * (y - y0) / (y1 - y0)
    }

    fn ends(self) -> ((f64, f64), (f64, f64)) {
        (self.0[0], self.0[self.0.len() - 1])
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    const LINE: Curve = Curve(&[(0.0, 1.0), (1.0, 3.0), (2.0, 4.0)]);

    #[test]
    fn goes_through_its_points_and_back() {
        for x in [-0.5, 0.0, 0.25, 1.0, 1.5, 2.0, 3.0] {
            assert!((LINE.inverse(LINE.extended(x)) - x).abs() < 1e-12, "{x}");
        }
        assert_eq!(LINE.clamped(5.0), 4.0);
        assert_eq!(LINE.clamped(-5.0), 1.0);
        assert_eq!(LINE.extended(3.0), 5.0);
    }
}
