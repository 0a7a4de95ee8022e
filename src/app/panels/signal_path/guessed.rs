//! Which rows of a card stand for the fields that are marked as guessed.

use crate::app::widgets::fields::Mark;
use crate::parts::{Filter, Stage, Work};

/// The marks of a card, by row.
pub(super) fn marks(work: &Work, stage: Stage) -> Vec<Mark> {
    let of_card = |field: &String| {
        let (at, row) = row(field, &work.supply.filter)?;
        (at == stage).then(|| Mark {
            row,
            field: field.clone(),
        })
    };
    work.guessed.iter().filter_map(of_card).collect()
}

/// Card and row of a field, by its path in the file.
fn row(field: &str, filter: &Filter) -> Option<(Stage, String)> {
    let (stage, row) = match field {
        "mains.nominal" => (Stage::Mains, "Nominal"),
        "mains.present" => (Stage::Mains, "Now"),
        "mains.low" => (Stage::Mains, "Low"),
        "mains.high" => (Stage::Mains, "High"),
        "mains.frequency" => (Stage::Mains, "Frequency"),
        "mains.crest_factor" => (Stage::Mains, "Crest factor"),
        "transformer.primary_volts" => (Stage::Transformer, "Primary volts"),
        "transformer.winding" => (Stage::Transformer, "Winding volts"),
        "transformer.primary_resistance" => (Stage::Transformer, "Primary ohms"),
        "transformer.secondary_resistance" => (Stage::Transformer, "Winding ohms"),
        "transformer.auxiliary" => (Stage::Transformer, "Other load"),
        "rectifier.kind" => (Stage::Rectifier, "Rectifier type"),
        "rectifier.connection" => (Stage::Rectifier, "Connection"),
        "rectifier.in_parallel" => (Stage::Rectifier, "In parallel"),
        "rectifier.in_series" => (Stage::Rectifier, "In series"),
        "rectifier.plate_resistor" => (Stage::Rectifier, "Plate resistor"),
        "filter.input_capacitor.unit" => (Stage::Filter, "C1 unit"),
        "filter.bleeder" => (Stage::Filter, "Bleeder"),
        "filter.internal_current" => (Stage::Filter, "Internal"),
        "pass_stage.tube" => (Stage::PassStage, "Pass tube type"),
        "pass_stage.units" => (Stage::PassStage, "Units"),
        "pass_stage.cathode_resistor" => (Stage::PassStage, "Cathode resistor"),
        "pass_stage.plate_resistor" => (Stage::PassStage, "Plate resistor"),
        "pass_stage.imbalance" => (Stage::PassStage, "Imbalance"),
        "pass_stage.grid_limit" => (Stage::PassStage, "Grid limit"),
        "regulator.plate_load" => (Stage::Regulator, "Plate load"),
        "regulator.plate_supply" => (Stage::Regulator, "Load fed from"),
        "regulator.cathode" => (Stage::Regulator, "Cathode on"),
        "regulator.divider.resistance" => (Stage::Regulator, "Divider"),
        "regulator.divider.foot" => (Stage::Regulator, "Divider return"),
        "regulator.reference.tubes" => (Stage::Regulator, "Reference tube"),
        "regulator.reference.feed_resistor" => (Stage::Regulator, "Reference feed"),
        "regulator.reference.fed_from" => (Stage::Regulator, "Fed from"),
        "regulator.bias_rail.winding" => (Stage::Regulator, "Rail winding"),
        "regulator.bias_rail.winding_resistance" => (Stage::Regulator, "Rail copper"),
        "regulator.bias_rail.rectifier.kind" => (Stage::Regulator, "Rail rectifier"),
        "regulator.bias_rail.filter.input_capacitor.unit" => (Stage::Regulator, "Rail C"),
        "regulator.bias_rail.reference.tubes" => (Stage::Regulator, "Rail tube"),
        "regulator.bias_rail.reference.feed_resistor" => (Stage::Regulator, "Rail feed"),
        "output.set_low" => (Stage::Output, "Output range, low"),
        "output.set_high" => (Stage::Output, "Output range, high"),
        "output.meter_shunt" => (Stage::Output, "Meter shunt"),
        _ => return Some((Stage::Filter, of_section(field, filter)?)),
    };
    Some((stage, row.to_owned()))
}

/// The row of a field of a filter section.
fn of_section(field: &str, filter: &Filter) -> Option<String> {
    let (place, name) = field.strip_prefix("filter.sections[")?.split_once("].")?;
    let number = place.parse::<usize>().ok()? + 1;
    let stack = number + usize::from(filter.input_capacitor.is_some());
    match name {
        "capacitor.unit" => Some(format!("C{stack} unit")),
        "series" => Some(format!("R{number}")),
        "series.inductance" => Some(format!("L{number}")),
        "series.resistance" => Some(format!("L{number} ohms")),
        _ => None,
    }
}
