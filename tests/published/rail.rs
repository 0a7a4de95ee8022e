//! The negative rail's own parts, and heater–cathode volts of rectifiers, against closed forms.
//!
//! Sources: a half-wave rectifier into a capacitor without load stands at the crest of the winding, and twice that crest of inverse
//! volts is on it; behind a large choke each half of a centre-tapped winding carries the direct current for half of the cycle, 1/√2 of
//! it rms (handbooks, value from memory). Currents of a capacitor have no mean, so that the rectifier gives what is drawn.

use sagline::parts::catalogue::{Catalogue, presets};
use sagline::parts::file::read_checked;
use sagline::parts::{
    Amps, BiasRail, CapacitorStack, Connection, Copper, Farads, Filter, FilterSection, Fraction,
    HeaterTie, Henries, Ohms, RailWinding, Rating, RatingSystem, SeriesElement, Supply, Tap, Volts,
};
use sagline::physics::Model;
use sagline::physics::envelope::{Point, point_alone};
use sagline::physics::limit::{Judged, Limit, OfRail, all, allowed};
use sagline::physics::needs::Needs;

/// Crest of the school laboratory supply's bias winding at its high mains (V): 245 V rms of 117 V, at 126 V less what 50 VA drop
/// in 1.3 Ω.
const CREST: f64 = core::f64::consts::SQRT_2 * 245.0 / 117.0 * (126.0 - 1.3 * 50.0 / 126.0);

pub(crate) fn preset(file: &str) -> Supply {
    let (_, text) = presets().iter().find(|(name, _)| *name == file).unwrap();
    read_checked(text, &Catalogue::built_in()).unwrap()
}

pub(crate) fn rail(supply: &mut Supply) -> &mut BiasRail {
    supply
        .regulator
        .as_mut()
        .unwrap()
        .bias_rail
        .as_mut()
        .unwrap()
}

/// The school laboratory supply, its rail without gas tubes and loaded with so much.
fn loaded_with(amps: f64) -> Supply {
    let mut supply = preset("school-laboratory.ron");
    let regulator = supply.regulator.as_mut().unwrap();
    regulator.cathode = Tap::BiasRail;
    regulator.divider.foot = Tap::Common;
    let rail = rail(&mut supply);
    rail.reference = None;
    rail.load = Amps(amps);
    supply
}

pub(crate) fn judged(supply: &Supply, limit: Limit) -> Result<Judged, Needs> {
    let point: Point = point_alone(&Model::of(supply).unwrap(), 0.05, 150.0).unwrap();
    let found = point.uses.iter().find(|one| one.limit == limit);
    found.unwrap_or_else(|| panic!("no {limit:?}")).judged
}

pub(crate) fn near(found: f64, wanted: f64, share: f64) {
    assert!(
        (found / wanted - 1.0).abs() < share,
        "{found}, not {wanted}"
    );
}

#[test]
fn without_load_the_rail_stands_at_the_crest_and_twice_that_is_on_its_rectifier() {
    let mut supply = loaded_with(0.0);
    // Design-maximum: judged at high mains.
    let volts = Rating::own(Volts(450.0), RatingSystem::DesignMaximum);
    rail(&mut supply).rectifier.kind.peak_inverse =
        Some(Rating::own(Volts(700.0), RatingSystem::DesignMaximum));
    let inverse = judged(&supply, Limit::Rail(OfRail::PeakInverse)).unwrap();
    near(inverse.actual, 2.0 * CREST, 5e-3);
    assert!(inverse.ratio > 1.0);
    for n in [0, 1] {
        for limit in [OfRail::CapacitorVolts(n), OfRail::CapacitorSurge(n)] {
            near(
                judged(&supply, Limit::Rail(limit)).unwrap().actual,
                CREST,
                5e-3,
            );
        }
    }
    // Two in series of 20 %: the worst has 1/0.8 of 1/0.8 + 1/1.2, 60 %.
    rail(&mut supply).filter.input_capacitor = Some(CapacitorStack {
        in_series: 2,
        working_volts: Some(volts),
        ..stack(20e-6)
    });
    let first = judged(&supply, Limit::Rail(OfRail::CapacitorVolts(0))).unwrap();
    near(first.actual, 0.6 * CREST, 5e-3);
    assert_eq!(
        judged(&supply, Limit::Rail(OfRail::CapacitorSurge(0))),
        Err(Needs::Rating)
    );
}

fn stack(farads: f64) -> CapacitorStack {
    CapacitorStack {
        unit: Farads(farads),
        in_series: 1,
        strings: 1,
        working_volts: None,
        surge_volts: None,
        ripple_current: None,
        balancing: None,
        tolerance: Fraction(0.2),
    }
}

#[test]
fn the_rails_rectifier_gives_what_is_drawn_and_its_winding_the_rms_of_it() {
    // Half of the 70 mA of a 6X4 is a plate's.
    for (amps, is_over) in [(0.034, false), (0.036, true)] {
        let dc = judged(&loaded_with(amps), Limit::Rail(OfRail::RectifierDc)).unwrap();
        near(dc.actual, amps, 3e-3);
        near(dc.allowed, 0.035, 1e-9);
        assert_eq!(dc.ratio > 1.0, is_over);
    }
    let mut supply = loaded_with(0.05);
    let rail = rail(&mut supply);
    // Silicon and little copper: plates would share the current for a while about the zeros of the winding.
    let catalogue = Catalogue::built_in();
    rail.rectifier.kind.law = catalogue.rectifier("1N4007").unwrap().law.clone();
    rail.rectifier.plate_resistor = Ohms(0.0);
    rail.winding_resistance = Some(Ohms(1.0));
    rail.rectifier.connection = Connection::FullWaveCentreTap;
    rail.winding_rating = Some(Rating::own(Amps(0.035), RatingSystem::DesignCentre));
    rail.filter = Filter {
        input_capacitor: None,
        sections: vec![FilterSection {
            series: SeriesElement::Choke {
                inductance: Henries(200.0),
                resistance: Ohms(100.0),
                measured: Copper::Warm,
                rating: None,
            },
            capacitor: stack(20e-6),
        }],
        bleeder: None,
        internal_current: Amps(0.0),
    };
    let winding = judged(&supply, Limit::Rail(OfRail::WindingRms)).unwrap();
    near(winding.actual, 0.05 / core::f64::consts::SQRT_2, 3e-3);
    assert!(winding.ratio > 1.0);
    let peak = judged(&supply, Limit::Rail(OfRail::RectifierPeak)).unwrap();
    // With the choke's ripple on top: 208 V at the second harmonic over 151 kΩ.
    near(peak.actual, 0.05 + 208.0 / 151e3, 2e-2);
}

#[test]
fn charts_of_a_type_hold_on_the_rail_as_well() {
    let catalogue = Catalogue::built_in();
    let mut supply = loaded_with(0.01);
    // As in `rating_charts`: 200 mA at 500 V rms, of two plates.
    rail(&mut supply).rectifier.kind = catalogue.rectifier("GZ34").unwrap().clone();
    rail(&mut supply).winding = RailWinding::Own(Volts(500.0));
    let dc = allowed(Limit::Rail(OfRail::RectifierDc), &supply).unwrap();
    near(dc.value, 0.1, 1e-9);
    rail(&mut supply).rectifier.kind = catalogue.rectifier("5R4-GY").unwrap().clone();
    let inverse = allowed(Limit::Rail(OfRail::PeakInverse), &supply).unwrap();
    near(inverse.value, 2800.0, 1e-9);
}

#[test]
fn heater_cathode_volts_of_the_rails_rectifier_go_by_the_tie() {
    let limit = Limit::Rail(OfRail::HeaterCathode);
    let mut supply = loaded_with(0.005);
    let kind = &mut rail(&mut supply).rectifier.kind;
    kind.heater_cathode = Some(Rating::own(Volts(450.0), RatingSystem::DesignMaximum));
    // Half wave its cathode may be an end of the winding, which swings both ways.
    for (connection, tie, volts) in [
        (Connection::HalfWave, HeaterTie::Common, CREST),
        (
            Connection::HalfWave,
            HeaterTie::Elevated(Volts(100.0)),
            CREST + 100.0,
        ),
        (Connection::HalfWave, HeaterTie::Cathode, 0.0),
        (Connection::Bridge, HeaterTie::Common, CREST),
        (Connection::FullWaveCentreTap, HeaterTie::Common, 0.0),
        (
            Connection::FullWaveCentreTap,
            HeaterTie::Elevated(Volts(-60.0)),
            60.0,
        ),
    ] {
        let rectifier = &mut rail(&mut supply).rectifier;
        rectifier.connection = connection;
        rectifier.heater = Some(tie);
        let found = judged(&supply, limit).unwrap();
        let what = format!("{connection:?}, {tie:?}: {found:?}, not {volts}");
        assert!((found.actual - volts).abs() < 1e-6, "{what}");
        assert_eq!(found.ratio > 1.0, volts > 450.0, "{what}");
    }
    rail(&mut supply).rectifier.heater = None;
    assert_eq!(judged(&supply, limit), Err(Needs::RailHeaterTie));
    // A filament is its own cathode: there is nothing to ask.
    let catalogue = Catalogue::built_in();
    rail(&mut supply).rectifier.kind = catalogue.rectifier("5U4-GB").unwrap().clone();
    assert!(!all(&supply).contains(&limit));
}

#[test]
fn heater_cathode_volts_of_the_rectifier_are_those_of_the_bus() {
    let limit = Limit::RectifierHeaterCathode;
    let mut supply = preset("small-fixed-range.ron");
    supply.rectifier.heater = Some(HeaterTie::Common);
    let model = Model::of(&supply).unwrap();
    let point = point_alone(&model, 0.0, 150.0).unwrap();
    let found = judged(&supply, limit).unwrap();
    // With nothing connected the capacitor has what the peak inverse has beside the winding's crest.
    let inverse = point
        .uses
        .iter()
        .find(|one| one.limit == Limit::RectifierPeakInverse);
    let inverse = inverse.unwrap().judged.unwrap();
    assert_eq!(inverse.case, found.case);
    let crest = core::f64::consts::SQRT_2 * model.at(found.case).source.winding.emf_rms_volts;
    near(found.actual, inverse.actual - crest, 1e-9);
    supply.rectifier.heater = Some(HeaterTie::Elevated(Volts(100.0)));
    near(
        judged(&supply, limit).unwrap().actual,
        found.actual - 100.0,
        1e-9,
    );
    supply.rectifier.heater = Some(HeaterTie::Cathode);
    assert!(judged(&supply, limit).unwrap().actual.abs() < 1e-12);
    supply.rectifier.heater = None;
    assert_eq!(judged(&supply, limit), Err(Needs::RectifierHeaterTie));
    // Before a choke it goes with the winding, down to nothing between the crests.
    supply.filter.input_capacitor = None;
    if let Some(section) = supply.filter.sections.first_mut() {
        section.series = SeriesElement::Choke {
            inductance: Henries(20.0),
            resistance: Ohms(100.0),
            measured: Copper::Warm,
            rating: None,
        };
    }
    supply.rectifier.heater = Some(HeaterTie::Elevated(Volts(20.0)));
    near(judged(&supply, limit).unwrap().actual, crest - 20.0, 1e-9);
}

#[test]
fn a_supply_without_a_rail_has_none_of_its_limits() {
    for (file, has_rail) in [
        ("school-laboratory.ron", true),
        ("silicon-bridge.ron", false),
    ] {
        let found = all(&preset(file))
            .into_iter()
            .filter(|limit| matches!(limit, Limit::Rail(_)));
        assert_eq!(found.count(), if has_rail { 9 } else { 0 }, "{file}");
    }
}
