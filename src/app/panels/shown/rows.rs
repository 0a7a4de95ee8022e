//! In which card, under which fold and in which row a field stands, by its path in the file.

use crate::explain::failure;
use crate::parts::check::Problem;
use crate::parts::{Filter, Stage, Supply};

/// Where a field stands.
#[derive(Debug, Clone, PartialEq, Eq)]
pub(crate) struct Place {
    /// The card.
    pub(crate) stage: Stage,
    /// The folds around it, the outermost first.
    pub(crate) folds: Vec<String>,
    /// The row.
    pub(crate) row: String,
}

/// Positive reference, negative rail and the rest fold away in the regulator's card.
pub(crate) const REFERENCE: &str = "Positive reference";
pub(crate) const RAIL: &str = "Negative bias rail";
pub(crate) const HEATER: &str = "Preload, heater and ratings";
/// The primary side folds away in the transformer's.
pub(crate) const PRIMARY: &str = "Core, limiter and fuse";

/// The place of a field; `None` where no row is for it alone.
pub(crate) fn place(field: &str, supply: &Supply) -> Option<Place> {
    let stands = |stage: Stage, row: &str| {
        Some(Place {
            stage,
            folds: Vec::new(),
            row: row.to_owned(),
        })
    };
    if let Some(name) = field.strip_prefix("regulator.") {
        return in_regulator(name, supply);
    }
    if let Some(name) = field.strip_prefix("primary.") {
        return Some(Place {
            stage: Stage::Transformer,
            folds: vec![PRIMARY.to_owned()],
            row: in_primary(name)?.to_owned(),
        });
    }
    if let Some(name) = field.strip_prefix("filter.") {
        let (folds, row) = in_filter(name, &supply.filter, "")?;
        return Some(Place {
            stage: Stage::Filter,
            folds,
            row,
        });
    }
    match field {
        "mains.nominal" => stands(Stage::Mains, "Nominal"),
        "mains.present" => stands(Stage::Mains, "Now"),
        "mains.low" => stands(Stage::Mains, "Low"),
        "mains.high" => stands(Stage::Mains, "High"),
        "mains.frequency" => stands(Stage::Mains, "Frequency"),
        "mains.crest_factor" => stands(Stage::Mains, "Crest factor"),
        "transformer.primary_volts" => stands(Stage::Transformer, "Primary volts"),
        "transformer.winding" | "transformer.winding.volts" => {
            stands(Stage::Transformer, "Winding volts")
        }
        "transformer.winding.amps" => stands(Stage::Transformer, "at a load of"),
        "transformer.primary_resistance" => stands(Stage::Transformer, "Primary ohms"),
        "transformer.secondary_resistance" => stands(Stage::Transformer, "Winding ohms"),
        "transformer.second_half_resistance" => stands(Stage::Transformer, "Second half"),
        "transformer.winding_rating" => stands(Stage::Transformer, "Winding rms"),
        "transformer.auxiliary" => stands(Stage::Transformer, "Other load"),
        "rectifier.kind" => stands(Stage::Rectifier, "Rectifier type"),
        "rectifier.connection" => stands(Stage::Rectifier, "Connection"),
        "rectifier.in_parallel" => stands(Stage::Rectifier, "In parallel"),
        "rectifier.in_series" => stands(Stage::Rectifier, "In series"),
        "rectifier.plate_resistor" => stands(Stage::Rectifier, "Plate resistor"),
        "pass_stage.tube" => stands(Stage::PassStage, "Pass tube type"),
        "pass_stage.units" => stands(Stage::PassStage, "Units"),
        "pass_stage.cathode_resistor" => stands(Stage::PassStage, "Cathode resistor"),
        "pass_stage.plate_resistor" => stands(Stage::PassStage, "Plate resistor"),
        "pass_stage.imbalance" => stands(Stage::PassStage, "Imbalance"),
        "pass_stage.tube_spread" => stands(Stage::PassStage, "Tube spread"),
        "pass_stage.grid_limit" => stands(Stage::PassStage, "Grid limit"),
        "output.set_low" => stands(Stage::Output, "Output range, low"),
        "output.set_high" => stands(Stage::Output, "Output range, high"),
        "output.meter_shunt" => stands(Stage::Output, "Meter shunt"),
        "output.meter_scale" => stands(Stage::Output, "Meter scale"),
        "output.stand_by" => stands(Stage::Output, "Stand-by switch"),
        _ => None,
    }
}

/// The row of a field of the primary side.
fn in_primary(name: &str) -> Option<&'static str> {
    Some(match name {
        "mains_resistance" => "Mains ohms",
        "mains_inductance" => "Mains L",
        "limiter" | "limiter.resistance" => "Limiter ohms",
        "limiter.shorted_after" => "Shorted after",
        "limiter.cold" => "Cold ohms",
        "limiter.hot" => "Hot ohms",
        "limiter.at" => "Hot at",
        "limiter.time_constant" => "Cools in",
        "fuse.rating" => "Fuse",
        "core_rating" => "Rated VA",
        "no_load.lower" => "Lower volts",
        "no_load.higher" => "Higher volts",
        "saturates_at" => "Saturates at",
        "saturated_inductance" => "Saturated L",
        "heaters" => "Heaters",
        _ => return None,
    })
}

fn in_regulator(name: &str, supply: &Supply) -> Option<Place> {
    if let Some(name) = name.strip_prefix("bias_rail.filter.") {
        let rail = supply.regulator.as_ref()?.bias_rail.as_ref()?;
        let (inner, row) = in_filter(name, &rail.filter, "Rail ")?;
        // A capacitor that is the only one has no number.
        let is_only = rail.filter.stacks().count() == 1;
        let bare = |name: String| {
            if is_only {
                name.replacen("Rail C1", "Rail C", 1)
            } else {
                name
            }
        };
        let inner = inner.into_iter().map(bare);
        let folds = core::iter::once(RAIL.to_owned()).chain(inner).collect();
        let row = bare(row);
        return Some(Place {
            stage: Stage::Regulator,
            folds,
            row,
        });
    }
    let (fold, row) = match name {
        "plate_load" => (None, "Plate load"),
        "plate_supply" => (None, "Load fed from"),
        "screen_divider.upper" => (None, "Screen upper R"),
        "screen_divider.lower" => (None, "Screen lower R"),
        "cathode" => (None, "Cathode on"),
        "least_plate_volts" => (None, "Least plate V"),
        "divider.resistance" => (None, "Divider"),
        "divider.foot" => (None, "Divider return"),
        "divider.control.upper" => (None, "Divider upper R"),
        "divider.control.pot" => (None, "Sense pot"),
        "divider.control.lower" => (None, "Divider lower R"),
        "divider.control.zero_adjuster" => (None, "Zero adjuster"),
        "preload" => (Some(HEATER), "Preload"),
        "reference.tubes" => (Some(REFERENCE), "Reference tube"),
        "reference.feed_resistor" => (Some(REFERENCE), "Reference feed"),
        "reference.fed_from" => (Some(REFERENCE), "Fed from"),
        "reference.drawn" => (Some(REFERENCE), "Reference drawn"),
        "bias_rail.winding" => (Some(RAIL), "Rail winding"),
        "bias_rail.winding_resistance" => (Some(RAIL), "Rail copper"),
        "bias_rail.winding_rating" => (Some(RAIL), "Rail winding rms"),
        "bias_rail.load" => (Some(RAIL), "Rail load"),
        "bias_rail.rectifier.kind" => (Some(RAIL), "Rail rectifier"),
        "bias_rail.rectifier.in_parallel" => (Some(RAIL), "Rail in parallel"),
        "bias_rail.rectifier.in_series" => (Some(RAIL), "Rail in series"),
        "bias_rail.rectifier.plate_resistor" => (Some(RAIL), "Rail plate resistor"),
        "bias_rail.reference.tubes" => (Some(RAIL), "Rail tube"),
        "bias_rail.reference.feed_resistor" => (Some(RAIL), "Rail feed"),
        "bias_rail.reference.drawn" => (Some(RAIL), "Rail drawn"),
        _ => return None,
    };
    Some(Place {
        stage: Stage::Regulator,
        folds: fold.map(str::to_owned).into_iter().collect(),
        row: row.to_owned(),
    })
}

/// Folds and row of a field of a filter; `whose` begins their names.
fn in_filter(name: &str, filter: &Filter, whose: &str) -> Option<(Vec<String>, String)> {
    let plain = |row: String| Some((Vec::new(), format!("{whose}{row}")));
    if let Some(name) = name.strip_prefix("input_capacitor.") {
        return in_stack(name, 1, whose);
    }
    let section = name.strip_prefix("sections[");
    let Some((index, name)) = section.and_then(|rest| rest.split_once("].")) else {
        return match (name, whose) {
            ("bleeder", "") => plain("Bleeder".to_owned()),
            ("internal_current", "") => plain("Internal".to_owned()),
            ("bleeder", _) => plain("bleeder".to_owned()),
            ("internal_current", _) => plain("internal".to_owned()),
            _ => None,
        };
    };
    let number = index.parse::<usize>().ok()? + 1;
    match name {
        "series" => plain(format!("R{number}")),
        "series.inductance" => plain(format!("L{number}")),
        "series.resistance" => plain(format!("L{number} ohms")),
        "series.rating" => plain(format!("L{number} current")),
        _ => {
            let stack = number + usize::from(filter.input_capacitor.is_some());
            in_stack(name.strip_prefix("capacitor.")?, stack, whose)
        }
    }
}

fn in_stack(name: &str, number: usize, whose: &str) -> Option<(Vec<String>, String)> {
    let (is_folded, what) = match name {
        // The rail's first rows have no more than the capacitor's name.
        "unit" if !whose.is_empty() => (false, ""),
        "unit" => (false, " unit"),
        "in_series" => (false, " in series"),
        "working_volts" => (false, " volts"),
        "balancing" => (false, " balancing"),
        "strings" => (true, " strings"),
        "surge_volts" => (true, " surge"),
        "ripple_current" => (true, " ripple"),
        "tolerance" => (true, " tolerance"),
        _ => return None,
    };
    let of = format!("{whose}C{number}");
    let folds = is_folded.then(|| format!("{of} more"));
    Some((folds.into_iter().collect(), format!("{of}{what}")))
}

/// Why the picture was not brought up to date, by the first of the problems.
pub(crate) fn in_short(problems: &[Problem], supply: &Supply) -> Option<String> {
    let first = problems.first()?;
    Some(match place(&first.field, supply) {
        Some(place) => failure::at_field(&place.row, first),
        None => first.to_string(),
    })
}
