//! What is asked of a text: read, checked, computed, and whether all that is said of it goes together.

use sagline::app::terminal::figures;
use sagline::parts::Work;
use sagline::parts::catalogue::Catalogue;
use sagline::parts::file::read_work_checked;
use sagline::physics::envelope::{Envelope, envelope};
use sagline::physics::{Failure, Model, Operation};
use serde_json::Value;

use crate::fuzz::make::Random;

/// What can be wrong.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub(super) enum Fault {
    Panic,
    Hangs,
    /// A figure that is no number, or infinite.
    NotFinite,
    /// Two figures that cannot both be true.
    Contradiction,
    /// More load, and a higher bus.
    Rises,
    /// A refusal without a place or words, or `numbers` that are no JSON.
    Unsaid,
}

impl Fault {
    pub(super) const ALL: [Self; 6] = [
        Self::Panic,
        Self::Hangs,
        Self::NotFinite,
        Self::Contradiction,
        Self::Rises,
        Self::Unsaid,
    ];

    pub(super) fn name(self) -> &'static str {
        match self {
            Self::Panic => "panics",
            Self::Hangs => "hangs",
            Self::NotFinite => "not finite",
            Self::Contradiction => "contradictions",
            Self::Rises => "rising with the load",
            Self::Unsaid => "unsaid",
        }
    }
}

/// What came of a text.
#[derive(Debug, Default)]
pub(super) struct Outcome {
    /// It is a supply with an envelope.
    pub(super) is_accepted: bool,
    /// It is a supply, but the parts give no envelope; that was said.
    pub(super) has_no_envelope: bool,
    /// What is wrong with the answer.
    pub(super) faults: Vec<(Fault, String)>,
}

impl Outcome {
    pub(super) fn at_fault(fault: Fault, words: String) -> Self {
        Self {
            faults: vec![(fault, words)],
            ..Self::default()
        }
    }

    fn add(&mut self, fault: Fault, words: String) {
        self.faults.push((fault, words));
    }

    fn ask(&mut self, is_so: impl FnOnce() -> bool, words: impl FnOnce() -> String) {
        if !is_so() {
            self.add(Fault::Contradiction, words());
        }
    }
}

/// Points of the plane that are judged for each supply.
const POINTS: usize = 3;

/// Reads a text as a supply and as a catalogue, and computes what it describes.
pub(super) fn examine(bytes: &[u8]) -> Outcome {
    let mut outcome = Outcome::default();
    let text = String::from_utf8_lossy(bytes);
    for fault in Catalogue::default().add(&text) {
        if fault.expected.is_empty() || fault.line.is_none() {
            outcome.add(Fault::Unsaid, fault.to_string());
        }
    }
    let lines = text.matches('\n').count() + 1;
    match read_work_checked(&text, Catalogue::built_in_ones()) {
        Err(faults) => {
            for fault in faults {
                let is_told = fault.line.is_some_and(|line| (1..=lines).contains(&line))
                    && ![&fault.field, &fault.found, &fault.expected]
                        .iter()
                        .any(|words| words.is_empty())
                    && fault.to_string().chars().count() < 1000;
                if !is_told {
                    outcome.add(Fault::Unsaid, fault.to_string());
                }
            }
        }
        Ok(work) => computed(&work, &mut Random::of(bytes.len() as u64), &mut outcome),
    }
    outcome
}

fn computed(work: &Work, random: &mut Random, outcome: &mut Outcome) {
    let solved = Model::of(&work.supply).and_then(|model| Ok((envelope(&model)?, model)));
    let (envelope, model) = match solved {
        Ok(solved) => solved,
        Err(Failure::Description(problems)) => {
            outcome.add(
                Fault::Contradiction,
                format!("accepted, then refused: {problems:?}"),
            );
            return;
        }
        Err(_) => {
            outcome.has_no_envelope = true;
            return;
        }
    };
    outcome.is_accepted = true;
    the_bus(&envelope, outcome);
    let at = the_outline(&model, &envelope, random, outcome);
    match figures(work, &at) {
        Err(words) => outcome.add(Fault::Contradiction, format!("no figures: {words}")),
        Ok(text) => match serde_json::from_str::<Value>(&text) {
            Err(error) => outcome.add(Fault::Unsaid, error.to_string()),
            Ok(all) => the_figures(&all, outcome),
        },
    }
}

/// Valley, mean and crest of the bus over the load.
fn the_bus(envelope: &Envelope, outcome: &mut Outcome) {
    for column in &envelope.columns {
        let mut last: Option<&Operation> = None;
        for operation in &column.operations {
            let bus = operation.bus;
            let (valley, mean, crest) = (bus.trough_volts, bus.mean_volts, bus.crest_volts);
            let place = || {
                format!(
                    "{:?}, {} A: valley {valley} V, mean {mean} V, crest {crest} V",
                    column.case, operation.output_amps
                )
            };
            if ![valley, mean, crest, operation.winding_rms_amps]
                .iter()
                .all(|v| v.is_finite())
            {
                outcome.add(Fault::NotFinite, place());
            }
            let grain = 1e-4 * crest.abs() + 1e-9;
            outcome.ask(|| valley <= mean + grain && mean <= crest + grain, place);
            if let Some(light) = last {
                let higher = |now: f64, before: f64| now > before + 2e-3 * before.abs() + 1e-6;
                if higher(mean, light.bus.mean_volts) || higher(valley, light.bus.trough_volts) {
                    let words = format!(
                        "{}; at {} A: valley {} V, mean {} V",
                        place(),
                        light.output_amps,
                        light.bus.trough_volts,
                        light.bus.mean_volts
                    );
                    outcome.add(Fault::Rises, words);
                }
            }
            last = Some(operation);
        }
    }
}

/// The outline against the points inside it and above it; gives points to judge (A, V).
fn the_outline(
    model: &Model,
    envelope: &Envelope,
    random: &mut Random,
    outcome: &mut Outcome,
) -> Vec<[f64; 2]> {
    let region = &envelope.region;
    for pair in region.windows(2) {
        outcome.ask(
            || pair[0][0] <= pair[1][0],
            || {
                format!(
                    "currents of the outline: {} A after {} A",
                    pair[1][0], pair[0][0]
                )
            },
        );
    }
    for [amps, low, high] in region {
        if ![amps, low, high].iter().all(|v| v.is_finite()) {
            outcome.add(
                Fault::NotFinite,
                format!("outline: {amps} A, {low} V, {high} V"),
            );
        }
        outcome.ask(
            || low <= high && *low >= 0.0,
            || format!("outline at {amps} A: {low} V to {high} V"),
        );
    }
    let mut at = Vec::new();
    for _ in 0..POINTS {
        if region.len() < 2 {
            break;
        }
        let k = random.below(region.len() - 1);
        let share = 0.1 + 0.8 * random.share();
        let between = |j: usize| region[k][j] + share * (region[k + 1][j] - region[k][j]);
        let (amps, low, high) = (between(0), between(1), between(2));
        let volts = low + (0.1 + 0.8 * random.share()) * (high - low);
        at.push([amps, volts]);
        inside(model, envelope, [amps, volts], outcome);
        above(
            model,
            envelope,
            [region[k][0], 1.01 * region[k][2] + 0.5],
            outcome,
        );
    }
    // A point for those that have no outline, and one that nothing reaches.
    at.push([0.01, 0.5 * model.supply.output.set_high.0]);
    at.push([100.0, 1e4]);
    at
}

fn inside(model: &Model, envelope: &Envelope, [amps, volts]: [f64; 2], outcome: &mut Outcome) {
    let point = match envelope.point(model, amps, volts) {
        Ok(point) => point,
        Err(failure) => {
            outcome.add(
                Fault::Contradiction,
                format!("inside the outline at {amps} A, {volts} V: {failure:?}"),
            );
            return;
        }
    };
    let worst = (point.uses.iter())
        .filter(|one| !one.limit.is_no_load())
        .filter_map(|one| Some((one.ratio()?, one.limit)))
        .max_by(|a, b| a.0.total_cmp(&b.0));
    let broken = !envelope.broken_everywhere.is_empty();
    outcome.ask(
        || point.is_inside() || broken,
        || format!("inside the outline at {amps} A, {volts} V, but outside: {worst:?}"),
    );
    if point.is_inside() {
        outcome.ask(
            || worst.is_none_or(|(used, _)| used <= 1.0),
            || format!("inside at {amps} A, {volts} V, but {worst:?}"),
        );
    }
}

fn above(model: &Model, envelope: &Envelope, [amps, volts]: [f64; 2], outcome: &mut Outcome) {
    if let Ok(point) = envelope.point(model, amps, volts) {
        outcome.ask(
            || !point.is_inside(),
            || format!("above the outline at {amps} A, {volts} V, but inside"),
        );
    }
}

/// What `numbers` prints.
fn the_figures(all: &Value, outcome: &mut Outcome) {
    not_finite(all, "", outcome);
    for point in all["points"].as_array().into_iter().flatten() {
        let shares = point["energy"]["shares"].as_array();
        let watts: f64 = shares
            .into_iter()
            .flatten()
            .filter_map(|share| share["watts"].as_f64())
            .sum();
        if let Some(mains) = point["energy"]["mains_watts"].as_f64() {
            outcome.ask(
                || (watts - mains).abs() <= 2e-3 * mains.abs() + 1e-6,
                || {
                    format!(
                        "{} A, {} V: {watts} W of {mains} W",
                        point["output_amps"], point["output_volts"]
                    )
                },
            );
        }
        if point["inside"] == true {
            for one in point["uses"].as_array().into_iter().flatten() {
                outcome.ask(
                    || one["use"].as_f64().is_none_or(|used| used <= 1.0),
                    || format!("inside, but {one}"),
                );
            }
        }
    }
    for row in all["currents"].as_array().into_iter().flatten() {
        let volts = &row["allowed_output_volts"];
        if let (Some(least), Some(highest)) = (volts["least"].as_f64(), volts["highest"].as_f64()) {
            outcome.ask(
                || least <= highest,
                || format!("allowed at {} A: {volts}", row["output_amps"]),
            );
        }
    }
}

/// What has no finite value is `null`, and says so.
fn not_finite(value: &Value, place: &str, outcome: &mut Outcome) {
    match value {
        Value::Object(map) => {
            for (key, inner) in map {
                let is_so = inner.as_str().is_some_and(|words| words.contains("finite"));
                if is_so && key.ends_with("_null_because") {
                    outcome.add(Fault::NotFinite, format!("{place}/{key}"));
                }
                not_finite(inner, &format!("{place}/{key}"), outcome);
            }
        }
        Value::Array(items) => {
            for (at, inner) in items.iter().enumerate() {
                not_finite(inner, &format!("{place}/{at}"), outcome);
            }
        }
        _ => {}
    }
}
