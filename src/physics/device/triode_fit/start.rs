//! Where the search for a law starts: coefficients from a few lines of arithmetic over the published figures.

use nalgebra::Vector6;

use crate::parts::pass_stage::{PlatePoint, SmallSignal};
use crate::parts::{TriodeCoefficients, Volts};
use crate::physics::device::triode;
use crate::physics::device::triode_fit::coefficients_of;
use crate::physics::device::triode_fit::refusal::numbers;

/// A start, and what is expected where nothing is published: ln µ, x, ln kg1, ln kp, ln kvb, grid offset.
#[derive(Debug, Clone, Copy)]
pub(super) struct Start {
    pub(super) from: Vector6<f64>,
    pub(super) expected: Vector6<f64>,
}

/// The exponent of space charge and what the knees usually are (kp in units of µ).
const EXPONENT: f64 = 1.5;
const KNEE: f64 = 10.0;
/// Volts², common practice, no source: from 300 for low amplification factors to some thousand for high ones.
const KVB: f64 = 1000.0;
/// Of oxide cathodes (common practice, no source).
const CONTACT_POTENTIAL: Volts = Volts(0.6);
/// Between a power triode and a voltage amplifier.
const ANY_MU: f64 = 10.0;

/// Several starts with this amplification factor, each through the point with the most current.
pub(super) fn points(mu: f64, points: &[PlatePoint]) -> Vec<Start> {
    let anchor = points
        .iter()
        .max_by(|a, b| a.current.0.total_cmp(&b.current.0));
    let through = |exponent: f64, knee: f64| {
        let shape = TriodeCoefficients {
            mu,
            exponent,
            kg1: 1.0,
            kp: knee * mu,
            kvb: KVB,
            grid_offset: CONTACT_POTENTIAL,
        };
        let anchor = anchor?;
        let kg1 = triode::plate_amps(&shape, anchor.plate.0, anchor.grid.0) / anchor.current.0;
        let law = TriodeCoefficients { kg1, ..shape };
        (kg1.is_finite() && kg1 > 0.0).then(|| coefficients_of(&law))
    };
    let mut starts = Vec::new();
    for (exponent, knee) in [(1.5, 3.0), (1.5, 10.0), (1.5, 30.0), (1.1, 10.0)] {
        if let (Some(from), Some(usual)) = (through(exponent, knee), through(EXPONENT, knee)) {
            let mut expected = usual;
            expected[3] = (KNEE * mu).ln();
            starts.push(Start { from, expected });
        }
    }
    starts
}

/// A first amplification factor: published, or from two grid voltages, or from how steep the tube is at its current.
pub(super) fn amplification(points: &[PlatePoint], small_signal: &[SmallSignal]) -> Option<f64> {
    let published = small_signal.iter().find_map(|s| {
        let (mu, rp, gm) = numbers(s);
        mu.or_else(|| Some(rp? * gm?))
    });
    published
        .or_else(|| from_like_currents(points))
        .or_else(|| from_all_points(points))
        .or_else(|| from_steepness(points, small_signal))
        .filter(|mu| mu.is_finite() && (0.1..1e4).contains(mu))
}

/// Two points of like current: µ is the plate volts that make up for a grid volt.
fn from_like_currents(points: &[PlatePoint]) -> Option<f64> {
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

/// With points at two grid voltages: least squares of `I^(2/3) = a·Va + b·Vg`, the three-halves law; µ = b/a.
fn from_all_points(points: &[PlatePoint]) -> Option<f64> {
    let first = points.first()?.grid;
    if points.iter().all(|p| p.grid == first) {
        return None;
    }
    // Points that no three-halves law fits get any start: the fit then says which of them is far off.
    let [mut pp, mut pg, mut gg, mut pi, mut gi] = [0.0; 5];
    for point in points {
        let (plate, grid) = (point.plate.0, point.grid.0);
        let root = point.current.0.cbrt();
        let effective = root * root;
        pp += plate * plate;
        pg += plate * grid;
        gg += grid * grid;
        pi += plate * effective;
        gi += grid * effective;
    }
    let (a, b) = (pi * gg - gi * pg, gi * pp - pi * pg);
    let mu = b / a;
    Some(if (0.5..200.0).contains(&mu) {
        mu
    } else {
        ANY_MU
    })
}

/// With rp or gm at a point whose current is known: by the three-halves law gm = 1.5·I/E and rp = µ/gm, with
/// E = Va/µ + Vg.
fn from_steepness(points: &[PlatePoint], small_signal: &[SmallSignal]) -> Option<f64> {
    small_signal.iter().find_map(|figures| {
        let point = points
            .iter()
            .find(|p| p.plate == figures.plate && p.grid == figures.grid)?;
        let (plate, grid, amps) = (point.plate.0, point.grid.0, point.current.0);
        let mu = match numbers(figures) {
            (_, _, Some(gm)) => plate / (EXPONENT * amps / gm - grid),
            (_, Some(rp), None) => (EXPONENT * amps * rp - plate) / grid,
            _ => return None,
        };
        (mu.is_finite() && mu > 0.0).then_some(mu)
    })
}
