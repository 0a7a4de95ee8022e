//! How well a fit knows the zero-bias line, on which the least drop of a pass stage lies.

use nalgebra::Vector6;

use crate::physics::device::triode;
use crate::physics::device::triode_fit::{Fit, coefficients_of, law_of};

/// Grid volts within which a point counts as one of the zero-bias line, as a share of the plate volts over µ.
const NEAR_ZERO: f64 = 0.05;

/// The zero-bias line at one current.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct ZeroBias {
    /// The current (A).
    pub amps: f64,
    /// Plate volts of the law there (V).
    pub volts: f64,
    /// One standard error of those volts as a share of them, from the covariance of the fit: what the reading accuracy
    /// of points and figures, and the expectations where nothing is published, leave open.
    pub spread: f64,
    /// How far published points cover it there.
    pub coverage: Coverage,
}

/// How published points cover a place on the zero-bias line.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum Coverage {
    /// Published zero-bias points reach this current.
    Covered,
    /// Published zero-bias points end at this current (A), below the one asked for.
    BeyondCurrent(f64),
    /// Nothing is published at zero bias: the nearest point has its plate this many times as high.
    BelowPoints(f64),
}

impl Fit {
    /// The zero-bias line at `amps` (A, above zero); `None` where the law does not reach that current.
    pub fn zero_bias(&self, amps: f64) -> Option<ZeroBias> {
        let volts = triode::plate_volts(&self.law, amps, 0.0).filter(|v| *v > 0.0)?;
        Some(ZeroBias {
            amps,
            volts,
            spread: self.spread_of_zero_bias(amps, volts),
            coverage: self.coverage(volts, amps),
        })
    }

    fn spread_of_zero_bias(&self, amps: f64, volts: f64) -> f64 {
        let at = coefficients_of(&self.law);
        let step = 1e-5;
        let mut gradient = Vector6::zeros();
        for k in 0..6 {
            let (mut up, mut down) = (at, at);
            up[k] += step;
            down[k] -= step;
            let log = |p: &Vector6<f64>| {
                triode::plate_volts(&law_of(p), amps, 0.0).map_or(0.0, |v| (v / volts).ln())
            };
            gradient[k] = (log(&up) - log(&down)) / (2.0 * step);
        }
        (gradient.transpose() * self.covariance * gradient)[0]
            .max(0.0)
            .sqrt()
    }

    fn coverage(&self, volts: f64, amps: f64) -> Coverage {
        let at_zero = self
            .points
            .iter()
            .filter(|p| p.grid.0.abs() <= NEAR_ZERO * p.plate.0 / self.law.mu);
        match at_zero.map(|p| p.current.0).reduce(f64::max) {
            // A tenth of the current more is no leap.
            Some(end) if amps <= 1.1 * end => Coverage::Covered,
            Some(end) => Coverage::BeyondCurrent(end),
            None => {
                let nearest = self.points.iter().map(|p| p.plate.0).reduce(f64::min);
                Coverage::BelowPoints(nearest.unwrap_or(volts) / volts)
            }
        }
    }
}
