//! Where the watts go on their way from the mains to the load.
//!
//! Every watt is a mean over one mains cycle of the repeating waveform: `R·i²` of what resists, `v·i` of the rectifier's
//! devices, volts times current of what draws a steady current. What the mains give is worked out apart from that, from
//! the e.m.f.s and their currents, so that the sum is a check and not a definition.

use crate::parts::{Connection, Filter, SeriesElement};
use crate::physics::circuit::network::leak_siemens;
use crate::physics::circuit::source::source_in;
use crate::physics::failure::Failure;
use crate::physics::model::{Model, raw_rail};
use crate::physics::operation::Case;
use crate::physics::steady_state::{Waveform, waveform};

/// Something in which power ends. Numbered ones count from the rectifier, starting at 0.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum Sink {
    /// Heaters and core: everything else on the transformer, its apparent power taken as real.
    Auxiliary,
    /// Resistance of the primary, with all its current.
    PrimaryCopper,
    /// Resistance of the high-voltage winding, with what a negative rail on it takes there.
    SecondaryCopper,
    /// Resistors in the rectifier's plate leads.
    PlateResistors,
    /// The rectifier's devices.
    Rectifier,
    /// A choke's winding.
    Choke(u8),
    /// A resistor of the filter, by its section.
    FilterResistor(u8),
    /// All balancing resistors of the capacitors; without any, and without a bleeder, the leakage that the bus is worked out with, where
    /// that is worth speaking of.
    Balancing,
    /// The bleeder.
    Bleeder,
    /// What the supply itself takes, from the bus and by the regulator from the output.
    Internal,
    /// A negative rail on the high-voltage winding: its rectifier, its filter, and what is drawn from it. One with a winding of its own
    /// is in [`Self::Auxiliary`].
    NegativeRail,
    /// The plates (and screens) of the pass tubes.
    PassTubes,
    /// Cathode and plate resistors of the pass tubes, shared evenly.
    PassResistors,
    /// Meter shunt and output fuse.
    MeterShunt,
    /// What is connected.
    Load,
}

/// Power that ends in one thing.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Share {
    /// In what.
    pub sink: Sink,
    /// Mean power (W), not negative.
    pub watts: f64,
}

/// The whole flow at one point.
#[derive(Debug, Clone, PartialEq)]
pub struct Energy {
    /// Output current (A).
    pub amps: f64,
    /// Output volts (V).
    pub volts: f64,
    /// Mean power from the mains, from e.m.f. and current (W).
    pub mains_watts: f64,
    /// Where it ends, in the order of the signal path, the load last. What the supply does not have is left out.
    pub shares: Vec<Share>,
}

impl From<Failure> for NoFlow {
    fn from(failure: Failure) -> Self {
        Self::Supply(failure)
    }
}

impl Energy {
    /// Sum of all shares (W): the mains watts, but for the accuracy of the waveform.
    pub fn sum_watts(&self) -> f64 {
        self.shares.iter().map(|s| s.watts).sum()
    }

    /// Power into one thing (W); 0 if the supply does not have it.
    pub fn watts(&self, sink: Sink) -> f64 {
        self.shares
            .iter()
            .find(|s| s.sink == sink)
            .map_or(0.0, |s| s.watts)
    }

    /// The load's part of the mains watts.
    pub fn efficiency(&self) -> f64 {
        self.watts(Sink::Load) / self.mains_watts
    }
}

/// Why there is no flow to show.
#[derive(Debug, Clone, PartialEq)]
pub enum NoFlow {
    /// The circuit before the pass tubes has no answer.
    Supply(Failure),
    /// More volts are asked for than are left behind the resistors at the pass tubes.
    AboveBus {
        /// Output volts asked for (V).
        found: f64,
        /// Mean volts that would come out of tubes without any drop (V).
        highest: f64,
    },
}

/// Where the watts go at an output of `[amps, volts]`.
///
/// # Source
/// `P = V·I` and `P = R·I²` of each part; the auxiliary current shares the primary with the reflected one, in phase
/// with the e.m.f. (common practice, no source).
///
/// # Errors
/// [`NoFlow`], if the circuit has no answer or those volts cannot come out.
pub fn energy(model: &Model, case: Case, point: [f64; 2]) -> Result<Energy, NoFlow> {
    let [amps, volts] = point;
    of_waveform(model, &wave(model, case, point)?, [amps, volts])
}

/// One mains cycle with what the regulator draws at that very output, `[amps, volts]`.
fn wave(model: &Model, case: Case, [amps, volts]: [f64; 2]) -> Result<Waveform, Failure> {
    let mut raw = model.raw.clone();
    let drawn = &mut raw.filter.internal_current.0;
    *drawn += regulator_amps(model, case, volts) - model.regulator_amps;
    waveform(&raw, case, amps)
}

fn regulator_amps(model: &Model, case: Case, volts: f64) -> f64 {
    let at = model.at(case);
    let crest_volts = at.source.crest_volts();
    let regulator = at.regulator.as_ref();
    regulator.map_or(0.0, |regulator| regulator.drawn_amps(crest_volts, volts))
}

fn of_waveform(model: &Model, wave: &Waveform, [amps, volts]: [f64; 2]) -> Result<Energy, NoFlow> {
    let mut shares = Vec::new();
    let mut mains_watts = before_the_filter(model, wave, &mut shares);
    in_the_filter(&model.supply.filter, wave, &mut shares);
    if let Some(rail) = rail_on_the_winding(model, wave.case)? {
        mains_watts += add_rail(&rail, &mut shares);
    }
    let leak = leak_siemens(&model.supply.filter) * wave.mean(|i| i.bus_volts().powi(2));
    if leak > WORTH_SAYING * mains_watts {
        shares.push(Share {
            sink: Sink::Balancing,
            watts: leak,
        });
    }
    behind_the_bus(model, wave, [amps, volts], &mut shares)?;
    Ok(Energy {
        amps,
        volts,
        mains_watts,
        shares: shares
            .into_iter()
            .filter(|s| s.watts > 0.0 || s.sink == Sink::Load)
            .collect(),
    })
}

/// The part of the mains watts from which leakage is counted: of tens of kilovolts it takes watts, of all else microwatts.
const WORTH_SAYING: f64 = 1e-4;

/// What a negative rail takes through the high-voltage winding.
struct RailWatts {
    /// From the mains (W).
    mains: f64,
    /// In the primary's resistance, and what of the auxiliary load's watts goes there (W).
    primary: [f64; 2],
    /// In the copper between the common and its end of the winding (W).
    secondary: f64,
    /// In all of its own (W).
    own: f64,
}

fn add_rail(rail: &RailWatts, shares: &mut Vec<Share>) -> f64 {
    let [copper, of_auxiliary] = rail.primary;
    for share in shares.iter_mut() {
        share.watts += match share.sink {
            Sink::Auxiliary => -of_auxiliary,
            Sink::PrimaryCopper => copper,
            Sink::SecondaryCopper => rail.secondary,
            _ => 0.0,
        };
    }
    shares.push(Share {
        sink: Sink::NegativeRail,
        watts: rail.own,
    });
    rail.mains
}

/// Of a rail with gas tubes lit, in the case; `None` where none hangs on the high-voltage winding, or it gives no voltage. The product of
/// its current and that of the bus in the primary is left out, as the drop of either is for the other.
fn rail_on_the_winding(model: &Model, case: Case) -> Result<Option<RailWatts>, Failure> {
    let supply = &model.supply;
    let at = model.at(case);
    let working = at.regulator.as_ref().and_then(|r| r.working_rail());
    let Some((rail, working)) = supply.rail_on_high_voltage().zip(working) else {
        return Ok(None);
    };
    let raw = raw_rail(supply, rail)?;
    let wave = waveform(&raw, case, working.amps)?;
    let source = source_in(&raw, case)?.winding;
    let primary = supply.transformer.primary_at_work().0;
    let square = wave.mean(|i| i.plate_amps.iter().map(|a| a * a).sum());
    let emf_watts = wave.mean(|i| i.half_volts[0] * i.plate_amps[0]);
    let auxiliary_amps = supply.transformer.auxiliary.0 / at.mains_volts;
    let crossed = primary * source.turns_ratio * auxiliary_amps * emf_watts / source.emf_rms_volts;
    let reflected = source.turns_ratio.powi(2) * primary * square;
    let mut own = Vec::new();
    in_the_filter(&raw.filter, &wave, &mut own);
    let parallel = f64::from(raw.rectifier.in_parallel.max(1));
    let bulk = match &raw.rectifier.kind.law {
        crate::parts::RectifierLaw::Silicon { resistance, .. } => {
            f64::from(raw.rectifier.in_series.max(1)) * resistance.0
        }
        _ => 0.0,
    };
    let in_series = (bulk + raw.rectifier.plate_resistor.0) / parallel * square;
    let device = wave.mean(|i| i.plate_amps[0] * i.device_volts[0]);
    let drawn_amps = working.amps + raw.filter.internal_current.0;
    let filter: f64 = own.iter().map(|share| share.watts).sum();
    Ok(Some(RailWatts {
        mains: emf_watts + crossed,
        primary: [reflected + 2.0 * crossed, crossed],
        secondary: (source.ohms - source.turns_ratio.powi(2) * primary) * square,
        own: device + in_series + filter + drawn_amps * wave.operation.bus.mean_volts,
    }))
}

/// Transformer and rectifier; gives the mains watts.
fn before_the_filter(model: &Model, wave: &Waveform, shares: &mut Vec<Share>) -> f64 {
    let supply = &model.supply;
    let at = model.at(wave.case);
    let (mains, seen) = (at.mains_volts, &at.source);
    let transformer = &supply.transformer;
    let primary = transformer.primary_at_work().0;
    let path_square = wave.mean(|i| i.plate_amps.iter().map(|a| a * a).sum());
    // Of a resistance in the winding with another one for each half: their watts.
    let in_winding = |ohms: [f64; 2]| match supply.rectifier.connection {
        // While both sides of a bridge conduct, the winding carries only what one has more.
        Connection::Bridge => ohms[0] * wave.mean(|i| (i.plate_amps[0] - i.plate_amps[1]).powi(2)),
        Connection::FullWaveCentreTap | Connection::HalfWave => {
            wave.mean(|i| i.plate_amps.iter().zip(ohms).map(|(a, r)| r * a * a).sum())
        }
    };
    let emf_watts = wave.mean(|i| {
        let [p, q] = i.plate_amps;
        let [e, f] = i.half_volts;
        e * p + f * q
    });
    let auxiliary_amps = transformer.auxiliary.0 / mains;
    // Mean product of the auxiliary current and the reflected one, over the primary's resistance: the e.m.f. is in phase
    // with the auxiliary current, so the power out of it knows that product.
    let winding = seen.winding;
    let crossed =
        primary * winding.turns_ratio * auxiliary_amps * emf_watts / winding.emf_rms_volts;
    let own_copper = primary * auxiliary_amps * auxiliary_amps;
    let reflected = in_winding(
        seen.halves()
            .map(|half| half.turns_ratio * half.turns_ratio * primary),
    );
    let mut put = |sink, watts| shares.push(Share { sink, watts });
    put(
        Sink::Auxiliary,
        transformer.auxiliary.0 - own_copper - crossed,
    );
    put(Sink::PrimaryCopper, own_copper + 2.0 * crossed + reflected);
    put(
        Sink::SecondaryCopper,
        in_winding(transformer.halves_at_work().map(|ohms| ohms.0)),
    );
    let legs = match supply.rectifier.connection {
        Connection::Bridge => 2.0,
        Connection::FullWaveCentreTap | Connection::HalfWave => 1.0,
    };
    let parallel = f64::from(supply.rectifier.in_parallel.max(1));
    put(
        Sink::PlateResistors,
        legs * supply.rectifier.plate_resistor.0 / parallel * path_square,
    );
    let bulk = match &supply.rectifier.kind.law {
        crate::parts::RectifierLaw::Silicon { resistance, .. } => {
            legs * f64::from(supply.rectifier.in_series.max(1)) * resistance.0 / parallel
        }
        _ => 0.0,
    };
    let devices = wave.mean(|i| {
        i.plate_amps
            .iter()
            .zip(&i.device_volts)
            .map(|(a, v)| a * v)
            .sum()
    });
    put(Sink::Rectifier, devices + bulk * path_square);
    transformer.auxiliary.0 + emf_watts + crossed
}

/// Chokes, resistors, and what hangs on the capacitors.
fn in_the_filter(filter: &Filter, wave: &Waveform, shares: &mut Vec<Share>) {
    let stack = |i: &crate::physics::steady_state::Instant, k: usize| {
        i.capacitor_volts.get(k).copied().unwrap_or(0.0)
    };
    let first = usize::from(filter.input_capacitor.is_some());
    let mut chokes = 0;
    for (k, section) in filter.sections.iter().enumerate() {
        let (sink, watts) = match &section.series {
            choke @ SeriesElement::Choke { .. } => {
                let place = chokes;
                chokes += 1;
                let square = wave.mean(|i| i.choke_amps.get(place).map_or(0.0, |a| a * a));
                let number = u8::try_from(place).unwrap_or(u8::MAX);
                (Sink::Choke(number), choke.ohms_at_work().0 * square)
            }
            SeriesElement::Resistor(ohms) => {
                let watts = if k + first == 0 {
                    // Both sides go through it together.
                    ohms.0 * wave.mean(|i| i.plate_amps.iter().sum::<f64>().powi(2))
                } else {
                    let place = k + first;
                    wave.mean(|i| (stack(i, place - 1) - stack(i, place)).powi(2)) / ohms.0
                };
                let number = u8::try_from(k).unwrap_or(u8::MAX);
                (Sink::FilterResistor(number), watts)
            }
        };
        shares.push(Share { sink, watts });
    }
    let balancing = filter
        .stacks()
        .enumerate()
        .map(|(k, s)| wave.mean(|i| stack(i, k).powi(2)) / s.balancing_ohms())
        .sum();
    shares.push(Share {
        sink: Sink::Balancing,
        watts: balancing,
    });
    let bus_square = wave.mean(|i| i.bus_volts().powi(2));
    shares.push(Share {
        sink: Sink::Bleeder,
        watts: filter.bleeder.map_or(0.0, |ohms| bus_square / ohms.0),
    });
}

/// Pass tubes, meter and load: a steady current, so mean volts decide.
fn behind_the_bus(
    model: &Model,
    wave: &Waveform,
    [amps, volts]: [f64; 2],
    shares: &mut Vec<Share>,
) -> Result<(), NoFlow> {
    let bus = wave.operation.bus.mean_volts;
    let pass = &model.pass;
    let drawn = regulator_amps(model, wave.case, volts);
    let pass_amps = amps + drawn;
    let resistor_volts = pass_amps / pass.units * pass.unit_ohms();
    let shunt_volts = amps * pass.shunt_ohms;
    let highest = bus - resistor_volts - shunt_volts;
    if volts > highest {
        return Err(NoFlow::AboveBus {
            found: volts,
            highest,
        });
    }
    let mut put = |sink, watts| shares.push(Share { sink, watts });
    // What the regulator draws leaves the pass tubes ahead of the shunt, at the output's volts and the shunt's.
    let typed = model.supply.filter.internal_current.0;
    put(Sink::Internal, bus * typed + (volts + shunt_volts) * drawn);
    put(Sink::PassTubes, pass_amps * (highest - volts));
    put(Sink::PassResistors, pass_amps * resistor_volts);
    put(Sink::MeterShunt, amps * shunt_volts);
    put(Sink::Load, amps * volts);
    Ok(())
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::parts::catalogue::{Catalogue, presets};
    use crate::parts::{Amps, Ohms, file};
    use crate::physics::steady_state::operate;

    #[test]
    fn the_watts_of_every_preset_sum_to_the_mains_watts_within_two_in_a_thousand() {
        for (name, text) in presets() {
            let supply = file::read(text, &Catalogue::built_in()).unwrap();
            for case in [Case::Low, Case::Present, Case::High] {
                for share in [0.0, 0.01, 0.2, 0.6] {
                    let point = [0.15 * share, 0.5 * supply.output.set_high.0];
                    match energy(&Model::of(&supply).unwrap(), case, point) {
                        Ok(flow) => {
                            let miss = flow.sum_watts() / flow.mains_watts - 1.0;
                            assert!(
                                miss.abs() < 2e-3,
                                "{name} {case:?} {point:?}: {miss:.5} {flow:?}"
                            );
                            let worst = flow.shares.iter().map(|s| s.watts).fold(0.0, f64::min);
                            assert!(worst >= 0.0, "{name} {case:?} {point:?}: {flow:?}");
                        }
                        Err(NoFlow::AboveBus { .. } | NoFlow::Supply(Failure::Collapse { .. })) => {
                        }
                        Err(other) => panic!("{name} {case:?} {point:?}: {other:?}"),
                    }
                }
            }
        }
    }

    #[test]
    fn what_runs_free_past_a_bridge_does_not_heat_the_winding() {
        let (_, text) = presets()
            .iter()
            .find(|(name, _)| *name == "choke-input.ron")
            .unwrap();
        let mut supply = file::read(text, &Catalogue::built_in()).unwrap();
        supply.rectifier.connection = Connection::Bridge;
        supply.rectifier.plate_resistor = Ohms(300.0);
        let flow = energy(&Model::of(&supply).unwrap(), Case::Present, [0.15, 0.0]).unwrap();
        let operation = operate(&supply.raw(), Case::Present, 0.15).unwrap();
        let winding = operation.winding_rms_amps.powi(2);
        let both_sides =
            2.0 * (operation.rectifier.rms_amps * f64::from(supply.rectifier.in_parallel)).powi(2);
        assert!(winding < 0.98 * both_sides, "{winding} of {both_sides} A²");
        let copper = supply.transformer.secondary_resistance.0 * winding;
        let miss = flow.watts(Sink::SecondaryCopper) / copper - 1.0;
        assert!(miss.abs() < 1e-3, "{miss:.5} {flow:?}");
        let miss = flow.sum_watts() / flow.mains_watts - 1.0;
        assert!(miss.abs() < 5e-4, "{miss:.5} {flow:?}");
    }

    /// Ohm's law for each that a steady current goes through: which of two has the watts no sum can tell.
    #[test]
    fn a_steady_current_leaves_each_its_own_watts() {
        let (_, text) = presets()[0];
        let mut supply = file::read(text, &Catalogue::built_in()).unwrap();
        supply.pass_stage.units = 3;
        supply.pass_stage.cathode_resistor = Ohms(90.0);
        supply.pass_stage.plate_resistor = Ohms(30.0);
        supply.output.meter_shunt = Ohms(7.0);
        supply.filter.internal_current = Amps(0.01);
        supply.regulator = None;
        let [amps, volts] = [0.06, 100.0];
        let bus = operate(&supply.raw(), Case::Present, amps).unwrap().bus;
        let model = Model::of(&supply).unwrap();
        let flow = energy(&model, Case::Present, [amps, volts]).unwrap();
        let dropped = bus.mean_volts - volts - amps * (120.0 / 3.0 + 7.0);
        for (sink, want) in [
            (Sink::Load, amps * volts),
            (Sink::MeterShunt, amps * amps * 7.0),
            (Sink::PassResistors, amps * amps * 120.0 / 3.0),
            (Sink::PassTubes, amps * dropped),
            (Sink::Internal, 0.01 * bus.mean_volts),
        ] {
            let got = flow.watts(sink);
            assert!((got / want - 1.0).abs() < 1e-6, "{sink:?}: {got} {want}");
        }
    }

    #[test]
    fn volts_above_the_bus_are_refused_with_what_there_is() {
        let (_, text) = presets()[0];
        let supply = file::read(text, &Catalogue::built_in()).unwrap();
        let refused =
            energy(&Model::of(&supply).unwrap(), Case::Present, [0.02, 5000.0]).unwrap_err();
        assert!(
            matches!(refused, NoFlow::AboveBus { found, highest } if found > highest && highest > 0.0),
            "{refused:?}"
        );
    }
}
