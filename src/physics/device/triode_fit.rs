//! The triode law fitted to what is published of a tube: points of the plate family and µ, rp, gm.
//!
//! Least squares over relative errors by Levenberg–Marquardt (the library's). Where the published figures leave a
//! coefficient open, weak expectations hold it near what such tubes have (common practice, no source): an
//! exponent of 1.5, knees that matter only near cut-off.

use levenberg_marquardt::{LeastSquaresProblem, LevenbergMarquardt};
use nalgebra::{DMatrix, DVector, Dyn, Owned, U5, Vector5};

use crate::parts::TriodeCoefficients;
use crate::parts::pass_stage::{PlatePoint, SmallSignal};
use crate::physics::device::triode;

/// A fitted law and how far it is from each published figure.
#[derive(Debug, Clone, PartialEq)]
pub struct Fit {
    /// The law.
    pub law: TriodeCoefficients,
    /// Current of the law at each point (A).
    pub amps_at_points: Vec<f64>,
}

/// Why no law could be fitted.
#[derive(Debug, Clone, Copy, PartialEq, Eq, thiserror::Error)]
pub enum FitError {
    /// Nothing says how much current flows.
    #[error("a point with plate volts, grid volts and a current")]
    NoPoint,
    /// Neither µ nor a second grid voltage: the grid's effect is unknown.
    #[error("the amplification factor, or points at two grid voltages")]
    NoGridEffect,
    /// The figures contradict each other or are not a triode's.
    #[error("published figures that agree with each other")]
    NoAgreement,
}

struct Data<'a> {
    points: &'a [PlatePoint],
    small_signal: &'a [SmallSignal],
    /// How well a point can be read along the plate volts (V).
    reading_volts: f64,
    /// Weight of each point.
    weights: Vec<f64>,
    expected: Vector5<f64>,
    at: Vector5<f64>,
}

/// Coefficients as ln µ, x, ln kg1, ln kp, ln kvb: all stay positive.
fn law_of(p: &Vector5<f64>) -> TriodeCoefficients {
    TriodeCoefficients {
        mu: p[0].exp(),
        exponent: p[1],
        kg1: p[2].exp(),
        kp: p[3].exp(),
        kvb: p[4].exp(),
    }
}

/// Weights of the expectations: how far (in the fit's own units) one weighs as much as a 1 % error of a point... per unit.
const EXPECTED_SPREAD: [f64; 5] = [1.0, 0.15, 3.0, 0.8, 2.0];
/// Reading accuracy of a current, relative; of plate volts as a share of the largest published; of a small-signal figure.
const POINT_SPREAD: f64 = 0.02;
const VOLTS_SPREAD: f64 = 0.011;
const FIGURE_SPREAD: f64 = 0.12;
/// Rounds in which the points that are missed most get more weight: a family is judged by its largest miss.
const ROUNDS: u32 = 4;

impl Data<'_> {
    /// How far the law is from each point, in units of what can be read off a curve along both axes.
    fn misses(&self, law: &TriodeCoefficients) -> Vec<f64> {
        let miss = |point: &PlatePoint| {
            let amps = triode::plate_amps(law, point.plate.0, point.grid.0);
            let (_, plate_resistance, _) = triode::small_signal(law, point.plate.0, point.grid.0);
            let by_volts = self.reading_volts / plate_resistance.max(1.0);
            (amps - point.current.0) / (POINT_SPREAD * point.current.0).hypot(by_volts)
        };
        self.points.iter().map(miss).collect()
    }

    fn residuals_at(&self, p: &Vector5<f64>) -> DVector<f64> {
        let law = law_of(p);
        let mut out = Vec::with_capacity(self.points.len() + 3 * self.small_signal.len() + 5);
        out.extend(
            self.misses(&law)
                .iter()
                .zip(&self.weights)
                .map(|(miss, weight)| weight * miss),
        );
        for figure in self.small_signal {
            let (gm, rp, mu) = triode::small_signal(&law, figure.plate.0, figure.grid.0);
            let mut compare = |got: f64, want: Option<f64>| {
                if let Some(want) = want {
                    out.push((got.max(1e-12) / want).ln() / FIGURE_SPREAD);
                }
            };
            compare(mu, figure.mu);
            compare(rp, figure.plate_resistance.map(|r| r.0));
            compare(gm, figure.transconductance.map(|g| g.0));
        }
        for ((value, expected), spread) in p.iter().zip(self.expected.iter()).zip(EXPECTED_SPREAD) {
            out.push((value - expected) / spread);
        }
        DVector::from_vec(out)
    }
}

impl LeastSquaresProblem<f64, Dyn, U5> for Data<'_> {
    type ParameterStorage = Owned<f64, U5>;
    type ResidualStorage = Owned<f64, Dyn>;
    type JacobianStorage = Owned<f64, Dyn, U5>;

    fn set_params(&mut self, x: &Vector5<f64>) {
        self.at = *x;
    }

    fn params(&self) -> Vector5<f64> {
        self.at
    }

    fn residuals(&self) -> Option<DVector<f64>> {
        let r = self.residuals_at(&self.at);
        r.iter().all(|v| v.is_finite()).then_some(r)
    }

    fn jacobian(&self) -> Option<nalgebra::Matrix<f64, Dyn, U5, Self::JacobianStorage>> {
        let rows = self.residuals_at(&self.at).len();
        let mut columns = DMatrix::zeros(rows, 5);
        for k in 0..5 {
            let h = 1e-6;
            let (mut up, mut down) = (self.at, self.at);
            up[k] += h;
            down[k] -= h;
            columns.set_column(
                k,
                &((self.residuals_at(&up) - self.residuals_at(&down)) / (2.0 * h)),
            );
        }
        let fixed = columns.fixed_columns::<5>(0).into_owned();
        fixed.iter().all(|v| v.is_finite()).then_some(fixed)
    }
}

/// Fits the law.
///
/// # Errors
/// What would have to be known besides, see [`FitError`].
pub fn fit(points: &[PlatePoint], small_signal: &[SmallSignal]) -> Result<Fit, FitError> {
    let usable: Vec<&PlatePoint> = points
        .iter()
        .filter(|p| p.plate.0 > 0.0 && p.current.0 > 0.0)
        .collect();
    let anchor = usable
        .iter()
        .copied()
        .max_by(|a, b| a.current.0.total_cmp(&b.current.0))
        .ok_or(FitError::NoPoint)?;
    let mu = amplification(&usable, small_signal).ok_or(FitError::NoGridEffect)?;
    let most_volts = usable.iter().map(|p| p.plate.0).fold(0.0, f64::max);
    let mut best: Option<(f64, Vector5<f64>)> = None;
    for knee in [3.0, 10.0, 30.0] {
        let kp = knee * mu;
        let shape = TriodeCoefficients {
            mu,
            exponent: 1.5,
            kg1: 1.0,
            kp,
            kvb: 300.0,
        };
        let kg1 = triode::plate_amps(&shape, anchor.plate.0, anchor.grid.0) / anchor.current.0;
        if !(kg1.is_finite() && kg1 > 0.0) {
            continue;
        }
        let data = Data {
            points,
            small_signal,
            reading_volts: VOLTS_SPREAD * most_volts,
            weights: vec![1.0; points.len()],
            expected: Vector5::new(mu.ln(), 1.5, kg1.ln(), (10.0 * mu).ln(), 300.0_f64.ln()),
            at: Vector5::new(mu.ln(), 1.5, kg1.ln(), kp.ln(), 300.0_f64.ln()),
        };
        let (error, at) = minimize(data);
        if error.is_finite() && best.as_ref().is_none_or(|(least, _)| error < *least) {
            best = Some((error, at));
        }
    }
    let (_, found) = best.ok_or(FitError::NoAgreement)?;
    let law = law_of(&found);
    let finite = [law.mu, law.exponent, law.kg1, law.kp, law.kvb]
        .iter()
        .all(|v| v.is_finite() && *v > 0.0);
    if !finite || !(0.8..=2.5).contains(&law.exponent) {
        return Err(FitError::NoAgreement);
    }
    let amps_at_points = points
        .iter()
        .map(|p| triode::plate_amps(&law, p.plate.0, p.grid.0))
        .collect();
    Ok(Fit {
        law,
        amps_at_points,
    })
}

/// Least squares, again with more weight on what is missed most; the remaining error and the coefficients.
fn minimize(mut data: Data<'_>) -> (f64, Vector5<f64>) {
    for _ in 0..ROUNDS {
        (data, _) = LevenbergMarquardt::new().minimize(data);
        let misses = data.misses(&law_of(&data.at));
        let largest = misses.iter().fold(0.0, |most: f64, m| most.max(m.abs()));
        if largest <= 0.0 {
            break;
        }
        for (weight, miss) in data.weights.iter_mut().zip(&misses) {
            *weight *= (0.3 + (miss / largest) * (miss / largest)).sqrt();
        }
        let mean = data.weights.iter().sum::<f64>() / data.weights.len().max(1) as f64;
        data.weights.iter_mut().for_each(|w| *w /= mean);
    }
    let unweighted = Data {
        weights: vec![1.0; data.weights.len()],
        ..data
    };
    (
        unweighted.residuals_at(&unweighted.at).norm_squared(),
        unweighted.at,
    )
}

/// A first amplification factor: published, or from two points of like current at different grid volts.
fn amplification(points: &[&PlatePoint], small_signal: &[SmallSignal]) -> Option<f64> {
    let published = small_signal.iter().find_map(|s| {
        s.mu.or_else(|| Some(s.plate_resistance?.0 * s.transconductance?.0))
    });
    if let Some(mu) = published.filter(|m| m.is_finite() && *m > 0.0) {
        return Some(mu);
    }
    let mut ratios: Vec<f64> = Vec::new();
    for (k, a) in points.iter().enumerate() {
        for b in points.iter().skip(k + 1) {
            let alike = (a.current.0 / b.current.0).ln().abs() < 0.3;
            let ratio = (a.plate.0 - b.plate.0) / (b.grid.0 - a.grid.0);
            if alike && ratio.is_finite() && ratio > 0.0 {
                ratios.push(ratio);
            }
        }
    }
    ratios.sort_by(f64::total_cmp);
    ratios.get(ratios.len() / 2).copied()
}
