//! The warning that belongs to a number: short, beside it, not a wall of text.

use crate::explain::limits::words::{Subject, grid_circuit};
use crate::explain::{Finding, Number, Severity, discharge, number};
use crate::parts::{HeaterTie, Stage, Supply};
use crate::physics::discharge::{Kept, TOUCH_VOLTS};
use crate::physics::limit::{Limit, Whose, allowed};
use crate::physics::regulator::grid_circuit::grid_ohms;

/// What holds for every supply of this kind, wherever a card, a file or the first window shows it.
pub const STANDING: [&str; 5] = [
    "Lethal voltages, and the capacitors stay charged after switch-off.",
    "Work with the mains plug out; discharge through a resistor, measure the bus dead, then touch; one hand.",
    "A fuse or protective-earth question is for someone qualified.",
    "Local codes and licensed practice come first.",
    "Results are estimates from typical tubes, not a rating plate.",
];

/// The shortest form, for a status line.
pub const ESTIMATE: &str = "Typical tubes; estimates, not a rating plate";

/// The caution that belongs to the bus: how high it stands, and what the filter keeps and how long if that was worked out.
/// `None` below [`TOUCH_VOLTS`], as long as nothing is kept above that.
pub fn bus(bus_volts: f64, kept: Option<&Kept>) -> Option<Finding> {
    if !is_harmful(bus_volts, kept) {
        return None;
    }
    let volts = number::volts(bus_volts);
    let mut numbers = vec![Number {
        what: "bus".to_owned(),
        text: volts.clone(),
    }];
    let keeps = kept.map_or_else(
        || "the filter keeps its charge after switch-off".to_owned(),
        |kept| {
            numbers.push(Number {
                what: "stored at most".to_owned(),
                text: number::joules(kept.joules),
            });
            discharge::keeps(kept)
        },
    );
    Some(Finding {
        about: Stage::Filter,
        severity: Severity::Remark,
        sentence: format!(
            "Lethal: the bus stands at {volts}, and {keeps}; plug out, discharge through a resistor, measure, then touch"
        ),
        numbers,
    })
}

/// Above the caution that belongs to the bus.
pub const LETHAL: &str = "Lethal voltage, stored charge";

/// The caution that belongs to the bus below [`LETHAL`], for a place that is always in sight, a line each:
/// `Bus 391 V, 8.1 J: about 2 min 10 s to 60 V`, and what to do.
pub fn bus_in_short(bus_volts: f64, kept: Option<&Kept>) -> Option<[String; 2]> {
    let volts = is_harmful(bus_volts, kept).then(|| number::volts(bus_volts))?;
    let keeps = kept.map_or_else(String::new, |kept| {
        let joules = number::joules(kept.joules);
        format!(", {joules}: {}", discharge::keeps_in_short(kept))
    });
    Some([
        format!("Bus {volts}{keeps}."),
        "Plug out, discharge through a resistor, measure dead, then touch.".to_owned(),
    ])
}

/// The same where there is room for a line or two, without a heading.
pub fn bus_in_a_line(bus_volts: f64, kept: Option<&Kept>) -> Option<String> {
    let volts = is_harmful(bus_volts, kept).then(|| number::volts(bus_volts))?;
    let keeps = kept.map_or_else(String::new, |kept| {
        let joules = number::joules(kept.joules);
        format!(", {joules}; {}", discharge::keeps_in_short(kept))
    });
    Some(format!(
        "Lethal: bus {volts}{keeps}. Plug out, discharge, measure, then touch."
    ))
}

/// What is kept above these volts is a danger, wherever it stands.
fn is_harmful(volts: f64, kept: Option<&Kept>) -> bool {
    let rail = kept.and_then(|kept| kept.rail);
    volts >= TOUCH_VOLTS || rail.is_some_and(|rail| rail.volts >= TOUCH_VOLTS)
}

/// The caution that belongs to an output voltage on the terminals; `None` below [`TOUCH_VOLTS`].
pub fn terminals(output_volts: f64) -> Option<Finding> {
    if !is_harmful(output_volts, None) {
        return None;
    }
    let volts = number::volts(output_volts);
    Some(Finding {
        about: Stage::Output,
        severity: Severity::Remark,
        sentence: format!(
            "Lethal: {volts} on the terminals and on the dummy load; it gets hot as well"
        ),
        numbers: vec![Number {
            what: "terminals".to_owned(),
            text: volts,
        }],
    })
}

/// The cautions that belong to the regulator: a rail below the chassis, heaters that stand where the output stands.
pub fn regulator(supply: &Supply) -> Vec<Finding> {
    let remark = |about, sentence: &str| Finding {
        about,
        severity: Severity::Remark,
        sentence: sentence.to_owned(),
        numbers: Vec::new(),
    };
    let Some(regulator) = &supply.regulator else {
        return Vec::new();
    };
    let mut all = Vec::new();
    if regulator.bias_rail.is_some() {
        all.push(remark(Stage::Regulator, NEGATIVE_RAIL));
    }
    let lifted =
        |tie: Option<HeaterTie>| matches!(tie, Some(HeaterTie::Cathode | HeaterTie::Elevated(_)));
    if lifted(supply.pass_stage.heater) || lifted(regulator.heater) {
        all.push(remark(Stage::PassStage, LIVE_HEATERS));
    }
    all.extend(grid_circuits(supply));
    all
}

/// Grids that see more resistance than their makers allow.
pub fn grid_circuits(supply: &Supply) -> Vec<Finding> {
    [Whose::Pass, Whose::Control]
        .into_iter()
        .filter_map(|whose| {
            let limit = Limit::GridResistor(whose);
            let most = allowed(limit, supply).ok()?.value;
            let sees = grid_ohms(supply, whose).filter(|sees| *sees > most)?;
            Some(Finding {
                about: Stage::Regulator,
                severity: Severity::Over,
                sentence: format!(
                    "{}, lest a gassy tube's grid current run away with it",
                    grid_circuit([sees, most], Subject { limit, supply })
                ),
                numbers: vec![Number {
                    what: "grid resistor".to_owned(),
                    text: format!("{} of {}", number::ohms(sees), number::ohms(most)),
                }],
            })
        })
        .collect()
}

/// Where the negative rail is described.
pub const NEGATIVE_RAIL: &str = "The negative rail is live against the chassis, and its capacitors stay charged as well: \
     measure it too before you touch.";

/// Where a heater is tied to something that is not the output's negative terminal.
pub const LIVE_HEATERS: &str = "A heater winding that is tied to a cathode or raised is as live as what it is tied to: measure it too.";

#[cfg(test)]
mod tests {
    use super::*;
    use crate::physics::discharge::Wait;

    fn kept(to_touch: Option<f64>, rail: &[Option<f64>]) -> Kept {
        let wait = |to_touch: Option<f64>| Wait {
            to_touch,
            to_dead: to_touch.map(|seconds| 2.0 * seconds),
            volts: 587.0,
            left_volts: 0.0,
        };
        Kept {
            joules: 7.72,
            bus: wait(to_touch),
            rail: rail.first().copied().map(wait),
        }
    }

    #[test]
    fn the_words_beside_a_dangerous_number() {
        let all = [
            None,
            Some(kept(Some(130.0), &[])),
            Some(kept(Some(9.97), &[Some(12.0)])),
            Some(kept(Some(9.97), &[None])),
            Some(kept(None, &[])),
        ];
        let mut lines = Vec::new();
        for kept in &all {
            lines.extend(bus(556.0, kept.as_ref()).map(|found| found.sentence));
            lines.extend(bus_in_short(556.0, kept.as_ref()).map(|lines| lines.join(" ")));
            lines.extend(bus_in_a_line(556.0, kept.as_ref()));
        }
        lines.extend(terminals(300.0).map(|found| found.sentence));
        insta::assert_snapshot!(lines.join("\n"), @r"
        Lethal: the bus stands at 556 V, and the filter keeps its charge after switch-off; plug out, discharge through a resistor, measure, then touch
        Bus 556 V. Plug out, discharge through a resistor, measure dead, then touch.
        Lethal: bus 556 V. Plug out, discharge, measure, then touch.
        Lethal: the bus stands at 556 V, and the filter keeps up to 7.72 J after switch-off, about 2 min 10 s to 60 V; plug out, discharge through a resistor, measure, then touch
        Bus 556 V, 7.72 J: about 2 min 10 s to 60 V. Plug out, discharge through a resistor, measure dead, then touch.
        Lethal: bus 556 V, 7.72 J; about 2 min 10 s to 60 V. Plug out, discharge, measure, then touch.
        Lethal: the bus stands at 556 V, and the filter keeps up to 7.72 J after switch-off, about 12 s to 60 V; plug out, discharge through a resistor, measure, then touch
        Bus 556 V, 7.72 J: about 12 s to 60 V. Plug out, discharge through a resistor, measure dead, then touch.
        Lethal: bus 556 V, 7.72 J; about 12 s to 60 V. Plug out, discharge, measure, then touch.
        Lethal: the bus stands at 556 V, and the filter keeps up to 7.72 J after switch-off, about 9.97 s to 60 V, while the negative rail stays charged: nothing bleeds it; plug out, discharge through a resistor, measure, then touch
        Bus 556 V, 7.72 J: about 9.97 s to 60 V; the rail stays charged. Plug out, discharge through a resistor, measure dead, then touch.
        Lethal: bus 556 V, 7.72 J; about 9.97 s to 60 V; the rail stays charged. Plug out, discharge, measure, then touch.
        Lethal: the bus stands at 556 V, and the filter keeps up to 7.72 J and stays charged: nothing bleeds it; plug out, discharge through a resistor, measure, then touch
        Bus 556 V, 7.72 J: stays charged, nothing bleeds it. Plug out, discharge through a resistor, measure dead, then touch.
        Lethal: bus 556 V, 7.72 J; stays charged, nothing bleeds it. Plug out, discharge, measure, then touch.
        Lethal: 300 V on the terminals and on the dummy load; it gets hot as well
        ");
    }

    #[test]
    fn nothing_is_said_about_volts_that_do_no_harm() {
        for volts in [0.0, 59.9, f64::NAN] {
            assert_eq!(bus(volts, None), None);
            assert_eq!(bus_in_short(volts, None), None);
            assert_eq!(bus_in_a_line(volts, None), None);
            assert_eq!(terminals(volts), None);
        }
    }

    /// A low bus beside a rail that bites.
    #[test]
    fn a_rail_that_stays_charged_is_said_whatever_the_bus() {
        let kept = kept(Some(1.0), &[None]);
        assert!(bus(40.0, Some(&kept)).is_some_and(|said| said.sentence.contains("negative rail")));
    }
}
