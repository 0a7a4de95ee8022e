//! The curve family of a fitted law, over the range that its points span.

use crate::physics::device::triode;
use crate::physics::device::triode_fit::Fit;

/// Curves at most, the zero-bias line among them.
const MOST: f64 = 9.0;
/// Grid voltages of points that get curves of their own at most.
const FEW: usize = 3;
/// Points of one curve.
const POINTS: u32 = 60;

/// One curve of plate current over plate volts.
#[derive(Debug, Clone, PartialEq)]
pub struct Curve {
    /// Grid volts.
    pub grid: f64,
    /// Plate volts and current (V, A), from where it begins to conduct.
    pub points: Vec<[f64; 2]>,
}

/// Curves at even steps of grid volts and through points that are few, the zero-bias line first.
#[derive(Debug, Clone, PartialEq)]
pub struct Family {
    /// Right end of the plate volts (V).
    pub plate_volts: f64,
    /// Upper end of the current (A).
    pub amps: f64,
    /// The curves.
    pub curves: Vec<Curve>,
}

impl Fit {
    /// The family, a quarter beyond the published points.
    pub fn family(&self) -> Family {
        let most = |of: fn(&crate::parts::pass_stage::PlatePoint) -> f64| {
            self.points.iter().map(of).fold(0.0, f64::max)
        };
        let plate_volts = 1.25 * most(|p| p.plate.0);
        let amps = 1.4 * most(|p| p.current.0);
        // Curves that are cut off all the way teach nothing: the last step stands at the deepest published bias.
        let deepest = most(|p| -p.grid.0);
        let deepest = if deepest > 0.0 {
            deepest
        } else {
            0.6 * plate_volts / self.law.mu
        };
        let own = self.own_grids();
        let step = nice_step(deepest / (MOST - 1.0 - own.len() as f64));
        let mut grids = own;
        let mut steps = 0_u32;
        while f64::from(steps) * step <= deepest * 1.000_001 {
            let grid = -f64::from(steps) * step;
            if steps == 0 || grids.iter().all(|own| (own - grid).abs() > 0.4 * step) {
                grids.push(grid);
            }
            steps += 1;
        }
        grids.sort_by(|a, b| b.total_cmp(a));
        let curves = grids
            .into_iter()
            .map(|grid| Curve {
                grid,
                points: self.curve(grid, plate_volts, amps),
            })
            .collect();
        Family {
            plate_volts,
            amps,
            curves,
        }
    }

    /// Grid volts of the points, if they are so few that each may have its curve; those above zero and at it have none
    /// of their own.
    fn own_grids(&self) -> Vec<f64> {
        let mut grids: Vec<f64> = self.points.iter().map(|p| p.grid.0).collect();
        grids.retain(|grid| *grid < 0.0);
        grids.sort_by(f64::total_cmp);
        grids.dedup();
        grids.truncate(if grids.len() <= FEW { FEW } else { 0 });
        grids
    }

    /// One curve as far as both ends of the axes (V, A).
    fn curve(&self, grid: f64, plate_volts: f64, amps: f64) -> Vec<[f64; 2]> {
        // Even steps of the current's root: the curve is drawn finely where it bends.
        (0..=POINTS)
            .filter_map(|k| {
                let share = f64::from(k) / f64::from(POINTS);
                let at = (amps * share * share).max(amps * 1e-4);
                triode::plate_volts(&self.law, at, grid).map(|volts| [volts, at])
            })
            .take_while(|[volts, _]| *volts <= 1.02 * plate_volts)
            .collect()
    }
}

/// The next of 1, 2, 5, 10 … from `least` on.
fn nice_step(least: f64) -> f64 {
    let mut step = 1e-3;
    for _ in 0..8 {
        for factor in [1.0, 2.0, 5.0] {
            if step * factor >= least {
                return step * factor;
            }
        }
        step *= 10.0;
    }
    least
}

#[cfg(test)]
mod tests {
    use crate::parts::PlateCharacteristic;
    use crate::parts::catalogue::Catalogue;
    use crate::physics::device::triode_fit::fit;

    #[test]
    fn a_family_spans_its_points_and_every_curve_rises() {
        for tube in Catalogue::built_in().pass_tubes {
            let PlateCharacteristic::Published {
                points,
                small_signal,
            } = &tube.characteristic
            else {
                continue;
            };
            let family = fit(points, small_signal).unwrap().family();
            assert!(
                (2..=9).contains(&family.curves.len()),
                "{}: {} curves",
                tube.name,
                family.curves.len()
            );
            assert!(family.curves[0].grid.abs() < 1e-12);
            for curve in &family.curves {
                for pair in curve.points.windows(2) {
                    assert!(
                        pair[1][0] >= pair[0][0] && pair[1][1] >= pair[0][1],
                        "{}",
                        tube.name
                    );
                }
            }
            for point in points {
                assert!(point.plate.0 < family.plate_volts && point.current.0 < family.amps);
            }
        }
    }
}
