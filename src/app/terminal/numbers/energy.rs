//! Where the watts go at a point, as a record.

use serde_json::Value;

use crate::app::terminal::numbers::record::Record;
use crate::explain;
use crate::parts::Supply;
use crate::physics::Model;
use crate::physics::energy::{Energy, Sink, energy};
use crate::physics::operation::Case;

/// Puts the flow at `[amps, volts]` and present mains, or why there is none.
pub(super) fn put(record: &mut Record, model: &Model, point: [f64; 2]) {
    match energy(model, Case::Present, point) {
        Ok(flow) => record.put("energy", flow_record(&flow, &model.supply)),
        Err(why) => record.null("energy", &explain::failure::no_flow(&why)),
    }
}

fn flow_record(flow: &Energy, supply: &Supply) -> Record {
    let shares: Vec<Value> = flow
        .shares
        .iter()
        .map(|share| {
            let mut record = Record::default();
            record.put("sink", key(share.sink));
            record.put("name", explain::energy::name(share.sink, supply));
            record.number("watts", share.watts);
            record.into()
        })
        .collect();
    let mut record = Record::default();
    record.number("mains_watts", flow.mains_watts);
    record.put("shares", shares);
    record
}

/// A sink's name for machines; numbered ones count from 1.
fn key(sink: Sink) -> String {
    match sink {
        Sink::Auxiliary => "auxiliary".to_owned(),
        Sink::PrimaryCopper => "primary_copper".to_owned(),
        Sink::SecondaryCopper => "secondary_copper".to_owned(),
        Sink::PlateResistors => "plate_resistors".to_owned(),
        Sink::Rectifier => "rectifier".to_owned(),
        Sink::Choke(k) => format!("choke_{}", u32::from(k) + 1),
        Sink::FilterResistor(k) => format!("filter_resistor_{}", u32::from(k) + 1),
        Sink::Balancing => "balancing".to_owned(),
        Sink::Bleeder => "bleeder".to_owned(),
        Sink::Internal => "internal".to_owned(),
        Sink::NegativeRail => "negative_rail".to_owned(),
        Sink::PassTubes => "pass_tubes".to_owned(),
        Sink::PassResistors => "pass_resistors".to_owned(),
        Sink::MeterShunt => "meter_shunt".to_owned(),
        Sink::Load => "load".to_owned(),
    }
}
