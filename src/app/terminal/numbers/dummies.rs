//! Dummy loads as records: the stretches of their lines that are allowed, and what ends them.

use serde_json::Value;

use crate::app::terminal::numbers::record::Record;
use crate::bench::load_line::{End, Stretch, bears_watts, load_line};
use crate::explain::{self, resistor};
use crate::parts::{Dummy, Supply};
use crate::physics::envelope::Envelope;

/// Every dummy load.
pub(super) fn all(dummies: &[Dummy], supply: &Supply, envelope: &Envelope) -> Vec<Value> {
    dummies
        .iter()
        .map(|dummy| one(dummy, supply, envelope).into())
        .collect()
}

fn one(dummy: &Dummy, supply: &Supply, envelope: &Envelope) -> Record {
    let line = load_line(envelope, dummy);
    let mut record = Record::default();
    record.put("name", explain::load_line::name(dummy));
    record.number("resistance_ohms", dummy.resistance.0);
    record.number("tolerance_fraction", dummy.tolerance.0);
    record.number_or(
        "power_watts",
        dummy.power.map(|power| power.0),
        "not known: read it on the resistor",
    );
    let share = bears_watts(dummy).zip(dummy.power).map_or(
        dummy.derating.map_or(1.0, |share| share.0),
        |(bears, power)| bears / power.0,
    );
    record.number("derating_fraction", share);
    record.put("kind", resistor::kind_key(dummy.kind));
    record.put("mounting", resistor::mounting(dummy.kind, dummy.mounting));
    record.number_or("bears_watts", bears_watts(dummy), "its power is not known");
    match &dummy.made_of {
        Some(made_of) => record.put("made_of", explain::networks::wiring(made_of)),
        None => record.null("made_of", "it is one resistor"),
    }
    let strain = line.strain(dummy);
    record.number_or(
        "surface_celsius",
        strain.celsius,
        "its kind is not known, or nothing is allowed",
    );
    record.number_or(
        "seconds_at_the_supplys_end",
        strain.beyond.map(|(seconds, _)| seconds),
        "the supply stops it first, or its kind is not known",
    );
    record.number_or(
        "working_volts",
        dummy.working_volts.map(|volts| volts.0),
        "not known: read it in the resistor's data sheet",
    );
    record.put(
        "summary",
        explain::load_line::summary(&line, dummy, supply).sentence,
    );
    record.put("stretches", stretches(&line.stretches));
    record.put("reach", stretches(&line.reach));
    record.put("supply_alone_stretches", stretches(&line.supply_stretches));
    match line.own_end {
        Some((point, end)) => record.put("own_end", end_record(point, end)),
        None => record.null(
            "own_end",
            "neither its power nor its working volts are known",
        ),
    }
    record
}

fn stretches(list: &[Stretch]) -> Vec<Value> {
    list.iter()
        .map(|stretch| {
            let mut to = end_record(stretch.to, stretch.to_end);
            to.number("watts", stretch.to_watts());
            let mut record = Record::default();
            record.put("from", end_record(stretch.from, stretch.from_end));
            record.put("to", to);
            record.into()
        })
        .collect()
}

fn end_record([amps, volts]: [f64; 2], end: End) -> Record {
    let mut record = Record::default();
    record.number("output_amps", amps);
    record.number("output_volts", volts);
    record.put(
        "ended_by",
        match end {
            End::Origin => "origin".to_owned(),
            End::Limit(limit) => limit.key(),
            End::OwnPower => "own_power".to_owned(),
            End::OwnVolts => "own_volts".to_owned(),
            End::Collapse => "collapse".to_owned(),
        },
    );
    record
}
