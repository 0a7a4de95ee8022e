//! A negative rail on the high-voltage winding, by hand.
//!
//! Sources: volts and resistance of a part of a winding go as its turns; the mean of the square of two currents that never flow at once is
//! the sum of the means of their squares (definition of the rms).

use sagline::parts::{
    Amps, Copper, Ohms, RailWinding, Rating, RatingSystem, SecondaryVolts, Supply, Volts,
    WindingVolts,
};
use sagline::physics::Model;
use sagline::physics::circuit::source::source_in;
use sagline::physics::energy::{Sink, energy};
use sagline::physics::limit::{Limit, OfRail, all};
use sagline::physics::model::raw_rail;
use sagline::physics::operation::Case;
use sagline::physics::steady_state::operate;

use crate::rail::{judged, near, preset, rail};

/// The school laboratory supply with its rail from that.
fn fed_from(winding: RailWinding) -> Supply {
    let mut supply = preset("school-laboratory.ron");
    let rail = rail(&mut supply);
    rail.winding = winding;
    rail.winding_resistance = None;
    rail.winding_rating = None;
    supply
}

/// The tap stands at 290 V · 0.7, so that a winding of its own with as many turns and as much copper gives the same rail.
#[test]
fn the_winding_carries_the_root_of_both_squares() {
    for (winding, share) in [
        (RailWinding::HighVoltageEnd, 1.0),
        (RailWinding::HighVoltageTap(Volts(203.0)), 0.7),
    ] {
        let on = fed_from(winding);
        let mut apart = on.clone();
        let of_own = rail(&mut apart);
        of_own.winding = RailWinding::Own(Volts(290.0 * share));
        of_own.winding_resistance = Some(Ohms(32.0 * share));
        of_own.winding_rating = Some(Rating::own(Amps(0.1), RatingSystem::DesignCentre));
        let of_bus = judged(&apart, Limit::WindingRms).unwrap();
        let of_rail = judged(&apart, Limit::Rail(OfRail::WindingRms)).unwrap();
        assert_eq!(of_bus.case, of_rail.case);
        let both = judged(&on, Limit::WindingRms).unwrap();
        // N·n·Rp over Rs + N²·Rp of the second half, by 5/8: what the rail's drop in the primary moves to the first half.
        let turns = 290.0 / 117.0;
        let moved = 0.625 * turns * turns * share * 1.3 / (32.0 + turns * turns * 1.3);
        let first = of_bus.actual + moved * of_rail.actual;
        near(both.actual, first.hypot(of_rail.actual), 1e-6);
        assert!(both.ratio > 1.002 * of_bus.ratio);
        // The same rail, whatever else is judged of it; and its own winding is not asked for.
        for limit in [
            OfRail::PeakInverse,
            OfRail::RectifierPeak,
            OfRail::RectifierDc,
        ] {
            let [on, apart] = [&on, &apart].map(|s| judged(s, Limit::Rail(limit)).unwrap().actual);
            near(on, apart, 1e-6);
        }
        assert!(!all(&on).contains(&Limit::Rail(OfRail::WindingRms)));
    }
}

/// A nameplate that is met under its load: the tap has its share of the turns, not of the volts under that load.
#[test]
fn a_tap_has_its_share_of_the_turns() {
    let mut supply = fed_from(RailWinding::HighVoltageTap(Volts(116.0)));
    supply.transformer.winding = WindingVolts::Loaded {
        volts: SecondaryVolts::Halves(Volts(290.0), Volts(296.0)),
        amps: Amps(0.12),
    };
    supply.transformer.second_half_resistance = Some(Ohms(36.0));
    supply.transformer.secondary_measured = Copper::Cold;
    let model = Model::of(&supply).unwrap();
    let whole = model.at(Case::High).source.winding;
    let raw = raw_rail(&supply, rail(&mut supply.clone())).unwrap();
    let tap = source_in(&raw, Case::High).unwrap().winding;
    near(tap.emf_rms_volts, 0.4 * whole.emf_rms_volts, 1e-9);
    let warm = 1.195 * 32.0;
    near(
        tap.ohms,
        0.4 * warm + (0.4 * whole.turns_ratio).powi(2) * 1.3,
        1e-9,
    );
    // Measured apart, its resistance is what was measured.
    rail(&mut supply).winding_resistance = Some(Ohms(20.0));
    let raw = raw_rail(&supply, rail(&mut supply.clone())).unwrap();
    let tap = source_in(&raw, Case::High).unwrap().winding;
    near(
        tap.ohms,
        20.0 + (0.4 * whole.turns_ratio).powi(2) * 1.3,
        1e-9,
    );
}

/// The rail is on the first half; where the second works harder by more than that, it still counts.
#[test]
fn of_unequal_halves_the_first_carries_the_rail() {
    let mut supply = fed_from(RailWinding::HighVoltageEnd);
    for (halves, second_is_harder) in [([290.0, 293.0], false), ([270.0, 300.0], true)] {
        let [first, second] = halves.map(Volts);
        supply.transformer.winding =
            WindingVolts::OpenCircuit(SecondaryVolts::Halves(first, second));
        let model = Model::of(&supply).unwrap();
        let at = model.at(Case::Present);
        let bus = operate(&supply.raw(), Case::Present, 0.1).unwrap();
        let [a, b] = bus.by_half.unwrap().map(|half| half.rms_amps);
        assert!(b > a);
        let moved = model.moved_by_the_rail_amps(Case::Present);
        assert!(moved > 0.0);
        let with_rail = (a + moved).hypot(at.rail_in_winding_amps().unwrap());
        assert_eq!(b > with_rail, second_is_harder, "{a} {b} {with_rail}");
        near(
            model.winding_rms_amps(Case::Present, &bus).unwrap(),
            b.max(with_rail),
            1e-9,
        );
    }
}

/// What the rail takes is in the mains watts, in both coppers, and in what the rail makes of it; Ohm's law for the copper.
#[test]
fn the_rails_watts_are_in_the_flow() {
    let on = fed_from(RailWinding::HighVoltageEnd);
    let mut apart = on.clone();
    rail(&mut apart).winding = RailWinding::Own(Volts(290.0));
    rail(&mut apart).winding_resistance = Some(Ohms(32.0));
    let point = [0.05, 150.0];
    let flow = |supply: &Supply| energy(&Model::of(supply).unwrap(), Case::Present, point).unwrap();
    let (with, without) = (flow(&on), flow(&apart));
    near(with.sum_watts(), with.mains_watts, 5e-4);
    assert!(without.watts(Sink::NegativeRail).abs() < 1e-12);
    let model = Model::of(&on).unwrap();
    let at = model.at(Case::Present);
    let working = at.regulator.as_ref().unwrap().working_rail().unwrap();
    let carried = at.rail_in_winding_amps().unwrap().powi(2);
    let more = |sink| with.watts(sink) - without.watts(sink);
    near(more(Sink::SecondaryCopper), 32.0 * carried, 2e-3);
    // The rail's own volts times its current, and what its diode, its resistors and its filter burn besides.
    let given = working.amps * working.operation.bus.mean_volts;
    let own = with.watts(Sink::NegativeRail);
    assert!(given < own && own < 1.5 * given, "{own} W of {given} W");
    let all = more(Sink::SecondaryCopper) + more(Sink::PrimaryCopper) + more(Sink::Auxiliary) + own;
    near(with.mains_watts - without.mains_watts, all, 2e-3);
}
