//! Closed forms of the handbooks, which the periodic steady state must reproduce.
//!
//! Sources: capacitor input with an endless capacitor, ideal diodes and a series resistance, full-wave:
//! `tan θ − θ = π·Rs/(2·RL)`, `Vdc = Vpk·cos θ` (exact mathematics; O. H. Schade's charts, Proc. IRE 31 (1943) 341, show it
//! to chart accuracy; from memory). Finite capacitor: exact periodic solution of the same circuit, tabulated. Choke input
//! and ripple: "Ripple (electrical)", Wikipedia, quoted.

use sagline::parts::{Filter, Ohms};
use sagline::physics::steady_state::operate;
use sagline::physics::{Case, Operation};

use crate::supply::{capacitor_input, choke_input, ideal, supply};

const LOAD_OHMS: f64 = 5_000.0;
const CREST_VOLTS: f64 = 600.0;
const HERTZ: f64 = 60.0;

/// A resistive load is a bleeder without output current.
fn into_resistance(mut filter: Filter, load_ohms: f64, supply_ohms: f64) -> Operation {
    filter.bleeder = Some(Ohms(load_ohms));
    let rms = CREST_VOLTS / std::f64::consts::SQRT_2;
    operate(
        &supply(ideal(), rms, supply_ohms, HERTZ, filter).raw(),
        Case::Present,
        0.0,
    )
    .unwrap()
}

fn relative(got: f64, want: f64) -> f64 {
    (got / want - 1.0).abs()
}

/// Root of `tan θ − θ = π·ratio/2` by halving: the left side rises from 0 without end.
fn conduction_angle(ratio: f64) -> f64 {
    let (mut low, mut high) = (0.0_f64, std::f64::consts::FRAC_PI_2);
    for _ in 0..200 {
        let middle = 0.5 * (low + high);
        if middle.tan() - middle < std::f64::consts::FRAC_PI_2 * ratio {
            low = middle;
        } else {
            high = middle;
        }
    }
    0.5 * (low + high)
}

#[test]
fn endless_capacitor_follows_the_closed_form_within_a_thousandth() {
    // Rs/RL, Vdc/Vpk, Ipk/Idc, Irms(both)/Idc as printed in the table.
    let table = [
        (0.0005, 0.9912, 17.75, 3.768),
        (0.001, 0.9861, 14.11, 3.360),
        (0.005, 0.9601, 8.32, 2.579),
        (0.01, 0.9376, 6.65, 2.306),
        (0.02, 0.9035, 5.34, 2.065),
        (0.05, 0.8322, 4.03, 1.794),
        (0.10, 0.7518, 3.30, 1.622),
        (0.20, 0.6455, 2.75, 1.478),
        (0.35, 0.5430, 2.40, 1.382),
        (0.50, 0.4728, 2.23, 1.330),
        (1.00, 0.3365, 1.97, 1.249),
    ];
    for (ratio, volts, peak, rms) in table {
        let supply_ohms = ratio * LOAD_OHMS;
        let got = into_resistance(capacitor_input(0.05), LOAD_OHMS, supply_ohms);
        let theta = conduction_angle(ratio);
        let exact_volts = CREST_VOLTS * theta.cos();
        let direct = exact_volts / LOAD_OHMS;
        assert!(
            relative(got.bus.mean_volts, exact_volts) < 1e-3,
            "Rs/RL {ratio}: {} V, closed form {exact_volts} V",
            got.bus.mean_volts
        );
        let exact_peak = CREST_VOLTS * (1.0 - theta.cos()) / supply_ohms;
        assert!(
            relative(got.rectifier.peak_amps, exact_peak) < 1e-3,
            "Rs/RL {ratio}: peak {} A, closed form {exact_peak} A",
            got.rectifier.peak_amps
        );
        let degrees = 2.0 * theta.to_degrees();
        assert!(
            (got.rectifier.conduction_degrees - degrees).abs() < 0.5,
            "Rs/RL {ratio}: conducts {}°, closed form {degrees}°",
            got.rectifier.conduction_degrees
        );
        // The table's own digits.
        let both = std::f64::consts::SQRT_2 * got.winding_rms_amps / direct;
        for (what, value, printed, digit) in [
            ("Vdc/Vpk", got.bus.mean_volts / CREST_VOLTS, volts, 1e-4),
            ("Ipk/Idc", got.rectifier.peak_amps / direct, peak, 1e-2),
            ("Irms/Idc", both, rms, 1e-3),
        ] {
            assert!(
                (value - printed).abs() < 1e-3 * printed + 0.5 * digit,
                "Rs/RL {ratio}: {what} {value}, printed {printed}"
            );
        }
    }
}

/// `ωCRL`, Vdc/Vpk, ripple p-p/Vdc, Ipk/Idc, Irms of one diode/Idc.
type Finite = (f64, f64, f64, f64, f64);

#[test]
fn finite_capacitor_table_is_reproduced_to_its_digits() {
    let table: [(f64, [Finite; 6]); 3] = [
        (
            0.01,
            [
                (2.0, 0.7297, 0.789, 3.02, 1.09),
                (5.0, 0.8267, 0.415, 4.77, 1.34),
                // Circulated as 5.87; SciPy 1.17 (solve_ivp, rtol 1e-10, periodic start by brentq) gives 5.857.
                (10.0, 0.8861, 0.231, 5.857, 1.50),
                (20.0, 0.9202, 0.121, 6.42, 1.59),
                (50.0, 0.9346, 0.0490, 6.61, 1.62),
                (100.0, 0.9369, 0.0246, 6.64, 1.63),
            ],
        ),
        (
            0.05,
            [
                (2.0, 0.7004, 0.767, 2.88, 1.06),
                (5.0, 0.7830, 0.383, 3.73, 1.21),
                (10.0, 0.8168, 0.201, 3.95, 1.25),
                (20.0, 0.8281, 0.102, 4.01, 1.27),
                (50.0, 0.8316, 0.0409, 4.03, 1.27),
                (100.0, 0.8320, 0.0204, 4.03, 1.27),
            ],
        ),
        (
            0.10,
            [
                (2.0, 0.6648, 0.739, 2.71, 1.04),
                (5.0, 0.7263, 0.350, 3.18, 1.12),
                (10.0, 0.7446, 0.180, 3.27, 1.14),
                (20.0, 0.7500, 0.0908, 3.29, 1.15),
                (50.0, 0.7515, 0.0364, 3.30, 1.15),
                (100.0, 0.7517, 0.0182, 3.30, 1.15),
            ],
        ),
    ];
    let mut report = String::new();
    for (ratio, rows) in table {
        for (reactance, volts, ripple, peak, rms) in rows {
            let farads = reactance / (std::f64::consts::TAU * HERTZ * LOAD_OHMS);
            let got = into_resistance(capacitor_input(farads), LOAD_OHMS, ratio * LOAD_OHMS);
            let direct = got.bus.mean_volts / LOAD_OHMS;
            for (what, value, printed, digit) in [
                ("Vdc/Vpk", got.bus.mean_volts / CREST_VOLTS, volts, 1e-4),
                (
                    "ripple/Vdc",
                    got.bus.ripple_volts() / got.bus.mean_volts,
                    ripple,
                    if ripple < 0.1 { 1e-4 } else { 1e-3 },
                ),
                ("Ipk/Idc", got.rectifier.peak_amps / direct, peak, 1e-2),
                ("Irms/Idc", got.rectifier.rms_amps / direct, rms, 1e-2),
            ] {
                if (value - printed).abs() > 1e-3 * printed + 0.5 * digit {
                    report += &format!(
                        "Rs/RL {ratio}, ωCRL {reactance}: {what} {value}, printed {printed}\n"
                    );
                }
            }
        }
    }
    assert!(report.is_empty(), "\n{report}");
}

#[test]
fn choke_input_gives_nine_tenths_of_the_rms_volts() {
    let rms = CREST_VOLTS / std::f64::consts::SQRT_2;
    let got = into_resistance(choke_input(50.0, 0.0, 50e-6), LOAD_OHMS, 1e-3);
    // 2·Vpk/π = 0.900·Vrms
    assert!(
        relative(got.bus.mean_volts, 2.0 * CREST_VOLTS / std::f64::consts::PI) < 1e-3,
        "{} V",
        got.bus.mean_volts
    );
    assert!(relative(got.bus.mean_volts, 0.900 * rms) < 1.5e-3);
}

#[test]
fn choke_input_ripple_is_that_of_the_second_harmonic() {
    let (henries, farads) = (20.0, 20e-6);
    let got = into_resistance(choke_input(henries, 0.0, farads), LOAD_OHMS, 1e-3);
    // √2/3 of the mean is the second harmonic's rms; choke and capacitor divide it by X_L/X_C − 1 at twice the mains.
    let double = 2.0 * std::f64::consts::TAU * HERTZ;
    let factor = std::f64::consts::SQRT_2 / 3.0 / (double * double * henries * farads - 1.0);
    // Higher harmonics, which the formula leaves out, add in the square.
    assert!(
        relative(got.bus.ripple_rms_volts / got.bus.mean_volts, factor) < 0.01,
        "{} against {factor}",
        got.bus.ripple_rms_volts / got.bus.mean_volts
    );
}

#[test]
fn below_the_critical_inductance_the_choke_runs_dry() {
    // L = RL/(6·π·f): RL/1131 at 60 Hz. The formula takes the second harmonic alone, hence the room on both sides.
    let critical = LOAD_OHMS / 1131.0;
    let least = |henries: f64| {
        into_resistance(choke_input(henries, 0.0, 200e-6), LOAD_OHMS, 1e-3).chokes[0].least_amps
    };
    assert!(least(1.15 * critical) > 0.0);
    assert!(least(0.85 * critical) <= 0.0);
}

#[test]
fn ripple_stays_below_the_textbook_bound() {
    // Vpp = I/(2·f·C): 100 mA, 60 Hz, 40 µF give 20.8 V when the whole half cycle discharges.
    let bare = supply(ideal(), 400.0, 60.0, 60.0, capacitor_input(40e-6));
    let got = operate(&bare.raw(), Case::Present, 0.1)
        .unwrap()
        .bus
        .ripple_volts();
    assert!((0.6 * 20.8..20.8).contains(&got), "{got} V");
}

/// Half-wave into a small capacitor and a constant current. With no resistance the capacitor leaves the source where that falls faster
/// than the load can pull, falls straight, and is met again in the next cycle; a resistance R takes over the load while the capacitor
/// falls by `τ·(s − e·ln(1 + s/e))` more, with τ = RC, s its own fall and e the rise of the source (exact for a source that rises
/// straight).
#[test]
fn the_valley_of_a_small_capacitor_is_where_the_source_meets_it() {
    let (crest, farads, hertz) = (250.0, 0.5e-6, 50.0);
    let omega = std::f64::consts::TAU * hertz;
    for amps in [2e-3, 4e-3, 6e-3, 7e-3, 7.7e-3, 7.9e-3, 8e-3] {
        let rate = amps / farads;
        let leaves = (-rate / (omega * crest)).acos() / omega;
        let from = crest * (omega * leaves).sin();
        let straight = |time: f64| from - rate * (time - leaves);
        let (mut low, mut high) = (1.0 / hertz - 0.25 / hertz, 1.25 / hertz);
        for _ in 0..100 {
            let middle = 0.5 * (low + high);
            if straight(middle) > crest * (omega * middle).sin() {
                low = middle;
            } else {
                high = middle;
            }
        }
        let (ohms, rise) = (10.0, omega * crest * (omega * low).cos());
        let more = ohms * farads * (rate - rise * (rate / rise).ln_1p());
        let want = straight(low) - more;
        let rms = crest / std::f64::consts::SQRT_2;
        let mut bare = supply(ideal(), rms, ohms, hertz, capacitor_input(farads));
        bare.rectifier.connection = sagline::parts::Connection::HalfWave;
        let got = operate(&bare.raw(), Case::Present, amps)
            .unwrap()
            .bus
            .trough_volts;
        assert!(
            (got - want).abs() < 4e-5 * crest,
            "{amps} A: got {got} V want {want} V"
        );
    }
}

/// With an endless capacitor the current of the choke swings by `E/(ωL)·(1 − cos θ − 2θ/π)` around its mean: it goes along with the
/// load until it touches zero, and from there on the rectifier pauses. No load between has a current below zero.
#[test]
fn just_below_the_critical_current_the_rectifier_pauses() {
    let (henries, omega) = (1.0, std::f64::consts::TAU * HERTZ);
    let turn = (2.0 / std::f64::consts::PI).asin();
    let swing = turn.cos() + 2.0 * turn / std::f64::consts::PI - 1.0;
    let critical = swing * CREST_VOLTS / (omega * henries);
    let rms = CREST_VOLTS / std::f64::consts::SQRT_2;
    let bare = supply(ideal(), rms, 1.0, HERTZ, choke_input(henries, 1.0, 1000e-6));
    let at = |amps: f64| operate(&bare.raw(), Case::Present, amps).unwrap();
    let above = 1.01 * critical;
    let touches = above - at(above).chokes[0].least_amps;
    assert!(relative(touches, critical) < 0.005, "{touches} {critical}");
    let mut bus = at(1.0005 * touches).bus.mean_volts;
    for k in 1..=12 {
        let found = at(touches * (1.0 - 0.0005 * f64::from(k)));
        assert!(
            found.chokes[0].least_amps > -1e-4 * touches,
            "{k}: {found:?}"
        );
        assert!(found.rectifier.conduction_degrees < 180.0, "{k}: {found:?}");
        let rises = found.bus.mean_volts - bus;
        assert!((0.0..2e-4 * bus).contains(&rises), "{k}: {rises} V");
        bus = found.bus.mean_volts;
    }
}
