//! The regulator as records: rail, references, zero setting, regulation.

use serde_json::Value;

use crate::app::terminal::numbers::MAINS;
use crate::app::terminal::numbers::record::Record;
use crate::explain::failure::reason;
use crate::explain::needs::needs;
use crate::parts::{GasReference, GasShunt, Side};
use crate::physics::envelope::Envelope;
use crate::physics::failure::Failure;
use crate::physics::model::RegulatorModel;
use crate::physics::operation::{Case, Operation};
use crate::physics::regulator::control_range::control_range;
use crate::physics::regulator::feedback::{Hold, Regulation, regulation};
use crate::physics::regulator::floor::floor;
use crate::physics::regulator::references::{ReferenceAt, references};
use crate::physics::regulator::zero::{Solve, ZeroSetting, held_from, zero_setting_from};
use crate::physics::{Model, Needs};

/// Output currents of the table of regulation, as shares of the highest current inside the envelope.
const SHARES: [f64; 6] = [0.0, 0.1, 0.25, 0.5, 0.75, 1.0];

/// Puts what is known of the regulator.
pub(super) fn put(whole: &mut Record, model: &Model, envelope: &Envelope) {
    let Some(regulator) = &model.supply.regulator else {
        let missing = format!("not described: {}", needs(Needs::Regulator));
        whole.null("regulator", &missing);
        return;
    };
    let mut record = Record::default();
    record.put("control_tube", regulator.control_tube.name.as_str());
    let (mut rail, mut floors) = (Record::default(), Record::default());
    let mut sides = [Record::default(), Record::default()];
    for (key, case) in MAINS {
        let ready = model.regulator(case).ok().zip(envelope.column(case));
        let Some((regulator, column)) = ready else {
            continue;
        };
        let unloaded = &column.no_load.operation;
        put_rail(&mut rail, key, regulator);
        match floor(regulator, unloaded) {
            Ok(volts) => floors.number(key, volts),
            Err(missing) => floors.null(key, needs(missing)),
        }
        let at = references(regulator, unloaded, model.supply.output.set_low.0);
        for (side, reference) in sides.iter_mut().zip(at) {
            match reference {
                Some(reference) => side.put(key, reference_record(&reference)),
                None => side.null(key, "it is not there, or its rail gives no voltage"),
            }
        }
    }
    record.put("rail", rail);
    for (record, side) in sides.iter_mut().zip([Side::Positive, Side::Negative]) {
        if let Some(reference) = model
            .supply
            .regulator
            .as_ref()
            .and_then(|r| r.gas_reference(side))
        {
            put_shunts(record, reference);
        }
    }
    let [positive, negative] = sides;
    let mut both = Record::default();
    both.put("positive", positive);
    both.put("negative", negative);
    record.put("references", both);
    record.put("floor_volts_with_no_load", floors);
    let solve = |case: Case, amps: f64| envelope.operate(model, case, amps);
    match zero_setting_from(model, &solve) {
        Ok(zero) => record.put("zero_setting", zero_record(&zero)),
        Err(why) => record.null("zero_setting", &reason(&why)),
    }
    put_control(&mut record, model, &solve);
    put_table(&mut record, model, envelope);
    whole.put("regulator", record);
}

/// From where to where the sense control reaches at the present mains, nothing connected.
fn put_control(record: &mut Record, model: &Model, solve: &Solve<'_>) {
    let range = || {
        let unloaded = solve(Case::Present, 0.0)?;
        Ok(control_range(model.regulator(Case::Present)?, &unloaded)?)
    };
    let range = match range() {
        Ok(Some(range)) => range,
        Ok(None) => {
            record.null(
                "sense_control",
                "the sense divider is not described part by part",
            );
            return;
        }
        Err(why) => {
            let why: Failure = why;
            record.null("sense_control", &reason(&why));
            return;
        }
    };
    let mut inner = Record::default();
    inner.number("lowest_volts", range.lowest_volts);
    inner.number("highest_volts", range.highest_volts);
    let moved = range.zero_volts.map(|[first, last]| (first - last).abs());
    let none = "there is no zero adjuster";
    let [first, last] = range.zero_volts.map_or([None, None], |ends| ends.map(Some));
    inner.number_or("lowest_volts_with_none_of_the_zero_adjuster", first, none);
    inner.number_or("lowest_volts_with_all_of_the_zero_adjuster", last, none);
    let scale = model.supply.output.meter_scale;
    inner.number_or(
        "zero_adjuster_share_of_meter_scale",
        moved.zip(scale).map(|(moved, scale)| moved / scale.0),
        if moved.is_none() {
            none
        } else {
            "the meter's scale is not known"
        },
    );
    record.put("sense_control", inner);
}

fn put_rail(rail: &mut Record, key: &str, regulator: &RegulatorModel) {
    match &regulator.rail {
        Some(Ok(solved)) => {
            let bus = &solved.operation.bus;
            let mut record = Record::default();
            record.number("mean_volts", -bus.mean_volts);
            record.number("ripple_peak_to_peak_volts", bus.ripple_volts());
            record.number("drawn_amps", solved.amps);
            record.number("unstruck_volts", -solved.unstruck_volts);
            record.number("rectifier_peak_amps", solved.operation.rectifier.peak_amps);
            rail.put(key, record);
        }
        Some(Err(why)) => rail.null(key, &reason(why)),
        None => rail.null(key, "there is no negative rail"),
    }
}

/// The resistors across single tubes.
fn put_shunts(record: &mut Record, reference: &GasReference) {
    let Some(shunts) = &reference.shunts else {
        record.null(
            "shunt_resistors",
            "the supply does not say whether there are any",
        );
        return;
    };
    let each = |shunt: &GasShunt| {
        let mut record = Record::default();
        record.put("across_tube", shunt.across);
        record.number("ohms", shunt.resistance.0);
        Value::from(record)
    };
    let all: Vec<Value> = shunts.iter().map(each).collect();
    record.put("shunt_resistors", all);
}

fn reference_record(at: &ReferenceAt) -> Record {
    let [least, allowed_least] = at.least_amps;
    let [most, allowed_most] = at.most_amps;
    let mut record = Record::default();
    record.number("volts", at.volts);
    record.number("least_amps", least);
    record.number("allowed_least_amps", allowed_least);
    record.number("most_amps", most);
    record.number("allowed_most_amps", allowed_most);
    record.number("feed_amps", at.feed_amps);
    record.number("most_shunt_amps", at.shunt_amps);
    record.number("available_volts", at.available_volts);
    let unknown = "the strike volts of a gas tube are not published";
    record.number_or("strike_volts", at.strike_volts, unknown);
    record.put("lit", at.lit);
    match at.struck {
        Some(struck) => record.put("struck", struck),
        None => record.null("struck", unknown),
    }
    record.number_or(
        "volts_per_volt_of_feed",
        at.share_of_feed,
        "the regulation of a gas tube is not published",
    );
    record
}

fn zero_record(zero: &ZeroSetting) -> Record {
    let mut volts = Record::default();
    for ((key, _), settled) in MAINS.into_iter().zip(zero.at_low_present_high) {
        volts.number(key, settled.volts);
    }
    let mut record = Record::default();
    record.number("set_volts", zero.volts);
    record.put("output_volts", volts);
    record.number("drift_volts", zero.drift_volts);
    record.put("reverses", zero.reverses);
    record.number(
        "least_setting_that_never_reverses_volts",
        zero.least_setting_volts,
    );
    record.number("least_usable_setting_volts", zero.least_usable_volts);
    record
}

/// The table of regulation in the middle of the upper half of the output range.
fn put_table(record: &mut Record, model: &Model, envelope: &Envelope) {
    let output = &model.supply.output;
    let [low, high] = [output.set_low.0, output.set_high.0];
    let volts = low + 0.7 * (high - low);
    record.number("regulation_at_output_volts", volts);
    // Where no point is allowed, as far as there is a bus.
    let widest = envelope.region.last().map(|r| r[0]);
    let end = widest.or_else(|| envelope.amps.last().copied());
    let end = end.unwrap_or(0.0);
    let rows: Vec<Value> = SHARES
        .iter()
        .map(|share| row(model, envelope, share * end, volts).into())
        .collect();
    record.put("regulation", rows);
}

fn row(model: &Model, envelope: &Envelope, amps: f64, volts: f64) -> Record {
    let mut record = Record::default();
    record.number("output_amps", amps);
    let solve = |case: Case, amps: f64| envelope.operate(model, case, amps);
    match solve(Case::Present, amps) {
        Ok(operation) => put_regulation(&mut record, model, &operation, volts),
        Err(why) => record.null("hold", &reason(&why)),
    }
    match held_from(model, &solve, amps, volts) {
        Ok(held) => {
            record.number("droop_volts", held.droop_volts);
            record.number("mains_regulation_volts", held.mains_volts);
        }
        Err(why) => record.null("droop_volts", &reason(&why)),
    }
    record
}

/// The regulation at a point, or why it is not known.
pub(super) fn at_point(
    record: &mut Record,
    model: &Model,
    operation: Option<&Operation>,
    volts: f64,
) {
    let Some(operation) = operation else {
        record.null("regulation", "the supply cannot give this current");
        return;
    };
    let mut inner = Record::default();
    inner.number("output_amps", operation.output_amps);
    put_regulation(&mut inner, model, operation, volts);
    record.put("regulation", inner);
}

fn put_regulation(record: &mut Record, model: &Model, operation: &Operation, volts: f64) {
    record.number("output_volts", volts);
    let regulator = model.regulator(Case::Present);
    match regulator.and_then(|regulator| regulation(regulator, operation, volts)) {
        Ok(regulation) => put_figures(record, &regulation),
        Err(missing) => record.null("hold", needs(missing)),
    }
}

fn put_figures(record: &mut Record, regulation: &Regulation) {
    record.put(
        "hold",
        match regulation.hold {
            Hold::Regulated => "regulated",
            Hold::Valleys => "valleys",
            Hold::Dropout => "dropout",
            Hold::Bottomed => "bottomed",
            Hold::FullyOn => "fully_on",
        },
    );
    record.number("loop_gain", regulation.loop_gain);
    record.number("control_gain", regulation.control_gain);
    record.number("divider_share", regulation.divider_share);
    record.number("output_ohms", regulation.output_ohms);
    record.number("bus_ripple_share", regulation.bus_share);
    record.number("rail_ripple_share", regulation.rail_share);
    record.number("hum_peak_to_peak_volts", regulation.hum_volts);
    record.number("control_plate_amps", regulation.control.amps);
    record.number("control_plate_volts", regulation.control.plate_volts);
    record.number("control_grid_volts", regulation.control.grid_volts);
    record.number_or(
        "control_screen_volts",
        regulation.potentials.screen_volts(),
        "a triode, or its screen volts are not known",
    );
    record.number("control_screen_amps", regulation.control.screen_amps);
    record.number("pass_grid_volts", regulation.pass.grid_volts);
}
