//! What flat tops of the mains do, by Fourier's series and by the order of size that the handbooks of power quality give.

use sagline::parts::catalogue::{Catalogue, presets};
use sagline::parts::file::read;
use sagline::parts::{Amps, CrestFactor, Ohms, Supply};
use sagline::physics::steady_state::operate;
use sagline::physics::{Case, Model, stress};

/// A third and a fifth harmonic of 1.5 % each, by the definition of crest and rms.
fn flat() -> CrestFactor {
    let h = 0.015;
    CrestFactor(core::f64::consts::SQRT_2 * (1.0 - 2.0 * h) / f64::sqrt(1.0 + 2.0 * h * h))
}

fn preset(name: &str) -> [Supply; 2] {
    let (_, text) = presets().iter().find(|(file, _)| *file == name).unwrap();
    let clean = read(text, &Catalogue::built_in()).unwrap();
    let mut flattened = clean.clone();
    flattened.mains.crest_factor = flat();
    [clean, flattened]
}

fn lost(supplies: &[Supply; 2], figure: impl Fn(&Supply) -> f64) -> f64 {
    let [clean, flattened] = supplies.each_ref().map(figure);
    1.0 - flattened / clean
}

/// 3 % in all lower a lightly loaded bus by 2.7 %: the crest falls by 3 %, and the pulse widens to both sides of the flat top.
#[test]
fn flat_tops_lower_a_lightly_loaded_bus_and_leave_a_choke_input_alone() {
    let bus = |amps: f64| {
        move |supply: &Supply| {
            operate(&supply.raw(), Case::Present, amps)
                .unwrap()
                .bus
                .mean_volts
        }
    };
    let mut bare = preset("school-laboratory.ron");
    for supply in &mut bare {
        supply.regulator = None;
        supply.filter.bleeder = Some(Ohms(470e3));
        supply.filter.internal_current = Amps(0.0);
    }
    let light = lost(&bare, bus(0.001));
    assert!((light - 0.027).abs() < 0.002, "{light}");
    let heavy = lost(&bare, bus(0.15));
    assert!((0.0..0.8 * light).contains(&heavy), "{heavy}");
    let choke = lost(&preset("choke-input.ron"), bus(0.12));
    assert!(choke.abs() < 0.003, "{choke}");
}

/// Of the crests that stand on rectifier and capacitors with nothing connected, and of the negative rail, as of the bus.
#[test]
fn flat_tops_lower_what_stands_at_no_load_and_the_rail() {
    let both = preset("school-laboratory.ron");
    let no_load =
        |supply: &Supply| stress::no_load(&Model::of(supply).unwrap(), Case::High).unwrap();
    let inverse = lost(&both, |supply| no_load(supply).peak_inverse_volts);
    let capacitor = lost(&both, |supply| {
        no_load(supply).operation.capacitor_crest_volts[0]
    });
    let rail = lost(&both, |supply| {
        let model = Model::of(supply).unwrap();
        model
            .regulator(Case::Present)
            .unwrap()
            .working_rail()
            .unwrap()
            .unstruck_volts
    });
    for (what, lost) in [
        ("inverse", inverse),
        ("capacitor", capacitor),
        ("rail", rail),
    ] {
        assert!((0.015..0.031).contains(&lost), "{what}: {lost}");
    }
}
