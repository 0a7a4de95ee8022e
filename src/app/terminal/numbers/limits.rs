//! Limits as records: what they are, where they bind, how much of them is used.

use serde_json::Value;

use crate::app::terminal::numbers::circuit::put_operation;
use crate::app::terminal::numbers::energy;
use crate::app::terminal::numbers::record::Record;
use crate::app::terminal::numbers::regulator;
use crate::app::terminal::request::OutputPoint;
use crate::bench::acceptance::{highest_in_reach, taken_away};
use crate::bench::first_met::{Adjustment, ways_back};
use crate::explain;
use crate::explain::needs;
use crate::parts::{RatingSystem, Stage, Supply};
use crate::physics::Model;
use crate::physics::envelope::{Curve, Envelope, LimitCurve, Point, Standing};
use crate::physics::limit::{self, Judged, Measure, Use, acceptance, published};
use crate::physics::operation::Case;

/// Every limit of the supply with what does not depend on a current.
pub(super) fn all(supply: &Supply, envelope: &Envelope) -> Vec<Value> {
    envelope
        .limits
        .iter()
        .map(|line| described(line, supply).into())
        .collect()
}

fn described(line: &LimitCurve, supply: &Supply) -> Record {
    let mut record = Record::default();
    record.put("limit", line.limit.key());
    record.put("name", explain::limits::name(line.limit, supply));
    record.put("part", explain::limits::part(line.limit, supply));
    record.put("stage", stage(line.limit.stage()));
    record.put("is_rating", line.limit.is_rating());
    let is_known = !matches!(line.curve, Curve::NotKnown(_));
    match (line.system, line.limit.is_rating()) {
        (Some(system), _) => record.put("rating_system", rating_system(system)),
        (None, true) if is_known => record.null("rating_system", "its maker names none"),
        (None, true) => record.null("rating_system", "the rating is not known"),
        (None, false) => record.null("rating_system", "it is not a rating"),
    }
    record.put("bound", kind(line));
    match &line.curve {
        Curve::NotKnown(missing) => {
            record.null(
                "binding_mains",
                &format!("needs {}", needs::of_limit(line.limit, *missing)),
            );
        }
        _ => record.put("binding_mains", case(line.case)),
    }
    let (text, unit) = match &line.curve {
        Curve::Wall(_) => (Some("bound_output_amps"), wall as fn(&Curve) -> Option<f64>),
        Curve::Everywhere(_) => (
            Some("use_with_no_load"),
            everywhere as fn(&Curve) -> Option<f64>,
        ),
        _ => (None, wall as fn(&Curve) -> Option<f64>),
    };
    if let Some(text) = text {
        record.put(text, four(line, unit, "it does not bind"));
    }
    record
}

/// What kind of bound a limit is, whether or not it binds.
fn kind(line: &LimitCurve) -> &'static str {
    match &line.curve {
        Curve::Ceiling(_) => "highest_output_volts",
        Curve::Floor(_) => "least_output_volts",
        Curve::Wall(_) => "highest_output_amps",
        Curve::Everywhere(_) => "same_everywhere",
        Curve::OutOfReach => "out_of_reach",
        Curve::NotKnown(_) => "not_known",
    }
}

fn wall(curve: &Curve) -> Option<f64> {
    match curve {
        Curve::Wall(amps) => Some(*amps),
        _ => None,
    }
}

fn everywhere(curve: &Curve) -> Option<f64> {
    match curve {
        Curve::Everywhere(used) => Some(*used),
        _ => None,
    }
}

/// A figure of the boundary that binds and of those at low, present and high mains.
fn four(line: &LimitCurve, figure: impl Fn(&Curve) -> Option<f64>, reason: &str) -> Record {
    let [low, present, high] = &line.at_low_present_high;
    let mut record = Record::default();
    for (key, curve) in [
        ("binding", &line.curve),
        ("low", low),
        ("present", present),
        ("high", high),
    ] {
        match curve {
            Curve::NotKnown(missing) => record.null(
                key,
                &format!("needs {}", needs::of_limit(line.limit, *missing)),
            ),
            _ => record.number_or(key, figure(curve), reason),
        }
    }
    record
}

/// Every limit's bound and use at the point's current.
pub(super) fn bounds_and_uses(envelope: &Envelope, point: &Point) -> Vec<Value> {
    envelope
        .limits
        .iter()
        .map(|line| {
            let mut record = Record::default();
            record.put("limit", line.limit.key());
            let reason = "it does not bind at this current";
            match &line.curve {
                Curve::Ceiling(_) | Curve::Floor(_) => record.put(
                    "bound_output_volts",
                    four(line, |curve| curve.volts_at(point.amps), reason),
                ),
                Curve::Wall(_) => record.put("bound_output_amps", four(line, wall, reason)),
                Curve::Everywhere(_) => record.null("bound", "the same everywhere"),
                Curve::OutOfReach => record.null("bound", "not met within the grid of currents"),
                Curve::NotKnown(missing) => {
                    record.null(
                        "bound",
                        &format!("needs {}", needs::of_limit(line.limit, *missing)),
                    );
                }
            }
            match point.uses.iter().find(|one| one.limit == line.limit) {
                Some(one) => put_use(&mut record, one),
                None => record.null("use", "it was not judged"),
            }
            record.into()
        })
        .collect()
}

/// A use: of the case that binds, and at low, present and high mains.
fn put_use(record: &mut Record, one: &Use) {
    match &one.judged {
        Ok(judged) => {
            record.number("use", judged.ratio);
            record.put("use_at", use_at(judged));
        }
        Err(missing) => record.null(
            "use",
            &format!("needs {}", needs::of_limit(one.limit, *missing)),
        ),
    }
}

fn use_at(judged: &Judged) -> Record {
    let mut record = Record::default();
    for (key, ratio) in ["low", "present", "high"]
        .into_iter()
        .zip(judged.at_low_present_high)
    {
        record.number_or(
            key,
            Some(ratio),
            "the supply cannot give this current at this mains",
        );
    }
    record
}

/// A point asked for, with everything known about it.
pub(super) fn at_point(model: &Model, envelope: &Envelope, asked: OutputPoint) -> Value {
    let supply = &model.supply;
    let mut record = Record::default();
    record.number("output_amps", asked.amps.0);
    record.number("output_volts", asked.volts.0);
    let point = match envelope.point(model, asked.amps.0, asked.volts.0) {
        Ok(point) => point,
        Err(failure) => {
            record.null("inside", &explain::failure::sentence(&failure));
            return record.into();
        }
    };
    record.put("inside", point.is_inside());
    record.put(
        "standing",
        match point.standing() {
            Standing::Inside => "inside",
            Standing::OverARating => "over_a_rating",
            Standing::OutOfReach => "out_of_reach",
        },
    );
    record.put("verdict", explain::limits::verdict(&point, supply).sentence);
    record.put(
        "caution",
        explain::cautions::terminals(point.volts).map(|finding| finding.sentence),
    );
    put_ways_back(&mut record, supply, envelope, &point);
    match &point.operation {
        Some(operation) => {
            let mut present = Record::default();
            put_operation(&mut present, model, Case::Present, operation);
            record.put("present", present);
        }
        None => record.null("present", "the supply cannot give this current"),
    }
    energy::put(&mut record, model, [asked.amps.0, asked.volts.0]);
    regulator::at_point(&mut record, model, point.operation.as_ref(), asked.volts.0);
    let uses: Vec<Value> = point
        .uses
        .iter()
        .map(|one| full_use(one, supply, &point).into())
        .collect();
    record.put("uses", uses);
    record.into()
}

/// What leads back inside.
fn put_ways_back(record: &mut Record, supply: &Supply, envelope: &Envelope, point: &Point) {
    let at = [point.amps, point.volts];
    let back = ways_back(envelope, at, None);
    if back.ways.is_empty() {
        let said = explain::why::way_back(&back, at, supply);
        let reason = if said.is_empty() {
            "the point is inside".to_owned()
        } else {
            said.join("; ")
        };
        record.null("ways_back", &reason);
        return;
    }
    let ways: Vec<Value> = back
        .ways
        .iter()
        .map(|(way, [amps, volts])| {
            let mut one = Record::default();
            one.put(
                "changes",
                match way {
                    Adjustment::Volts => "volts",
                    Adjustment::Amps => "amps",
                    Adjustment::Load | Adjustment::Both => "both",
                },
            );
            one.number("output_amps", *amps);
            one.number("output_volts", *volts);
            one.into()
        })
        .collect();
    record.put("ways_back", ways);
}

fn full_use(one: &Use, supply: &Supply, point: &Point) -> Record {
    let mut record = Record::default();
    record.put("limit", one.limit.key());
    record.put("name", explain::limits::name(one.limit, supply));
    put_use(&mut record, one);
    if let Ok(judged) = &one.judged {
        record.number("margin", 1.0 - judged.ratio);
        let unit = unit(judged.measure);
        record.number(&format!("actual_{unit}"), judged.actual);
        record.number_or(
            &format!("actual_now_{unit}"),
            judged.actual_now,
            "the supply cannot give this current at present mains",
        );
        record.number(&format!("allowed_{unit}"), judged.allowed);
        record.number_or(
            &format!("published_{unit}"),
            one.published,
            "it is not accepted as built: what is allowed is what is published, or follows from the circuit",
        );
        record.put("judged_mains", case(judged.case));
        record.number("judged_mains_volts", judged.mains_volts);
    }
    record.put("rating_system", one.system.map(rating_system));
    record.put("why", explain::limits::sentence(one, supply, point));
    record
}

fn unit(measure: Measure) -> &'static str {
    match measure {
        Measure::Volts => "volts",
        Measure::Amps => "amps",
        Measure::Watts => "watts",
        Measure::Ohms => "ohms",
        Measure::Farads => "farads",
    }
}

/// The ratings that are accepted as built.
pub(super) fn accepted(supply: &Supply) -> Vec<Value> {
    let all = limit::all(supply).into_iter();
    all.filter_map(|limit| {
        let accepted = acceptance(limit, supply)?;
        let rated = published(limit, supply).ok()?.value;
        let unit = unit(limit.measure());
        let mut record = Record::default();
        record.put("limit", limit.key());
        record.put("name", explain::limits::name(limit, supply));
        record.number(&format!("up_to_{unit}"), accepted.up_to.si());
        record.number(&format!("published_{unit}"), rated);
        record.put("reason", accepted.reason.as_str());
        record.put("caution", explain::accepted::caution(limit));
        Some(record.into())
    })
    .collect()
}

/// What each rating takes of the reach, the one that takes most first, and how far it would have to be accepted as built.
pub(super) fn taken_from_reach(model: &Model, envelope: &Envelope) -> Vec<Value> {
    let all = taken_away(envelope).into_iter();
    all.map(|taken| {
        let mut record = Record::default();
        record.put("limit", taken.limit.key());
        record.put("name", explain::limits::name(taken.limit, &model.supply));
        record.number("share", taken.share);
        let unit = unit(taken.limit.measure());
        let worst = highest_in_reach(model, envelope, taken.limit);
        record.number_or(
            &format!("worst_in_reach_{unit}"),
            worst.ok().flatten(),
            "it was not found",
        );
        record.into()
    })
    .collect()
}

/// A stage's name for machines.
fn stage(stage: Stage) -> &'static str {
    match stage {
        Stage::Mains => "mains",
        Stage::Transformer => "transformer",
        Stage::Rectifier => "rectifier",
        Stage::Filter => "filter",
        Stage::PassStage => "pass_stage",
        Stage::Regulator => "regulator",
        Stage::Output => "output",
        Stage::Dummies => "dummies",
    }
}

fn rating_system(system: RatingSystem) -> &'static str {
    match system {
        RatingSystem::DesignCentre => "design_centre",
        RatingSystem::DesignMaximum => "design_maximum",
        RatingSystem::AbsoluteMaximum => "absolute_maximum",
    }
}

/// A case's name for machines.
fn case(case: Case) -> &'static str {
    match case {
        Case::Low => "low",
        Case::Present => "present",
        Case::High => "high",
        Case::Nominal => "nominal",
        Case::LowLeast => "low_least_capacitance",
        Case::LowMost => "low_most_capacitance",
        Case::HighLeast => "high_least_capacitance",
        Case::HighMost => "high_most_capacitance",
    }
}
