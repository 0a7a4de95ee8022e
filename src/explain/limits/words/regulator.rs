//! The grids: how low and how high they can be brought, and the resistance that they see.

use super::control_tube::CONTROL_TUBE;
use super::pass_tubes::PASS_TUBE;
use super::{BASE, NotKnown, Outside, Said, Subject, Text, Words, sheet};
use crate::bench::working::Working;
use crate::explain::number;
use crate::physics::limit::{Limit, Whose};

pub(super) static GRID_FLOOR: Words = Words {
    name: Text::Fixed("lowest regulated output"),
    part: |of| of.on_control_tube("at its least plate volts"),
    sentence: grid_floor,
    formula: grid_floor_formula,
    not_known: NotKnown::Sentence("How low the output goes is not known: describe the regulator"),
    term: "lowest regulated output",
    owner: "the grid drive",
    outside: Outside::Matter("below the lowest regulated output"),
    ..BASE
};

pub(super) static CONTROL_GRID_CEILING: Words = Words {
    name: Text::Fixed("control-grid ceiling"),
    part: |of| of.on_control_tube("on the sense divider"),
    sentence: control_grid_ceiling,
    formula: control_grid_ceiling_formula,
    term: "control-grid ceiling",
    owner: "the reach of the sense divider",
    outside: Outside::Matter("above the control-grid ceiling"),
    ..BASE
};

const GRID_RESISTOR: Words = Words {
    sentence: |said| grid_circuit([said.judged.actual, said.judged.allowed], said.subject),
    term: "grid resistor",
    moved_by_mains: false,
    ..BASE
};

pub(super) static PASS_GRID_RESISTOR: Words = Words {
    name: Text::Fixed("pass tube grid resistor"),
    part: |of| of.allowed(of.pass_tube()),
    formula: |said, _| {
        let grids = match said.supply.pass_stage.units {
            0 | 1 => "1 grid".to_owned(),
            count => format!("{count} grids"),
        };
        let regulator = said.supply.regulator.as_ref();
        said.equals(regulator.map(|r| format!("{grids} × plate load {}", r.plate_load)))
    },
    not_known: sheet("largest grid resistor", PASS_TUBE),
    rating: "the pass tube's largest grid resistor",
    owner: "the pass tube's rating",
    to_change: Text::Fixed("the plate load or the number of grids on it"),
    ..GRID_RESISTOR
};

pub(super) static CONTROL_GRID_RESISTOR: Words = Words {
    name: Text::Fixed("control tube grid resistor"),
    part: |of| of.allowed(of.control_tube()),
    formula: |said, _| {
        let regulator = said.supply.regulator.as_ref();
        said.equals(regulator.map(|r| {
            let divider = r.divider.resistance;
            format!("divider {divider} / 4, half above the tap beside half below")
        }))
    },
    not_known: sheet("largest grid resistor", CONTROL_TUBE),
    rating: "the control tube's largest grid resistor",
    owner: "the control tube's rating",
    to_change: Text::Fixed("the sense divider"),
    ..GRID_RESISTOR
};

/// What a grid sees against what its maker allows (Ω):
/// `The grid of the 6080 hangs on a plate load of 470 kΩ; the maker allows 1 MΩ`.
pub(in crate::explain) fn grid_circuit([sees, allowed]: [f64; 2], of: Subject<'_>) -> String {
    let (ohms, most) = (number::ohms(sees), number::ohms(allowed));
    let (pass, control) = (of.pass_tube(), of.control_tube());
    let has = match (of.limit, of.supply.pass_stage.units) {
        (Limit::GridResistor(Whose::Control), _) => {
            format!("The grid of the {control} sees up to {ohms} of the sense divider")
        }
        (_, 0 | 1) => format!("The grid of the {pass} sees a plate load of {ohms}"),
        (_, units) => {
            format!("{units} grids of the {pass} share one plate load, so that each sees {ohms}")
        }
    };
    let only = if sees > allowed { " only" } else { "" };
    format!("{has}; the maker allows {most}{only}")
}

/// What the pass grids need against what the control tube can do.
fn grid_floor(said: &Said<'_>) -> String {
    let (pass, control) = (said.subject.pass_tube(), said.subject.control_tube());
    let grids = format!("At {} the grids of the {pass}", said.place());
    let (needed, given) = (&said.actual, &said.allowed);
    match (said.judged.actual <= 0.0, said.is_over()) {
        (true, true) => format!(
            "{grids} would have to come down to {} above their cathodes; the {control} cannot bring its plate down that far, so \
             the output would stay higher",
            number::volts(-said.judged.actual)
        ),
        (true, false) => format!("{grids} need not be pulled below their cathodes"),
        _ if said.judged.allowed <= 0.0 => format!(
            "{grids} would have to be {needed} below their cathodes; the {control} cannot bring its plate down to the cathodes \
             at all"
        ),
        (false, true) => format!(
            "{grids} would have to be {needed} below their cathodes; the {control} can pull them down by {given} only, so the \
             output would stay higher"
        ),
        (false, false) => format!(
            "{grids} are {needed} below their cathodes; the {control} can pull them down by {given}"
        ),
    }
}

/// What the control tube can give, step by step, against what the grids need.
fn grid_floor_formula(said: &Said<'_>, working: &Working) -> String {
    let (needed, given) = (&said.actual, &said.allowed);
    let Some(grids) = &working.grids else {
        return format!("grids below cathodes: needed {needed}; control tube gives {given}");
    };
    format!(
        "cathodes {} \u{2212} control tube at its least {} = {given} at most; needed {needed} at {} and {} a tube",
        number::volts_four(grids.cathode_volts),
        number::volts_four(grids.bottom_volts),
        number::volts(grids.plate_volts),
        number::amps(grids.unit_amps)
    )
}

/// What the control tube's grid needs against how far down the sense divider can bring it.
fn control_grid_ceiling(said: &Said<'_>) -> String {
    let grid = format!(
        "At {} the grid of the {}",
        said.place(),
        said.subject.control_tube()
    );
    let needed = beside(said.judged.actual);
    // Less than a hundredth of a volt is nowhere.
    let lowest = if said.judged.allowed.abs() < 0.01 {
        "its cathode".to_owned()
    } else {
        format!("{} it", beside(said.judged.allowed))
    };
    if said.is_over() {
        format!(
            "{grid} would have to be {needed} its cathode; the sense divider can bring it no lower than {lowest}, so the tube \
             stays fully on and the output lower than asked for"
        )
    } else {
        format!("{grid} is {needed} its cathode; the sense divider can bring it down to {lowest}")
    }
}

fn control_grid_ceiling_formula(said: &Said<'_>, working: &Working) -> String {
    let (needed, given) = (&said.actual, &said.allowed);
    let Some(at) = &working.control_in_valley else {
        return format!("grid below cathode: needed {needed}; the divider gives {given}");
    };
    // Below the lowest regulated output the pass grids call for a plate below its cathode: the current alone says enough.
    let plate = if at.control.plate_volts > 0.0 {
        format!("{} and ", number::volts(at.control.plate_volts))
    } else {
        String::new()
    };
    format!(
        "cathode {} \u{2212} foot of the divider {} = {given} at most; needed {needed} at {plate}{}",
        number::volts_four(at.potentials.cathode),
        number::volts_four(at.potentials.foot),
        number::amps(at.control.amps)
    )
}

/// Where a grid is that is so many volts lower than its cathode.
fn beside(volts_below: f64) -> String {
    let volts = number::volts(volts_below.abs());
    let side = if volts_below < 0.0 { "above" } else { "below" };
    format!("{volts} {side}")
}
