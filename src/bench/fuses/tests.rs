use super::*;
use crate::parts::catalogue::{Catalogue, presets};
use crate::parts::file::read_work;
use crate::parts::{FuseKind, Limiter, Ohms, Primary};
use crate::physics::Model;
use crate::physics::operation::Case;
use crate::physics::switch_on::{Fault, fault_currents, running};

fn switched(name: &str, primary: &Primary) -> (Model, SwitchOn) {
    let (_, text) = presets()
        .iter()
        .find(|(file, _)| file.contains(name))
        .unwrap();
    let work = read_work(text, &Catalogue::built_in()).unwrap();
    let model = Model::of(&work.supply).unwrap();
    let on = SwitchOn::of(&model, primary, 0.05).unwrap();
    (model, on)
}

fn asked(samples: u32) -> AskedSurges {
    AskedSurges {
        samples,
        seed: 1,
        before: Before::Cold,
    }
}

#[test]
fn the_same_seed_draws_the_same_switch_ons_and_another_about_the_same_band() {
    let (_, on) = switched("school", &Primary::default());
    let one = surges(&on, &[], asked(400)).unwrap();
    assert_eq!(one, surges(&on, &[], asked(400)).unwrap());
    let other = surges(
        &on,
        &[],
        AskedSurges {
            seed: 7,
            ..asked(400)
        },
    )
    .unwrap();
    assert_ne!(one.drawn, other.drawn);
    // Twenty of the four hundred are above the high end, whose crests lie far apart.
    let [a, b] = [&one, &other].map(|all| all.crest().unwrap());
    assert!(
        (a.middle / b.middle - 1.0).abs() < 0.25 && (a.high / b.high - 1.0).abs() < 0.25,
        "{a:?} {b:?}"
    );
}

#[test]
fn a_drawn_surge_is_that_of_the_transient() {
    for name in ["school", "silicon"] {
        let (_, on) = switched(name, &Primary::default());
        let settling = on.settling(&Closing::cold(90.0, 0.0)).unwrap();
        let many = on.many_times(&settling).unwrap();
        for (degrees, residual) in [(0.0, 0.5), (30.0, -0.4), (95.0, 0.0), (180.0, -0.6)] {
            let closing = Closing::cold(degrees, residual);
            let surge = many.surge(&on.ready.side, &closing);
            let whole = on.transient(&closing, 12).unwrap();
            assert!(
                (surge.crest_amps / whole.crest_amps - 1.0).abs() < 0.01,
                "{name} {degrees}°: {} {}",
                surge.crest_amps,
                whole.crest_amps
            );
            for (at, heat) in CHECKPOINTS.iter().zip(surge.heating) {
                let want = whole.heating_at(*at);
                assert!(
                    (heat - want).abs() < 0.03 * want + 1e-3,
                    "{name} {degrees}° {at} s: {heat} {want}"
                );
            }
        }
    }
}

/// A larger rating of a kind blows no more often, and protects at no more faults.
#[test]
fn a_larger_fuse_blows_less_and_protects_less() {
    let (model, on) = switched("school", &Primary::default());
    let found = surges(&on, &[], asked(400)).unwrap();
    let faults = fault_currents(&model, &on.ready);
    assert_eq!(faults.len(), 3);
    let at_work = running(&model, &on.ready, Case::Present, 0.05).unwrap();
    let judged = Judge::new(
        &found,
        &faults,
        Load {
            running_amps: at_work.rms_amps,
            mains_volts: 120.0,
        },
    )
    .all();
    let odds = |one: &FuseJudged| match one.holds {
        Holds::Always => 0.0,
        Holds::AllButTheWeakest => 1e-6,
        Holds::Blows(share) => share,
    };
    for kind in FuseKind::ALL {
        let of_kind: Vec<&FuseJudged> = judged.iter().filter(|one| one.kind == kind).collect();
        for pair in of_kind.windows(2) {
            let [small, large] = pair else { continue };
            assert!(
                odds(large) <= odds(small) + 0.02,
                "{kind:?}: {small:?} {large:?}"
            );
            for fault in Fault::ALL {
                assert!(
                    small.protects_at(fault) || !large.protects_at(fault),
                    "{small:?} {large:?}"
                );
            }
        }
        // The smallest blow always, the largest never.
        let (first, last) = (of_kind[0], of_kind[of_kind.len() - 1]);
        assert!(odds(first) > 0.5 || first.rating >= 1.0, "{first:?}");
        assert_eq!(last.holds, Holds::Always, "{last:?}");
    }
    let picked = pick(&judged, FuseKind::UlSlow).unwrap();
    assert!(
        picked.fuse.bears_it() && picked.fuse.protects_at(Fault::ShortedRectifier),
        "{picked:?}"
    );
    if let Some(smaller) = &picked.smaller {
        assert!(!smaller.bears_it());
    }
}

#[test]
fn a_resistor_in_the_line_lowers_every_band() {
    let bare = switched("school", &Primary::default()).1;
    let limited = Primary {
        limiter: Some(Limiter::Resistor(Ohms(10.0))),
        ..Primary::default()
    };
    let limited = switched("school", &limited).1;
    let [a, b] = [&bare, &limited].map(|on| surges(on, &[], asked(200)).unwrap());
    for (without, with) in a.drawn.iter().zip(&b.drawn) {
        assert!(with.surge.crest_amps <= 1.001 * without.surge.crest_amps);
    }
}
