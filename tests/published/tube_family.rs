//! The 6080 / 6AS7-G, one section, against its published plate family.
//!
//! Source: verbal reading of the maker's plate family (funwithtubes, "6080"), quoted, ±5 V; operating point 135 V of plate
//! *supply*, 250 Ω in the cathode, 125 mA: RCA and GE sheets, value from memory.

use sagline::parts::catalogue::Catalogue;
use sagline::physics::device::plate_law::{PlateLaw, plate_law};
use sagline::physics::device::triode;

fn law() -> sagline::parts::TriodeCoefficients {
    let catalogue = Catalogue::built_in();
    let tube = catalogue.pass_tube("6080").unwrap();
    match plate_law(&tube.characteristic).unwrap() {
        PlateLaw::Triode(law) => law,
        PlateLaw::ZeroBias(_) => panic!("the family should be fitted"),
    }
}

/// Within 12 % of the current or 6 V of the plate volts.
fn agrees(plate: f64, grid: f64, amps: f64) -> (bool, String) {
    let law = law();
    let got_amps = triode::plate_amps(&law, plate, grid);
    let got_volts = triode::plate_volts(&law, amps, grid).unwrap();
    let ok = (got_amps / amps - 1.0).abs() <= 0.12 || (got_volts - plate).abs() <= 6.0;
    (
        ok,
        format!(
            "{plate} V, {grid} V: published {:.0} mA, law {:.1} mA; {:.0} mA at {got_volts:.1} V",
            1e3 * amps,
            1e3 * got_amps,
            1e3 * amps
        ),
    )
}

#[test]
fn the_family_is_met_within_12_percent_or_6_volts() {
    let upper_ends = [
        (40.0, 0.0, 0.150),
        (80.0, -20.0, 0.125),
        (130.0, -40.0, 0.125),
        (155.0, -60.0, 0.100),
        (185.0, -80.0, 0.100),
        (220.0, -100.0, 0.100),
        (235.0, -120.0, 0.050),
        (270.0, -140.0, 0.050),
        (250.0, -140.0, 0.025),
    ];
    let mut report = String::new();
    let mut wrong = 0;
    for (plate, grid, amps) in upper_ends {
        let (ok, line) = agrees(plate, grid, amps);
        wrong += usize::from(!ok);
        report += &format!("{} {line}\n", if ok { "    " } else { "MISS" });
    }
    println!("{report}");
    assert_eq!(wrong, 0, "\n{report}");
}

#[test]
fn the_operating_point_is_the_tubes_own_volts_not_the_supplys() {
    // 250 Ω drop 31.25 V: the tube has 103.75 V on its plate and −31.25 V on its grid.
    let (ok, line) = agrees(135.0 - 31.25, -31.25, 0.125);
    assert!(ok, "{line}");
    // Taken as plate volts, 135 V would pass far more.
    let trapped = triode::plate_amps(&law(), 135.0, -31.25);
    assert!(
        trapped > 1.4 * 0.125,
        "135 V at the tube would give {trapped} A"
    );
}

#[test]
fn amplification_and_plate_resistance_are_the_published_ones() {
    // µ 2.0, rp 280 Ω, gm 7000 µmho at the operating point: RCA sheet, value from memory.
    let (gm, rp, mu) = triode::small_signal(&law(), 103.75, -31.25);
    assert!((mu / 2.0 - 1.0).abs() < 0.12, "µ {mu}");
    assert!((rp / 280.0 - 1.0).abs() < 0.2, "rp {rp} Ω");
    assert!((gm / 7e-3 - 1.0).abs() < 0.2, "gm {gm} S");
}
