//! Switching on and fuses as JSON: `sagline inrush --json`.

use std::path::Path;

use serde_json::Value as Json;

use crate::app::terminal::numbers::record::{Record, layout};
use crate::bench::fuses::{Before, FuseJudged, Holds, Inrush, Pick, Protection};
use crate::bench::odds::Band;
use crate::explain::inrush::{CAUTIONS, caption, family, fault, value};
use crate::parts::{FuseKind, Work};
use crate::physics::switch_on::{CHECKPOINTS, Fault};

/// Name and version of the schema; a change that could break a reader raises the number.
const SCHEMA: &str = "sagline inrush 1";

/// The JSON text.
pub(in crate::app::terminal) fn print(path: &Path, work: &Work, found: &Inrush) -> String {
    let surges = &found.surges;
    let mut whole = Record::default();
    whole.put("schema", SCHEMA);
    whole.put("program", concat!("sagline ", env!("CARGO_PKG_VERSION")));
    whole.put("file", path.display().to_string());
    whole.put("cautions", CAUTIONS.map(Json::from).to_vec());
    whole.put("name", work.name.as_str());
    whole.put("samples", surges.drawn.len());
    whole.put("seed", surges.asked.seed);
    whole.put(
        "before",
        match surges.asked.before {
            Before::Cold => "cold",
            Before::Hot => "hot",
        },
    );
    core(&mut whole, found);
    band(&mut whole, "crest_amps", surges.crest());
    whole.number_or(
        "crest_amps_highest",
        surges.worst().map(|worst| worst.surge.crest_amps),
        "nothing was drawn",
    );
    band(
        &mut whole,
        "first_cycle_amps_squared_seconds",
        surges.first_cycle_heating(),
    );
    whole.put(
        "surges",
        rows(CHECKPOINTS.iter().copied().map(|seconds| {
            let mut row = Record::default();
            row.number("seconds", seconds);
            let all: Vec<f64> = surges
                .drawn
                .iter()
                .map(|one| surges.heating_at(one, seconds))
                .collect();
            band(&mut row, "amps_squared_seconds", Band::of(&all));
            row
        })),
    );
    settled(&mut whole, found);
    whole.put(
        "running",
        rows(found.running.iter().map(|one| {
            let mut row = Record::default();
            row.number("output_amps", one.output_amps);
            row.number("primary_rms_amps", one.rms_amps);
            row.number("primary_crest_amps", one.crest_amps);
            row.number("magnetising_rms_amps", one.magnetising_rms_amps);
            row
        })),
    );
    whole.number("most_primary_rms_amps", found.most_running_amps);
    whole.put(
        "faults",
        rows(found.faults.iter().map(|one| {
            let mut row = Record::default();
            row.put("fault", fault_key(one.fault));
            row.put("name", fault(one.fault));
            row.number_or(
                "primary_rms_amps",
                one.rms_amps,
                "the winding has no rating, or the bus gives way before",
            );
            row.number("must_open_within_seconds", one.fault.allowed_seconds());
            row
        })),
    );
    whole.put("fuses", rows(found.judged.iter().map(fuse)));
    whole.put("recommended", rows(found.picks.iter().map(picked)));
    match &found.fitted {
        Some(one) => whole.put("fitted", Json::from(fuse(one))),
        None => whole.null("fitted", "no fuse is stated in the line"),
    }
    whole.put(
        "hangs_on",
        rows(found.hangs_on.iter().map(|hang| {
            let mut row = Record::default();
            row.put("value", value(hang.value));
            let [low, high] = hang.crest_amps;
            row.number("worst_crest_amps_low", low);
            row.number("worst_crest_amps_high", high);
            row
        })),
    );
    layout(&whole.into_map())
}

/// How the current comes down after the closing.
fn settled(whole: &mut Record, found: &Inrush) {
    let settling = &found.surges.settling;
    whole.number("rectifier_conducts_after_seconds", settling.rectifier_from);
    whole.put(
        "settling",
        rows(
            [0.05, 0.1, 0.3, 1.0, 3.0, 10.0, 30.0]
                .into_iter()
                .map(|seconds| {
                    let mut row = Record::default();
                    row.number("seconds", seconds);
                    row.number("amps_squared_seconds", settling.heating_at(seconds));
                    row
                }),
        ),
    );
}

fn rows(all: impl Iterator<Item = Record>) -> Vec<Json> {
    all.map(Json::from).collect()
}

/// The primary side as it was reckoned with.
fn core(whole: &mut Record, found: &Inrush) {
    let ready = &found.ready;
    let side = &ready.side;
    whole.number("mains_volts", side.mains_volts);
    whole.number("mains_ohms", side.mains_ohms);
    whole.number("mains_henries", side.mains_henries);
    whole.number("primary_ohms", side.primary_ohms);
    whole.number("transformer_volt_amps", ready.volt_amps);
    whole.number("heater_watts", ready.heater_watts);
    whole.number(
        "core_saturates_at_volts",
        side.core.knee * side.angular_frequency / core::f64::consts::SQRT_2,
    );
    whole.number("primary_henries", side.core.henries);
    whole.number("saturated_henries", side.core.saturated_henries);
    whole.number("most_residual_share", side.most_residual);
    let names = ready.assumed.iter().map(|one| Json::from(value(*one)));
    whole.put("assumed", names.collect::<Vec<_>>());
}

fn band(record: &mut Record, key: &str, found: Option<Band>) {
    for (end, value) in [
        ("low", found.map(|band| band.low)),
        ("middle", found.map(|band| band.middle)),
        ("high", found.map(|band| band.high)),
    ] {
        record.number_or(&format!("{key}_{end}"), value, "nothing was drawn");
    }
}

fn fault_key(of: Fault) -> &'static str {
    match of {
        Fault::ShortedRectifier => "shorted_rectifier",
        Fault::ShortedBus => "shorted_bus",
        Fault::WindingOverload => "winding_overload",
    }
}

fn kind_key(kind: FuseKind) -> &'static str {
    match kind {
        FuseKind::QuickGlass => "quick_glass",
        FuseKind::QuickCeramic => "quick_ceramic",
        FuseKind::TimeLagGlass => "time_lag_glass",
        FuseKind::TimeLagCeramic => "time_lag_ceramic",
        FuseKind::UlFast => "ul_fast",
        FuseKind::UlSlow => "ul_slow",
    }
}

fn fuse(one: &FuseJudged) -> Record {
    let mut row = Record::default();
    row.put("kind", kind_key(one.kind));
    row.put("family", family(one.kind));
    row.put("mark", caption(one.kind, one.rating));
    row.number("rated_amps", one.rating);
    row.put("carries", one.carries);
    let (holds, share) = match one.holds {
        Holds::Always => ("always", 0.0),
        Holds::AllButTheWeakest => ("all_but_the_weakest", 0.0),
        Holds::Blows(share) => ("blows", share),
    };
    row.put("holds", holds);
    row.number("blows_share", share);
    row.number("surge_over_melting", one.worn);
    row.put("bears_it", one.bears_it());
    let [low, high] = one.melting;
    row.number("melting_amps_squared_seconds_low", low);
    row.number("melting_amps_squared_seconds_high", high);
    row.number("breaks_amps", one.breaking.amps);
    row.number("breaks_at_volts", one.breaking.volts);
    for (of, how) in &one.protects {
        let key = fault_key(*of);
        let (word, seconds) = match how {
            Protection::Always(seconds) => ("always", Some(*seconds)),
            Protection::ByLuck => ("by_luck", None),
            Protection::TooLarge => ("too_large", None),
            Protection::NotKnown => ("not_known", None),
        };
        row.put(&format!("{key}_opens"), word);
        row.number_or(
            &format!("{key}_opens_within_seconds"),
            seconds,
            "it does not open for sure in the time that is left",
        );
    }
    row
}

fn picked(pick: &Pick) -> Record {
    let mut row = fuse(&pick.fuse);
    row.put(
        "verdict",
        match pick.verdict {
            crate::bench::fuses::Verdict::HoldsAndProtects => "holds_and_protects",
            crate::bench::fuses::Verdict::HoldsAndOpensAtShorts => "holds_and_opens_at_shorts",
            crate::bench::fuses::Verdict::HoldsAlone => "holds_alone",
        },
    );
    row
}
