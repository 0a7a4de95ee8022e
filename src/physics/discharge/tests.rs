use super::*;
use crate::parts::catalogue::{Catalogue, presets};
use crate::parts::file::read_checked;
use crate::parts::{Ohms, Supply};
use crate::physics::discharge::warm::{Connected, Course, Moment, course};
use crate::physics::stress::no_load;

fn one(farads: f64, volts: f64, ohms: f64) -> Chain {
    Chain {
        stores: vec![Store {
            farads,
            tolerance: 0.2,
            volts,
            balancing_siemens: 0.0,
        }],
        links: Vec::new(),
        bleeder_siemens: 1.0 / ohms,
        fixed_siemens: 0.0,
        gas: None,
    }
}

/// `t = R·C·ln(V/60)`, `½·C·V²`: the worked rows of published-values-bench.md, A7 (CALC), and the one of physics.md.
#[test]
fn closed_forms_of_one_capacitor_and_its_bleeder() {
    for (farads, volts, ohms, seconds, joules) in [
        (100e-6, 500.0, 47e3, 9.97, 12.5),
        (40e-6, 500.0, 10e3, 0.848, 5.0),
        (100e-6, 450.0, 47e3, 9.47, 10.1),
    ] {
        let chain = one(farads, volts, ohms);
        let kept = Charged {
            bus: chain,
            rail: None,
        }
        .kept();
        let to_touch = kept.bus.to_touch.expect("it is bled");
        assert!(
            (to_touch - seconds).abs() < 0.006 * seconds.min(1.0),
            "{to_touch} s"
        );
        let exact = farads * ohms * (volts / 60.0_f64).ln();
        assert!(
            (to_touch / exact - 1.0).abs() < 1e-6,
            "{to_touch} of {exact} s"
        );
        let to_dead = kept.bus.to_dead.expect("it is bled");
        let exact = farads * ohms * (volts / 10.0_f64).ln();
        assert!(
            (to_dead / exact - 1.0).abs() < 1e-6,
            "{to_dead} of {exact} s"
        );
        assert!((kept.joules - joules).abs() < 0.03, "{} J", kept.joules);
    }
}

/// Gas tubes of 150 V behind 10 kΩ bring 400 V down to 150 V as `(V − 150)·e^(−t/RC)`, beside a bleeder as the parallel of both says;
/// then the bleeder is alone.
#[test]
fn gas_tubes_bleed_as_long_as_they_burn() {
    let (c, r, f, v) = (50e-6, 100e3, 10e3, 150.0);
    let mut chain = one(c, 400.0, r);
    chain.gas = Some(GasPath { volts: v, ohms: f });
    let cold = Cold::of(&chain);
    let (g, end) = (1.0 / r + 1.0 / f, v / f / (1.0 / r + 1.0 / f));
    // Together they would end below the gas tubes' volts, so these go out on the way.
    assert!(end < v);
    let out = c / g * ((400.0 - end) / (v - end)).ln();
    let want = out + c * r * (v / TOUCH_VOLTS).ln();
    let got = cold.seconds_to(TOUCH_VOLTS).expect("it is bled");
    assert!((got / want - 1.0).abs() < 1e-5, "{got} of {want} s");
    let half_way = cold.volts_at(0.5 * out)[0];
    let exact = end + (400.0 - end) * (-0.5 * out * g / c).exp();
    assert!(
        (half_way / exact - 1.0).abs() < 1e-4,
        "{half_way} of {exact} V"
    );
    // Without the bleeder it stays at what the gas tubes leave.
    chain.bleeder_siemens = 0.0;
    let cold = Cold::of(&chain);
    assert_eq!(cold.seconds_to(TOUCH_VOLTS), None);
    assert!((cold.volts_at(1e4)[0] - v).abs() < 1e-3);
}

fn supplies() -> impl Iterator<Item = (&'static str, Supply)> {
    let all = presets().iter();
    all.filter_map(|(name, text)| Some((*name, read_checked(text, &Catalogue::built_in()).ok()?)))
}

/// Watts in all that takes energy out of the chain at an instant, by Ohm's law.
fn watts(chain: &Chain, moment: &Moment) -> f64 {
    let capacitors = &moment.capacitors;
    let bus = capacitors.last().copied().unwrap_or(0.0);
    let balancing: f64 = (chain.stores.iter().zip(capacitors))
        .map(|(store, v)| store.balancing_siemens * v * v)
        .sum();
    let mut chokes = moment.chokes.iter();
    let between: f64 = (chain.links.iter().zip(capacitors.windows(2)))
        .map(|(link, pair)| match *link {
            Link::Resistor(ohms) => (pair[0] - pair[1]).powi(2) / ohms,
            Link::Choke { ohms, .. } => ohms * chokes.next().map_or(0.0, |amps| amps * amps),
        })
        .sum();
    let soldered = (chain.bleeder_siemens + chain.fixed_siemens) * bus * bus;
    balancing + between + soldered + bus * (chain.gas_amps(bus) + moment.tube_amps)
}

fn burnt(chain: &Chain, course: &Course) -> f64 {
    let pairs = course.moments.windows(2);
    pairs
        .map(|pair| {
            let step = pair[1].seconds - pair[0].seconds;
            0.5 * step * (watts(chain, &pair[0]) + watts(chain, &pair[1]))
        })
        .sum()
}

/// What all resistors, tubes and loads have burnt is what was stored, less what is left: within 0.5 %.
#[test]
fn what_was_stored_is_what_is_burnt() {
    let mut compared = 0;
    for (name, supply) in supplies() {
        let model = Model::of(&supply).expect("a preset");
        let found = no_load(&model, Case::High).expect("a preset");
        let charged = Charged::of(&model, Case::High, &found.operation);
        for amps in [0.0, 0.02] {
            let connected = Connected {
                volts: supply.output.set_high.0,
                amps,
            };
            let found = course(&model, Case::High, &charged, connected, 1.0);
            let last = found.moments.last().expect("instants");
            let left: f64 = (charged.bus.stores.iter().zip(&last.capacitors))
                .map(|(store, v)| 0.5 * store.farads * v * v)
                .sum();
            let (stored, burnt) = (charged.bus.joules(), burnt(&charged.bus, &found));
            let miss = (burnt + left) / stored - 1.0;
            assert!(
                miss.abs() < 0.005,
                "{name} {amps} A: {burnt} + {left} of {stored} J"
            );
            compared += 1;
        }
    }
    assert!(compared >= 16, "{compared}");
}

/// Warm tubes, whatever is connected, never make the wait longer than cold ones, and the slower they cool the shorter it is.
#[test]
fn warm_tubes_only_shorten_the_wait() {
    for (name, supply) in supplies() {
        let model = Model::of(&supply).expect("a preset");
        let found = no_load(&model, Case::High).expect("a preset");
        let charged = Charged::of(&model, Case::High, &found.operation);
        let kept = charged.kept().bus;
        let connected = Connected {
            volts: supply.output.set_high.0,
            amps: 0.0,
        };
        let falls = [0.5, 1.0, 2.0]
            .map(|slower| course(&model, Case::High, &charged, connected, slower).falls[0]);
        let all = [kept.to_touch, falls[0], falls[1], falls[2]];
        for pair in all.windows(2) {
            let [longer, shorter] = [pair[0], pair[1]].map(|s| s.unwrap_or(f64::INFINITY));
            assert!(shorter <= 1.01 * longer + 1e-3, "{name}: {all:?}");
        }
    }
}

/// With the same volts on it a larger bleeder never makes the wait shorter, nor does leaving it out.
#[test]
fn a_larger_bleeder_never_shortens_the_wait() {
    for (name, mut supply) in supplies() {
        let model = Model::of(&supply).expect("a preset");
        let found = no_load(&model, Case::High).expect("a preset").operation;
        let mut before = 0.0;
        for ohms in [1e3, 4.7e3, 22e3, 100e3, 1e6, 1e9] {
            supply.filter.bleeder = Some(Ohms(ohms));
            let changed = Model::of(&supply).expect("a preset");
            let charged = Charged::of(&changed, Case::High, &found);
            let wait = |bleeder: Bleeder| {
                let found = charged.with(bleeder).kept().bus.to_touch;
                found.unwrap_or(f64::INFINITY)
            };
            let [whole, open] = [Bleeder::Whole, Bleeder::Open].map(wait);
            assert!(
                whole >= before && open >= whole,
                "{name} {ohms} Ω: {before} {whole} {open}"
            );
            before = whole;
        }
    }
}
