//! How far a step of Newton's method may go.

use nalgebra::SVector;

/// How far a Newton step may go, relative to the scale: a blocked rectifier looks as if nothing held the bus, and
/// the full step would land nowhere near. The radius grows while steps keep their direction.
pub(super) struct TrustRegion<const N: usize> {
    radius: f64,
    before: SVector<f64, N>,
}

impl<const N: usize> Default for TrustRegion<N> {
    fn default() -> Self {
        Self {
            radius: 0.3,
            before: SVector::zeros(),
        }
    }
}

impl<const N: usize> TrustRegion<N> {
    /// The part of a correction that is taken.
    pub(super) fn limit(
        &mut self,
        correction: SVector<f64, N>,
        scale: &SVector<f64, N>,
    ) -> SVector<f64, N> {
        let same_way = correction.component_div(scale).dot(&self.before) > 0.0;
        let size = relative(&correction, scale);
        let step = if size > self.radius {
            correction * (self.radius / size)
        } else {
            correction
        };
        self.radius = if same_way {
            (1.7 * self.radius).min(100.0)
        } else {
            (0.6 * self.radius).max(0.02)
        };
        self.before = step.component_div(scale);
        step
    }
}

/// The largest part of a correction, relative to the scale of its state.
pub(super) fn relative<const N: usize>(
    correction: &SVector<f64, N>,
    scale: &SVector<f64, N>,
) -> f64 {
    correction
        .iter()
        .zip(scale.iter())
        .map(|(c, s)| (c / s).abs())
        .fold(0.0, |a, b| if b > a || b.is_nan() { b } else { a })
}
