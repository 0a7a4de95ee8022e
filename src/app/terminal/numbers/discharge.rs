//! What the capacitors keep after switch-off as JSON: `sagline discharge --json`.

use std::path::Path;

use serde_json::{Value, json};

use crate::app::terminal::numbers::record::{Record, layout};
use crate::bench::bleeder::{NoChoice, Size};
use crate::bench::capacitor_stack::{Balanced, Shared};
use crate::bench::reforming::Reforming;
use crate::bench::warm_up::Span;
use crate::explain::cautions;
use crate::explain::discharge::{
    Found, LEAKAGE, NOT_COUNTED, REFORMING_WATCH, TO_DO, WARM_IS_A_GUESS, capacitor, no_bleeder,
    rail_capacitor,
};
use crate::parts::{StandBy, Supply, Work};
use crate::physics::discharge::warm::Course;
use crate::physics::discharge::{Chain, Kept, Wait};
use crate::physics::stand_by::{Endurance, Waiting, hot_switching_rating};

/// Name and version of the schema; a change that could break a reader raises the number.
const SCHEMA: &str = "sagline discharge 1";
/// Why a wait is not there.
const YEARS: &str = "it takes more than two years: nothing bleeds it";

/// The JSON text.
pub(in crate::app::terminal) fn print(path: &Path, work: &Work, found: Found<'_>) -> String {
    let supply = &work.supply;
    let run = found.run_down;
    let mut whole = Record::default();
    whole.put("schema", SCHEMA);
    whole.put("program", concat!("sagline ", env!("CARGO_PKG_VERSION")));
    whole.put("file", path.display().to_string());
    whole.put("cautions", json!(cautions::STANDING));
    whole.put("name", work.name.as_str());
    whole.put("before_you_touch", json!(TO_DO));
    whole.put("not_counted", NOT_COUNTED);
    let worst = &run.worst;
    whole.number("mains_volts", worst.mains_volts);
    whole.number("stored_joules", worst.kept.joules);
    let mut capacitors = of_chain(&worst.charged.bus, &|place| capacitor(place, supply));
    if let Some(rail) = &worst.charged.rail {
        let name = |place: usize| rail_capacitor(place, rail.stores.len());
        capacitors.extend(of_chain(rail, &name));
    }
    whole.put("capacitors", capacitors);
    whole.put("tubes_cold", of_wait(&worst.kept.bus));
    whole.put("capacitors_at_upper_tolerance", of_wait(&worst.larger.bus));
    match &worst.open {
        Some(open) => whole.put("bleeder_open", of_wait(&open.bus)),
        None => whole.null("bleeder_open", "there is no bleeder"),
    }
    match &worst.kept.rail {
        Some(rail) => whole.put("negative_rail", of_wait(rail)),
        None => whole.null("negative_rail", "there is none that gives voltage"),
    }
    let mut warm = of_course(&worst.warm);
    let [quick, slow] = worst.warm_to_touch;
    warm.number_or("seconds_to_60_volts_at_least", slow, YEARS);
    warm.number_or("seconds_to_60_volts_at_most", quick, YEARS);
    warm.put("caution", WARM_IS_A_GUESS);
    whole.put("tubes_warm", warm);
    match &run.from_point {
        Some(point) => {
            let mut record = Record::default();
            record.number("output_amps", point.connected.amps);
            record.number("output_volts", point.connected.volts);
            put_kept(&mut record, &point.kept);
            record.put("tubes_warm", of_course(&point.warm));
            whole.put("from_point", record);
        }
        None => whole.null("from_point", "the supply does not give this current"),
    }
    bleeder(&mut whole, &found);
    stand_by(&mut whole, supply, &found);
    let stacks = found.stacks.iter().map(|one| of_stack(one, supply));
    whole.put("stacks", stacks.collect::<Vec<_>>());
    whole.put("leakage", LEAKAGE);
    let reforming = found.reforming.iter();
    let reforming = reforming.map(|(place, one)| of_reforming(&capacitor(*place, supply), one));
    whole.put("reforming", reforming.collect::<Vec<_>>());
    whole.put("reforming_watch", json!(REFORMING_WATCH));
    let mut record = Record::default();
    put_span(&mut record, "bus", found.warm_up.rectifier);
    put_span(&mut record, "regulator", found.warm_up.regulator);
    record.number("bus_alone_seconds", found.warm_up.bus_alone_seconds);
    record.number("leave_stand_by_after_seconds", found.warm_up.leave_seconds);
    record.put("rectifier_preheats", found.warm_up.preheats);
    whole.put("warm_up", record);
    whole.put("curve", curve(&worst.warm));
    layout(&whole.into_map())
}

fn of_chain(chain: &Chain, name: &dyn Fn(usize) -> String) -> Vec<Value> {
    let of_each = chain.stores.iter().enumerate().map(|(place, store)| {
        let mut record = Record::default();
        record.put("capacitor", name(place));
        record.number("farads", store.farads);
        record.number("volts", store.volts);
        record.number("joules", store.joules());
        Value::from(record)
    });
    of_each.collect()
}

fn of_wait(wait: &Wait) -> Record {
    let mut record = Record::default();
    record.number("highest_volts", wait.volts);
    record.number_or("seconds_to_60_volts", wait.to_touch, YEARS);
    record.number_or("seconds_to_10_volts", wait.to_dead, YEARS);
    record
}

fn put_kept(record: &mut Record, kept: &Kept) {
    record.number("stored_joules", kept.joules);
    record.put("tubes_cold", of_wait(&kept.bus));
}

fn of_course(course: &Course) -> Record {
    let mut record = Record::default();
    let [touch, dead] = course.falls;
    record.number_or("seconds_to_60_volts", touch, YEARS);
    record.number_or("seconds_to_10_volts", dead, YEARS);
    record.number("cold_after_seconds", course.cold_from);
    record.number(
        "output_below_60_volts_after_seconds",
        course.output_to_touch,
    );
    record
}

/// Every few instants of the course.
fn curve(course: &Course) -> Vec<Value> {
    let every = course.moments.len().div_ceil(MOST_INSTANTS).max(1);
    let moments = course.moments.iter().step_by(every);
    let rows = moments.map(|moment| {
        let mut record = Record::default();
        record.number("seconds", moment.seconds);
        record.numbers("capacitor_volts", moment.capacitors.iter().copied());
        record.number("output_volts", moment.output);
        record.number("tube_amps", moment.tube_amps);
        Value::from(record)
    });
    rows.collect()
}

/// Instants of a curve that are printed at most.
const MOST_INSTANTS: usize = 200;

fn bleeder(whole: &mut Record, found: &Found<'_>) {
    match &found.bleeder {
        None => whole.null("bleeder", "none was asked for, as by --bleed-in 10s"),
        Some((_, Err(why))) => {
            whole.null("bleeder", &no_bleeder(*why));
            if let NoChoice::NotNeeded(seconds) = why {
                whole.number("seconds_without_bleeder", *seconds);
            }
        }
        Some((wanted, Ok(choice))) => {
            let mut record = Record::default();
            record.number("wanted_seconds", *wanted);
            record.number("ohms", choice.ohms);
            record.number("watts", choice.watts);
            record.number("amps", choice.amps);
            put_size(&mut record, choice.size);
            record.number("seconds_to_60_volts", choice.seconds);
            whole.put("bleeder", record);
        }
    }
}

fn put_size(record: &mut Record, size: Option<Size>) {
    const NONE: &str = "no common size stands that";
    record.number_or("rated_watts_each", size.map(|size| size.rated_watts), NONE);
    let in_series = size.map(|size| f64::from(size.in_series));
    record.number_or("resistors_in_series", in_series, NONE);
}

fn key(place: StandBy) -> &'static str {
    match place {
        StandBy::NoSwitch => "no_switch",
        StandBy::CentreTap => "centre_tap",
        StandBy::BeforeFilter => "before_filter",
        StandBy::AfterFilter => "after_filter",
        StandBy::Output => "output",
    }
}

fn stand_by(whole: &mut Record, supply: &Supply, found: &Found<'_>) {
    match supply.output.stand_by {
        Some(place) => whole.put("stand_by", key(place)),
        None => whole.null("stand_by", "where the switch sits is not stated"),
    }
    let of_each = |waiting: &Waiting| {
        let mut record = Record::default();
        record.put("place", key(waiting.place));
        record.numbers("capacitor_volts", waiting.capacitor_volts.iter().copied());
        record.numbers("worst_unit_volts", waiting.unit_volts.iter().copied());
        record.number_or(
            "closing_peak_amps",
            waiting.closing_amps,
            "it does not close on an empty first capacitor with the rectifier conducting",
        );
        let rated = hot_switching_rating(supply).map(|rated| rated.value.0);
        record.number_or(
            "allowed_closing_peak_amps",
            rated,
            "the hot-switching rating of the rectifier is not known",
        );
        Value::from(record)
    };
    let places = found.waiting.iter().map(of_each);
    whole.put("stand_by_places", places.collect::<Vec<_>>());
    whole.put(
        "nothing_connected",
        match found.endurance {
            Endurance::AnyTime => "any_time",
            Endurance::Briefly => "briefly",
            Endurance::Never => "never",
            Endurance::NotKnown => "not_known",
        },
    );
}

fn of_stack(one: &Shared, supply: &Supply) -> Value {
    let mut record = Record::default();
    record.put("capacitor", capacitor(one.place, supply));
    record.put("in_series", one.in_series);
    record.number("volts", one.volts);
    record.number("worst_unit_volts_by_tolerance", one.by_tolerance_volts);
    record.number_or("working_volts", one.working_volts, "they are not known");
    record.number("leakage_difference_amps", one.leakage_amps);
    record.number_or(
        "leakage_limit_amps",
        one.limit_amps,
        "the working volts are not known",
    );
    match &one.fitted {
        Some(fitted) => record.put("fitted", of_balanced(fitted)),
        None => record.null("fitted", "there are no balancing resistors"),
    }
    match &one.chosen {
        Some(chosen) => record.put("chosen", of_balanced(chosen)),
        None => record.null("chosen", "none is known to help"),
    }
    record.into()
}

fn of_balanced(of: &Balanced) -> Record {
    let mut record = Record::default();
    record.number("ohms", of.ohms);
    record.number("worst_unit_volts", of.worst_volts);
    record.number_or(
        "worst_unit_volts_at_leakage_limit",
        of.limit_volts,
        "the working volts are not known",
    );
    record.number("watts", of.watts);
    put_size(&mut record, of.size);
    record.number("time_constant_seconds", of.seconds);
    record
}

fn of_reforming(name: &str, of: &Reforming) -> Value {
    let mut record = Record::default();
    record.put("capacitor", name);
    record.number("ohms", of.ohms);
    record.number("watts", of.watts);
    put_size(&mut record, of.size);
    record.number("most_amps", of.most_amps);
    record.numbers("step_volts", of.steps.iter().map(|step| step.volts));
    record.numbers("step_seconds", of.steps.iter().map(|step| step.seconds));
    record.number("done_below_amps", of.done_amps);
    record.into()
}

fn put_span(record: &mut Record, name: &str, span: Span) {
    record.number(&format!("{name}_from_seconds"), span.from);
    record.number(&format!("{name}_to_seconds"), span.to);
}
