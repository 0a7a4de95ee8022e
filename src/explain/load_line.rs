//! A dummy load in words: how far it is good, what stops it.

use crate::bench::derating::{Body, Heat, bodies};
use crate::bench::load_line::{End, LoadLine, Stretch, bears_watts};
use crate::bench::preferred::Proposal;
use crate::explain::{
    Finding, Number, Severity, limits, networks, number, resistor, sentence_case,
};
use crate::parts::{Dummy, Stage, Supply};
use crate::physics::limit::Limit;

/// What the dummy is called: its own name, or its resistance and power: `10 kΩ 25 W`.
pub fn name(dummy: &Dummy) -> String {
    if !dummy.name.is_empty() {
        return dummy.name.clone();
    }
    match dummy.power {
        Some(power) => format!("{} {power}", dummy.resistance),
        None => dummy.resistance.to_string(),
    }
}

/// A cell of the table of loads: what is read first, and in few words what it is about.
#[derive(Debug, Clone, PartialEq, Eq, Default)]
pub struct Cell {
    /// What is read first: a value, as a rule.
    pub text: String,
    /// What it is about; empty if that goes without saying.
    pub about: String,
}

/// What stands in the row of a dummy load.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Row {
    /// How much it matters.
    pub severity: Severity,
    /// What the supply does on its line, whatever the ratings say: `412 V`, `dropout`.
    pub reaches: Cell,
    /// Where it has to stop, and for what: `350 V · 35 mA`, `output range`.
    pub stops: Cell,
    /// The watts there, and how hot that makes it: `12.3 W`, `scorching`.
    pub watts: Cell,
    /// How much of its own power that is: `49 %`, `of 25 W`.
    pub own: Cell,
    /// How hot it gets there; none where that is not known.
    pub heat: Option<String>,
    /// All of it in one sentence.
    pub sentence: String,
}

/// Stands in a cell that has nothing to say.
const NONE: &str = "–";

/// The resistor itself: what it is called, and what is printed on it.
pub fn resistor(dummy: &Dummy) -> Cell {
    let power = dummy.power.map(|power| power.to_string());
    if dummy.name.is_empty() {
        return Cell {
            text: power.unwrap_or_else(|| NONE.to_owned()),
            about: String::new(),
        };
    }
    Cell {
        text: dummy.name.clone(),
        about: power.unwrap_or_default(),
    }
}

/// The row of a dummy load in the table of loads.
pub fn row(line: &LoadLine, dummy: &Dummy, supply: &Supply) -> Row {
    let said = summary(line, dummy, supply);
    let reach = line.reach.last().filter(|_| !is_never_regulated(line));
    let reaches = reach.map(|reach| Cell {
        text: number::volts(reach.to[1]),
        about: brief_ending(reach.to_end, supply),
    });
    let stop = (line.stretches.last()).filter(|_| line.broken_everywhere.is_empty());
    let stops = stop.map_or_else(
        || nowhere_cell(line, supply),
        |stop| stop_cell(stop, supply),
    );
    let end = stop.or(reach);
    let celsius = line.strain(dummy).celsius;
    Row {
        severity: said.severity,
        reaches: reaches.unwrap_or_else(|| Cell {
            text: NONE.to_owned(),
            about: names(&line.broken_everywhere, supply),
        }),
        stops,
        watts: Cell {
            text: end.map_or_else(|| NONE.to_owned(), |end| number::watts(end.to_watts())),
            about: celsius
                .map_or("", |celsius| resistor::heat_word(Heat::of(celsius)))
                .to_owned(),
        },
        heat: celsius.map(resistor::heat),
        own: own_cell(line, dummy),
        sentence: said.sentence,
    }
}

/// The upper end of what is allowed; with its lower end, where that is not the origin.
fn stop_cell(stop: &Stretch, supply: &Supply) -> Cell {
    let from = match stop.from_end {
        End::Origin => String::new(),
        _ => format!("{} to ", number::volts(stop.from[1])),
    };
    Cell {
        text: format!(
            "{from}{} · {}",
            number::volts(stop.to[1]),
            number::amps(stop.to[0])
        ),
        about: brief_ending(stop.to_end, supply),
    }
}

/// What ends a line, in few words: the resistor's ratings stand in cells of their own.
fn brief_ending(end: End, supply: &Supply) -> String {
    match end {
        End::Origin => "the origin".to_owned(),
        End::Limit(limit) => limits::name(limit, supply),
        End::OwnPower => "own power".to_owned(),
        End::OwnVolts => "own volts".to_owned(),
        End::Collapse => "the bus collapses".to_owned(),
    }
}

/// In place of an end where nothing of the line is allowed: why.
fn nowhere_cell(line: &LoadLine, supply: &Supply) -> Cell {
    let about = if !line.broken_everywhere.is_empty() {
        names(&line.broken_everywhere, supply)
    } else if let (Some(_), Some((_, end))) = (line.supply_stretches.first(), line.own_end) {
        brief_ending(end, supply)
    } else if line.reach.is_empty() {
        "out of reach".to_owned()
    } else {
        "over a rating all the way".to_owned()
    };
    Cell {
        text: "nowhere".to_owned(),
        about,
    }
}

/// How much of its own power the dummy takes.
fn own_cell(line: &LoadLine, dummy: &Dummy) -> Cell {
    let Some(bears) = bears_watts(dummy) else {
        return Cell {
            text: "not known".to_owned(),
            about: String::new(),
        };
    };
    let allowed = format!("of {}", number::watts(bears));
    match line.own_share(dummy) {
        Some(share) => Cell {
            text: number::per_cent(share),
            about: allowed,
        },
        None => Cell {
            text: NONE.to_owned(),
            about: allowed,
        },
    }
}

/// Why this resistor is proposed for a point (A, V).
pub fn proposed(proposal: &Proposal, at: [f64; 2]) -> String {
    let [amps, volts] = at;
    let there = number::watts(proposal.watts_there);
    let bears = match proposal.power_watts {
        Some(_) => format!("it takes {there} there"),
        None => format!(
            "it would take {there} there, more than one common resistor bears: share it among several"
        ),
    };
    format!(
        "Adds the nearest of the E12 values to {} at {}; {bears}",
        number::volts(volts),
        number::amps(amps)
    )
}

/// How far the dummy is good: `Good to 350 V: 35 mA, 12.3 W; then output range`.
pub fn summary(line: &LoadLine, dummy: &Dummy, supply: &Supply) -> Finding {
    let reach = line.reach.last().filter(|_| !is_never_regulated(line));
    let sentence = match (line.stretches.as_slice(), reach) {
        (_, None) if !line.broken_everywhere.is_empty() => never(line, supply),
        (_, Some(reach)) if !line.broken_everywhere.is_empty() => {
            let names = names(&line.broken_everywhere, supply);
            format!(
                "{}; over its rating before anything is connected: {names}",
                reaches(reach, dummy, supply)
            )
        }
        ([], Some(reach)) if line.supply_stretches.is_empty() => format!(
            "{}; over a rating all the way",
            reaches(reach, dummy, supply)
        ),
        ([], _) => nowhere(line, dummy, supply),
        ([only], _) => stretch(only, dummy, supply),
        ([first, .., last], _) => format!(
            "{}; good again {} to {}",
            stretch(first, dummy, supply),
            from(last),
            number::volts(last.to[1])
        ),
    };
    // What lies beyond the last good place, where a rating ended it and not the supply or the resistor.
    let beyond = reach.zip(line.stretches.last()).filter(|(reach, good)| {
        line.broken_everywhere.is_empty() && reach.to[1] > good.to[1] * (1.0 + 1e-6)
    });
    let sentence = match beyond {
        Some((reach, _)) => {
            let end = ending(reach.to_end, dummy, supply);
            format!("{sentence}; reaches {} ({end})", number::volts(reach.to[1]))
        }
        None => sentence,
    };
    let sentence = match line.strain(dummy).beyond {
        Some((seconds, volts)) => format!(
            "{sentence}; beyond that, at {}, {}",
            number::volts(volts),
            resistor::how_long(seconds)
        ),
        None => sentence,
    };
    let severity = if line.stretches.is_empty() || !line.broken_everywhere.is_empty() {
        Severity::Over
    } else if stopped_by_itself(line) {
        Severity::Near
    } else {
        Severity::Fine
    };
    Finding {
        about: Stage::Dummies,
        severity,
        sentence,
        numbers: numbers(line),
    }
}

/// What there is to say of the dummy itself, a sentence each: what it bears where it is mounted and why, how hot it gets, how it is
/// wired, what is not known of it.
pub fn more_about(dummy: &Dummy, row: Option<&Row>) -> Vec<String> {
    let mut said = Vec::new();
    match &dummy.made_of {
        Some(made_of) => said.push(format!("Wired of {}", networks::wiring(made_of))),
        None if dummy.kind.is_some() => {
            let body = Body::from(dummy);
            said.extend(resistor::why_it_bears(&body).map(|why| sentence_case(&why)));
        }
        None => {}
    }
    said.extend(row.and_then(|row| row.heat.clone()));
    said.extend(not_known(dummy));
    said
}

/// What is not known of the dummy itself, and where to read it; `None` if its power is known.
pub fn not_known(dummy: &Dummy) -> Option<String> {
    (dummy.power.is_none() && dummy.made_of.is_none()).then(|| {
        format!(
            "The power of {} is not known, so only the supply stops it here: read it on the resistor",
            name(dummy)
        )
    })
}

/// What the supply does on the line at all: `Reaches 412 V (dropout): 41 mA, 17 W`.
fn reaches(reach: &Stretch, dummy: &Dummy, supply: &Supply) -> String {
    format!(
        "Reaches {} ({}): {}, {}",
        number::volts(reach.to[1]),
        ending(reach.to_end, dummy, supply),
        number::amps(reach.to[0]),
        number::watts(reach.to_watts())
    )
}

/// True where it does not regulate with any load, as with a reference that stays dark.
fn is_never_regulated(line: &LoadLine) -> bool {
    line.broken_everywhere
        .iter()
        .any(|limit| !limit.is_rating())
}

/// Nothing of the line is regulated: something is exceeded before the resistor is connected.
fn never(line: &LoadLine, supply: &Supply) -> String {
    let names = names(&line.broken_everywhere, supply);
    if is_never_regulated(line) {
        return format!("Not regulated with any load: {names}");
    }
    format!("Not good for any load: over its rating before anything is connected: {names}")
}

fn names(all: &[Limit], supply: &Supply) -> String {
    let names: Vec<String> = all.iter().map(|l| limits::name(*l, supply)).collect();
    names.join("; ")
}

fn stopped_by_itself(line: &LoadLine) -> bool {
    line.stretches
        .last()
        .is_some_and(|s| matches!(s.to_end, End::OwnPower | End::OwnVolts))
}

fn stretch(one: &Stretch, dummy: &Dummy, supply: &Supply) -> String {
    let reach = format!(
        "{}, {}",
        number::amps(one.to[0]),
        number::watts(one.to_watts())
    );
    let top = number::volts(one.to[1]);
    let end = ending(one.to_end, dummy, supply);
    match (one.from_end, one.to_end) {
        (End::Origin, End::OwnPower | End::OwnVolts) => {
            let mounted = as_mounted(one.to_end, dummy);
            format!(
                "{}{mounted} stops it at {top}: {reach}",
                sentence_case(&end)
            )
        }
        (End::Origin, _) => format!("Good to {top}: {reach}; then {end}"),
        (start, _) => format!(
            "Good {} ({}) to {top} ({end}): {reach}",
            number::volts(one.from[1]),
            ending(start, dummy, supply)
        ),
    }
}

fn from(one: &Stretch) -> String {
    format!("from {}", number::volts(one.from[1]))
}

fn ending(end: End, dummy: &Dummy, supply: &Supply) -> String {
    match end {
        End::Origin => "the origin".to_owned(),
        End::Limit(limit) => limits::name(limit, supply),
        End::OwnPower => own_power(dummy),
        End::OwnVolts => own_volts(dummy),
        End::Collapse => "the bus collapses".to_owned(),
    }
}

/// The one of the resistors of a load that gives way first, by the volts across the whole that it allows; none where the load is one
/// resistor.
fn weakest(dummy: &Dummy, most: fn(&Body) -> Option<f64>) -> Option<Body> {
    dummy.made_of.as_ref()?;
    let all = bodies(dummy).into_iter();
    all.filter_map(|(body, share)| Some((most(&body)? / share, body)))
        .min_by(|a, b| a.0.total_cmp(&b.0))
        .map(|(_, body)| body)
}

/// Its power as printed on it, and how much of that it may take where it is mounted.
fn own_power(dummy: &Dummy) -> String {
    let by_watts = |body: &Body| Some((body.for_long()?.watts * body.ohms).sqrt());
    if let Some(body) = weakest(dummy, by_watts) {
        let bears = resistor::bears(&body).unwrap_or_default();
        return format!("own {bears} of the {} in it", number::ohms(body.ohms));
    }
    match (dummy.power, dummy.derating, dummy.kind) {
        (Some(power), Some(derating), None) if derating.0 < 1.0 => {
            format!("{derating} of the resistor's own {power}")
        }
        (Some(_), ..) => {
            let bears = resistor::bears(&Body::from(dummy)).unwrap_or_default();
            format!("resistor's own {bears}")
        }
        (None, ..) => "resistor's own power".to_owned(),
    }
}

/// The volts that it bears.
fn own_volts(dummy: &Dummy) -> String {
    let whole = dummy.working_volts.map(|volts| volts.0);
    let part = weakest(dummy, Body::size_volts);
    match (whole, part, Body::from(dummy).size_volts()) {
        (None, Some(body), _) => {
            let volts = body.size_volts().map(number::volts).unwrap_or_default();
            format!("own {volts} of the {} in it", number::ohms(body.ohms))
        }
        (Some(volts), ..) | (None, None, Some(volts)) => {
            format!("resistor's own {}", number::volts(volts))
        }
        (None, None, None) => "resistor's own working volts".to_owned(),
    }
}

/// Where it is mounted, in brackets behind what it bears for that.
fn as_mounted(end: End, dummy: &Dummy) -> String {
    match (end, dummy.kind, &dummy.made_of) {
        (End::OwnPower, Some(kind), None) => {
            format!(" ({})", resistor::mounting(Some(kind), dummy.mounting))
        }
        _ => String::new(),
    }
}

fn nowhere(line: &LoadLine, dummy: &Dummy, supply: &Supply) -> String {
    match (line.supply_stretches.first(), line.own_end) {
        (None, _) => format!("No point of {} is allowed by the supply", name(dummy)),
        (Some(lowest), Some((point, end))) => format!(
            "{}{} stops it at {}, before the supply allows it at {}",
            sentence_case(&ending(end, dummy, supply)),
            as_mounted(end, dummy),
            number::volts(point[1]),
            number::volts(lowest.from[1])
        ),
        (Some(_), None) => format!("No point of {} is allowed", name(dummy)),
    }
}

fn numbers(line: &LoadLine) -> Vec<Number> {
    line.stretches.last().map_or_else(Vec::new, |last| {
        vec![
            Number {
                what: "highest volts".to_owned(),
                text: number::volts(last.to[1]),
            },
            Number {
                what: "current there".to_owned(),
                text: number::amps(last.to[0]),
            },
            Number {
                what: "power there".to_owned(),
                text: number::watts(last.to_watts()),
            },
        ]
    })
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::explain::samples::{dummy, laboratory_supply};
    use crate::parts::{Fraction, Watts};
    use crate::physics::limit::Limit;

    fn good_to(amps: f64, volts: f64, end: End) -> Stretch {
        Stretch {
            from: [0.0, 0.0],
            from_end: End::Origin,
            to: [amps, volts],
            to_end: end,
        }
    }

    fn line(stretches: Vec<Stretch>, own_end: Option<([f64; 2], End)>) -> LoadLine {
        LoadLine {
            ohms: 10e3,
            between_ohms: [9.5e3, 10.5e3],
            supply_stretches: stretches.clone(),
            reach: stretches.clone(),
            stretches,
            own_end,
            broken_everywhere: Vec::new(),
        }
    }

    #[test]
    fn the_words_of_every_ending() {
        let supply = laboratory_supply();
        let plain = dummy(10e3, 25.0);
        let small = dummy(2200.0, 10.0);
        let mut hot = small.clone();
        hot.derating = Some(Fraction(0.5));
        let set_range = End::Limit(Limit::SetRangeHigh);
        let between = Stretch {
            from: [0.09, 120.0],
            from_end: End::Limit(Limit::PlateDissipation),
            to: [0.12, 264.0],
            to_end: End::Limit(Limit::WindingRms),
        };
        let nowhere = LoadLine {
            stretches: Vec::new(),
            ..line(vec![between], Some(([0.0477, 104.9], End::OwnPower)))
        };
        let words = [
            summary(
                &line(vec![good_to(0.035, 350.0, set_range)], None),
                &plain,
                &supply,
            ),
            summary(
                &line(vec![good_to(0.0674, 148.3, End::OwnPower)], None),
                &small,
                &supply,
            ),
            summary(
                &line(vec![good_to(0.0477, 104.9, End::OwnPower)], None),
                &hot,
                &supply,
            ),
            summary(
                &line(vec![good_to(0.25, 310.0, End::Collapse)], None),
                &plain,
                &supply,
            ),
            summary(&line(vec![between], None), &plain, &supply),
            summary(
                &line(
                    vec![
                        good_to(0.02, 40.0, End::Limit(Limit::PlateDissipation)),
                        between,
                    ],
                    None,
                ),
                &plain,
                &supply,
            ),
            summary(&nowhere, &small, &supply),
            summary(&line(Vec::new(), None), &small, &supply),
            summary(
                &LoadLine {
                    broken_everywhere: vec![Limit::CapacitorVolts(1)],
                    ..line(vec![good_to(0.035, 350.0, set_range)], None)
                },
                &plain,
                &supply,
            ),
        ]
        .map(|f| format!("{:?}  {}", f.severity, f.sentence))
        .join("\n");
        insta::assert_snapshot!(words, @r"
        Fine  Good to 350 V: 35 mA, 12.3 W; then output range
        Near  Resistor's own 10 W stops it at 148 V: 67.4 mA, 10 W
        Near  50 % of the resistor's own 10 W stops it at 105 V: 47.7 mA, 5 W
        Fine  Good to 310 V: 250 mA, 77.5 W; then the bus collapses
        Fine  Good 120 V (plate dissipation) to 264 V (winding rms): 120 mA, 31.7 W
        Fine  Good to 40 V: 20 mA, 800 mW; then plate dissipation; good again from 120 V to 264 V
        Over  Resistor's own 10 W stops it at 105 V, before the supply allows it at 120 V
        Over  No point of 2.2 kΩ 10 W is allowed by the supply
        Over  Reaches 350 V (output range): 35 mA, 12.3 W; over its rating before anything is connected: bus volts, no load
        ");
    }

    #[test]
    fn a_row_says_reach_stop_watts_and_what_the_resistor_bears() {
        let supply = laboratory_supply();
        let small = dummy(2200.0, 10.0);
        let mut hot = small.clone();
        hot.derating = Some(Fraction(0.5));
        let mut unknown = small.clone();
        unknown.power = None;
        unknown.name = "sliding rheostat".to_owned();
        let dropout = |amps: f64, volts: f64| good_to(amps, volts, End::Limit(Limit::Dropout));
        let rows = [
            (
                line(vec![good_to(0.0477, 104.9, End::OwnPower)], None),
                &hot,
            ),
            (
                LoadLine {
                    reach: vec![dropout(0.12, 264.0)],
                    ..line(
                        vec![Stretch {
                            from: [0.04, 88.0],
                            from_end: End::Limit(Limit::PlateDissipation),
                            ..good_to(0.09, 198.0, End::Limit(Limit::WindingRms))
                        }],
                        None,
                    )
                },
                &unknown,
            ),
            (
                LoadLine {
                    stretches: Vec::new(),
                    supply_stretches: Vec::new(),
                    ..line(vec![dropout(0.12, 264.0)], None)
                },
                &small,
            ),
            (
                LoadLine {
                    broken_everywhere: vec![Limit::CapacitorVolts(1)],
                    ..line(vec![dropout(0.12, 264.0)], None)
                },
                &small,
            ),
            (line(Vec::new(), None), &small),
        ];
        let said = rows
            .map(|(line, dummy)| {
                let row = row(&line, dummy, &supply);
                let cell = |cell: &Cell| format!("{} ({})", cell.text, cell.about);
                let shown = resistor(dummy);
                format!(
                    "{} | {} | {} | {} | {}",
                    cell(&shown),
                    cell(&row.reaches),
                    cell(&row.stops),
                    cell(&row.watts),
                    cell(&row.own)
                )
            })
            .join("\n");
        insta::assert_snapshot!(said, @r"
        10 W () | 105 V (own power) | 105 V · 47.7 mA (own power) | 5 W () | 100.1 % (of 5 W)
        sliding rheostat () | 264 V (dropout) | 88 V to 198 V · 90 mA (winding rms) | 17.8 W () | not known ()
        10 W () | 264 V (dropout) | nowhere (over a rating all the way) | 31.7 W () | 317 % (of 10 W)
        10 W () | 264 V (dropout) | nowhere (bus volts, no load) | 31.7 W () | 317 % (of 10 W)
        10 W () | – () | nowhere (out of reach) | – () | – (of 10 W)
        ");
    }

    #[test]
    fn an_unknown_power_is_said() {
        let mut nameless = dummy(10e3, 25.0);
        assert_eq!(not_known(&nameless), None);
        assert_eq!(name(&nameless), "10 kΩ 25 W");
        nameless.power = None::<Watts>;
        insta::assert_snapshot!(not_known(&nameless).unwrap_or_default(), @"The power of 10 kΩ is not known, so only the supply stops it here: read it on the resistor");
    }
}
