//! The regulator's limits in words: grid-drive floor, control-grid ceiling, references, heaters, and what the control tube bears.

use crate::explain::number;
use crate::parts::{GasReference, HeaterTie, ReferenceFeed, Supply};
use crate::physics::envelope::Point;
use crate::physics::limit::{Judged, Limit, Side, Whose, allowed};

/// A limit's short name; empty for one that is not the regulator's.
pub(super) fn name(limit: Limit) -> &'static str {
    match limit {
        Limit::GridFloor => "grid-drive floor",
        Limit::ControlGridCeiling => "control-grid ceiling",
        Limit::HeaterCathode => "heater–cathode volts",
        Limit::HeaterAboveCathode => "heater above cathode",
        Limit::ReferenceStrike(Side::Positive) => "reference, starting volts",
        Limit::ReferenceStrike(Side::Negative) => "rail reference, starting volts",
        Limit::ReferenceLeast(Side::Positive) => "reference current, least",
        Limit::ReferenceMost(Side::Positive) => "reference current, most, no load",
        Limit::ReferenceLeast(Side::Negative) => "rail reference, least, no load",
        Limit::ReferenceMost(Side::Negative) => "rail reference, most, no load",
        Limit::ControlPlateVolts => "control tube plate volts",
        Limit::ControlPlateDissipation => "control tube dissipation, no load",
        Limit::ControlScreenVolts => "control tube screen volts",
        Limit::ControlScreenDissipation => "control tube screen, no load",
        Limit::ControlHeaterCathode => "control tube heater–cathode volts",
        Limit::GridResistor(Whose::Pass) => "pass tube grid resistor",
        Limit::GridResistor(Whose::Control) => "control tube grid resistor",
        _ => "",
    }
}

/// The allowed value and the part it belongs to.
pub(super) fn part(limit: Limit, supply: &Supply) -> Option<String> {
    let of_pass = &supply.pass_stage.tube;
    if matches!(limit, Limit::HeaterCathode | Limit::HeaterAboveCathode) {
        let rating = of_pass.ratings.heater_cathode.as_ref()?;
        return Some(format!(
            "{}, {}",
            number::volts(rating.value.0),
            of_pass.name
        ));
    }
    let regulator = supply.regulator.as_ref()?;
    let tube = &regulator.control_tube;
    let volts =
        |rating: Option<f64>| rating.map(|v| format!("{}, {}", number::volts(v), tube.name));
    let watts =
        |rating: Option<f64>| rating.map(|w| format!("{}, {}", number::watts(w), tube.name));
    match limit {
        Limit::GridFloor => Some(format!("{} at its least plate volts", tube.name)),
        Limit::ControlGridCeiling => Some(format!("{} on the sense divider", tube.name)),
        Limit::ReferenceStrike(side) => {
            let (volts, _) = allowed(limit, supply).ok()?;
            let stack = reference(supply, side)?;
            Some(format!("{}, {}", number::volts(volts), names(stack)))
        }
        Limit::ReferenceLeast(side) => {
            let stack = reference(supply, side)?;
            let least = stack.tubes.iter().map(|t| t.current_least.value.0);
            let amps = least.fold(0.0, f64::max);
            Some(format!("{}, {}", number::amps(amps), names(stack)))
        }
        Limit::ReferenceMost(side) => {
            let stack = reference(supply, side)?;
            let most = stack.tubes.iter().map(|t| t.current_most.value.0);
            let amps = most.fold(f64::INFINITY, f64::min);
            Some(format!("{}, {}", number::amps(amps), names(stack)))
        }
        Limit::GridResistor(whose) => {
            let (ohms, _) = allowed(limit, supply).ok()?;
            let name = grid_of(whose, supply);
            Some(format!("{}, {name}", number::ohms(ohms)))
        }
        Limit::ControlPlateVolts => volts(tube.ratings.plate_volts.as_ref().map(|r| r.value.0)),
        Limit::ControlScreenVolts => volts(tube.screen_volts.as_ref().map(|r| r.value.0)),
        Limit::ControlHeaterCathode => {
            volts(tube.ratings.heater_cathode.as_ref().map(|r| r.value.0))
        }
        Limit::ControlPlateDissipation => {
            watts(tube.ratings.plate_dissipation.as_ref().map(|r| r.value.0))
        }
        Limit::ControlScreenDissipation => {
            watts(tube.ratings.screen_dissipation.as_ref().map(|r| r.value.0))
        }
        _ => None,
    }
}

/// The gas reference of a side, if it is there.
fn reference(supply: &Supply, side: Side) -> Option<&GasReference> {
    supply.regulator.as_ref()?.gas_reference(side)
}

/// The gas tubes of a side by their names.
pub(super) fn reference_names(supply: &Supply, side: Side) -> String {
    reference(supply, side).map_or_else(String::new, names)
}

/// `0A2`, `3 × 0D3 and 0A3`.
fn names(reference: &GasReference) -> String {
    let mut list: Vec<(usize, &str)> = Vec::new();
    for tube in &reference.tubes {
        match list.iter_mut().find(|(_, name)| *name == tube.name) {
            Some((count, _)) => *count += 1,
            None => list.push((1, &tube.name)),
        }
    }
    let said: Vec<String> = list
        .into_iter()
        .map(|(count, name)| match count {
            1 => name.to_owned(),
            count => format!("{count} × {name}"),
        })
        .collect();
    said.join(" and ")
}

/// Why a point is allowed by the limit, or why not.
pub(super) fn sentence(limit: Limit, judged: &Judged, supply: &Supply, point: &Point) -> String {
    let actual = number::measured(judged.actual, judged.measure);
    let allowed = number::measured(judged.allowed, judged.measure);
    let over = judged.ratio > 1.0;
    let say = |inside: &'static str, outside: &'static str| if over { outside } else { inside };
    let mains = number::volts(judged.mains_volts);
    let control =
        (supply.regulator.as_ref()).map_or("control tube", |r| r.control_tube.name.as_str());
    match limit {
        Limit::GridFloor => grid_floor(judged, supply, point),
        Limit::ControlGridCeiling => control_grid_ceiling(judged, control, point),
        Limit::HeaterCathode | Limit::HeaterAboveCathode if judged.actual <= 0.0 => {
            let side = if limit == Limit::HeaterCathode {
                "below"
            } else {
                "above"
            };
            format!(
                "The heaters of the {} are raised, but not {side} their cathodes here",
                supply.pass_stage.tube.name
            )
        }
        Limit::HeaterCathode => {
            let tied = match supply.pass_stage.heater {
                Some(HeaterTie::Cathode) => "tied to the output",
                Some(HeaterTie::Elevated(_)) => "raised above the output's negative terminal",
                _ => "tied to the output's negative terminal",
            };
            format!(
                "The heaters of the {} are {tied}: {actual} {} between heater and cathode; {allowed} may",
                supply.pass_stage.tube.name,
                say("stand", "would stand")
            )
        }
        Limit::HeaterAboveCathode => {
            let tube = &supply.pass_stage.tube.name;
            format!(
                "The heaters of the {tube} {} {actual} above their cathodes; {allowed} may",
                say("stand", "would stand")
            )
        }
        Limit::ReferenceStrike(side) => {
            let tubes = reference_names(supply, side);
            let feed = match side {
                Side::Negative => "the rail",
                Side::Positive => {
                    match supply.regulator.as_ref().and_then(|r| r.reference.as_ref()) {
                        Some(r) if r.fed_from == ReferenceFeed::Output => "the output",
                        _ => "the bus",
                    }
                }
            };
            format!(
                "At {mains} mains {feed} {} {actual} while the gas reference ({tubes}) is dark; {allowed} {} every tube",
                say("gives", "would give only"),
                say("start", "would start")
            )
        }
        Limit::ReferenceLeast(side) => {
            let tubes = reference(supply, side).map_or_else(String::new, names);
            if judged.actual <= 0.0 {
                return format!(
                    "At {mains} mains the gas reference ({tubes}) {} out: what feeds it is below its running volts",
                    say("is", "would be")
                );
            }
            format!(
                "At {mains} mains the gas reference ({tubes}) {} {actual}; below {allowed} its volts are no longer sure",
                say("carries", "would carry only")
            )
        }
        Limit::ReferenceMost(side) => {
            let tubes = reference(supply, side).map_or_else(String::new, names);
            format!(
                "With no load at {mains} mains the gas reference ({tubes}) {} {actual}; {allowed} is allowed",
                say("carries", "would carry")
            )
        }
        Limit::ControlPlateVolts => format!(
            "The {control} {} {actual} between plate and cathode, as its plate holds the pass grids; it may have {allowed}",
            say("has", "would have")
        ),
        Limit::ControlPlateDissipation => format!(
            "The {control} {} {actual} on its plate at its worst setting with no load; it may burn {allowed}",
            say("burns", "would burn")
        ),
        Limit::ControlScreenVolts => format!(
            "The screen of the {control} {} {actual} above its cathode; it may have {allowed}",
            say("has", "would have")
        ),
        Limit::ControlScreenDissipation => format!(
            "The screen of the {control} {} {actual} at its worst setting with no load; it may burn {allowed}",
            say("burns", "would burn")
        ),
        Limit::GridResistor(whose) => grid_resistor(whose, (judged.actual, judged.allowed), supply),
        _ => format!(
            "Between heater and cathode of the {control} {} {actual}; {allowed} may",
            say("stand", "would stand")
        ),
    }
}

/// The tube whose grid it is.
fn grid_of(whose: Whose, supply: &Supply) -> &str {
    match (whose, &supply.regulator) {
        (Whose::Control, Some(regulator)) => &regulator.control_tube.name,
        _ => &supply.pass_stage.tube.name,
    }
}

/// What a grid sees against what its maker allows (Ω).
pub(in crate::explain) fn grid_resistor(
    whose: Whose,
    (sees, allowed): (f64, f64),
    supply: &Supply,
) -> String {
    let (ohms, most) = (number::ohms(sees), number::ohms(allowed));
    let tube = grid_of(whose, supply);
    let has = match (whose, supply.pass_stage.units) {
        (Whose::Pass, 0 | 1) => format!("The grid of the {tube} hangs on a plate load of {ohms}"),
        (Whose::Pass, units) => {
            format!("{units} grids of the {tube} hang on one plate load, so that each sees {ohms}")
        }
        (Whose::Control, _) => {
            format!("The grid of the {tube} sees up to {ohms} of the sense divider")
        }
    };
    let only = if sees > allowed { " only" } else { "" };
    format!("{has}; the maker allows {most}{only}")
}

/// The grid-drive floor: what the pass grids need against what the control tube can do.
fn grid_floor(judged: &Judged, supply: &Supply, point: &Point) -> String {
    let tube = &supply.pass_stage.tube.name;
    let control =
        (supply.regulator.as_ref()).map_or("control tube", |r| r.control_tube.name.as_str());
    let at = format!(
        "{} and {}",
        number::volts(point.volts),
        number::amps(point.amps)
    );
    if judged.actual <= 0.0 && judged.ratio > 1.0 {
        return format!(
            "At {at} the grids of the {tube} would have to come down to {} above their cathodes; the {control} cannot bring \
             its plate down that far, so the output would stay higher",
            number::volts(-judged.actual)
        );
    }
    if judged.actual <= 0.0 {
        return format!("At {at} the grids of the {tube} need not be pulled below their cathodes");
    }
    let needed = number::volts(judged.actual);
    if judged.allowed <= 0.0 {
        return format!(
            "At {at} the grids of the {tube} would have to be {needed} below their cathodes; the {control} cannot bring \
             its plate down to the cathodes at all"
        );
    }
    let given = number::volts(judged.allowed);
    if judged.ratio > 1.0 {
        format!(
            "At {at} the grids of the {tube} would have to be {needed} below their cathodes; the {control} can pull them \
             down by {given} only, so the output would stay higher"
        )
    } else {
        format!(
            "At {at} the grids of the {tube} are {needed} below their cathodes; the {control} can pull them down by {given}"
        )
    }
}

/// The control-grid ceiling: what the control tube's grid needs against how far down the sense divider can bring it.
fn control_grid_ceiling(judged: &Judged, control: &str, point: &Point) -> String {
    let at = format!(
        "{} and {}",
        number::volts(point.volts),
        number::amps(point.amps)
    );
    let needed = beside(judged.actual);
    // Less than a hundredth of a volt is nowhere.
    let lowest = if judged.allowed.abs() < 0.01 {
        "its cathode".to_owned()
    } else {
        format!("{} it", beside(judged.allowed))
    };
    if judged.ratio > 1.0 {
        format!(
            "At {at} the grid of the {control} would have to be {needed} its cathode; the sense divider can bring it no lower than \
             {lowest}, so the tube stays fully on and the output lower than asked for"
        )
    } else {
        format!(
            "At {at} the grid of the {control} is {needed} its cathode; the sense divider can bring it down to {lowest}"
        )
    }
}

/// Where a grid is that is so many volts lower than its cathode.
fn beside(volts_below: f64) -> String {
    if volts_below < 0.0 {
        format!("{} above", number::volts(-volts_below))
    } else {
        format!("{} below", number::volts(volts_below))
    }
}

/// What is missing where a rating of the control tube is not known: the tube's name and what to read.
pub(super) fn sheet_of(limit: Limit, supply: &Supply) -> Option<(&'static str, String)> {
    let control = || {
        let regulator = supply.regulator.as_ref();
        regulator.map_or_else(
            || "control tube".to_owned(),
            |r| r.control_tube.name.clone(),
        )
    };
    Some(match limit {
        Limit::HeaterCathode | Limit::HeaterAboveCathode => (
            "highest heater–cathode volts",
            supply.pass_stage.tube.name.clone(),
        ),
        Limit::ControlPlateVolts => ("highest plate volts", control()),
        Limit::ControlPlateDissipation => ("highest plate dissipation", control()),
        Limit::ControlScreenVolts => ("highest screen volts", control()),
        Limit::ControlScreenDissipation => ("highest screen dissipation", control()),
        Limit::ControlHeaterCathode => ("highest heater–cathode volts", control()),
        Limit::GridResistor(whose) => ("largest grid resistor", grid_of(whose, supply).to_owned()),
        _ => return None,
    })
}
