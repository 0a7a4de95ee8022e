//! What resistors bear, against their makers' sheets.

use super::*;

fn body(kind: ResistorKind, rated: f64, mounting: Mounting) -> Body {
    Body {
        ohms: 1e3,
        rated_watts: Some(rated),
        working_volts: None,
        kind: Some(kind),
        mounting,
        own_share: None,
    }
}

fn long(kind: ResistorKind, rated: f64, mounting: Mounting) -> f64 {
    body(kind, rated, mounting)
        .for_long()
        .map_or(f64::NAN, |long| long.watts)
}

fn near(a: f64, b: f64) -> bool {
    (a - b).abs() < 1e-9 * b.abs().max(1.0)
}

/// TE Connectivity HSA5, HSA10, HSA25, HSA50, HSC75: rated on the maker's heat sink, and without it (the 8 W of the HSA10 is a value
/// from memory).
#[test]
fn an_aluminium_housing_bears_what_its_maker_says() {
    use ResistorKind::AluminiumHoused;
    for (rated, without) in [
        (10.0, 5.5),
        (16.0, 8.0),
        (25.0, 12.5),
        (50.0, 20.0),
        (75.0, 45.0),
    ] {
        let bare = long(AluminiumHoused, rated, Mounting::FreeAir);
        assert!(near(bare, without), "{rated} W: {bare}");
        let on_plate = long(AluminiumHoused, rated, Mounting::OnPlate);
        assert!(near(on_plate, rated), "{rated} W: {on_plate}");
    }
    // Between two sizes never more of its rating than either of them.
    for rated in [12.0, 20.0, 40.0, 60.0, 250.0, 1000.0, 1.0] {
        let share = long(AluminiumHoused, rated, Mounting::FreeAir) / rated;
        assert!((0.2..=0.6).contains(&share), "{rated}: {share}");
    }
}

/// Welwyn WH5 to WH50: thermal impedance, and 200 °C at most. At the whole power on its plate a housing is that warm.
#[test]
fn a_housing_gets_as_hot_as_its_thermal_impedance_says() {
    for (rated, kelvin_per_watt) in [(10.0, 16.0), (15.0, 10.0), (25.0, 6.0), (50.0, 3.5)] {
        let found = body(ResistorKind::AluminiumHoused, rated, Mounting::OnPlate)
            .celsius_at(rated)
            .unwrap_or_default();
        let published: f64 = ROOM_CELSIUS + kelvin_per_watt * rated;
        assert!(
            (found - published).abs() <= 25.0 && found <= 200.0 + 1e-9,
            "{rated} W: {found} {published}"
        );
    }
}

/// A maker's guide to vitreous tubes (value from memory): a rise of 300 °C at all, about 200 °C at half, about 125 °C at a quarter.
#[test]
fn a_tube_warms_as_the_guide_says() {
    for (share, rise) in [(1.0, 300.0), (0.5, 200.0), (0.25, 125.0)] {
        let found = body(ResistorKind::WireWound, 50.0, Mounting::FreeAir)
            .celsius_at(50.0 * share)
            .unwrap_or_default();
        assert!(
            (found - ROOM_CELSIUS - rise).abs() < 8.0,
            "{share}: {found}"
        );
    }
}

/// The whole power up to a temperature, none at another: MIL-PRF-26 characteristic V, Yageo SQP, KOA MOS, MF1W, Multicomp RC.
#[test]
fn derating_lines_begin_and_end_where_they_are_printed() {
    for (kind, rated, full_to, zero_at) in [
        (ResistorKind::WireWound, 55.0, 25.0, 350.0),
        (ResistorKind::Cement, 2.0, 70.0, 275.0),
        (ResistorKind::Cement, 5.0, 40.0, 275.0),
        (ResistorKind::Cement, 15.0, 25.0, 275.0),
        (ResistorKind::MetalOxide, 2.0, 70.0, 235.0),
        (ResistorKind::MetalFilm, 3.0, 70.0, 155.0),
        (ResistorKind::CarbonComposition, 1.0, 70.0, 130.0),
    ] {
        let line = line(kind, rated);
        for (celsius, share) in [
            (full_to - 10.0, 1.0),
            (full_to, 1.0),
            (0.5 * (full_to + zero_at), 0.5),
            (zero_at, 0.0),
            (zero_at + 10.0, 0.0),
        ] {
            let found = line.share_at(celsius);
            assert!(
                near(found, share),
                "{kind:?} {rated} W at {celsius} °C: {found}"
            );
        }
        assert!(!line.source.is_empty());
        // In a room all of them bear what is printed on them, in a box half at most (common practice, no source).
        assert!(
            near(long(kind, rated, Mounting::FreeAir), rated),
            "{kind:?}"
        );
        assert!(
            long(kind, rated, Mounting::BoxedIn) <= 0.5 * rated,
            "{kind:?}"
        );
    }
}

/// Volts by size as the sheets print them: Welwyn WH, TE HSC75, Yageo SQP, metal oxide, MF1W, Multicomp RC07, RC20, RC32. Below
/// them `√(P·R)`: half a watt and 350 V meet at 245 kΩ, one watt and 500 V at 250 kΩ.
#[test]
fn volts_end_at_the_size_or_at_the_watts() {
    for (kind, rated, volts) in [
        (ResistorKind::AluminiumHoused, 10.0, 150.0),
        (ResistorKind::AluminiumHoused, 25.0, 500.0),
        (ResistorKind::AluminiumHoused, 50.0, 1250.0),
        (ResistorKind::AluminiumHoused, 75.0, 1400.0),
        (ResistorKind::Cement, 5.0, 350.0),
        (ResistorKind::Cement, 10.0, 500.0),
        (ResistorKind::Cement, 20.0, 1000.0),
        (ResistorKind::MetalOxide, 1.0, 500.0),
        (ResistorKind::MetalOxide, 5.0, 800.0),
        (ResistorKind::MetalFilm, 1.0, 350.0),
        (ResistorKind::CarbonComposition, 0.25, 250.0),
        (ResistorKind::CarbonComposition, 0.5, 350.0),
        (ResistorKind::CarbonComposition, 1.0, 500.0),
    ] {
        let mut high = body(kind, rated, Mounting::OnPlate);
        high.ohms = 10e6;
        assert!(
            near(high.most_volts().unwrap_or_default(), volts),
            "{kind:?} {rated} W"
        );
        high.working_volts = Some(123.0);
        assert!(
            near(high.most_volts().unwrap_or_default(), 123.0),
            "{kind:?}"
        );
    }
    for (rated, volts, critical) in [(0.5, 350.0, 245e3), (1.0, 500.0, 250e3)] {
        let mut carbon = body(ResistorKind::CarbonComposition, rated, Mounting::FreeAir);
        carbon.ohms = critical;
        let most = carbon.most_volts().unwrap_or_default();
        assert!((most - volts).abs() < 1.0, "{most}");
        carbon.ohms = 0.25 * critical;
        assert!(near(
            carbon.most_volts().unwrap_or_default(),
            (rated * carbon.ohms).sqrt()
        ));
    }
    // Wire on a tube: its watts alone.
    assert_eq!(
        body(ResistorKind::WireWound, 50.0, Mounting::FreeAir).size_volts(),
        None
    );
}

/// Ten times the rated watts for 5 s (MIL-PRF-26, value from memory), 2.5 times the rated volts for 5 s (KOA MOS).
#[test]
fn a_short_overload_is_that_of_the_sheet() {
    let tube = body(ResistorKind::WireWound, 10.0, Mounting::FreeAir);
    assert_eq!(tube.seconds_at(10.0), Some(f64::INFINITY));
    assert!(near(tube.seconds_at(100.0).unwrap_or_default(), 5.0));
    assert_eq!(tube.seconds_at(101.0), Some(0.0));
    let oxide = body(ResistorKind::MetalOxide, 2.0, Mounting::FreeAir);
    assert!(near(oxide.seconds_at(2.0 * 6.25).unwrap_or_default(), 5.0));
    // The more, the shorter; and never for a while at volts that its size does not bear.
    let mut before = f64::INFINITY;
    for watts in [11.0, 20.0, 40.0, 80.0] {
        let now = tube.seconds_at(watts).unwrap_or_default();
        assert!(now < before && now > 0.0, "{watts} W: {now}");
        before = now;
    }
    let mut carbon = body(ResistorKind::CarbonComposition, 0.5, Mounting::FreeAir);
    carbon.ohms = 1e6;
    // 0.49 W are 700 V, its overload; 0.1225 W are 350 V.
    assert_eq!(carbon.seconds_at(0.5), Some(0.0));
    assert_eq!(carbon.seconds_at(0.12), Some(f64::INFINITY));
    let unknown = Body { kind: None, ..tube };
    assert_eq!(unknown.seconds_at(20.0), None);
}

#[test]
fn what_its_owner_says_wins_and_an_unknown_kind_has_its_whole_rating() {
    let mut housed = body(ResistorKind::AluminiumHoused, 50.0, Mounting::FreeAir);
    housed.own_share = Some(0.3);
    let found = housed.for_long().map(|long| (long.watts, long.ground));
    assert_eq!(found, Some((15.0, Ground::Own)));
    housed.own_share = None;
    housed.kind = None;
    let found = housed.for_long().map(|long| (long.watts, long.ground));
    assert_eq!(found, Some((50.0, Ground::KindNotKnown)));
    housed.rated_watts = None;
    assert_eq!((housed.for_long(), housed.most_volts()), (None, None));
}
