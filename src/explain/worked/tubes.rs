//! Pass tubes, grid drive and loop on the worked page.

use crate::bench::working::Working;
use crate::explain::worked::Page;
use crate::explain::{number, regulation};
use crate::parts::{PlateCharacteristic, Supply};
use crate::physics::envelope::Point;
use crate::physics::regulator::feedback::{Hold, Regulation};

pub(super) fn pass_tubes(page: &mut Page, supply: &Supply, point: &Point, working: &Working) {
    let stage = &supply.pass_stage;
    page.text("## Pass tubes");
    let share = if stage.units > 1 {
        format!(
            "{} / {} × {:.2} = {}",
            pass_current(point.amps, working.regulator_amps),
            stage.units,
            1.0 + working.imbalance,
            number::amps(working.worst_amps)
        )
    } else {
        format!(
            "all of it: {}",
            pass_current(point.amps, working.regulator_amps)
        )
    };
    page.step(
        "Current of the worst one",
        "pass current/n × (1 + imbalance); the sense divider, the preload and a reference on the output draw through the pass tubes too",
        &share,
        if stage.units <= 1 {
            "One tube carries it all"
        } else if stage.tube_spread.is_some() {
            "Tubes in parallel never share evenly; the imbalance follows from the spread of the tubes and their resistors"
        } else {
            "Tubes in parallel never share evenly; the imbalance is the supply's own figure"
        },
    );
    let least = working.least_drop_volts;
    let Some((drop, tube_volts)) = least.zip(working.least_tube_volts) else {
        page.text(
            "The curve of the tube is not known at this current, so neither is its least drop.",
        );
        return;
    };
    page.step(
        "Least drop",
        &format!(
            "tube at {} of grid volts + cathode and plate resistor + meter shunt",
            stage.grid_limit
        ),
        &format!(
            "{} with an even share of {}, {}: {} + {} × ({} + {}) + {} × {} = {}",
            stage.tube.name,
            pass_current(point.amps, working.regulator_dropout_amps),
            number::amps(working.even_amps),
            number::volts(tube_volts),
            number::amps(working.even_amps),
            stage.cathode_resistor,
            stage.plate_resistor,
            number::amps(point.amps),
            supply.output.meter_shunt,
            number::volts(drop)
        ),
        match stage.tube.characteristic {
            PlateCharacteristic::Published { .. } => {
                "N. Koren's triode law (1996) fitted to the type's published points"
            }
            PlateCharacteristic::Law(_) => {
                "N. Koren's triode law (1996) with the type's own coefficients"
            }
            PlateCharacteristic::ZeroBias(_) => "The type's own zero-bias curve",
        },
    );
    if let Some(dropout) = working.dropout_volts {
        page.step(
            "Dropout",
            "valley of the bus − least drop",
            &format!(
                "{} − {} = {}; asked for {}",
                number::volts(working.operation.bus.trough_volts),
                number::volts(drop),
                number::volts(dropout),
                number::volts(point.volts)
            ),
            "Above it ripple comes through to the output",
        );
    }
}

/// What the pass tubes carry together: `100 mA`, `(100 mA + 4.3 mA of the regulator)`.
fn pass_current(output_amps: f64, regulator_amps: f64) -> String {
    let output = number::amps(output_amps);
    if regulator_amps <= 0.0 {
        return output;
    }
    let regulator = number::amps(regulator_amps);
    format!("({output} + {regulator} of the regulator)")
}

/// The lowest regulated output and the loop; nothing where no regulator is described.
pub(super) fn regulator(page: &mut Page, supply: &Supply, working: &Working) {
    let Some(regulator) = &supply.regulator else {
        return;
    };
    page.text("## Regulator");
    if let Some(grids) = &working.grids {
        page.step(
            "Grid volts that the pass tubes need at the crest of the bus",
            "−Vgk at plate volts Va and current i of one unit, preload and divider included",
            &format!(
                "{} at Va = {} and i = {}: {} below the cathodes",
                supply.pass_stage.tube.name,
                number::volts(grids.plate_volts),
                number::amps(grids.unit_amps),
                number::volts(grids.drive.needed_volts)
            ),
            "The tube's law turned round",
        );
        page.step(
            "Grid volts that the control tube can give",
            "pass cathodes − (tap of the control tube's cathode + its least plate volts)",
            &format!(
                "{} − ({}) = {}",
                number::volts(grids.cathode_volts),
                number::volts(grids.bottom_volts),
                number::volts(grids.drive.given_volts)
            ),
            "The floor is where both are equal; below it the output stays higher than asked for",
        );
    }
    if let Some((range, control)) = working.control_range.zip(regulator.divider.control) {
        let adjuster = control
            .zero_adjuster
            .map(|ohms| format!(", zero adjuster {ohms}"));
        page.step(
            "What the sense control reaches with nothing connected",
            "foot + (grid − foot) × whole divider / what of it is below the wiper, the zero adjuster in its middle",
            &format!(
                "{} above the pot of {}, {} below it{}: {} to {}{}",
                control.upper,
                control.pot,
                control.lower,
                adjuster.unwrap_or_default(),
                number::volts(range.lowest_volts),
                number::volts(range.highest_volts),
                regulation::zero_adjuster(&range, &supply.output)
                    .map_or_else(String::new, |said| format!(". {said}"))
            ),
            "Ohm's law; the grid stands where the control tube needs it",
        );
    }
    if let Some(at) = &working.control_in_valley {
        page.step(
            "Grid volts that the control tube needs in the valley of the bus",
            "−Vgk at plate volts Va and current i; the grid can come down to the foot of the sense divider",
            &format!(
                "{} at Va = {} and i = {}: {} below the cathode; the foot is {} below it",
                regulator.control_tube.name,
                number::volts(at.control.plate_volts),
                number::amps(at.control.amps),
                number::volts(-at.control.grid_volts),
                number::volts(at.potentials.cathode - at.potentials.foot)
            ),
            "The tube's law turned round; where the foot is not low enough the output stays lower than asked for",
        );
    }
    let Some(held) = &working.regulation else {
        return;
    };
    page.step(
        "Gain of the control tube",
        "A = gm·(ra ∥ RL), ra the plate resistance and RL the plate load",
        &format!(
            "{} at {}: {} × ({} ∥ {}) = {}",
            regulator.control_tube.name,
            number::amps(held.control.amps),
            number::siemens(held.control.transconductance),
            if held.control.plate_resistance.is_finite() {
                number::ohms(held.control.plate_resistance)
            } else {
                "ra not published, taken as endless".to_owned()
            },
            regulator.plate_load,
            number::pure(held.control_gain)
        ),
        "One amplifier stage with its plate load",
    );
    held_at(page, supply, working, held);
}

/// Output resistance and hum.
fn held_at(page: &mut Page, supply: &Supply, working: &Working, held: &Regulation) {
    let mu = held.pass_transconductance * held.pass_plate_resistance;
    let follower = format!(
        "{} / {}",
        number::ohms(held.pass_plate_resistance),
        supply.pass_stage.units
    );
    let (formula, numbers) = match held.hold {
        Hold::Regulated | Hold::Valleys => (
            "(rp/n) / (1 + µ(1 + A·β)), β the divider's share",
            format!(
                "({follower}) / (1 + {} × (1 + {} × {:.3}))",
                number::pure(mu),
                number::pure(held.control_gain),
                held.divider_share
            ),
        ),
        Hold::Bottomed | Hold::FullyOn => (
            "(rp/n) / (1 + µ): the control tube is at its end, no loop helps",
            format!("({follower}) / (1 + {})", number::pure(mu)),
        ),
        Hold::Dropout => (
            "rp/n: the pass tubes are wide open, no loop helps",
            follower,
        ),
    };
    page.step(
        "Output resistance",
        formula,
        &format!(
            "{numbers}, and what divider, preload, resistors and references make of it: {}",
            number::ohms(held.output_ohms)
        ),
        "Small signals of a cathode follower driven by one stage (common practice, no source)",
    );
    let ripple = working.operation.bus.ripple_volts();
    let mut parts = vec![format!(
        "{} × {:.2} % of the bus",
        number::volts(ripple),
        100.0 * held.bus_share.abs()
    )];
    let mut known = ripple * held.bus_share.abs();
    if let Some(rail) = working.rail_ripple_volts {
        parts.push(format!(
            "{} × {:.2} % of the negative rail",
            number::volts(rail),
            100.0 * held.rail_share.abs()
        ));
        known += rail * held.rail_share.abs();
    }
    if held.hold == Hold::Valleys {
        let broken = (held.hum_volts - known).max(0.0);
        parts.push(format!("{} in the valleys", number::volts(broken)));
    }
    page.step(
        "Hum at the output",
        "ripple of the bus × what comes through + ripple of the negative rail × what comes through",
        &format!(
            "{} = {} peak to peak",
            parts.join(" + "),
            number::volts(held.hum_volts)
        ),
        "Bus and rail taken as adding up",
    );
}
