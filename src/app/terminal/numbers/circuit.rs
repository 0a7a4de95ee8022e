//! What goes on before the pass tubes, as records.

use serde_json::Value;

use crate::app::terminal::numbers::record::Record;
use crate::physics::envelope::{Column, Envelope};
use crate::physics::operation::{Case, Operation};
use crate::physics::{Failure, Model};

/// Why there is no least drop, and nothing that follows from it.
const NO_DROP: &str = "the pass tube's curve is not known at this current";
/// Why there is no figure of a winding on which a rail hangs that gives no voltage.
const NO_RAIL: &str = "the negative rail on the high-voltage winding gives no voltage";

/// The circuit at one mains and output current.
///
/// # Errors
/// If the bus collapses at this current or no steady state is found.
pub(super) fn operation(
    model: &Model,
    envelope: &Envelope,
    case: Case,
    amps: f64,
) -> Result<Value, Failure> {
    let operation = envelope.operate(model, case, amps)?;
    let mut record = Record::default();
    record.number("mains_volts", model.at(case).mains_volts);
    put_operation(&mut record, model, case, &operation);
    Ok(record.into())
}

/// The same without the mains volts.
pub(super) fn put_operation(record: &mut Record, model: &Model, case: Case, operation: &Operation) {
    let bus = &operation.bus;
    record.number("bus_mean_volts", bus.mean_volts);
    record.number("bus_trough_volts", bus.trough_volts);
    record.number("bus_crest_volts", bus.crest_volts);
    record.number("bus_ripple_peak_to_peak_volts", bus.ripple_volts());
    record.number("bus_ripple_rms_volts", bus.ripple_rms_volts);
    record.number("rectified_mean_amps", operation.rectified_amps);
    let rectifier = &operation.rectifier;
    record.number("rectifier_peak_plate_amps", rectifier.peak_amps);
    record.number("rectifier_mean_plate_amps", rectifier.mean_amps);
    record.number("rectifier_rms_plate_amps", rectifier.rms_amps);
    record.number("conduction_degrees", rectifier.conduction_degrees);
    let at = model.at(case);
    let winding = model.winding_rms_amps(case, operation).ok();
    record.number_or("winding_rms_amps", winding, NO_RAIL);
    match model.supply.rail_on_high_voltage() {
        Some(_) => {
            let rail = at.rail_in_winding_amps().ok();
            record.number_or("rail_in_winding_rms_amps", rail, NO_RAIL);
        }
        None => record.null(
            "rail_in_winding_rms_amps",
            "no negative rail is fed from the high-voltage winding",
        ),
    }
    put_halves(record, operation);
    record.numbers(
        "capacitor_ripple_rms_amps",
        operation.capacitor_rms_amps.iter().copied(),
    );
    record.numbers(
        "choke_mean_amps",
        operation.chokes.iter().map(|choke| choke.mean_amps),
    );
    let dropout = model.dropout_volts(case, operation);
    let least_drop = dropout.map(|volts| operation.bus.trough_volts - volts);
    let lost = model.lost_regulation_volts(case, operation);
    record.number_or("least_drop_volts", least_drop, NO_DROP);
    record.number_or("dropout_volts", dropout, NO_DROP);
    record.number_or("lost_regulation_volts", lost, NO_DROP);
}

/// The plate on each half of the winding, where the halves differ.
fn put_halves(record: &mut Record, operation: &Operation) {
    let Some(halves) = operation.by_half else {
        record.null("plates_by_half", "both halves of the winding are alike");
        return;
    };
    let halves = halves.map(|half| {
        let mut record = Record::default();
        record.number("rectifier_peak_plate_amps", half.peak_amps);
        record.number("rectifier_mean_plate_amps", half.mean_amps);
        record.number("rectifier_rms_plate_amps", half.rms_amps);
        record.number("conduction_degrees", half.conduction_degrees);
        Value::from(record)
    });
    record.put("plates_by_half", halves.to_vec());
}

/// The supply with nothing on its terminals, at one mains.
pub(super) fn no_load(column: &Column) -> Value {
    let unloaded = &column.no_load;
    let mut record = Record::default();
    record.number("mains_volts", column.mains_volts);
    record.number("bus_mean_volts", unloaded.operation.bus.mean_volts);
    record.number("bus_crest_volts", unloaded.operation.bus.crest_volts);
    record.number("rectifier_peak_inverse_volts", unloaded.peak_inverse_volts);
    record.numbers(
        "capacitor_crest_volts",
        unloaded.operation.capacitor_crest_volts.iter().copied(),
    );
    record.numbers(
        "worst_capacitor_unit_volts",
        unloaded.worst_unit_volts.iter().copied(),
    );
    record.into()
}
