//! What must hold for every regulator.

#![expect(clippy::unwrap_used, reason = "what the strategies make is there")]

use proptest::collection::vec;
use proptest::option;
use proptest::prelude::*;
use sagline::parts::Copper;
use sagline::parts::catalogue::Catalogue;
use sagline::parts::check::check;
use sagline::parts::{
    Amps, BiasRail, Connection, Divider, GasReference, HeaterTie, Ohms, PlateSupply, RailWinding,
    Rating, RatingSystem, ReferenceFeed, Regulator, Supply, Tap, Volts, WindingVolts,
};
use sagline::physics::envelope::point_alone;
use sagline::physics::limit::Limit;
use sagline::physics::model::{Model, RegulatorModel};
use sagline::physics::operation::Case;
use sagline::physics::regulator::ceiling::{self, ceiling};
use sagline::physics::regulator::feedback::regulation;
use sagline::physics::regulator::floor::{Drive, drive, floor};
use sagline::physics::regulator::references::references;
use sagline::physics::regulator::sharing::worst_unit;
use sagline::physics::regulator::zero::{held, zero_setting};
use sagline::physics::steady_state::operate;
use sagline::physics::{Envelope, Failure, Operation, Use, envelope};

use crate::supplies::{filter, spread, supply};
use crate::{cases, no_case};

fn reference(fed_from: ReferenceFeed) -> impl Strategy<Value = GasReference> {
    let tubes = proptest::sample::select(Catalogue::built_in().gas_tubes);
    (vec(tubes, 1..=3), spread(1e3, 100e3)).prop_map(move |(tubes, feed)| GasReference {
        tubes,
        feed_resistor: Ohms(feed),
        fed_from,
        drawn: Amps(0.0),
        shunts: None,
    })
}

/// A regulator on any taps that are there; the rail's rectifier is that of the bus.
pub(crate) fn regulated() -> impl Strategy<Value = Supply> {
    let rail = (
        spread(80.0, 500.0),
        filter(),
        spread(1e-4, 5e-3),
        option::of(reference(ReferenceFeed::BiasRail)),
    );
    let positive = prop_oneof![
        reference(ReferenceFeed::Bus),
        reference(ReferenceFeed::Output)
    ];
    (
        supply(),
        proptest::sample::select(Catalogue::built_in().control_tubes),
        (
            spread(100e3, 2e6),
            spread(20e3, 500e3),
            option::of(spread(5e3, 500e3)),
        ),
        (0..4_u8, 0..4_u8, any::<bool>()),
        (option::of(rail), option::of(positive)),
        option::of(spread(5.0, 60.0)),
    )
        .prop_map(
            |(mut supply, control_tube, ohms, taps, (rail, reference), least)| {
                let bias_rail = rail.map(|(winding, filter, load, reference)| BiasRail {
                    winding: RailWinding::Own(Volts(winding)),
                    winding_resistance: Some(Ohms(300.0)),
                    winding_measured: Copper::Warm,
                    winding_rating: None,
                    rectifier: supply.rectifier.clone(),
                    filter,
                    load: Amps(load),
                    reference,
                });
                let there = bias_rail
                    .as_ref()
                    .and_then(|r| r.reference.as_ref())
                    .map_or(0, |r| u8::try_from(r.tubes.len()).unwrap());
                let tap = |k: u8| match k {
                    1 if reference.is_some() => Tap::Reference,
                    2 if there > 0 => Tap::BiasReference(there),
                    3 if bias_rail.is_some() => Tap::BiasRail,
                    _ => Tap::Common,
                };
                supply.pass_stage.heater = Some(HeaterTie::Common);
                supply.regulator = Some(Regulator {
                    control_tube,
                    plate_load: Ohms(ohms.0),
                    plate_supply: if taps.2 {
                        PlateSupply::Bus
                    } else {
                        PlateSupply::Clean(Volts(150.0))
                    },
                    screen_volts: Some(Volts(100.0)),
                    cathode: tap(taps.0),
                    least_plate_volts: least.map(Volts),
                    divider: Divider {
                        control: None,
                        resistance: Ohms(ohms.1),
                        foot: tap(taps.1),
                    },
                    screen_divider: None,
                    preload: ohms.2.map(Ohms),
                    heater: Some(HeaterTie::Elevated(Volts(-100.0))),
                    reference,
                    bias_rail,
                });
                supply
            },
        )
}

/// The regulator of a supply in a case.
fn regulator_in(supply: &Supply, case: Case) -> Option<RegulatorModel> {
    Some(Model::of(supply).ok()?.regulator(case).ok()?.clone())
}

/// The operation, or nothing where the bus collapses or is not found: others' business.
fn sustained(supply: &Supply, case: Case, amps: f64) -> Option<Operation> {
    operate(&Model::of(supply).ok()?.raw, case, amps).ok()
}

/// Current of the worst unit with the output at 0 V.
fn worst_at_zero(supply: &Supply, operation: &Operation) -> f64 {
    let model = Model::of(supply).unwrap();
    let current = model.pass_current(Case::Present, operation, 0.0);
    worst_unit(&model.pass, operation, current, 0.0)
}

/// The floor in a case at a current, where it is known.
fn floor_in(supply: &Supply, case: Case, amps: f64) -> Option<f64> {
    let operation = sustained(supply, case, amps)?;
    floor(&regulator_in(supply, case)?, &operation).ok()
}

proptest! {
    #![proptest_config(cases())]

    #[test]
    fn a_regulator_gives_finite_or_named_answers(supply in regulated(), amps in spread(1e-4, 0.2), volts in 0.0..400.0) {
        prop_assert_eq!(check(&supply), vec![]);
        for case in [Case::Low, Case::Present, Case::High] {
            let Some(operation) = sustained(&supply, case, amps) else { continue };
            let regulator = regulator_in(&supply, case).unwrap();
            if let Ok(at) = regulation(&regulator, &operation, volts) {
                for figure in [at.loop_gain, at.output_ohms, at.bus_share, at.rail_share, at.hum_volts, at.divider_share] {
                    prop_assert!(figure.is_finite(), "{at:?}");
                }
                prop_assert!(at.output_ohms > 0.0 && at.hum_volts >= 0.0 && at.loop_gain >= 0.0, "{at:?}");
            }
            for at in references(&regulator, &operation, volts).into_iter().flatten() {
                prop_assert!(at.volts.is_finite() && at.least_amps[0] >= 0.0 && at.least_amps[0] <= at.most_amps[0], "{at:?}");
            }
        }
        if let Ok(zero) = zero_setting(&Model::of(&supply).unwrap()) {
            prop_assert!(zero.drift_volts.is_finite() && zero.drift_volts >= 0.0, "{zero:?}");
            prop_assert!(zero.least_setting_volts.is_finite() && zero.least_setting_volts >= 0.0, "{zero:?}");
        }
        if let Ok(held) = held(&Model::of(&supply).unwrap(), amps, volts) {
            prop_assert!(held.droop_volts.is_finite() && held.mains_volts.is_finite(), "{held:?}");
        }
        match envelope(&Model::of(&supply).unwrap()) {
            Ok(envelope) => {
                for [amps, low, high] in &envelope.region {
                    prop_assert!(amps.is_finite() && low.is_finite() && low <= high, "{amps} {low} {high}");
                }
                if let Ok(point) = envelope.point(&Model::of(&supply).unwrap(), amps, volts) {
                    for judged in point.uses.iter().filter_map(|u| u.judged.as_ref().ok()) {
                        prop_assert!(judged.ratio.is_finite() && judged.actual.is_finite() && judged.allowed.is_finite(), "{judged:?}");
                    }
                }
            }
            Err(Failure::Description(problems)) => prop_assert!(false, "{problems:?}"),
            Err(_) => {}
        }
    }

}

/// The greatest use at a point of what depends on the point; `None` where the bus collapses.
fn greatest_use(envelope: &Envelope, model: &Model, [amps, volts]: [f64; 2]) -> Option<f64> {
    let point = envelope.point(model, amps, volts).ok()?;
    point.operation.as_ref()?;
    let moved = point.uses.iter().filter(|u| !u.limit.is_no_load());
    moved.filter_map(Use::ratio).reduce(f64::max)
}

proptest! {
    #![proptest_config(cases())]

    /// Between the currents that were solved, too, and with every limit of a regulator: a hundredth of the volts within the
    /// envelope everything holds, a hundredth beyond it something does not.
    #[test]
    fn what_the_envelope_shows_its_points_say(supply in regulated(), places in vec((0.0..1.0, 0.0..1.0), 12)) {
        let Ok(model) = Model::of(&supply) else { return no_case() };
        let Ok(envelope) = envelope(&model) else { return no_case() };
        for (along, up) in places {
            let (Some(&[first, ..]), Some(&[last, ..])) = (envelope.region.first(), envelope.region.last()) else { continue };
            let amps = first + along * (last - first);
            let Some([low, high]) = envelope.allowed_volts(amps) else { continue };
            let off = (0.01 * high).max(0.5);
            let within = [(high - low > 2.0 * off).then_some(low + off + up * (high - low - 2.0 * off)), None];
            let beyond = [Some(high + off), (low - off > 0.0).then_some(low - off)];
            for (list, is_inside) in [(within, true), (beyond, false)] {
                for volts in list.into_iter().flatten() {
                    let Some(most) = greatest_use(&envelope, &model, [amps, volts]) else { continue };
                    prop_assert!((most <= 1.0) == is_inside, "{most} at {amps} A, {volts} V; allowed {low} to {high} V");
                }
            }
        }
    }
}

proptest! {
    #![proptest_config(cases())]

    #[test]
    fn on_the_floor_the_use_is_one(supply in regulated(), amps in spread(1e-4, 0.2)) {
        let Some(operation) = sustained(&supply, Case::Present, amps) else { return no_case() };
        let regulator = regulator_in(&supply, Case::Present).unwrap();
        let Ok(edge) = floor(&regulator, &operation) else { return no_case() };
        let ratio = |volts: f64| drive(&regulator, &operation, volts).map(Drive::ratio).unwrap();
        prop_assert!((ratio(edge) - 1.0).abs() < 1e-4, "{} at {edge}", ratio(edge));
        prop_assert!(ratio(edge - 2.0) > 1.0 && ratio(edge + 2.0) < 1.0, "{} {}", ratio(edge - 2.0), ratio(edge + 2.0));
    }

    #[test]
    fn on_the_control_grid_ceiling_the_use_is_one(supply in regulated(), amps in spread(1e-4, 0.2)) {
        let Some(operation) = sustained(&supply, Case::Present, amps) else { return no_case() };
        let regulator = regulator_in(&supply, Case::Present).unwrap();
        let Ok(Some(edge)) = ceiling(&regulator, &operation) else { return no_case() };
        let short = |volts: f64| {
            ceiling::drive(&regulator, &operation, volts).map(|d| d.needed_volts - d.given_volts).unwrap()
        };
        prop_assert!(edge == 0.0 || short(edge).abs() < 1e-4, "{} at {edge}", short(edge));
        prop_assert!(short(edge + 2.0) > 0.0, "{}", short(edge + 2.0));
        let ratio = |volts: f64| ceiling::drive(&regulator, &operation, volts).map(Drive::ratio).unwrap();
        prop_assert!(edge == 0.0 || (ratio(edge) - 1.0).abs() < 1e-4, "{} at {edge}", ratio(edge));
        prop_assert!(edge == 0.0 || short(edge - 2.0) < 0.0, "{}", short(edge - 2.0));
    }

    #[test]
    fn a_lower_foot_never_lowers_the_control_grid_ceiling(supply in regulated(), amps in spread(1e-4, 0.2)) {
        let mut supply = supply;
        let regulator = supply.regulator.as_mut().unwrap();
        prop_assume!(regulator.reference.is_some());
        let highest = |supply: &Supply| {
            let operation = sustained(supply, Case::Present, amps)?;
            let found = ceiling(&regulator_in(supply, Case::Present)?, &operation).ok()?;
            Some(found.unwrap_or(f64::INFINITY))
        };
        regulator.cathode = Tap::Reference;
        regulator.divider.foot = Tap::Reference;
        let Some(same) = highest(&supply) else { return no_case() };
        supply.regulator.as_mut().unwrap().divider.foot = Tap::Common;
        let Some(lower) = highest(&supply) else { return no_case() };
        prop_assert!(lower >= same, "{same} {lower}");
    }

    #[test]
    fn a_deeper_bias_rail_lowers_the_floor(supply in regulated(), amps in spread(1e-4, 0.2), deeper in 1.05..1.5) {
        let mut supply = supply;
        let regulator = supply.regulator.as_mut().unwrap();
        prop_assume!(regulator.bias_rail.is_some());
        regulator.cathode = Tap::BiasRail;
        regulator.divider.foot = Tap::Common;
        regulator.least_plate_volts = Some(Volts(20.0));
        let Some(before) = floor_in(&supply, Case::Present, amps) else { return no_case() };
        if let Some(rail) = supply.regulator.as_mut().and_then(|r| r.bias_rail.as_mut()) {
            let volts = rail.winding.own().unwrap().0;
            rail.winding = RailWinding::Own(Volts(volts * deeper));
        }
        let Some(after) = floor_in(&supply, Case::Present, amps) else { return no_case() };
        prop_assert!(after < before, "{before} → {after}");
    }

    /// Fed from a winding of its own with the same turns and copper the rail is the same, and so is the bus: what the high-voltage winding
    /// carries can only grow by it.
    #[test]
    fn a_rail_on_the_high_voltage_winding_never_lowers_its_use(
        supply in regulated(), amps in spread(1e-4, 0.2), share in 0.2..1.0
    ) {
        let mut supply = supply;
        prop_assume!(supply.rectifier.connection != Connection::Bridge);
        supply.transformer.winding_rating = Some(Rating::own(Amps(0.2), RatingSystem::DesignCentre));
        let transformer = supply.transformer.clone();
        let ([half, _], [ohms, _]) = (transformer.stated_halves(), transformer.halves_at_work());
        prop_assume!(matches!(transformer.winding, WindingVolts::OpenCircuit(_)));
        let Some(rail) = supply.regulator.as_mut().and_then(|r| r.bias_rail.as_mut()) else { return no_case() };
        rail.rectifier.connection = Connection::HalfWave;
        rail.winding = RailWinding::Own(Volts(share * half.0));
        rail.winding_resistance = Some(Ohms(share * ohms.0));
        let mut on = supply.clone();
        let rail = on.regulator.as_mut().and_then(|r| r.bias_rail.as_mut()).unwrap();
        rail.winding = RailWinding::HighVoltageTap(Volts(share * half.0));
        rail.winding_resistance = None;
        prop_assume!(check(&on).is_empty());
        let use_of = |supply: &Supply| {
            let point = point_alone(&Model::of(supply).ok()?, amps, supply.output.set_low.0).ok()?;
            let found = point.uses.iter().find(|one| one.limit == Limit::WindingRms)?;
            Some(found.judged.ok()?.actual)
        };
        let [Some(apart), Some(with)] = [&supply, &on].map(use_of) else { return no_case() };
        prop_assert!(with >= apart, "{apart} → {with}");
        prop_assert!(with > apart || transformer.has_unequal_halves(), "{apart} → {with}");
    }

    #[test]
    fn higher_mains_raise_the_floor(supply in regulated(), amps in spread(1e-4, 0.2)) {
        let mut supply = supply;
        let regulator = supply.regulator.as_mut().unwrap();
        regulator.cathode = Tap::Common;
        regulator.divider.foot = Tap::Common;
        regulator.least_plate_volts = Some(Volts(20.0));
        let all = [Case::Low, Case::Present, Case::High].map(|case| floor_in(&supply, case, amps));
        let [Some(low), Some(_), Some(high)] = all else { return no_case() };
        prop_assert!(high >= low, "{low} at low mains, {high} at high mains");
    }

    #[test]
    fn a_preload_lowers_the_floor(supply in regulated(), amps in spread(1e-4, 0.05), preload in spread(1e3, 100e3)) {
        let mut supply = supply;
        let regulator = supply.regulator.as_mut().unwrap();
        regulator.preload = None;
        regulator.least_plate_volts = Some(Volts(20.0));
        // What the reference and the foot do under the changed current is not asked here.
        regulator.cathode = Tap::Common;
        regulator.divider.foot = Tap::Common;
        // Nor what its current does to the bus.
        let Some(operation) = sustained(&supply, Case::Present, amps) else { return no_case() };
        let lowest = |supply: &Supply| floor(&regulator_in(supply, Case::Present)?, &operation).ok();
        let Some(before) = lowest(&supply) else { return no_case() };
        prop_assume!(before > 1.0);
        supply.regulator.as_mut().unwrap().preload = Some(Ohms(preload));
        let Some(after) = lowest(&supply) else { return no_case() };
        prop_assert!(after <= before + 1e-3, "{before} → {after}");
        // With the bus that its current makes the floor comes up by no more than the crest does, as behind a choke near resonance.
        let Some(loaded) = sustained(&supply, Case::Present, amps) else { return no_case() };
        let Some(own_bus) = floor_in(&supply, Case::Present, amps) else { return no_case() };
        let up = (loaded.bus.crest_volts - operation.bus.crest_volts).max(0.0);
        prop_assert!(own_bus <= before + up + 1e-3, "{before} → {own_bus}, the crest up by {up}");
    }

    #[test]
    fn more_tubes_carry_less_each_and_raise_the_floor(supply in regulated(), amps in spread(1e-3, 0.2), tube_spread in option::of(0.0..0.5)) {
        let mut supply = supply;
        supply.pass_stage.tube_spread = tube_spread.map(sagline::parts::Fraction);
        supply.pass_stage.units = supply.pass_stage.units.max(2);
        let Some(operation) = sustained(&supply, Case::Present, amps) else { return no_case() };
        let few = (worst_at_zero(&supply, &operation), floor_in(&supply, Case::Present, amps));
        supply.pass_stage.units += 1;
        let many = (worst_at_zero(&supply, &operation), floor_in(&supply, Case::Present, amps));
        prop_assert!(many.0 < few.0, "{} → {}", few.0, many.0);
        if let (Some(few), Some(many)) = (few.1, many.1) {
            // Each with less current needs more negative grids.
            prop_assert!(many > few - 1e-3, "{few} → {many}");
        }
    }
}
