//! A band that is known at a few currents, along a line that is known at many.

use crate::bench::odds::{Band, BandAt};
use crate::physics::envelope::{Curve, Envelope};
use crate::physics::limit::Limit;

/// The dropout line of the supply as described, at present mains (A, V, rising in current); empty where it is not known.
pub fn dropout_line(envelope: &Envelope) -> &[[f64; 2]] {
    let line = (envelope.limits.iter()).find(|line| line.limit == Limit::Dropout);
    match line.map(|line| &line.at_low_present_high[1]) {
        Some(Curve::Ceiling(points)) => points,
        _ => &[],
    }
}

/// The band at every point of a line (A, V, rising in current) between the first and the last current at which the band is known: its
/// distances from the line change evenly in between, so that it has the line's bends. Nothing held counts as 0 V. Without such a line
/// it is the band as it is known.
pub fn along(line: &[[f64; 2]], known: &[BandAt]) -> Vec<BandAt> {
    let off: Vec<(f64, [f64; 3])> = (known.iter())
        .filter_map(|at| {
            let volts = volts_at(line, at.amps)?;
            let Band { low, middle, high } = at.band;
            Some((at.amps, [low, middle, high].map(|end| end - volts)))
        })
        .collect();
    if off.len() < 2 {
        return known.to_vec();
    }
    let mut amps: Vec<f64> = line.iter().map(|[amps, _]| *amps).collect();
    amps.extend(off.iter().map(|(amps, _)| *amps));
    amps.sort_by(f64::total_cmp);
    amps.dedup();
    amps.into_iter()
        .filter_map(|amps| {
            let volts = volts_at(line, amps)?;
            let pair = off.windows(2).find(|pair| match pair {
                [(from, _), (to, _)] => (*from..=*to).contains(&amps),
                _ => false,
            })?;
            let [(from, first), (to, second)] = pair else {
                return None;
            };
            let share = (amps - from) / (to - from);
            let mut band = [0.0; 3];
            for (end, (a, b)) in band.iter_mut().zip(first.iter().zip(second)) {
                *end = (volts + a + share * (b - a)).max(0.0);
            }
            let [low, middle, high] = band;
            Some(BandAt {
                amps,
                band: Band { low, middle, high },
            })
        })
        .collect()
}

/// Between the points of a line; `None` beyond its ends.
fn volts_at(line: &[[f64; 2]], amps: f64) -> Option<f64> {
    line.windows(2).find_map(|pair| {
        let [[from, a], [to, b]] = pair else {
            return None;
        };
        if !(*from..=*to).contains(&amps) || to <= from {
            return None;
        }
        Some(a + (amps - from) / (to - from) * (b - a))
    })
}

#[cfg(test)]
mod tests {
    use super::*;

    fn at(amps: f64, [low, middle, high]: [f64; 3]) -> BandAt {
        BandAt {
            amps,
            band: Band { low, middle, high },
        }
    }

    /// By hand: a line bent at 1 A, a band 10 V either side at its start and 20 V at its end, and none held at all at 2 A.
    #[test]
    fn a_band_has_the_bends_of_its_line() {
        let line = [[0.0, 100.0], [1.0, 40.0], [2.0, 20.0]];
        let known = [at(0.0, [90.0, 100.0, 110.0]), at(2.0, [0.0, 20.0, 40.0])];
        let found = along(&line, &known);
        assert_eq!(found.len(), 3);
        for (got, want) in found.iter().zip([
            at(0.0, [90.0, 100.0, 110.0]),
            at(1.0, [25.0, 40.0, 55.0]),
            at(2.0, [0.0, 20.0, 40.0]),
        ]) {
            for (a, b) in [
                (got.amps, want.amps),
                (got.band.low, want.band.low),
                (got.band.middle, want.band.middle),
                (got.band.high, want.band.high),
            ] {
                assert!((a - b).abs() < 1e-12, "{got:?} {want:?}");
            }
        }
        // Beyond the line's end nothing is made up, and below nothing no output goes.
        let wide = [at(0.5, [0.0, 70.0, 90.0]), at(3.0, [0.0, 0.0, 0.0])];
        assert_eq!(along(&line, &wide), wide);
        let deep = [at(0.0, [0.0, 50.0, 110.0]), at(2.0, [0.0, 20.0, 40.0])];
        assert!(along(&line, &deep).iter().all(|at| at.band.low >= 0.0));
        assert_eq!(along(&[], &known), known);
    }
}
