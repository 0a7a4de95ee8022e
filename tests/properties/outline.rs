//! The outline of the envelope against what its supply's own points say, and the uses on the way from one point to another: over
//! sane supplies and over wide ones, whose ratings and parts fit each other no better than chance.

use proptest::collection::vec;
use proptest::option;
use proptest::prelude::*;
use proptest::sample::select;
use sagline::parts::catalogue::Catalogue;
use sagline::parts::check::check;
use sagline::parts::{
    Fraction, HeaterTie, Ohms, Rating, RatingSystem, SeriesElement, Supply, TubeRatings, VoltAmps,
    Volts, Watts,
};
use sagline::physics::envelope::Point;
use sagline::physics::limit::{self, OperatingPoint};
use sagline::physics::{Case, Envelope, Limit, Model, envelope};

use crate::regulator::regulated;
use crate::supplies::{spread, supply};
use crate::{cases, fault, no_case};

/// Numbers over six decades, from which a wide supply is made.
type Factors = Vec<f64>;

fn scaled<T: Clone>(rating: &mut Option<Rating<T>>, by: f64, value: fn(&mut T) -> &mut f64) {
    if let Some(rating) = rating {
        *value(&mut rating.value) *= by;
    }
}

/// A supply whose ratings, losses and tolerances were each multiplied by something.
fn widened(mut supply: Supply, by: &Factors, [heater, tight]: [u8; 2]) -> Supply {
    let factors = std::cell::RefCell::new(by.iter().copied());
    let next = || factors.borrow_mut().next().unwrap_or(1.0);
    // A rating of current: where one of them is the tight one, the others are out of the way.
    let rated = |which: u8| match tight {
        0 => next(),
        _ if tight == which => next().cbrt(),
        _ => 100.0,
    };
    // Parts within a decade either way, ratings within three.
    let part = |factor: f64| factor.cbrt();
    scaled(&mut supply.transformer.winding_rating, rated(1), |v| {
        &mut v.0
    });
    supply.transformer.primary_resistance.0 *= part(next());
    supply.transformer.secondary_resistance.0 *= part(next());
    supply.transformer.auxiliary = VoltAmps(0.0);
    let kind = &mut supply.rectifier.kind;
    let by = rated(2);
    scaled(&mut kind.peak_current, by, |v| &mut v.0);
    scaled(&mut kind.dc_current, by * next().min(1.0), |v| &mut v.0);
    supply.filter.internal_current.0 *= part(next());
    if let Some(bleeder) = &mut supply.filter.bleeder {
        bleeder.0 *= part(next());
    }
    for section in &mut supply.filter.sections {
        match &mut section.series {
            SeriesElement::Resistor(ohms) => ohms.0 *= part(next()),
            SeriesElement::Choke {
                inductance, rating, ..
            } => {
                inductance.0 *= part(next());
                scaled(rating, rated(3), |v| &mut v.0);
            }
        }
    }
    for stack in supply.filter.stacks_mut() {
        stack.unit.0 *= part(next());
        stack.tolerance = Fraction((0.1 * part(next())).min(0.5));
        scaled(&mut stack.ripple_current, next(), |v| &mut v.0);
    }
    let stage = &mut supply.pass_stage;
    scaled(&mut stage.tube.ratings.plate_dissipation, rated(4), |v| {
        &mut v.0
    });
    scaled(&mut stage.tube.ratings.plate_volts, part(next()), |v| {
        &mut v.0
    });
    scaled(&mut stage.tube.plate_current, rated(5), |v| &mut v.0);
    stage.cathode_resistor.0 *= part(next());
    stage.plate_resistor = Ohms(10.0 * part(next()));
    stage.tube_spread = (next() > 0.1).then_some(Fraction(0.2));
    // A spread that is given counts instead of the imbalance, from which the grid of currents is estimated.
    stage.imbalance = Fraction(if next() > 0.1 { 1.0 } else { 0.1 });
    stage.tube.ratings = TubeRatings {
        heater_cathode: Some(Rating::own(
            Volts(90.0 * part(next())),
            RatingSystem::DesignMaximum,
        )),
        ..stage.tube.ratings.clone()
    };
    let unit_watts = stage.tube.ratings.plate_dissipation.as_ref();
    let watts = unit_watts.map_or(20.0, |rating| rating.value.0) * part(next()).max(1.0);
    stage.tube.envelope_dissipation =
        (next() > 10.0).then_some(Rating::own(Watts(watts), RatingSystem::AbsoluteMaximum));
    stage.heater = match heater {
        0 => None,
        1 => Some(HeaterTie::Cathode),
        2 => Some(HeaterTie::Common),
        _ => Some(HeaterTie::Elevated(Volts(30.0 * part(next())))),
    };
    let output = &mut supply.output;
    output.meter_shunt.0 *= part(next());
    output.set_low = Volts((5.0 * part(next()) - 5.0).clamp(0.0, 0.5 * output.set_high.0));
    if let Some(regulator) = &mut supply.regulator {
        scaled(
            &mut regulator.control_tube.ratings.plate_volts,
            part(next()),
            |v| &mut v.0,
        );
        regulator.plate_load.0 *= part(next());
    }
    supply
}

/// A supply with a regulator or without, sane or wide.
fn any_supply() -> impl Strategy<Value = Supply> {
    let sane = || prop_oneof![supply().boxed(), regulated().boxed()];
    let factors = vec(spread(1e-3, 1e3), 40);
    // The sane ones have a law for every tube and three kinds of rectifier; the catalogue's have what their makers publish.
    let catalogue = Catalogue::built_in();
    let types = (
        option::of(select(catalogue.pass_tubes)),
        option::of(select(catalogue.rectifiers)),
    );
    let wide = (sane(), types, factors, [0..4_u8, 0..6_u8]).prop_map(
        |(mut supply, (tube, kind), factors, choices)| {
            if let Some(tube) = tube {
                supply.pass_stage.tube = tube;
            }
            if let Some(kind) = kind {
                supply.rectifier.kind = kind;
            }
            widened(supply, &factors, choices)
        },
    );
    prop_oneof![1 => sane().boxed(), 3 => wide.boxed()]
}

/// A supply with its envelope, if it is accepted and has one.
fn drawn(supply: &Supply) -> Option<(Model, Envelope)> {
    if !check(supply).is_empty() {
        return None;
    }
    let model = Model::of(supply).ok()?;
    let envelope = envelope(&model).ok()?;
    (!envelope.region.is_empty()).then_some((model, envelope))
}

/// True if none of the limits that depend on the point is exceeded there.
fn holds(point: &Point) -> bool {
    let mut moved = point.uses.iter().filter(|u| !u.limit.is_no_load());
    point.operation.is_some() && moved.all(|u| u.ratio().is_none_or(|ratio| ratio <= 1.0))
}

/// Points just within and just beyond the outline (A, V): an accuracy away, which is that of the lines in the plane.
fn beside_the_outline(envelope: &Envelope, places: &[f64]) -> [Vec<[f64; 2]>; 2] {
    let (mut within, mut beyond) = (Vec::new(), Vec::new());
    let (Some(&[first, ..]), Some(&[last, low, high])) =
        (envelope.region.first(), envelope.region.last())
    else {
        return [within, beyond];
    };
    let off = |volts: f64| (3e-3 * volts).max(0.2);
    for place in places {
        let amps = first + place * (last - first);
        let Some([low, high]) = envelope.allowed_volts(amps) else {
            continue;
        };
        beyond.push([amps, high + off(high)]);
        if low > off(low) {
            beyond.push([amps, low - off(low)]);
        }
        if high - low > 2.0 * off(high) {
            within.extend([[amps, high - off(high)], [amps, low + off(low)]]);
        }
    }
    // Beyond the end nothing is allowed at any volts.
    for volts in [low, 0.5 * (low + high), high] {
        beyond.push([1.003 * last, volts]);
    }
    [within, beyond]
}

/// A point within the outline (A, V).
fn in_the_plane(envelope: &Envelope, along: f64, up: f64) -> [f64; 2] {
    let (first, last) = (
        envelope.region.first().map_or(0.0, |r| r[0]),
        envelope.region.last().map_or(0.0, |r| r[0]),
    );
    let amps = first + along * (last - first);
    let [low, high] = envelope.allowed_volts(amps).unwrap_or([0.0; 2]);
    [amps, low + up * (high - low)]
}

/// A use may change by so much over so much of the way.
const CHANGE: f64 = 0.05;
const OF_THE_WAY: f64 = 1e-3;

/// The use of each limit that depends on the point, at its place `k` of the grid; nothing where one is exceeded, for that is
/// outside.
fn uses_at(envelope: &Envelope, model: &Model, k: usize, volts: f64) -> Vec<(Limit, f64)> {
    let mut found = Vec::new();
    for limit in limit::all(&model.supply) {
        let Ok(rated) = limit::allowed(limit, &model.supply) else {
            continue;
        };
        let ratio_in = |case: Case| {
            let operation = envelope.column(case)?.operations.get(k)?;
            let point = OperatingPoint {
                model,
                case,
                operation,
                volts,
            };
            let [actual, allowed] = limit.at_point(point, rated.value)?.ok()?;
            Some(limit::ratio(limit, actual, allowed))
        };
        let cases = limit::judging_cases(limit, rated.system).iter();
        match cases.filter_map(|case| ratio_in(*case)).reduce(f64::max) {
            Some(ratio) if ratio > 1.0 => return Vec::new(),
            Some(ratio) => found.push((limit, ratio)),
            None => {}
        }
    }
    found
}

/// The most that a use of both changes, and of which limit.
fn most_changed(before: &[(Limit, f64)], after: &[(Limit, f64)]) -> Option<(Limit, f64)> {
    let change = |(limit, a): &(Limit, f64)| {
        let (_, b) = after.iter().find(|(other, _)| other == limit)?;
        Some((*limit, (a - b).abs()))
    };
    (before.iter().filter_map(change)).max_by(|a, b| a.1.total_cmp(&b.1))
}

/// A use that jumps on the way up the plane at a current of the grid.
fn jump_upwards(envelope: &Envelope, model: &Model, along: f64) -> Option<String> {
    // Even in the square root of the current, as the grid is.
    let place = along * along * envelope.amps.last()?;
    let k = envelope.amps.partition_point(|amps| *amps < place);
    let amps = *envelope.amps.get(k)?;
    let [low, high] = envelope.allowed_volts(amps)?;
    let at = |step: f64| uses_at(envelope, model, k, low + (high - low) * OF_THE_WAY * step);
    let mut before: Vec<(Limit, f64)> = Vec::new();
    for step in (0..=1000_u32).map(f64::from) {
        let here = at(step);
        let found = most_changed(&before, &here);
        before = here;
        let Some((limit, change)) = found.filter(|(_, change)| *change > CHANGE) else {
            continue;
        };
        // What must not fall short goes as one over what there is: steep where that is little beside the height of the plane. It
        // must only not jump, whatever is left of a step of a hundredth.
        let is_steep = limit.is_least() || limit == Limit::SetRangeLow;
        let closer = (0..100_u32).map(|part| step - 1.0 + f64::from(part) / 100.0);
        let jumps = |from: f64| {
            let found = most_changed(&at(from), &at(from + 0.01));
            found.is_some_and(|(_, change)| change > CHANGE)
        };
        if !is_steep || closer.into_iter().any(jumps) {
            return Some(format!(
                "{limit:?} by {change} in the {step}th step from {low} to {high} V at {amps} A"
            ));
        }
    }
    None
}

/// A use that jumps on the straight line between two points, seen at the currents of the grid and, where it changes much between two
/// of them, at others.
fn jump_across(envelope: &Envelope, model: &Model, [from, to]: [[f64; 2]; 2]) -> Option<String> {
    let whole = to[0] - from[0];
    let volts_at = |amps: f64| from[1] + (to[1] - from[1]) * (amps - from[0]) / whole;
    let use_of = |limit: Limit, amps: f64| {
        let point = envelope.point(model, amps, volts_at(amps)).ok()?;
        let found = point.uses.iter().find(|u| u.limit == limit)?;
        found.ratio()
    };
    let mut before: (f64, Vec<(Limit, f64)>) = (0.0, Vec::new());
    for (k, &amps) in envelope.amps.iter().enumerate() {
        if amps < from[0] || amps > to[0] {
            continue;
        }
        let here = uses_at(envelope, model, k, volts_at(amps));
        if let Some((limit, change)) = most_changed(&before.1, &here)
            && change > CHANGE
        {
            let (mut low, mut high) = (
                (before.0, use_of(limit, before.0)?),
                (amps, use_of(limit, amps)?),
            );
            while (high.1 - low.1).abs() > CHANGE && high.0 - low.0 > OF_THE_WAY * whole {
                let middle = 0.5 * (low.0 + high.0);
                let between = (middle, use_of(limit, middle)?);
                if (between.1 - low.1).abs() > (high.1 - between.1).abs() {
                    high = between;
                } else {
                    low = between;
                }
            }
            if (high.1 - low.1).abs() > CHANGE {
                return Some(format!(
                    "{limit:?} from {} at {} A to {} at {} A, on the line {from:?} {to:?}",
                    low.1, low.0, high.1, high.0
                ));
            }
        }
        before = (amps, here);
    }
    None
}

/// A quarter of the cases: each solves an envelope, and half of the supplies have none.
fn fewer() -> ProptestConfig {
    ProptestConfig {
        cases: cases().cases.div_ceil(4),
        ..cases()
    }
}

proptest! {
    #![proptest_config(fewer())]

    /// The outline is where a limit is or the bus ends, never where the program stopped looking.
    #[test]
    fn beside_the_outline_points_say_what_it_says(supply in any_supply(), places in vec(0.0..1.0, 2)) {
        let Some((model, envelope)) = drawn(&supply) else { return no_case() };
        for (points, is_inside) in beside_the_outline(&envelope, &places).iter().zip([true, false]) {
            for &[amps, volts] in points {
                let point = envelope.point(&model, amps, volts).map_err(|failure| fault(&failure))?;
                let worst = point.uses.iter().find(|u| !u.limit.is_no_load());
                prop_assert!(holds(&point) == is_inside, "{amps} A, {volts} V: {worst:?}; the outline ends at {:?}", envelope.region.last());
            }
        }
    }

    /// How near a limit is can be followed on the way to it.
    #[test]
    fn no_use_jumps_within_the_outline(supply in any_supply(), currents in vec(0.0..0.9, 3), ends in vec((0.0..1.0, 0.0..1.0), 2)) {
        let Some((model, envelope)) = drawn(&supply) else { return no_case() };
        for along in currents {
            let jump = jump_upwards(&envelope, &model, along);
            prop_assert!(jump.is_none(), "{jump:?}");
        }
        let mut ends: Vec<[f64; 2]> = ends.iter().map(|&(along, up)| in_the_plane(&envelope, along, up)).collect();
        ends.sort_by(|a, b| a[0].total_cmp(&b[0]));
        let jump = jump_across(&envelope, &model, [ends[0], ends[1]]);
        prop_assert!(jump.is_none(), "{jump:?}");
    }
}
