//! The triode law fitted to what is published of a tube: points of the plate family and µ, rp, gm.
//!
//! Least squares over relative errors by Levenberg–Marquardt (the library's), from several starts. Where the published
//! figures leave a coefficient open, weak expectations hold it near what such tubes have (common practice, no source):
//! an exponent of 1.5, knees that matter only near cut-off, the grid offset of contact potential. With one point and µ, rp, gm at it the law goes through
//! that point with these figures; with a family of points the points outvote the figures.

mod family;
mod misread;
mod refusal;
mod start;
mod zero_bias;

use levenberg_marquardt::{LeastSquaresProblem, LevenbergMarquardt};
use nalgebra::{DMatrix, DVector, Dyn, Matrix6, Owned, U6, Vector6};

use crate::parts::pass_stage::{PlatePoint, SmallSignal};
use crate::parts::{TriodeCoefficients, Volts};
use crate::physics::device::triode;

pub use family::{Curve, Family};
pub use refusal::FitError;
pub use zero_bias::{Coverage, ZeroBias};

/// A fitted law, how far it is from each published figure, and how sure it is.
#[derive(Debug, Clone, PartialEq)]
pub struct Fit {
    /// The law.
    pub law: TriodeCoefficients,
    /// The points it was fitted to.
    pub points: Vec<PlatePoint>,
    /// How far the law is from each point.
    pub misses: Vec<PointMiss>,
    /// What the law gives in place of each set of µ, rp, gm.
    pub figures: Vec<FigureMiss>,
    /// Covariance of ln µ, x, ln kg1, ln kp, ln kvb and the offset (V).
    covariance: Matrix6<f64>,
}

/// How far a law is from a point.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct PointMiss {
    /// Current of the law at the point's volts (A).
    pub law_amps: f64,
    /// That current less the published one, as a share of it.
    pub relative: f64,
    /// Plate volts at which the law has the published current, less the published ones (V); none if it never has it.
    pub volts_off: Option<f64>,
}

/// Small-signal figures of a law at a point where some are published.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct FigureMiss {
    /// Amplification factor.
    pub mu: f64,
    /// Plate resistance (Ω).
    pub plate_resistance: f64,
    /// Transconductance (S).
    pub transconductance: f64,
}

struct Data<'a> {
    points: &'a [PlatePoint],
    small_signal: &'a [SmallSignal],
    /// How well a point can be read along the plate volts (V).
    reading_volts: f64,
    /// Accuracy of a figure, relative.
    figure_spread: f64,
    /// How far the grid offset may be from the expected one (V).
    offset_spread: f64,
    /// Weight of each point.
    weights: Vec<f64>,
    expected: Vector6<f64>,
    at: Vector6<f64>,
}

/// The law of ln µ, x, ln kg1, ln kp, ln kvb and the offset: so all but that stay positive.
fn law_of(p: &Vector6<f64>) -> TriodeCoefficients {
    TriodeCoefficients {
        mu: p[0].exp(),
        exponent: p[1],
        kg1: p[2].exp(),
        kp: p[3].exp(),
        kvb: p[4].exp(),
        grid_offset: Volts(p[5]),
    }
}

/// ln µ, x, ln kg1, ln kp, ln kvb and the offset of a law.
fn coefficients_of(law: &TriodeCoefficients) -> Vector6<f64> {
    Vector6::new(
        law.mu.ln(),
        law.exponent,
        law.kg1.ln(),
        law.kp.ln(),
        law.kvb.ln(),
        law.grid_offset.0,
    )
}

/// Weights of the expectations: this far (in the fit's own units) one weighs as much as a point that is missed by its
/// reading accuracy.
const EXPECTED_SPREAD: [f64; 5] = [1.0, 0.15, 3.0, 0.55, 2.0];
/// Of the grid offset (V), where its expected value stands: contact potentials of oxide cathodes are within 0.5 to 0.8 V.
const OFFSET_SPREAD: f64 = 0.1;
/// Reading accuracy of a current, relative; of plate volts as a share of the largest published.
const POINT_SPREAD: f64 = 0.02;
const VOLTS_SPREAD: f64 = 0.011;
/// Accuracy of a published µ, rp or gm beside one point: makers print two figures. Of n points each may outvote it, so
/// that it is multiplied by √n: where a whole family is known, the law's own shape cannot follow both.
const FIGURE_SPREAD: f64 = 0.04;
/// Curves, and points on each, that decide the grid offset.
const CURVES: usize = 2;
const ON_A_CURVE: usize = 3;
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

    fn residuals_at(&self, p: &Vector6<f64>) -> DVector<f64> {
        let law = law_of(p);
        let mut out = Vec::with_capacity(self.points.len() + 3 * self.small_signal.len() + 6);
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
                    out.push((got.max(1e-12) / want).ln() / self.figure_spread);
                }
            };
            compare(mu, figure.mu);
            compare(rp, figure.plate_resistance.map(|r| r.0));
            compare(gm, figure.transconductance.map(|g| g.0));
        }
        let spreads = EXPECTED_SPREAD.into_iter().chain([self.offset_spread]);
        for ((value, expected), spread) in p.iter().zip(self.expected.iter()).zip(spreads) {
            out.push((value - expected) / spread);
        }
        DVector::from_vec(out)
    }
}

/// How far the grid offset may be from that of contact potential (V).
///
/// Curves decide it: [`CURVES`] grid voltages with [`ON_A_CURVE`] points each say how steep the tube is at each current, and with that
/// how far it is from cut-off, whatever its grid's pin reads. It is then as free as the grid volts are. Single points with µ, rp and gm
/// leave it open, and makers print their bias to half a volt.
fn offset_spread(points: &[PlatePoint]) -> f64 {
    let alike = |a: &PlatePoint| points.iter().filter(|b| b.grid == a.grid).count();
    let mut grids: Vec<f64> = (points.iter().filter(|p| alike(p) >= ON_A_CURVE))
        .map(|p| p.grid.0)
        .collect();
    grids.sort_by(f64::total_cmp);
    grids.dedup();
    if grids.len() < CURVES {
        return OFFSET_SPREAD;
    }
    let deepest = points.iter().map(|p| p.grid.0.abs()).fold(0.0, f64::max);
    deepest.max(OFFSET_SPREAD)
}

impl<'a> Data<'a> {
    /// The problem that starts at `at`, where also the expectations are.
    fn of(points: &'a [PlatePoint], small_signal: &'a [SmallSignal], at: start::Start) -> Self {
        let most_volts = points.iter().map(|p| p.plate.0).fold(0.0, f64::max);
        Self {
            points,
            small_signal,
            reading_volts: VOLTS_SPREAD * most_volts,
            figure_spread: FIGURE_SPREAD * (points.len().max(1) as f64).sqrt(),
            offset_spread: offset_spread(points),
            weights: vec![1.0; points.len()],
            expected: at.expected,
            at: at.from,
        }
    }

    /// Covariance of the coefficients: all residuals are in units of their accuracy, so it is (JᵀJ)⁻¹, more if the
    /// residuals are larger than their accuracy explains. `error` is their sum of squares; each coefficient takes one of them up.
    fn covariance(&self, error: f64) -> Option<Matrix6<f64>> {
        let jacobian = self.jacobian()?;
        let free = jacobian.nrows().saturating_sub(jacobian.ncols()).max(1);
        let excess = (error / free as f64).max(1.0);
        let normal: Matrix6<f64> = jacobian.tr_mul(&jacobian);
        normal
            .try_inverse()
            .map(|inverse| inverse * excess)
            .filter(|c| c.iter().all(|v| v.is_finite()))
    }
}

impl LeastSquaresProblem<f64, Dyn, U6> for Data<'_> {
    type ParameterStorage = Owned<f64, U6>;
    type ResidualStorage = Owned<f64, Dyn>;
    type JacobianStorage = Owned<f64, Dyn, U6>;

    fn set_params(&mut self, x: &Vector6<f64>) {
        self.at = *x;
    }

    fn params(&self) -> Vector6<f64> {
        self.at
    }

    fn residuals(&self) -> Option<DVector<f64>> {
        let r = self.residuals_at(&self.at);
        r.iter().all(|v| v.is_finite()).then_some(r)
    }

    fn jacobian(&self) -> Option<nalgebra::Matrix<f64, Dyn, U6, Self::JacobianStorage>> {
        let rows = self.residuals_at(&self.at).len();
        let mut columns = DMatrix::zeros(rows, 6);
        for k in 0..6 {
            let h = 1e-6;
            let (mut up, mut down) = (self.at, self.at);
            up[k] += h;
            down[k] -= h;
            columns.set_column(
                k,
                &((self.residuals_at(&up) - self.residuals_at(&down)) / (2.0 * h)),
            );
        }
        let fixed = columns.fixed_columns::<6>(0).into_owned();
        fixed.iter().all(|v| v.is_finite()).then_some(fixed)
    }
}

/// Fits the law. Points without current are no part of it, but must not contradict it.
///
/// # Errors
/// What would have to be known besides, or what cannot be a triode, see [`FitError`].
pub fn fit(points: &[PlatePoint], small_signal: &[SmallSignal]) -> Result<Fit, FitError> {
    let conducting: Vec<usize> = (0..points.len())
        .filter(|k| points.get(*k).is_some_and(|p| !refusal::is_idle(p)))
        .collect();
    let counted: Vec<PlatePoint> = points
        .iter()
        .filter(|p| !refusal::is_idle(p))
        .cloned()
        .collect();
    if let Some(fault) = refusal::contradiction(points, small_signal) {
        // One slip can look like a fall, a pentode or a whole family astray: say which number it is, if one.
        let misread = refusal::may_be_misread(&fault)
            .then(|| misread::misread(&counted, small_signal, &fault))
            .flatten();
        return Err(misread.map_or(fault, |fault| fault.among(&conducting)));
    }
    let fit = attempt(&counted, small_signal, Effort::Whole).map_err(|fault| {
        let misread = misread::misread(&counted, small_signal, &fault);
        let fallen = || refusal::falling(&counted, refusal::LITTLE);
        misread.or_else(fallen).unwrap_or(fault).among(&conducting)
    })?;
    refusal::awake(points, &fit).map_or(Ok(fit), Err)
}

/// How long a law is sought.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
enum Effort {
    /// As long as it takes.
    Whole,
    /// Just enough to see whether points belong together.
    Glance,
}

/// Fits the law to points that all conduct.
fn attempt(
    points: &[PlatePoint],
    small_signal: &[SmallSignal],
    effort: Effort,
) -> Result<Fit, FitError> {
    if let Some(fault) = refusal::contradiction(points, small_signal) {
        return Err(fault);
    }
    let mu = start::amplification(points, small_signal).ok_or(FitError::NoGridEffect)?;
    let mut best: Option<(f64, Data<'_>)> = None;
    for at in start::points(mu, points) {
        let data = minimize(Data::of(points, small_signal, at), effort);
        let error = data.residuals_at(&data.at).norm_squared();
        if error.is_finite() && best.as_ref().is_none_or(|(least, _)| error < *least) {
            best = Some((error, data));
        }
    }
    let (error, found) = best.ok_or(FitError::NoAgreement)?;
    let law = law_of(&found.at);
    let finite = [law.mu, law.exponent, law.kg1, law.kp, law.kvb]
        .iter()
        .all(|v| v.is_finite() && *v > 0.0);
    if !finite || !law.grid_offset.0.is_finite() {
        return Err(FitError::NoAgreement);
    }
    let fit = Fit {
        law,
        points: points.to_vec(),
        misses: points.iter().map(|p| miss(&law, p)).collect(),
        figures: small_signal.iter().map(|s| figures(&law, s)).collect(),
        covariance: found.covariance(error).ok_or(FitError::NoAgreement)?,
    };
    match refusal::far_off(points, &fit.misses) {
        Some(fault) => Err(fault),
        None if (0.6..=2.5).contains(&law.exponent) => Ok(fit),
        None => Err(FitError::NoAgreement),
    }
}

fn miss(law: &TriodeCoefficients, point: &PlatePoint) -> PointMiss {
    let law_amps = triode::plate_amps(law, point.plate.0, point.grid.0);
    PointMiss {
        law_amps,
        relative: law_amps / point.current.0 - 1.0,
        volts_off: triode::plate_volts(law, point.current.0, point.grid.0)
            .map(|volts| volts - point.plate.0),
    }
}

fn figures(law: &TriodeCoefficients, at: &SmallSignal) -> FigureMiss {
    let (transconductance, plate_resistance, mu) = triode::small_signal(law, at.plate.0, at.grid.0);
    FigureMiss {
        mu,
        plate_resistance,
        transconductance,
    }
}

impl Fit {
    /// The two points whose currents are most in the wrong order, by more than curves are read amiss, with the share by which the
    /// second falls short of the first though its volts are no less.
    pub fn wrong_order(&self) -> Option<(&PlatePoint, &PlatePoint, f64)> {
        refusal::most_fallen(&self.points).and_then(|(first, second, by)| {
            Some((self.points.get(first)?, self.points.get(second)?, by))
        })
    }

    /// The power at the hottest of the points (W), and which it is.
    pub fn hottest(&self) -> Option<(f64, &PlatePoint)> {
        let watts = |p: &PlatePoint| p.plate.0 * p.current.0;
        let hottest = self
            .points
            .iter()
            .max_by(|a, b| watts(a).total_cmp(&watts(b)))?;
        Some((watts(hottest), hottest))
    }
}

/// Least squares, again with more weight on what is missed most; the weights of the result are even again.
fn minimize(mut data: Data<'_>, effort: Effort) -> Data<'_> {
    let search = match effort {
        Effort::Whole => LevenbergMarquardt::new(),
        Effort::Glance => LevenbergMarquardt::new().with_patience(8),
    };
    let rounds = match effort {
        Effort::Whole => ROUNDS,
        Effort::Glance => 1,
    };
    for _ in 0..rounds {
        (data, _) = search.minimize(data);
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
    data.weights.fill(1.0);
    data
}
