//! Halves of a winding that differ: which is the first is a matter of names.

use proptest::option;
use proptest::prelude::*;

use sagline::parts::{Connection, Ohms, SecondaryVolts, Supply, Volts, WindingVolts};
use sagline::physics::energy::{NoFlow, energy};
use sagline::physics::operation::{Case, Operation};
use sagline::physics::steady_state::{operate, waveform};
use sagline::physics::{Failure, Model};

use crate::supplies::{spread, supply};
use crate::{cases, fault, no_case, source_crest, sustained};

/// A supply on a centre-tapped winding, its second half by so much higher or lower than the first, with a resistance of its own or not.
fn with_halves() -> impl Strategy<Value = Supply> {
    let ratio = prop_oneof![3 => 0.93..1.07, 1 => 0.6..1.6];
    (supply(), ratio, option::of(0.6..1.6)).prop_map(|(mut supply, ratio, copper)| {
        supply.rectifier.connection = Connection::FullWaveCentreTap;
        let transformer = &mut supply.transformer;
        let volts = transformer.stated_volts();
        let halves = SecondaryVolts::Halves(volts, Volts(volts.0 * ratio));
        transformer.winding = WindingVolts::OpenCircuit(halves);
        let ohms = transformer.secondary_resistance.0;
        transformer.second_half_resistance = copper.map(|copper| Ohms(copper * ohms));
        supply
    })
}

fn exchanged(supply: &Supply) -> Supply {
    let mut other = supply.clone();
    let transformer = &mut other.transformer;
    transformer.winding = WindingVolts::OpenCircuit(transformer.secondary_volts().exchanged());
    if let Some(second) = &mut transformer.second_half_resistance {
        core::mem::swap(second, &mut transformer.secondary_resistance);
    }
    other
}

/// The figures of the bus and of the whole rectifier, volts over the source's crest and amperes over the rectified.
fn figures(operation: &Operation, crest: f64) -> [f64; 7] {
    let (bus, all) = (&operation.bus, operation.rectified_amps);
    [
        bus.mean_volts / crest,
        bus.trough_volts / crest,
        bus.crest_volts / crest,
        bus.ripple_rms_volts / crest,
        operation.rectified_rms_amps / all,
        operation.rectifier.rms_amps / all,
        operation.winding_rms_amps / all,
    ]
}

proptest! {
    #![proptest_config(cases())]

    #[test]
    fn exchanging_the_halves_changes_nothing(supply in with_halves(), amps in spread(1e-3, 0.2)) {
        let one = sustained(&supply, Case::Present, amps)?;
        let other = sustained(&exchanged(&supply), Case::Present, amps)?;
        let crest = source_crest(&supply);
        let (a, b) = (figures(&one, crest), figures(&other, crest));
        for (k, (a, b)) in a.into_iter().zip(b).enumerate() {
            let within = if k < 4 { 3e-4 } else { 3e-3 * a };
            prop_assert!((a - b).abs() <= within, "{}: {} {}", k, a, b);
        }
        let (Some([first, second]), Some([other_first, other_second])) = (one.by_half, other.by_half) else {
            return Err(TestCaseError::fail("halves were not told apart"));
        };
        for (a, b) in [(first, other_second), (second, other_first)] {
            prop_assert!((a.mean_amps - b.mean_amps).abs() <= 3e-3 * one.rectified_amps, "{:?} {:?}", a, b);
        }
    }

    /// The higher of two halves with the same copper carries more, and what both carry is what the filter draws.
    #[test]
    fn the_higher_half_carries_more(supply in with_halves(), amps in spread(1e-3, 0.2)) {
        let mut supply = supply;
        supply.transformer.second_half_resistance = Some(supply.transformer.secondary_resistance);
        // Else the copper of the primary, as the square of the turns, may outweigh some volts.
        supply.transformer.primary_resistance = Ohms(0.0);
        let [v1, v2] = supply.transformer.stated_halves();
        let operation = sustained(&supply, Case::Present, amps)?;
        let Some([first, second]) = operation.by_half else { return Err(TestCaseError::fail("alike")) };
        let devices = f64::from(supply.rectifier.in_parallel);
        let sum = devices * (first.mean_amps + second.mean_amps);
        prop_assert!((sum / operation.rectified_amps - 1.0).abs() < 1e-9);
        let more = (first.mean_amps - second.mean_amps) * (v1.0 - v2.0).signum();
        prop_assert!(more >= -2e-3 * operation.rectified_amps, "{:?} {:?}", first, second);
    }

    #[test]
    fn the_watts_of_unequal_halves_sum_up(supply in with_halves(), amps in spread(1e-3, 0.2)) {
        let Ok(operation) = operate(&supply.raw(), Case::Present, amps) else { return no_case() };
        let Ok(model) = Model::of(&supply) else { return no_case() };
        let flow = match energy(&model, Case::Present, [amps, 0.5 * operation.bus.trough_volts]) {
            Ok(flow) => flow,
            Err(NoFlow::AboveBus { .. } | NoFlow::Supply(Failure::Collapse { .. } | Failure::NotConverged { .. })) => return no_case(),
            Err(other) => return Err(fault(&other)),
        };
        prop_assert!((flow.sum_watts() / flow.mains_watts - 1.0).abs() < 1e-3, "{} W in, {} W out: {:?}", flow.mains_watts, flow.sum_watts(), flow);
        let wave = waveform(&supply.raw(), Case::Present, amps).map_err(|failure| fault(&failure))?;
        // Instants of the whole cycle, whose plates carry together what the filter draws.
        let mean = wave.mean(|i| i.plate_amps.iter().sum());
        prop_assert!((mean / wave.operation.rectified_amps - 1.0).abs() < 5e-3, "{} {}", mean, wave.operation.rectified_amps);
    }
}
