//! Which cases a supply is made ready in.

use super::*;
use crate::parts::catalogue::{Catalogue, presets};
use crate::parts::file::read_checked;
use crate::parts::quantity::Quantity;
use crate::parts::{
    Amps, Fraction, Ohms, PlateCharacteristic, RailWinding, Rating, SeriesElement, TubeRatings,
    Volts, Watts,
};
use crate::physics::limit::{self, Limit, judging_cases};

fn supplies() -> impl Iterator<Item = (&'static str, Supply)> {
    let read = |text| read_checked(text, &Catalogue::built_in()).unwrap();
    presets()
        .iter()
        .map(move |(name, text)| (*name, read(text)))
}

/// The rating's system; where there is no rating, one of a number that is never met.
fn of<T: Quantity>(rating: &mut Option<Rating<T>>, never_met: T) -> &mut RatingSystem {
    let own = || Rating::own(never_met, RatingSystem::DesignCentre);
    &mut rating.get_or_insert_with(own).system
}

fn of_tube(ratings: &mut TubeRatings) -> [&mut RatingSystem; 5] {
    [
        of(&mut ratings.plate_dissipation, Watts(1e3)),
        of(&mut ratings.screen_dissipation, Watts(1e3)),
        of(&mut ratings.plate_volts, Volts(1e4)),
        of(&mut ratings.heater_cathode, Volts(1e4)),
        of(&mut ratings.grid_resistor, Ohms(1e8)),
    ]
}

/// The system of every rating that is judged by one.
fn systems(supply: &mut Supply) -> Vec<&mut RatingSystem> {
    let mut all = vec![of(&mut supply.transformer.winding_rating, Amps(10.0))];
    let kind = &mut supply.rectifier.kind;
    all.extend([
        of(&mut kind.peak_inverse, Volts(1e4)),
        of(&mut kind.peak_current, Amps(10.0)),
        of(&mut kind.dc_current, Amps(10.0)),
        of(&mut kind.dc_current_choke_input, Amps(10.0)),
    ]);
    let filter = &mut supply.filter;
    let mut stacks: Vec<_> = filter.input_capacitor.iter_mut().collect();
    for section in &mut filter.sections {
        stacks.push(&mut section.capacitor);
        if let SeriesElement::Choke { rating, .. } = &mut section.series {
            all.push(of(rating, Amps(10.0)));
        }
    }
    for stack in stacks {
        all.push(of(&mut stack.working_volts, Volts(1e4)));
        all.push(of(&mut stack.surge_volts, Volts(1.1e4)));
        all.push(of(&mut stack.ripple_current, Amps(100.0)));
    }
    let pass = &mut supply.pass_stage.tube;
    all.extend(of_tube(&mut pass.ratings));
    all.push(of(&mut pass.envelope_dissipation, Watts(1e3)));
    all.push(of(&mut pass.plate_current, Amps(10.0)));
    if let Some(regulator) = &mut supply.regulator {
        all.extend(of_tube(&mut regulator.control_tube.ratings));
        all.push(of(&mut regulator.control_tube.screen_volts, Volts(1e4)));
    }
    all
}

/// A limit whose rating asks for the corners of the tolerances is judged by the corners' own figures, whichever rating it is.
#[test]
fn one_absolute_maximum_rating_brings_the_corners() {
    for (name, mut supply) in supplies() {
        for system in systems(&mut supply) {
            *system = RatingSystem::DesignCentre;
        }
        let plain = Model::of(&supply).unwrap();
        for corner in CORNERS {
            assert!(!CORNERS.contains(&plain.at(corner).case), "{name}");
        }
        let mut judged: Vec<Limit> = Vec::new();
        for k in 0..systems(&mut supply).len() {
            let mut supply = supply.clone();
            *systems(&mut supply)[k] = RatingSystem::AbsoluteMaximum;
            let model = plain.changed(&supply).unwrap();
            for corner in CORNERS {
                assert_eq!(model.at(corner).case, corner, "{name}, rating {k}");
            }
            judged.extend(limit::all(&supply).into_iter().filter(|limit| {
                let system = limit::allowed(*limit, &supply).ok().and_then(|a| a.system);
                system == Some(RatingSystem::AbsoluteMaximum)
            }));
        }
        for limit in limit::all(&supply) {
            let system = limit::allowed(limit, &supply).ok().and_then(|a| a.system);
            let asks = judging_cases(limit, Some(RatingSystem::AbsoluteMaximum));
            let has_corners = asks.contains(&Case::LowLeast);
            assert!(
                system.is_none() || !has_corners || judged.contains(&limit),
                "{name}: no field of the parts gives {limit:?} its system"
            );
        }
    }
}

/// Smaller capacitors leave more ripple on the rail, larger ones less.
#[test]
fn a_corner_has_its_own_capacitors_on_the_negative_rail() {
    let described = |s: &Supply| s.regulator.as_ref().is_some_and(|r| r.bias_rail.is_some());
    let (_, mut supply) = supplies().find(|(_, s)| described(s)).unwrap();
    let rail = supply
        .regulator
        .as_mut()
        .unwrap()
        .bias_rail
        .as_mut()
        .unwrap();
    for stack in rail.filter.stacks_mut() {
        stack.tolerance = Fraction(0.2);
    }
    *of(&mut supply.transformer.winding_rating, Amps(10.0)) = RatingSystem::AbsoluteMaximum;
    let model = Model::of(&supply).unwrap();
    let ripple = |case: Case| {
        let regulator = model.regulator(case).unwrap();
        regulator
            .working_rail()
            .unwrap()
            .operation
            .bus
            .ripple_volts()
    };
    for [least, nominal, most] in [
        [Case::LowLeast, Case::Low, Case::LowMost],
        [Case::HighLeast, Case::High, Case::HighMost],
    ] {
        let [least, nominal, most] = [least, nominal, most].map(ripple);
        assert!(
            least > 1.1 * nominal && nominal > 1.1 * most,
            "{least} {nominal} {most} V"
        );
    }
}

/// What is taken over from a supply that was ready before is what would be worked out anew.
#[test]
fn a_changed_supply_is_made_ready_as_anew() {
    let catalogue = Catalogue::built_in();
    for (name, supply) in supplies().filter(|(_, s)| s.regulator.is_some()) {
        let before = Model::of(&supply).unwrap();
        let mut others = vec![supply.clone(); 9];
        let [
            screen,
            control,
            pass,
            spread,
            described,
            mains,
            primary,
            divider,
            rail,
        ] = others.as_mut_slice()
        else {
            panic!("nine of them");
        };
        // What the negative rail is made by, and what loads it.
        mains.mains.low.0 *= 0.97;
        primary.transformer.primary_resistance.0 += 1.0;
        let of = &mut divider.regulator.as_mut().unwrap().divider;
        (of.resistance, of.control) = (Ohms(0.5 * of.resistance.0), None);
        if let Some(rail) = &mut rail.regulator.as_mut().unwrap().bias_rail {
            rail.winding = RailWinding::Own(Volts(1.1 * rail.winding.own().unwrap().0));
        }
        let regulator = screen.regulator.as_mut().unwrap();
        regulator.screen_volts = Some(Volts(1.3 * regulator.screen_volts.map_or(100.0, |v| v.0)));
        let control = &mut control.regulator.as_mut().unwrap().control_tube;
        let other = catalogue
            .control_tubes
            .iter()
            .find(|t| t.kind != control.kind);
        *control = other.unwrap().clone();
        let pass = &mut pass.pass_stage.tube;
        let mut tubes = catalogue.pass_tubes.iter();
        *pass = (tubes
            .find(|t| t.characteristic != pass.characteristic)
            .unwrap())
        .clone();
        spread.pass_stage.cathode_resistor.0 += 10.0;
        described.regulator = None;
        for other in &others {
            assert!(before.changed(other) == Model::of(other), "{name}");
            // And back again.
            let there = Model::of(other).unwrap();
            assert!(there.changed(&supply).as_ref() == Ok(&before), "{name}");
        }
    }
}

/// Ohm's law: 0.4 A through two tubes of 250 Ω, each with 15 Ω beside it, and all of it through a shunt of 3 Ω.
#[test]
fn the_least_drop_is_that_of_all_that_is_in_the_way() {
    let (_, mut supply) = supplies().next().unwrap();
    supply.regulator = None;
    let stage = &mut supply.pass_stage;
    let line = [(0.0, 0.0), (50.0, 0.2), (100.0, 0.4)];
    stage.tube.characteristic =
        PlateCharacteristic::ZeroBias(line.map(|(v, a)| (Volts(v), Amps(a))).to_vec());
    stage.units = 2;
    stage.grid_limit = Volts(0.0);
    stage.cathode_resistor = Ohms(10.0);
    stage.plate_resistor = Ohms(5.0);
    supply.output.meter_shunt = Ohms(3.0);
    let pass = Model::of(&supply).unwrap().pass;
    let current = PassCurrent {
        output_amps: 0.4,
        regulator_amps: 0.0,
    };
    let drop = pass.least_drop(current).unwrap();
    assert!(
        (drop - (50.0 + 0.2 * 15.0 + 0.4 * 3.0)).abs() < 1e-9,
        "{drop}"
    );
    let lift = pass.cathode_lift(current);
    assert!((lift - (0.2 * 10.0 + 0.4 * 3.0)).abs() < 1e-12, "{lift}");
}

/// A range that is set far beyond what the supply reaches loads the bus no more than the output that it does reach: with the preload
/// behind the filter's resistance that is a divider of the crest.
#[test]
fn a_range_set_too_high_draws_nothing_that_is_not_there() {
    let (_, mut supply) = supplies()
        .find(|(_, supply)| supply.regulator.is_some() && supply.filter.input_capacitor.is_some())
        .unwrap();
    let preload = 10e3;
    supply.regulator.as_mut().unwrap().preload = Some(Ohms(preload));
    let at = |set_high: f64| {
        let mut supply = supply.clone();
        supply.output.set_high = Volts(set_high);
        let model = Model::of(&supply).unwrap();
        (
            model.regulator_amps,
            model.at(Case::High).source.crest_volts(),
        )
    };
    let ((far, crest), (farther, _)) = (at(1000.0), at(2000.0));
    assert!((far - farther).abs() < 1e-9, "{far} {farther}");
    assert!(far > 0.5 * crest / preload && far < 1.5 * crest / preload);
    let (low, high) = (at(20.0).0, at(40.0).0);
    assert!((high - low) > 0.9 * 20.0 / preload, "within reach as typed");
}
