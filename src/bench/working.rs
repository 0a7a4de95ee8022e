//! The figures behind one output current in one case, step by step, as one would put them down by hand.

use crate::bench::bus_by_hand::{BusByHand, bus_by_hand};
use crate::parts::{Connection, Supply};
use crate::physics::circuit::source::Source;
use crate::physics::failure::Failure;
use crate::physics::limit::tube_mean_volts;
use crate::physics::model::{Model, RegulatorModel};
use crate::physics::operation::{Case, NoLoad, Operation};
use crate::physics::regulator::Load;
use crate::physics::regulator::control_range::{ControlRange, control_range};
use crate::physics::regulator::feedback::{self, Regulation, regulation};
use crate::physics::regulator::floor::{Drive, drive};
use crate::physics::regulator::sharing::{imbalance, worst_unit};
use crate::physics::steady_state::{operate, ripple_hertz, stack_farads};
use crate::physics::stress::no_load;

/// The figures.
#[derive(Debug, Clone, PartialEq)]
pub struct Working {
    /// Rms mains volts (V).
    pub mains_volts: f64,
    /// The transformer seen from the rectifier.
    pub source: Source,
    /// Crest of its e.m.f. (V).
    pub crest_volts: f64,
    /// Current for auxiliary windings and core in the primary (A).
    pub auxiliary_amps: f64,
    /// Supply resistance of each plate with its own resistor (Ω).
    pub plate_ohms: f64,
    /// The repeating waveform.
    pub operation: Operation,
    /// With nothing on the terminals.
    pub no_load: NoLoad,
    /// Current of the bleeder at the mean of the bus (A).
    pub bleeder_amps: f64,
    /// The pulses of the rectifier; none where it carries no current.
    pub pulses: Option<Pulses>,
    /// Rms current that a negative rail draws from the high-voltage winding (A); 0 where none hangs on it, or it gives no voltage.
    pub rail_in_winding_amps: f64,
    /// What the plates on its first half carry more by it, at most (A rms).
    pub moved_by_the_rail_amps: f64,
    /// Rms current of the harder worked half-winding (winding), with both (A).
    pub winding_rms_amps: f64,
    /// The ripple behind a capacitor input; none with a choke input, or where the rectifier carries no current.
    pub ripple: Option<Ripple>,
    /// Each capacitor stack, first to last.
    pub capacitors: Vec<Capacitor>,
    /// Frequency of the ripple behind the rectifier (Hz).
    pub ripple_hertz: f64,
    /// Current of all balancing resistors at the means of their capacitors (A).
    pub balancing_amps: f64,
    /// From the winding's crest to the bus with the losses one by one, where that can be done by hand.
    pub bus_by_hand: Option<BusByHand>,
    /// What the regulator draws through the pass tubes at the point (A).
    pub regulator_amps: f64,
    /// What it draws in the current that the bus is worked out with: that at the top of the output range (A).
    pub regulator_bus_amps: f64,
    /// What it draws through the pass tubes at dropout (A).
    pub regulator_dropout_amps: f64,
    /// What one unit carries at dropout where all share evenly (A).
    pub even_amps: f64,
    /// Least drop, at dropout, over the pass tubes and the resistors around them (V), where the tubes' curve is known.
    pub least_drop_volts: Option<f64>,
    /// Highest output volts that the valley of the ripple leaves (V), where the tubes' curve is known.
    pub dropout_volts: Option<f64>,
    /// Least volts over the tube alone, with an even share (V), where its curve is known.
    pub least_tube_volts: Option<f64>,
    /// Peak-to-peak ripple of the negative rail (V), where there is one.
    pub rail_ripple_volts: Option<f64>,
    /// Current of the worst pass tube unit (A).
    pub worst_amps: f64,
    /// By how much of its even share it exceeds it.
    pub imbalance: f64,
    /// Current of the worst pass tube envelope (A).
    pub bulb_amps: f64,
    /// Volts over the resistors of the worst unit and the meter shunt (V).
    pub resistor_volts: f64,
    /// Volts of the pass cathodes above the output, with an even share of the current: over cathode resistors and meter shunt (V).
    pub cathode_lift_volts: f64,
    /// Screen's share of the pass tube's current, where its screen is tied to the plate and that is known.
    pub screen_share: Option<f64>,
    /// Control tube's cathode above the output's negative terminal in the valley of the bus, where its plate is highest (V).
    pub control_cathode_volts: Option<f64>,
    /// The control tube in the valley of the bus, as the loop would hold it.
    pub control_in_valley: Option<feedback::WorkingPoint>,
    /// From where to where the sense control reaches with nothing connected, where it is described part by part.
    pub control_range: Option<ControlRange>,
    /// What feeds the positive reference.
    pub positive_feed: Option<ReferenceFed>,
    /// The pass grids at the crest of the bus, where regulator and tubes are known.
    pub grids: Option<Grids>,
    /// The loop, where it is known.
    pub regulation: Option<Regulation>,
}

/// The pulses of the rectifier as factors of their means.
///
/// # Source
/// Definitions of mean, peak and rms over the cycle; half a sine has a crest factor of π/2 and a form factor of π/(2√2).
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Pulses {
    /// Mean current of one side (half-winding, pair of a bridge) over the whole mains cycle, devices in parallel together (A).
    pub side_mean_amps: f64,
    /// Peak of one device over its mean while it conducts.
    pub crest_factor: f64,
    /// Rms current of the winding over the mean while it conducts, both taken over the time of conduction.
    pub form_factor: f64,
}

/// A capacitor stack in the case.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Capacitor {
    /// Capacitance at the end of its tolerance that belongs to the case (F).
    pub farads: f64,
    /// Rms ripple volts (V).
    pub ripple_rms_volts: f64,
    /// Mean current of its balancing resistors (A).
    pub balancing_amps: f64,
    /// Rms ripple current of the whole stack over that of a sine with its ripple volts at the ripple's frequency; none without ripple.
    pub harmonics: Option<f64>,
}

/// Where the ripple current of the rectifier goes behind a capacitor input.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Ripple {
    /// All of it, rms: the squares of the rectifier's rms and mean currents apart (A).
    pub rms_amps: f64,
    /// By how much the first capacitor carries less than that, as the filter behind it takes some on (A); negative where it
    /// carries more.
    pub into_filter_amps: f64,
}

/// What feeds the positive reference, for the current of its gas tubes: `(feed_volts − dark_volts) / ohms`.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct ReferenceFed {
    /// Volts before the feed resistor (V).
    pub feed_volts: f64,
    /// Those at which the tubes' straight lines begin, with what others draw through the feed resistor (V).
    pub dark_volts: f64,
    /// Feed resistor and slope of the tubes (Ω).
    pub ohms: f64,
}

/// What the pass grids need at the crest of the bus and what the control tube can give.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Grids {
    /// Current of one unit with preload and divider (A).
    pub unit_amps: f64,
    /// Plate volts of one unit (V).
    pub plate_volts: f64,
    /// Pass cathodes above the output's negative terminal (V).
    pub cathode_volts: f64,
    /// How far the control tube pulls its plate down, from the output's negative terminal (V).
    pub bottom_volts: f64,
    /// Needed and given.
    pub drive: Drive,
}

/// The figures of a case at an output current and voltage (A, V).
///
/// # Errors
/// As [`operate`].
pub fn working(model: &Model, case: Case, [amps, volts]: [f64; 2]) -> Result<Working, Failure> {
    let (supply, pass) = (&model.supply, &*model.pass);
    let at = model.at(case);
    let (mains, seen) = (at.mains_volts, at.source);
    let operation = operate(&model.raw, case, amps)?;
    let stage = &pass.stage;
    let current = at.pass_current(&operation, volts);
    let worst_amps = worst_unit(pass, &operation, current, volts);
    let dropout_volts = model.dropout_volts(case, &operation);
    let at_dropout = dropout_volts.map_or(current, |edge| at.pass_current(&operation, edge));
    let even_amps = at_dropout.amps() / pass.units;
    let regulator = at.regulator.as_ref();
    let capacitors = capacitors(model, case, &operation);
    let balancing_amps: Vec<f64> = capacitors.iter().map(|c| c.balancing_amps).collect();
    Ok(Working {
        screen_share: (stage.tube.screen_share.as_ref())
            .filter(|_| stage.tube.triode_connected)
            .map(|share| share.value.0),
        control_cathode_volts: regulator.and_then(|regulator| {
            let valley = load(&operation, operation.bus.trough_volts, volts);
            regulator.potentials(valley, 0.0).ok().map(|at| at.cathode)
        }),
        control_in_valley: regulator.and_then(|regulator| {
            let valley = load(&operation, operation.bus.trough_volts, volts);
            feedback::working_point(regulator, valley).ok()
        }),
        control_range: (regulator.filter(|r| r.regulator.divider.control.is_some())).and_then(
            |r| {
                let unloaded = operate(&model.raw, case, 0.0).ok()?;
                control_range(r, &unloaded).ok().flatten()
            },
        ),
        positive_feed: regulator.and_then(|regulator| {
            let stack = regulator.positive.as_ref()?;
            let mean = load(&operation, operation.bus.mean_volts, volts);
            let feed_volts = regulator.positive_feed_volts(mean);
            let dark_volts = stack.feed_volts_for(0.0);
            let amps = stack.straight_amps(feed_volts);
            Some(ReferenceFed {
                feed_volts,
                dark_volts,
                // A shunt resistor takes its part of what comes on top.
                ohms: if amps > 0.0 {
                    (feed_volts - dark_volts) / amps
                } else {
                    stack.feed_ohms + stack.ohms()
                },
            })
        }),
        grids: regulator.and_then(|regulator| grids(regulator, &operation, volts)),
        regulation: regulator.and_then(|regulator| regulation(regulator, &operation, volts).ok()),
        cathode_lift_volts: pass.cathode_lift(current),
        ripple: ripple(supply, &operation),
        pulses: pulses(supply, &operation),
        rail_in_winding_amps: at.rail_in_winding_amps().unwrap_or(0.0),
        moved_by_the_rail_amps: model.moved_by_the_rail_amps(case),
        winding_rms_amps: (model.winding_rms_amps(case, &operation))
            .unwrap_or(operation.winding_rms_amps),
        ripple_hertz: ripple_hertz(&model.raw),
        imbalance: imbalance(pass, &operation, current, volts),
        mains_volts: mains,
        crest_volts: seen.crest_volts(),
        auxiliary_amps: supply.transformer.auxiliary.0 / mains,
        plate_ohms: seen.winding.ohms + supply.rectifier.plate_resistor.0,
        source: seen,
        no_load: no_load(model, case)?,
        bleeder_amps: supply
            .filter
            .bleeder
            .map_or(0.0, |r| operation.bus.mean_volts / r.0),
        balancing_amps: balancing_amps.iter().sum(),
        bus_by_hand: bus_by_hand(supply, &seen, &operation, &balancing_amps),
        capacitors,
        even_amps,
        regulator_amps: current.regulator_amps,
        regulator_bus_amps: model.regulator_amps,
        regulator_dropout_amps: at_dropout.regulator_amps,
        least_drop_volts: pass.least_drop(at_dropout),
        dropout_volts,
        least_tube_volts: pass.least_drop(at_dropout).map(|drop| {
            drop - even_amps * pass.unit_ohms() - operation.output_amps * pass.shunt_ohms
        }),
        rail_ripple_volts: regulator
            .and_then(|regulator| Some(regulator.working_rail()?.operation.bus.ripple_volts())),
        worst_amps,
        bulb_amps: (worst_amps * f64::from(stage.tube.units.max(1))).min(current.amps()),
        resistor_volts: operation.bus.mean_volts - tube_mean_volts(pass, &operation, worst_amps),
        operation,
    })
}

fn pulses(supply: &Supply, operation: &Operation) -> Option<Pulses> {
    let of_device = &operation.rectifier;
    let side_mean_amps = of_device.mean_amps * f64::from(supply.rectifier.in_parallel.max(1));
    // Part of the cycle in which a side conducts.
    let part = of_device.conduction_degrees / 360.0;
    let sides = match supply.rectifier.connection {
        Connection::Bridge => 2.0,
        Connection::FullWaveCentreTap | Connection::HalfWave => 1.0,
    };
    (part > 0.0 && side_mean_amps > 0.0).then(|| Pulses {
        side_mean_amps,
        crest_factor: of_device.peak_amps * part / of_device.mean_amps,
        form_factor: operation.winding_rms_amps * (part / sides).sqrt() / side_mean_amps,
    })
}

fn ripple(supply: &Supply, operation: &Operation) -> Option<Ripple> {
    let (rms, mean) = (operation.rectified_rms_amps, operation.rectified_amps);
    let first = operation.capacitor_rms_amps.first()?;
    let rms_amps = (rms * rms - mean * mean).max(0.0).sqrt();
    (!supply.filter.is_choke_input() && operation.rectifier.mean_amps > 0.0).then_some(Ripple {
        rms_amps,
        into_filter_amps: rms_amps - first,
    })
}

fn capacitors(model: &Model, case: Case, operation: &Operation) -> Vec<Capacitor> {
    let angular = core::f64::consts::TAU * ripple_hertz(&model.raw);
    (model.supply.filter.stacks())
        .zip(&operation.capacitor_ripple_rms_volts)
        .zip(&operation.capacitor_mean_volts)
        .zip(&operation.capacitor_rms_amps)
        .map(|(((stack, ripple), mean), amps)| {
            let farads = stack_farads(stack, case);
            let of_sine = angular * farads * ripple;
            Capacitor {
                farads,
                ripple_rms_volts: *ripple,
                balancing_amps: mean / stack.balancing_ohms(),
                harmonics: (of_sine > 0.0).then(|| amps / of_sine),
            }
        })
        .collect()
}

fn load(operation: &Operation, bus_volts: f64, volts: f64) -> Load {
    Load {
        bus_volts,
        amps: operation.output_amps,
        volts,
    }
}

fn grids(regulator: &RegulatorModel, operation: &Operation, volts: f64) -> Option<Grids> {
    let drive = drive(regulator, operation, volts).ok()?;
    let load = load(operation, operation.bus.crest_volts, volts);
    let at = regulator.potentials(load, 0.0).ok()?;
    let pass = regulator.pass_at(load, at).ok()?;
    Some(Grids {
        unit_amps: pass.unit_amps,
        plate_volts: pass.plate_volts,
        cathode_volts: pass.cathode_potential,
        bottom_volts: pass.cathode_potential - drive.given_volts,
        drive,
    })
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::parts::catalogue::{Catalogue, presets};
    use crate::parts::file;

    /// What is put into the formulas adds up to what the waveform has: charge is kept, and no pulse is flatter than flat.
    #[test]
    fn the_figures_of_a_formula_add_up() {
        let catalogue = Catalogue::built_in();
        for (name, text) in presets() {
            let supply = file::read(text, &catalogue).unwrap();
            for case in [Case::Low, Case::Present, Case::HighMost] {
                let figures = working(&Model::of(&supply).unwrap(), case, [0.04, 100.0]).unwrap();
                let operation = &figures.operation;
                let balancing: f64 = figures.capacitors.iter().map(|c| c.balancing_amps).sum();
                let drawn = operation.output_amps
                    + supply.filter.internal_current.0
                    + figures.regulator_bus_amps
                    + figures.bleeder_amps
                    + balancing;
                let off = operation.rectified_amps / drawn - 1.0;
                assert!(off.abs() < 3e-3, "{name}: {off}");
                let pulses = figures.pulses.unwrap();
                assert!(
                    (1.0..2.0).contains(&pulses.crest_factor)
                        && (0.999..1.5).contains(&pulses.form_factor),
                    "{name}: {pulses:?}"
                );
                // By the fundamental alone it is the least that it can be.
                let ripple = |k: usize| {
                    let of = figures.capacitors[k];
                    let radians = core::f64::consts::TAU * figures.ripple_hertz;
                    operation.capacitor_rms_amps[k] / (radians * of.farads * of.ripple_rms_volts)
                };
                for k in 0..figures.capacitors.len() {
                    assert!((0.999..2.0).contains(&ripple(k)), "{name}: {}", ripple(k));
                }
            }
        }
    }

    /// Half of a double triode carries all of the output current; the whole of it no more than that.
    #[test]
    fn a_bulb_carries_no_more_than_the_output_current() {
        let mut supply = file::read(presets()[0].1, &Catalogue::built_in()).unwrap();
        supply.pass_stage.tube.units = 2;
        supply.regulator = None;
        for units in [1, 2] {
            supply.pass_stage.units = units;
            let model = Model::of(&supply).unwrap();
            let figures = working(&model, Case::Present, [0.04, 100.0]).unwrap();
            assert!(
                (figures.bulb_amps - 0.04).abs() < 1e-12,
                "{units}: {figures:?}"
            );
        }
    }
}
