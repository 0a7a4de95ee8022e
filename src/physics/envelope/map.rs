//! How near the tightest limit is, everywhere in the plane, from the columns that are solved already.
//!
//! At one current every use is a straight line in the output volts (the output range's lower end aside), so a limit is
//! kept as level and slope at each current of the grid. Between the currents both go straight over the square root of
//! the current, as the bus does. The tightest is only looked for at the end: its kinks stay sharp.

use rayon::prelude::*;

use crate::parts::Stage;
use crate::physics::envelope::{Column, Envelope};
use crate::physics::limit::{self, Bound, Edge, Limit, OperatingPoint, Shape, Unloaded};
use crate::physics::model::Model;

/// Which limits count.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum Counted {
    /// All that are known.
    All,
    /// Those whose use depends on where the point is: not those judged with nothing on the terminals.
    MovedByThePoint,
}

/// The use of a limit that is straight in the output volts: `level + slope·volts`.
#[derive(Debug, Clone, PartialEq)]
struct LinearUse {
    limit: Limit,
    /// Level (of what is allowed) and slope (of it, per V) at each current of the grid, as far as it was solved.
    at: Vec<[f64; 2]>,
}

/// A limit of the regulator, whose use is no straight line in the volts: at each current of the grid, over even steps of the
/// output volts.
#[derive(Debug, Clone, PartialEq)]
struct SampledUse {
    limit: Limit,
    /// What is had and what is allowed at each step, at each current.
    at: Vec<[[f64; 2]; VOLT_STEPS]>,
}

/// Steps of the output volts: some tens of volts each.
const VOLT_STEPS: usize = 17;

/// The uses of all known limits over the plane.
#[derive(Debug, Clone, PartialEq)]
pub struct MarginMap {
    /// Currents of the grid, rising (A).
    amps: Vec<f64>,
    linear: Vec<LinearUse>,
    sampled: Vec<SampledUse>,
    /// Output volts of the last step of those that are sampled (V).
    sampled_top: f64,
    /// Lower end of the output range, if above zero (V).
    set_low: Option<f64>,
    /// Uses that are the same everywhere.
    everywhere: Vec<(Limit, f64)>,
}

impl MarginMap {
    /// The tightest limit at an output current (A) and voltage (V) with its `actual / allowed`; `None` if none is known
    /// there or the current lies outside the grid.
    pub fn tightest(&self, counted: Counted, amps: f64, volts: f64) -> Option<(Limit, f64)> {
        self.at_current(counted, amps)?.tightest(volts)
    }

    /// The same as numbers: at each current of a region (A, V, V), in even steps from its lowest to its highest volts.
    /// 0 where nothing is known.
    pub fn grid(&self, counted: Counted, region: &[[f64; 3]], rows: usize) -> Vec<Vec<f64>> {
        region
            .par_iter()
            .map(|&[amps, low, high]| {
                let here = self.at_current(counted, amps);
                let used = |volts: f64| here.as_ref()?.tightest(volts);
                (0..rows)
                    .map(|row| {
                        let share = row as f64 / (rows.max(2) - 1) as f64;
                        used(low + share * (high - low)).map_or(0.0, |(_, ratio)| ratio)
                    })
                    .collect()
            })
            .collect()
    }

    /// What is known at one output current (A), between its neighbours in the grid; `None` outside.
    fn at_current(&self, counted: Counted, amps: f64) -> Option<AtCurrent> {
        let (place, share) = self.place(amps)?;
        let between =
            |[a, b]: [f64; 2], [c, d]: [f64; 2]| [a + share * (c - a), b + share * (d - b)];
        let linear = self.linear.iter().filter_map(|one| {
            let (here, next) = (*one.at.get(place)?, *one.at.get(place + 1)?);
            Some((one.limit, between(here, next)))
        });
        let sampled = self.sampled.iter().filter_map(|one| {
            let (here, next) = (one.at.get(place)?, one.at.get(place + 1)?);
            let mut steps = *here;
            for (step, next) in steps.iter_mut().zip(next) {
                *step = between(*step, *next);
            }
            Some((one.limit, one.limit.row().bound, steps))
        });
        let everywhere = (self.everywhere.iter())
            .filter(|_| counted == Counted::All)
            .copied()
            .reduce(|a, b| if b.1 > a.1 { b } else { a });
        Some(AtCurrent {
            linear: linear.collect(),
            sampled: sampled.collect(),
            sampled_top: self.sampled_top,
            everywhere,
            set_low: (self.set_low).map(|low| (low, Limit::SetRangeLow.row().bound)),
        })
    }

    /// Interval of the grid and share of the way through it.
    fn place(&self, amps: f64) -> Option<(usize, f64)> {
        let (first, last) = (self.amps.first()?, self.amps.last()?);
        if !(*first..=*last).contains(&amps) {
            return None;
        }
        let next = self
            .amps
            .partition_point(|a| *a <= amps)
            .clamp(1, self.amps.len().saturating_sub(1).max(1));
        let (from, to) = (*self.amps.get(next - 1)?, *self.amps.get(next)?);
        let share = (amps.sqrt() - from.sqrt()) / (to.sqrt() - from.sqrt());
        Some((next - 1, share.clamp(0.0, 1.0)))
    }
}

/// The uses of all known limits at one output current.
struct AtCurrent {
    /// Level and slope of each.
    linear: Vec<(Limit, [f64; 2])>,
    sampled: Vec<(Limit, Bound, [[f64; 2]; VOLT_STEPS])>,
    sampled_top: f64,
    everywhere: Option<(Limit, f64)>,
    set_low: Option<(f64, Bound)>,
}

impl AtCurrent {
    /// The tightest limit at an output voltage (V).
    fn tightest(&self, volts: f64) -> Option<(Limit, f64)> {
        let linear = (self.linear.iter())
            .map(|(limit, [level, slope])| (*limit, (level + slope * volts).max(0.0)));
        let step = (volts / self.sampled_top).clamp(0.0, 1.0) * (VOLT_STEPS - 1) as f64;
        // A number of steps, below their count.
        let row = (0..VOLT_STEPS - 1).rfind(|k| *k as f64 <= step);
        let sampled = self.sampled.iter().filter_map(|(limit, bound, steps)| {
            let row = row?;
            let ([had, allowed], [had_above, allowed_above]) =
                (*steps.get(row)?, *steps.get(row + 1)?);
            let up = step - row as f64;
            let had = had + up * (had_above - had);
            Some((
                *limit,
                bound.ratio(had, allowed + up * (allowed_above - allowed)),
            ))
        });
        let set_low =
            (self.set_low).map(|(low, bound)| (Limit::SetRangeLow, bound.ratio(volts, low)));
        linear
            .chain(sampled)
            .chain(self.everywhere)
            .chain(set_low)
            .reduce(|a, b| if b.1 > a.1 { b } else { a })
    }
}

/// How the use of one limit is kept in the map.
enum LimitUse {
    Linear(LinearUse),
    Sampled(SampledUse),
    Everywhere(Option<(Limit, f64)>),
    SetLow(f64),
}

/// The map of a supply whose envelope this is.
pub fn margin_map(envelope: &Envelope, model: &Model) -> MarginMap {
    let supply = &model.supply;
    let mut map = MarginMap {
        amps: envelope.amps.clone(),
        linear: Vec::new(),
        sampled: Vec::new(),
        sampled_top: supply.output.set_high.0,
        set_low: None,
        everywhere: Vec::new(),
    };
    let uses: Vec<Option<LimitUse>> = limit::all(supply)
        .into_par_iter()
        .map(|limit| limit_use(envelope, model, limit))
        .collect();
    for one in uses.into_iter().flatten() {
        match one {
            LimitUse::Linear(linear) => map.linear.push(linear),
            LimitUse::Sampled(sampled) => map.sampled.push(sampled),
            LimitUse::Everywhere(worst) => map
                .everywhere
                .extend(worst.map(|(limit, ratio)| (limit, limit.nearness(ratio)))),
            LimitUse::SetLow(volts) => map.set_low = Some(volts),
        }
    }
    map
}

/// The use of a limit; `None` where what it allows is not known.
fn limit_use(envelope: &Envelope, model: &Model, limit: Limit) -> Option<LimitUse> {
    let rated = limit::allowed(limit, &model.supply).ok()?;
    let (allowed, system) = (rated.value, rated.system);
    if limit == Limit::SetRangeLow {
        return Some(LimitUse::SetLow(allowed));
    }
    let columns: Vec<&Column> = limit::judging_cases(limit, system)
        .iter()
        .filter_map(|case| envelope.column(*case))
        .collect();
    if limit.is_no_load() {
        let worst = columns
            .iter()
            .filter_map(|column| {
                let unloaded = Unloaded {
                    model,
                    case: column.case,
                    no_load: &column.no_load,
                };
                limit.unloaded(unloaded)?.ok()
            })
            .map(|actual| limit::ratio(limit, actual, allowed))
            .reduce(f64::max);
        return Some(LimitUse::Everywhere(worst.map(|ratio| (limit, ratio))));
    }
    if !is_straight(limit, model) {
        let at = (0..envelope.amps.len())
            .map_while(|place| {
                let all = columns
                    .iter()
                    .filter_map(|c| samples(model, limit, allowed, c, place));
                // By the middle: lines of different mains hardly cross.
                let ratio = |s: &[[f64; 2]; VOLT_STEPS]| {
                    let [actual, allowed] = s[VOLT_STEPS / 2];
                    limit::ratio(limit, actual, allowed)
                };
                all.reduce(|a, b| if ratio(&b) > ratio(&a) { b } else { a })
            })
            .collect();
        return Some(LimitUse::Sampled(SampledUse { limit, at }));
    }
    let at = (0..envelope.amps.len())
        .map_while(|place| {
            columns
                .iter()
                .filter_map(|column| level_and_slope(model, limit, allowed, column, place))
                .reduce(|a, b| if b[0] > a[0] { b } else { a })
        })
        .collect();
    Some(LimitUse::Linear(LinearUse { limit, at }))
}

/// True where the use of a limit goes straight with the output volts: not what the regulator bears or draws, nor volts whose sign does
/// not count.
fn is_straight(limit: Limit, model: &Model) -> bool {
    let is_sought = matches!(
        limit.shape(&model.supply),
        Shape::Ceiling(Edge::Sought(_)) | Shape::Floor(Edge::Sought(_))
    );
    // What a regulator draws through the pass tubes rises with the output, so their drop and their watts go along a curve.
    let by_pass_current = matches!(
        limit,
        Limit::Dropout
            | Limit::PlateDissipation
            | Limit::ScreenDissipation
            | Limit::EnvelopeDissipation
    );
    let is_bent = by_pass_current && model.supply.regulator.is_some();
    limit.stage() != Stage::Regulator && !is_sought && !is_bent
}

/// What is had and what is allowed over the steps of the output volts.
fn samples(
    model: &Model,
    limit: Limit,
    allowed: f64,
    column: &Column,
    place: usize,
) -> Option<[[f64; 2]; VOLT_STEPS]> {
    let operation = column.operations.get(place)?;
    let top = model.supply.output.set_high.0;
    let mut out = [[0.0; 2]; VOLT_STEPS];
    for (k, step) in out.iter_mut().enumerate() {
        let point = OperatingPoint {
            model,
            case: column.case,
            operation,
            volts: top * k as f64 / (VOLT_STEPS - 1) as f64,
        };
        *step = limit.at_point(point, allowed)?.ok()?;
    }
    Some(out)
}

/// Use at 0 V and its change per volt; `None` where it is not known or that case has collapsed.
fn level_and_slope(
    model: &Model,
    limit: Limit,
    allowed: f64,
    column: &Column,
    place: usize,
) -> Option<[f64; 2]> {
    let at = |volts: f64| {
        Some(OperatingPoint {
            model,
            case: column.case,
            operation: column.operations.get(place)?,
            volts,
        })
    };
    let [at_zero, allowed] = limit.at_point(at(0.0)?, allowed)?.ok()?;
    let actual = |volts: f64| {
        let [actual, _] = limit.at_point(at(volts)?, allowed)?.ok()?;
        Some(actual)
    };
    let level = at_zero / allowed;
    // Straight in the volts: a hundred of them give the slope without loss of figures.
    let slope = (actual(100.0)? / allowed - level) / 100.0;
    Some([level, slope])
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::parts::catalogue::{Catalogue, presets};
    use crate::parts::file;
    use crate::physics::envelope::envelope;

    /// Shares of the plane like random ones, but the same on every run: the golden ratio and its square, from any start.
    fn scattered(k: u32) -> [f64; 2] {
        [0.618_033_988_75, 0.754_877_666_25].map(|step| (0.5 + f64::from(k) * step).fract())
    }

    #[test]
    fn the_map_says_what_the_point_says_within_half_a_per_cent() {
        for (name, text) in presets() {
            let supply = file::read(text, &Catalogue::built_in()).unwrap();
            let model = Model::of(&supply).unwrap();
            let envelope = envelope(&model).unwrap();
            let map = margin_map(&envelope, &model);
            let (end, top) = (
                envelope.region.last().map_or(0.1, |r| r[0]),
                supply.output.set_high.0,
            );
            for k in 0..60 {
                let [across, up] = scattered(k);
                let (amps, volts) = (across * end, up * top);
                let point = envelope.point(&model, amps, volts).unwrap();
                for counted in [Counted::All, Counted::MovedByThePoint] {
                    let want = point
                        .uses
                        .iter()
                        .filter(|u| counted == Counted::All || !u.limit.is_no_load())
                        .find_map(|u| Some((u.limit, u.ratio()?)))
                        .unwrap();
                    let got = map.tightest(counted, amps, volts).unwrap();
                    assert!(
                        (got.1 / want.1 - 1.0).abs() < 5e-3,
                        "{name} {counted:?} at {amps} A, {volts} V: got {got:?} want {want:?}"
                    );
                }
            }
        }
    }

    #[test]
    fn outside_the_grid_nothing_is_said() {
        let (_, text) = presets()[0];
        let supply = file::read(text, &Catalogue::built_in()).unwrap();
        let model = Model::of(&supply).unwrap();
        let map = margin_map(&envelope(&model).unwrap(), &model);
        for amps in [-0.1, 1e6, f64::NAN] {
            assert_eq!(map.tightest(Counted::All, amps, 100.0), None);
        }
    }
}
