//! What a change of the supply does: the answers of two variants side by side, and which part did it.

pub mod supply_part;

use crate::bench::change::supply_part::SupplyPart;
use crate::bench::load_line::LoadLine;
use crate::parts::{Dummy, Supply};
use crate::physics::envelope::{Curve, Envelope, Point};
use crate::physics::limit::{self, Absent, Judged, Limit, OperatingPoint, Use};
use crate::physics::model::Model;
use crate::physics::operation::Case;
use crate::physics::steady_state::operate;

/// Smaller relative differences are rounding, not a change.
const SAME: f64 = 1e-6;

/// One variant with its answers; `point` of both variants is at the same place.
#[derive(Debug, Clone, Copy)]
pub struct Variant<'a> {
    /// The supply.
    pub model: &'a Model,
    /// Its envelope.
    pub envelope: &'a Envelope,
    /// Everything known at the point.
    pub point: &'a Point,
    /// The dummy loads at hand.
    pub dummies: &'a [Dummy],
    /// One for each of them.
    pub load_lines: &'a [LoadLine],
}

impl<'a> Variant<'a> {
    /// Its parts.
    pub fn supply(&self) -> &'a Supply {
        &self.model.supply
    }
}

/// Something known before and after; `None` where a variant has no such number.
#[derive(Debug, Clone, Copy, PartialEq, Default)]
pub struct Pair<T> {
    /// In the earlier variant.
    pub before: Option<T>,
    /// In the later one.
    pub after: Option<T>,
}

impl Pair<f64> {
    /// Change relative to the larger of the two (0 to 1); 1 if only one of them is there.
    pub fn size(&self) -> f64 {
        match (self.before, self.after) {
            (Some(before), Some(after)) => {
                let largest = before.abs().max(after.abs());
                if largest > 0.0 {
                    (after - before).abs() / largest
                } else {
                    0.0
                }
            }
            (None, None) => 0.0,
            _ => 1.0,
        }
    }

    /// True if there is a difference beyond rounding.
    pub fn differs(&self) -> bool {
        self.size() > SAME
    }
}

/// A number of the supply that is no limit.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub enum Quantity {
    /// Highest instant of the bus with nothing on the terminals, at high mains (V).
    BusNoLoad,
    /// Mean of the bus at the point, present mains (V).
    BusMean,
    /// Lowest instant of the bus at the point, present mains (V).
    BusTrough,
    /// Peak-to-peak ripple of the bus at the point, present mains (V).
    BusRipple,
    /// Highest volts that are still regulated at the point's current, present mains (V).
    Dropout,
    /// Peak current of one rectifier device at the point, present mains (A).
    RectifierPeak,
    /// Rms current of the winding at the point, present mains (A).
    WindingRms,
    /// Lowest volts allowed at the point's current (V).
    LeastVolts,
    /// Highest volts allowed at the point's current (V).
    HighestVolts,
    /// Largest current of the envelope (A).
    LargestCurrent,
    /// Area of the envelope in the plane (V·A).
    Area,
}

impl Quantity {
    /// All of them, in the order of the signal path.
    pub const ALL: [Self; 11] = [
        Self::BusNoLoad,
        Self::BusMean,
        Self::BusTrough,
        Self::BusRipple,
        Self::RectifierPeak,
        Self::WindingRms,
        Self::Dropout,
        Self::LeastVolts,
        Self::HighestVolts,
        Self::LargestCurrent,
        Self::Area,
    ];
}

/// What became of a limit at the point.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub enum Turn {
    /// It was kept and is now exceeded.
    NewlyBroken,
    /// It was exceeded and is now kept.
    NewlyAllowed,
    /// It was exceeded and still is.
    StillBroken,
    /// It was kept and still is.
    StillKept,
    /// It was judged, and with the other part its rating is not known: neither broken nor mended.
    NoLongerJudged,
    /// Its rating was not known, and now it is judged.
    NowJudged,
}

/// A limit before and after.
#[derive(Debug, Clone, PartialEq)]
pub struct LimitChange {
    /// Which limit.
    pub limit: Limit,
    /// Its use at the point; `None` where it is not known or does not exist.
    pub judged: Pair<Judged>,
    /// Where its boundary is: amperes of a wall, volts of a ceiling or floor at the point's current.
    pub bound: Pair<f64>,
    /// What became of it.
    pub turn: Turn,
    /// The parts that alone would turn it, the strongest first; empty if only all changes together do, or
    /// nothing was turned.
    pub turned_by: Vec<SupplyPart>,
}

impl LimitChange {
    /// Use before and after.
    pub fn ratio(&self) -> Pair<f64> {
        Pair {
            before: self.judged.before.map(|j| j.ratio),
            after: self.judged.after.map(|j| j.ratio),
        }
    }
}

/// How far a dummy load is good, before and after. Only dummies that both variants have.
#[derive(Debug, Clone, PartialEq)]
pub struct DummyChange {
    /// The dummy.
    pub dummy: Dummy,
    /// Lowest volts of its first good stretch.
    pub from_volts: Pair<f64>,
    /// Highest volts of its last good stretch.
    pub to_volts: Pair<f64>,
}

/// Everything that differs between two variants.
#[derive(Debug, Clone, PartialEq)]
pub struct Comparison {
    /// Where (A, V).
    pub at: [f64; 2],
    /// The parts that differ, in the order of the signal path.
    pub parts: Vec<SupplyPart>,
    /// Numbers that are no limits, all of [`Quantity::ALL`].
    pub quantities: Vec<(Quantity, Pair<f64>)>,
    /// All limits of both variants, in the order of the signal path.
    pub limits: Vec<LimitChange>,
    /// The dummy loads of both.
    pub dummies: Vec<DummyChange>,
}

/// Sets two variants side by side.
pub fn compare(before: &Variant<'_>, after: &Variant<'_>) -> Comparison {
    let parts = supply_part::differing_parts(before.supply(), after.supply());
    let mut kinds = limit::all(before.supply());
    kinds.extend(
        limit::all(after.supply())
            .into_iter()
            .filter(|l| !limit::all(before.supply()).contains(l)),
    );
    let limits = kinds
        .into_iter()
        .map(|kind| limit_change(kind, before, after, &parts))
        .collect();
    Comparison {
        at: [after.point.amps, after.point.volts],
        quantities: Quantity::ALL
            .into_iter()
            .map(|what| {
                let pair = Pair {
                    before: quantity(what, before),
                    after: quantity(what, after),
                };
                (what, pair)
            })
            .collect(),
        limits,
        dummies: dummies(before, after),
        parts,
    }
}

fn quantity(what: Quantity, of: &Variant<'_>) -> Option<f64> {
    let operation = of.point.operation.as_ref();
    let allowed = || of.envelope.allowed_volts(of.point.amps);
    match what {
        Quantity::BusNoLoad => of
            .envelope
            .column(Case::High)
            .map(|c| c.no_load.operation.bus.crest_volts),
        Quantity::BusMean => operation.map(|o| o.bus.mean_volts),
        Quantity::BusTrough => operation.map(|o| o.bus.trough_volts),
        Quantity::BusRipple => operation.map(|o| o.bus.ripple_volts()),
        Quantity::Dropout => operation.and_then(|o| of.model.dropout_volts(Case::Present, o)),
        Quantity::RectifierPeak => operation.map(|o| o.rectifier.peak_amps),
        Quantity::WindingRms => {
            operation.and_then(|o| of.model.winding_rms_amps(Case::Present, o).ok())
        }
        Quantity::LeastVolts => allowed().map(|[least, _]| least),
        Quantity::HighestVolts => allowed().map(|[_, highest]| highest),
        Quantity::LargestCurrent => Some(of.envelope.region.last().map_or(0.0, |r| r[0])),
        Quantity::Area => Some(area(&of.envelope.region)),
    }
}

/// Area of a region (V·A), by trapezia.
pub(in crate::bench) fn area(region: &[[f64; 3]]) -> f64 {
    region
        .iter()
        .zip(region.iter().skip(1))
        .map(|(a, b)| 0.5 * (b[0] - a[0]) * ((a[2] - a[1]) + (b[2] - b[1])))
        .sum()
}

fn limit_change(
    kind: Limit,
    before: &Variant<'_>,
    after: &Variant<'_>,
    parts: &[SupplyPart],
) -> LimitChange {
    let judged = Pair {
        before: judged(kind, before),
        after: judged(kind, after),
    };
    let over = |j: Option<Judged>| j.is_some_and(|j| j.ratio > 1.0);
    let open = |of: &Variant<'_>| is_open(kind, of.supply(), of.point);
    let turn = match (over(judged.before), over(judged.after)) {
        _ if judged.before.is_some() && open(after) => Turn::NoLongerJudged,
        _ if judged.after.is_some() && open(before) => Turn::NowJudged,
        (false, true) => Turn::NewlyBroken,
        (true, false) => Turn::NewlyAllowed,
        (true, true) => Turn::StillBroken,
        (false, false) => Turn::StillKept,
    };
    let turned_by = match turn {
        Turn::NewlyBroken | Turn::NewlyAllowed => turned_by(kind, turn, [before, after], parts),
        Turn::StillBroken | Turn::StillKept | Turn::NoLongerJudged | Turn::NowJudged => Vec::new(),
    };
    LimitChange {
        limit: kind,
        judged,
        bound: Pair {
            before: bound(kind, before),
            after: bound(kind, after),
        },
        turn,
        turned_by,
    }
}

/// True where it is not known whether a limit is kept: it is not judged at the point, or is not listed because its rating is not
/// published.
pub fn is_open(kind: Limit, supply: &Supply, point: &Point) -> bool {
    match point.uses.iter().find(|one| one.limit == kind) {
        // Where the bus collapses nothing is judged, for another reason.
        Some(one) => one.judged.is_err() && point.operation.is_some(),
        None => !limit::all(supply).contains(&kind) && kind.row().absent == Absent::NotKnown,
    }
}

/// Limits that are judged at one point and left open at the other, in the order of the signal path.
pub fn left_open(before: &Point, after: &Point, supply: &Supply) -> Vec<Limit> {
    let judged = before.uses.iter().filter(|one| one.judged.is_ok());
    let mut all: Vec<Limit> = judged
        .map(|one| one.limit)
        .filter(|kind| is_open(*kind, supply, after))
        .collect();
    all.sort();
    all
}

fn judged(kind: Limit, of: &Variant<'_>) -> Option<Judged> {
    of.point
        .uses
        .iter()
        .find(|u: &&Use| u.limit == kind)
        .and_then(|u| u.judged.ok())
}

fn bound(kind: Limit, of: &Variant<'_>) -> Option<f64> {
    let line = of.envelope.limits.iter().find(|l| l.limit == kind)?;
    match &line.curve {
        Curve::Wall(amps) => Some(*amps),
        curve @ (Curve::Ceiling(_) | Curve::Floor(_)) => curve.volts_at(of.point.amps),
        Curve::Everywhere(_) | Curve::OutOfReach | Curve::NotKnown(_) => None,
    }
}

/// The parts that turn a limit when put alone into the earlier variant, the strongest first. With only one
/// differing part there is nothing to find out.
fn turned_by(
    kind: Limit,
    turn: Turn,
    pair: [&Variant<'_>; 2],
    parts: &[SupplyPart],
) -> Vec<SupplyPart> {
    if let [only] = parts {
        return vec![*only];
    }
    let [before, after] = pair;
    let Some(case) = judged(kind, after)
        .or_else(|| judged(kind, before))
        .map(|j| j.case)
    else {
        return Vec::new();
    };
    let mut alone: Vec<(f64, SupplyPart)> = parts
        .iter()
        .filter_map(|part| {
            let mut supply = before.supply().clone();
            part.put(after.supply(), &mut supply);
            let model = after.model.changed(&supply).ok()?;
            let ratio = ratio_of(kind, &model, case, [after.point.amps, after.point.volts])?;
            let turns = (turn == Turn::NewlyBroken) == (ratio > 1.0);
            turns.then_some((ratio, *part))
        })
        .collect();
    alone.sort_by(|a, b| b.0.total_cmp(&a.0));
    if turn == Turn::NewlyAllowed {
        alone.reverse();
    }
    alone.into_iter().map(|(_, part)| part).collect()
}

/// Use of one limit of a supply in one case at a point (A, V).
fn ratio_of(kind: Limit, model: &Model, case: Case, [amps, volts]: [f64; 2]) -> Option<f64> {
    let allowed = limit::allowed(kind, &model.supply).ok()?.value;
    let operation = operate(&model.raw, case, amps).ok()?;
    let point = OperatingPoint {
        model,
        case,
        operation: &operation,
        volts,
    };
    let [actual, allowed] = kind.figures(point, allowed).ok()?;
    Some(limit::ratio(kind, actual, allowed))
}

fn dummies(before: &Variant<'_>, after: &Variant<'_>) -> Vec<DummyChange> {
    let ends = |line: Option<&LoadLine>| {
        let good = line.filter(|l| l.broken_everywhere.is_empty());
        let from = good.and_then(|l| l.stretches.first()).map(|s| s.from[1]);
        let to = good.and_then(|l| l.stretches.last()).map(|s| s.to[1]);
        (from, to)
    };
    let mut changes = Vec::new();
    for (place, dummy) in after.dummies.iter().enumerate() {
        let Some(earlier) = before.dummies.iter().position(|d| d == dummy) else {
            continue;
        };
        let (from_before, to_before) = ends(before.load_lines.get(earlier));
        let (from_after, to_after) = ends(after.load_lines.get(place));
        changes.push(DummyChange {
            dummy: dummy.clone(),
            from_volts: Pair {
                before: from_before,
                after: from_after,
            },
            to_volts: Pair {
                before: to_before,
                after: to_after,
            },
        });
    }
    changes
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::parts::catalogue::{Catalogue, presets};
    use crate::parts::file::read_checked;
    use crate::parts::{SecondaryVolts, Volts, WindingVolts};
    use crate::physics::envelope::envelope;

    fn laboratory() -> Supply {
        let preset = |p: &&(&str, &str)| p.0 == "school-laboratory.ron";
        let (_, text) = presets().iter().find(preset).unwrap();
        read_checked(text, &Catalogue::built_in()).unwrap()
    }

    /// One tube burns a little more than it may. A second one takes half of it, a lower winding a fifth: either mends it, the second
    /// tube by more, though the winding comes first in the signal path. The other way round it takes both to break it.
    #[test]
    fn of_two_parts_that_turn_a_limit_the_stronger_comes_first() {
        let mut bad = laboratory();
        bad.pass_stage.units = 1;
        bad.transformer.winding = WindingVolts::OpenCircuit(SecondaryVolts::One(Volts(310.0)));
        let mut good = laboratory();
        good.transformer.winding = WindingVolts::OpenCircuit(SecondaryVolts::One(Volts(250.0)));
        let at = [0.08, 10.0];
        let worked_out = |supply: &Supply| {
            let model = Model::of(supply).unwrap();
            let envelope = envelope(&model).unwrap();
            let point = envelope.point(&model, at[0], at[1]).unwrap();
            (model, envelope, point)
        };
        let [bad, good] = [worked_out(&bad), worked_out(&good)];
        let variant = |of: &'static str| {
            let (model, envelope, point) = if of == "bad" { &bad } else { &good };
            Variant {
                model,
                envelope,
                point,
                dummies: &[],
                load_lines: &[],
            }
        };
        for (before, after, turn, by) in [
            (
                "bad",
                "good",
                Turn::NewlyAllowed,
                &[SupplyPart::PassUnits, SupplyPart::WindingVolts][..],
            ),
            ("good", "bad", Turn::NewlyBroken, &[]),
        ] {
            let comparison = compare(&variant(before), &variant(after));
            let mut limits = comparison.limits.iter();
            let burnt = limits.find(|l| l.limit == Limit::PlateDissipation).unwrap();
            assert_eq!((burnt.turn, burnt.turned_by.as_slice()), (turn, by));
        }
    }
}
