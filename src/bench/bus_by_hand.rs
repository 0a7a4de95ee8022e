//! From the winding's crest to the bus, as a hand calculator gets there: a check of the repeating waveform, not a part of it.

use crate::parts::{Connection, SeriesElement, Supply};
use crate::physics::circuit::source::Source;
use crate::physics::device::rectifier::Path;
use crate::physics::operation::Operation;

/// The way to the bus with its losses.
#[derive(Debug, Clone, PartialEq)]
pub struct BusByHand {
    /// Where it begins.
    pub from: Begin,
    /// E.m.f. at the beginning (V).
    pub emf_volts: f64,
    /// Current that flows then (A).
    pub amps: f64,
    /// Resistance of winding, primary and plate resistors in its way (Ω).
    pub ohms: f64,
    /// Over the rectifier (V): one device, or two in a bridge.
    pub device_volts: f64,
    /// Behind the rectifier (V).
    pub rectified_volts: f64,
    /// Mean current and resistance of each section of the filter (A, Ω).
    pub sections: Vec<(f64, f64)>,
    /// Mean of the bus, got so (V).
    pub bus_volts: f64,
}

/// Where the way begins.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Begin {
    /// At the top of a pulse into the first capacitor: the crest of the e.m.f. with the highest current.
    TopOfPulse,
    /// At the mean of a full wave into a choke that never runs dry: of a sine 2/π of the crest, with the mean current.
    MeanOfWave,
}

/// The way to the bus, past the balancing resistors of each capacitor stack (A); `None` where no short cut leads there: resistor input, a choke that runs dry, half wave into a choke.
///
/// # Source
/// Kirchhoff's law at the top of a pulse; `Vdc = 2·Vp/π` of a full-wave rectifier with choke input, as the handbooks
/// have it (from memory).
pub fn bus_by_hand(
    supply: &Supply,
    source: &Source,
    operation: &Operation,
    balancing_amps: &[f64],
) -> Option<BusByHand> {
    let filter = &supply.filter;
    let rectifier = &supply.rectifier;
    let crest = source.crest_volts();
    let halves = source.halves().map(|half| half.ohms);
    let (from, emf_volts, amps) = if filter.input_capacitor.is_some() {
        let peak = operation.rectifier.peak_amps * f64::from(rectifier.in_parallel.max(1));
        (Begin::TopOfPulse, crest, peak)
    } else {
        let first = filter.sections.first()?;
        let SeriesElement::Choke { .. } = first.series else {
            return None;
        };
        let never_dry = operation.chokes.first()?.least_amps > 0.0;
        if !never_dry || rectifier.connection == Connection::HalfWave {
            return None;
        }
        let mean = source.rectified_mean_volts();
        (Begin::MeanOfWave, mean, operation.rectified_amps)
    };
    // The pulse of the higher half, or the mean of both by turns.
    let winding_ohms = match from {
        Begin::TopOfPulse => source.higher_half().ohms,
        Begin::MeanOfWave => 0.5 * (halves[0] + halves[1]),
    };
    let path = Path::new(rectifier, winding_ohms);
    let lost = path.drop_at(amps);
    let rectified_volts = emf_volts - lost;
    let before = filter.stacks().count() - filter.sections.len();
    let sections: Vec<(f64, f64)> = filter
        .sections
        .iter()
        .enumerate()
        .map(|(place, section)| {
            let left_before: f64 = balancing_amps.iter().take(before + place).sum();
            let amps = operation.rectified_amps - left_before;
            (amps, section.series.ohms_at_work().0)
        })
        .collect();
    let over_sections: f64 = sections.iter().map(|(amps, ohms)| amps * ohms).sum();
    Some(BusByHand {
        from,
        emf_volts,
        amps,
        ohms: path.ohms,
        device_volts: lost - path.ohms * amps,
        rectified_volts,
        sections,
        bus_volts: rectified_volts - over_sections,
    })
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::bench::working::working;
    use crate::parts::catalogue::{Catalogue, presets};
    use crate::parts::file::read_checked;
    use crate::physics::Case;
    use crate::physics::Model;

    #[test]
    fn the_way_by_hand_ends_near_the_bus_of_every_preset() {
        let mut begun = Vec::new();
        for (name, text) in presets() {
            let supply = read_checked(text, &Catalogue::built_in()).unwrap();
            let figures =
                working(&Model::of(&supply).unwrap(), Case::Present, [0.05, 150.0]).unwrap();
            let by_hand = figures.bus_by_hand.unwrap();
            let bus = figures.operation.bus;
            // The top of a pulse stands somewhere between valley and crest of the first capacitor.
            let near = 0.02 * bus.mean_volts + bus.ripple_volts();
            let off = by_hand.bus_volts - bus.mean_volts;
            assert!(off.abs() < near, "{name}: {by_hand:?} against {bus:?}");
            let drawn = 0.05
                + supply.filter.internal_current.0
                + figures.regulator_bus_amps
                + figures.bleeder_amps;
            let whole = drawn + figures.balancing_amps;
            let share = whole / figures.operation.rectified_amps;
            assert!((share - 1.0).abs() < 1e-3, "{name}: {share}");
            begun.push(by_hand.from);
        }
        assert!(begun.contains(&Begin::TopOfPulse) && begun.contains(&Begin::MeanOfWave));
    }
}
