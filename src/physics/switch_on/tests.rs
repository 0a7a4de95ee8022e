use super::*;
use crate::parts::CrestFactor;
use crate::parts::catalogue::{Catalogue, presets};
use crate::parts::file::read_work;
use crate::physics::circuit::source::MainsShape;
use crate::physics::steady_state::waveform;
use march::{Begin, March};
use saturation::Core;
use side::Auxiliary;

/// A primary by itself, with a sharp knee and no current below it, from the table of `published` figures: Bm 1.2 T, Bs 2.0 T.
fn bare(volts: f64, hertz: f64, henries: f64, ohms: f64) -> PrimarySide {
    let angular_frequency = core::f64::consts::TAU * hertz;
    let working = core::f64::consts::SQRT_2 * volts / angular_frequency;
    PrimarySide {
        mains_volts: volts,
        angular_frequency,
        shape: MainsShape::of(CrestFactor::SINE),
        mains_ohms: 0.0,
        mains_henries: 0.0,
        primary_ohms: ohms,
        limiter: None,
        core: Core {
            knee: 2.0 / 1.2 * working,
            rounding: 1e-6 * working,
            henries: 1e6,
            saturated_henries: henries,
        },
        working,
        most_residual: 0.6,
        auxiliary: Auxiliary::default(),
    }
}

/// Crest and I²t of the first cycle, marched in so many steps.
fn surge_of(side: &PrimarySide, degrees: f64, residual: f64, steps: u32) -> [f64; 2] {
    let cycle = core::f64::consts::TAU / side.angular_frequency;
    let begin = Begin {
        radians: degrees.to_radians(),
        linkages: residual * side.working,
        heated_seconds: 0.0,
        charged_volts: 0.0,
        thermistor_rise: 0.0,
        since_closing: 0.0,
    };
    let mut march = March::<1>::new(side, None, begin, cycle / f64::from(steps));
    let (mut crest, mut heating) = (transient::Crest::default(), 0.0);
    for _ in 0..steps {
        let stepped = march.step();
        heating += stepped.heating();
        for k in 0..3 {
            crest.add(stepped.times[k], stepped.primary_amps[k]);
        }
    }
    [crest.amps, heating]
}

/// Computed with the inputs stated: two straight lines, vertical to 2.0 T, closing at zero, I²t over the first period. Rows without
/// resistance are closed forms (`i = √2·V/(ωL)·(2Bm + Br − Bs)/Bm`), the others midpoint integration in 200,000 steps.
#[test]
fn the_crest_and_heating_of_a_two_slope_core_are_those_of_the_integral() {
    for (volts, hertz, henries, ohms, residual, crest, heating) in [
        (120.0, 60.0, 0.010, 0.0, 0.0, 15.01, 0.527),
        (120.0, 60.0, 0.010, 0.0, 0.5, 37.51, 5.312),
        (120.0, 60.0, 0.010, 4.0, 0.0, 9.60, 0.175),
        (120.0, 60.0, 0.010, 4.0, 0.5, 19.52, 1.084),
        (230.0, 50.0, 0.045, 0.0, 0.0, 7.67, 0.165),
        (230.0, 50.0, 0.045, 0.0, 0.5, 19.17, 1.665),
        (230.0, 50.0, 0.045, 18.0, 0.0, 4.59, 0.046),
        (230.0, 50.0, 0.045, 18.0, 0.5, 9.12, 0.275),
    ] {
        let side = bare(volts, hertz, henries, ohms);
        let [got, heat] = surge_of(&side, 0.0, residual, 128);
        // The figures have so many digits.
        assert!(
            (got - crest).abs() < 0.004 * crest,
            "{volts} V {ohms} Ω {residual}: {got} A"
        );
        assert!(
            (heat - heating).abs() < 0.01 * heating + 5e-4,
            "{volts} V {ohms} Ω {residual}: {heat} A²s"
        );
        let [none, _] = surge_of(&side, 90.0, residual, 128);
        assert!(none < 1e-3, "{none} A at the crest");
    }
}

/// A core that never saturates is a coil: `i = V̂/Z·(sin(ωt + α − φ) − sin(α − φ)·e^(−Rt/L))`, at any phase.
#[test]
fn a_coil_closes_as_its_closed_form_at_any_phase() {
    for degrees in [0.0_f64, 30.0, 77.0, 90.0, 140.0, 250.0] {
        let mut side = bare(120.0, 60.0, 0.05, 10.0);
        side.core = Core {
            knee: 1e3,
            rounding: 1.0,
            henries: 0.05,
            saturated_henries: 0.05,
        };
        let steps = 64;
        let omega = side.angular_frequency;
        let begin = Begin {
            radians: degrees.to_radians(),
            linkages: 0.0,
            heated_seconds: 0.0,
            charged_volts: 0.0,
            thermistor_rise: 0.0,
            since_closing: 0.0,
        };
        let length = side_cycle(&side) / f64::from(steps);
        let mut march = March::<1>::new(&side, None, begin, length);
        let reactance = omega * 0.05;
        let (impedance, phi) = (10.0_f64.hypot(reactance), reactance.atan2(10.0));
        let top = core::f64::consts::SQRT_2 * 120.0 / impedance;
        let alpha = degrees.to_radians();
        for _ in 0..3 * steps {
            let stepped = march.step();
            let t = stepped.times[2];
            let want = top
                * ((omega * t + alpha - phi).sin()
                    - (alpha - phi).sin() * (-10.0 / 0.05 * t).exp());
            let got = stepped.primary_amps[2];
            assert!(
                (got - want).abs() < 1e-6 * top,
                "{degrees}° {t} s: {got} {want}"
            );
        }
    }
}

fn side_cycle(side: &PrimarySide) -> f64 {
    core::f64::consts::TAU / side.angular_frequency
}

/// Without residual flux a zero crossing is worst and a crest mildest; and no resistor more makes the crest higher.
#[test]
fn zero_crossings_are_worst_and_resistance_never_raises_the_crest() {
    let side = bare(120.0, 60.0, 0.010, 2.0);
    let crests: Vec<f64> = (0..=18_u32)
        .map(|tenth| surge_of(&side, f64::from(tenth) * 10.0, 0.0, 96)[0])
        .collect();
    let worst = crests.iter().copied().fold(0.0, f64::max);
    assert!(
        (crests[0] - worst).abs() < 2e-3 * worst && (crests[18] - worst).abs() < 2e-3 * worst,
        "{crests:?}"
    );
    assert!(
        crests[9] <= crests.iter().copied().fold(f64::INFINITY, f64::min) + 1e-9,
        "{crests:?}"
    );
    for degrees in [0.0, 20.0, 45.0] {
        for residual in [-0.5, 0.0, 0.5] {
            let mut last = f64::INFINITY;
            for ohms in [0.0, 1.0, 2.0, 5.0, 10.0, 30.0, 100.0, 1000.0] {
                let side = bare(120.0, 60.0, 0.010, ohms);
                let [crest, _] = surge_of(&side, degrees, residual, 96);
                assert!(
                    crest <= last * (1.0 + 1e-3) + 1e-6,
                    "{degrees}° {residual} {ohms} Ω: {crest} after {last}"
                );
                last = crest;
            }
        }
    }
}

fn preset(name: &str) -> Model {
    let (_, text) = presets()
        .iter()
        .find(|(file, _)| file.contains(name))
        .unwrap();
    let work = read_work(text, &Catalogue::built_in()).unwrap();
    Model::of(&work.supply).unwrap()
}

#[test]
fn the_energy_of_every_transient_balances() {
    for (name, _) in presets() {
        let model = preset(name);
        let on = SwitchOn::of(&model, &Primary::default(), 0.02).unwrap();
        for closing in [
            Closing::cold(0.0, 0.6),
            Closing::cold(70.0, -0.3),
            Closing::hot(10.0, 0.4),
            Closing {
                charged: 0.0,
                ..Closing::hot(200.0, -0.6)
            },
        ] {
            let found = on.transient(&closing, 8).unwrap();
            let miss = found.balance.miss();
            assert!(
                miss < 0.005,
                "{name} {closing:?}: {miss} {:?}",
                found.balance
            );
        }
    }
}

/// With neither resistance nor inductance in the mains, followed until nothing changes, the transient is the steady state.
#[test]
fn the_transient_ends_in_the_steady_state() {
    for name in ["school", "silicon"] {
        let model = preset(name);
        let primary = Primary {
            mains_resistance: Some(crate::parts::Ohms(0.0)),
            mains_inductance: Some(crate::parts::Henries(0.0)),
            ..Primary::default()
        };
        let amps = 0.03;
        let on = SwitchOn::of(&model, &primary, amps).unwrap();
        let closing = Closing {
            degrees: 90.0,
            ..Closing::hot(90.0, 0.0)
        };
        let found = on.transient(&closing, 150).unwrap();
        let cycle = on.cycle_seconds();
        let last = found.instants.last().unwrap().seconds;
        let over: Vec<f64> = found
            .instants
            .iter()
            .filter(|one| one.seconds > last - cycle)
            .map(|one| one.bus_volts)
            .collect();
        let mean = over.iter().sum::<f64>() / over.len() as f64;
        let wave = waveform(&model.raw, Case::Present, amps).unwrap();
        let want = wave.operation.bus.mean_volts;
        assert!(
            (mean / want - 1.0).abs() < 1e-3,
            "{name}: bus {mean} V, steady {want} V"
        );
        let running = running(&model, &on.ready, Case::Present, amps).unwrap();
        let rms = found.last_cycle_rms(cycle);
        assert!(
            (rms / running.rms_amps - 1.0).abs() < 1e-3,
            "{name}: {rms} A, steady {} A",
            running.rms_amps
        );
        let crest = found
            .instants
            .iter()
            .filter(|one| one.seconds > last - cycle)
            .fold(0.0_f64, |most, one| most.max(one.primary_amps.abs()));
        assert!(
            (crest / running.crest_amps - 1.0).abs() < 5e-3,
            "{name}: {crest} A, steady {} A",
            running.crest_amps
        );
    }
}
