//! Why not here: the limit, the formula with the numbers put in, what is met first, and what would move it.

use crate::bench::holding::Holding;
use crate::bench::reach::{Met, Reach};
use crate::bench::sensitivity::{Axis, Outcome, Sensitivity, Shift};
use crate::bench::variation::Variation;
use crate::bench::working::Working;
use crate::explain::limits::whose::{capacitor, choke};
use crate::explain::{cautions, limits, number, regulation};
use crate::parts::{Connection, Ohms, SeriesElement, Supply};
use crate::physics::envelope::{Envelope, Point};
use crate::physics::limit::{Limit, Measure, Use, measure};
use crate::physics::operation::Case;
use crate::physics::regulator::zero::NotKnown;

/// A change and what it does, ready for two columns.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Moved {
    /// The change: `third 6080 section`.
    pub what: String,
    /// How far the boundary goes: `+38 mA`.
    pub by: String,
    /// True if it gives more room.
    pub gains: bool,
    /// What it breaks, or empty: `then over: rectifier peak`.
    pub breaks: String,
}

/// The formula of a limit with the numbers of a point put in:
/// `(bus 462 V − 120 V − 1.9 V) × 44 mA = 15 W; allowed 13 W`. Empty if the limit is not known.
pub fn formula(one_use: &Use, working: &Working, supply: &Supply, point: &Point) -> String {
    let Ok(judged) = &one_use.judged else {
        return String::new();
    };
    let volts = |v: f64| number::volts(v);
    let operation = &working.operation;
    let actual = number::measured(judged.actual, judged.measure);
    let allowed = number::measured(judged.allowed, judged.measure);
    let over_tube = format!(
        "(bus {} \u{2212} {}{})",
        volts(operation.bus.mean_volts),
        volts(point.volts),
        less(working.resistor_volts)
    );
    match one_use.limit {
        Limit::Dropout => format!(
            "output {} + least drop {} = {actual}; valley of the bus {allowed}",
            volts(point.volts),
            volts(operation.least_drop_volts.unwrap_or(0.0))
        ),
        Limit::SetRangeHigh | Limit::SetRangeLow => {
            format!("asked for {}; range ends at {allowed}", volts(point.volts))
        }
        Limit::PlateDissipation => format!(
            "{over_tube} × {} = {actual}; allowed {allowed}",
            number::amps(working.worst_amps)
        ),
        Limit::EnvelopeDissipation => format!(
            "{over_tube} × {} = {actual}; allowed {allowed}",
            number::amps(working.bulb_amps)
        ),
        Limit::PlateCurrent => plate_current(supply, working, point, (&actual, &allowed)),
        Limit::PlateVolts => format!(
            "crest of the bus {} \u{2212} {} = {actual}; allowed {allowed}",
            volts(operation.bus.crest_volts),
            volts(point.volts)
        ),
        Limit::RectifierPeakInverse => match supply.rectifier.connection {
            _ if supply.filter.input_capacitor.is_none()
                && supply.rectifier.connection == Connection::FullWaveCentreTap =>
            {
                format!(
                    "2 × crest of the winding {} = {actual}; allowed {allowed}",
                    volts(working.crest_volts)
                )
            }
            Connection::Bridge => format!("crest of the winding {actual}; allowed {allowed}"),
            _ => format!(
                "crest of the winding {} + capacitor {} = {actual}; allowed {allowed}",
                volts(working.crest_volts),
                volts(
                    working
                        .no_load
                        .operation
                        .capacitor_crest_volts
                        .first()
                        .copied()
                        .unwrap_or(0.0)
                )
            ),
        },
        Limit::CapacitorVolts(n) | Limit::CapacitorSurge(n) => {
            stack_volts(n, working, supply, (&actual, &allowed))
        }
        Limit::GridFloor => grid_floor(working, (&actual, &allowed)),
        Limit::ReferenceStrike(_) => {
            format!("before the gas tubes strike {actual}; to start at least {allowed}")
        }
        Limit::ReferenceLeast(_) => {
            format!("current of the gas tubes {actual}; at least {allowed}")
        }
        Limit::HeaterCathode
        | Limit::HeaterAboveCathode
        | Limit::ReferenceMost(_)
        | Limit::ControlPlateVolts
        | Limit::ControlPlateDissipation
        | Limit::ControlScreenVolts
        | Limit::ControlScreenDissipation
        | Limit::ControlHeaterCathode => {
            format!("from the regulator's circuit {actual}; allowed {allowed}")
        }
        Limit::RectifierDc
        | Limit::RectifierPeak
        | Limit::WindingRms
        | Limit::CapacitorRipple(_)
        | Limit::ChokeCurrent(_) => {
            format!("from the repeating waveform {actual}; allowed {allowed}")
        }
    }
}

/// What the control tube can give, step by step, against what the grids need.
fn grid_floor(working: &Working, (needed, given): (&str, &str)) -> String {
    let Some(grids) = &working.grids else {
        return format!("grids below cathodes: needed {needed}; control tube gives {given}");
    };
    format!(
        "cathodes {} \u{2212} control tube at its least {} = {given} at most; needed {needed} at {} and {} a tube",
        number::volts(grids.cathode_volts),
        number::volts(grids.bottom_volts),
        number::volts(grids.plate_volts),
        number::amps(grids.unit_amps)
    )
}

fn less(resistor_volts: f64) -> String {
    // Half a tenth of a volt would print as nothing worth reading.
    if resistor_volts < 0.05 {
        String::new()
    } else {
        format!(" \u{2212} {}", number::volts(resistor_volts))
    }
}

fn plate_current(
    supply: &Supply,
    working: &Working,
    point: &Point,
    (actual, allowed): (&str, &str),
) -> String {
    let stage = &supply.pass_stage;
    let amps = number::amps(point.amps);
    if stage.units <= 1 {
        return format!("all of {amps} through one; allowed {allowed}");
    }
    if stage.tube_spread.is_some() {
        return format!(
            "{amps} / {} and what the spread of the tubes adds = {actual}; allowed {allowed}",
            stage.units
        );
    }
    format!(
        "{amps} / {} × {:.2} for the unequal share = {actual}; allowed {allowed}",
        stage.units,
        1.0 + working.imbalance
    )
}

fn stack_volts(
    n: u8,
    working: &Working,
    supply: &Supply,
    (actual, allowed): (&str, &str),
) -> String {
    let place = usize::from(n);
    let whole = working
        .no_load
        .operation
        .capacitor_crest_volts
        .get(place)
        .copied()
        .unwrap_or(0.0);
    match supply.filter.stacks().nth(place) {
        Some(stack) if stack.in_series > 1 => {
            let how = if stack.balancing.is_some() {
                "kept equal"
            } else {
                "the worst share by tolerance"
            };
            format!(
                "{} over {} in series, {how} = {actual}; allowed {allowed}",
                number::volts(whole),
                stack.in_series
            )
        }
        _ => format!("{actual} without load; allowed {allowed}"),
    }
}

/// What is said where no limit lies in any direction.
pub const NOTHING_MET: &str =
    "Nothing further: the point is beyond every line, only less current leads back";

/// What is met first in each direction: `up: set range at 350 V`.
pub fn first_met(reach: &Reach, supply: &Supply) -> Vec<String> {
    let say = |way: &str, met: Option<Met>, text: fn(f64) -> String| {
        met.map(|(limit, at)| format!("{way}: {} at {}", limits::name(limit, supply), text(at)))
    };
    [
        say("Going up", reach.up, number::volts),
        say("Going down", reach.down, number::volts),
        say("To the right", reach.right, number::amps),
    ]
    .into_iter()
    .flatten()
    .collect()
}

/// What the shifts are measured along: `Current at which it is met, at 120 V`.
pub fn axis(found: &Sensitivity) -> String {
    let [amps, volts] = found.at;
    match found.axis {
        Axis::Amps => format!(
            "Met at {}, at {} of output",
            number::amps(found.from),
            number::volts(volts)
        ),
        Axis::Volts if found.from < 0.0 => format!("Not met above 0 V at {}", number::amps(amps)),
        Axis::Volts => format!(
            "Met at {}, at {} of output",
            number::volts(found.from),
            number::amps(amps)
        ),
        Axis::Room => format!(
            "Room here {}; changes add or take",
            number::measured(found.from, measure(found.limit))
        ),
    }
}

/// What moves a limit, the largest first; empty where nothing of what was tried does.
pub fn what_moves_it(found: &Sensitivity, supply: &Supply) -> Vec<Moved> {
    found
        .shifts
        .iter()
        .map(|shift| moved(shift, found, supply))
        .collect()
}

fn moved(shift: &Shift, found: &Sensitivity, supply: &Supply) -> Moved {
    let unit = match found.axis {
        Axis::Amps => Measure::Amps,
        Axis::Volts => Measure::Volts,
        Axis::Room => measure(found.limit),
    };
    let by = match shift.outcome {
        Outcome::NeverMet => "no longer met".to_owned(),
        Outcome::To(_) => {
            let text = number::measured(shift.by.abs(), unit);
            let sign = if shift.by < 0.0 { '\u{2212}' } else { '+' };
            format!("{sign}{text}")
        }
    };
    let breaks = match shift.breaks.as_slice() {
        [] => String::new(),
        list => {
            let names: Vec<String> = list.iter().map(|l| limits::name(*l, supply)).collect();
            format!("here then over: {}", names.join(", "))
        }
    };
    Moved {
        what: change(&shift.variation, supply),
        by,
        gains: shift.gains,
        breaks,
    }
}

/// A change in words: `one more 6080 section`, `C1 100 µF for 68 µF`.
pub fn change(variation: &Variation, supply: &Supply) -> String {
    let tube = &supply.pass_stage.tube;
    let unit = if tube.units > 1 {
        format!("{} section", tube.name)
    } else {
        tube.name.clone()
    };
    let resistor = |whose: &str, new: Ohms, old: Ohms| match (new.0 > 0.0, old.0 > 0.0) {
        (true, true) => format!("{whose} {new} for {old}"),
        (true, false) => format!("{whose} of {new} added"),
        _ => format!("{whose} left out, {old} now"),
    };
    match variation {
        Variation::LowerMains => "10 % lower mains".to_owned(),
        Variation::HigherMains => "10 % higher mains".to_owned(),
        Variation::MoreUnits => format!("another {unit}"),
        Variation::FewerUnits => format!("one {unit} fewer"),
        Variation::Capacitor(n, new) => {
            let name = match capacitor(*n, supply).as_str() {
                "bus" => "bus capacitor".to_owned(),
                other => other.to_owned(),
            };
            let old = supply.filter.stacks().nth(usize::from(*n));
            let each = if old.is_some_and(|s| s.in_series > 1 || s.strings > 1) {
                "units of "
            } else {
                ""
            };
            match old {
                Some(old) => format!("{name} {each}{new} for {}", old.unit),
                None => format!("{name} {each}{new}"),
            }
        }
        Variation::Choke(n, new) => match supply
            .filter
            .sections
            .get(usize::from(*n))
            .map(|s| &s.series)
        {
            Some(SeriesElement::Choke { inductance, .. }) => {
                let before = supply.filter.sections.iter().take(usize::from(*n));
                let place = before
                    .filter(|s| matches!(s.series, SeriesElement::Choke { .. }))
                    .count();
                let name = choke(u8::try_from(place).unwrap_or(u8::MAX), supply);
                format!("{name} {new} for {inductance}")
            }
            _ => format!("choke {new}"),
        },
        Variation::SeriesResistor(n, new) => match supply
            .filter
            .sections
            .get(usize::from(*n))
            .map(|s| &s.series)
        {
            Some(SeriesElement::Resistor(old)) => resistor("filter resistor", *new, *old),
            _ => format!("filter resistor {new}"),
        },
        Variation::Bleeder(new) => {
            resistor("bleeder", *new, supply.filter.bleeder.unwrap_or_default())
        }
        Variation::RectifierResistor(new) => {
            // A silicon diode has no plate.
            let whose = if supply.rectifier.kind.heater.is_some() {
                "rectifier plate resistors"
            } else {
                "rectifier series resistors"
            };
            resistor(whose, *new, supply.rectifier.plate_resistor)
        }
        Variation::CathodeResistor(new) => resistor(
            "cathode resistors",
            *new,
            supply.pass_stage.cathode_resistor,
        ),
        Variation::PassTube(new) => format!("{} for the {}", new.name, tube.name),
        Variation::Rectifier(new) => {
            format!("{} for the {}", new.name, supply.rectifier.kind.name)
        }
    }
}

/// What is said where nothing that was tried moves a limit.
pub fn nothing_moves_it(limit: Limit) -> &'static str {
    match limit {
        Limit::SetRangeHigh | Limit::SetRangeLow => "Only the voltage control's own range moves it",
        _ => "No change that was tried moves it",
    }
}

/// The caution that belongs to the point: what stands on the terminals, or on the bus.
pub fn caution(envelope: &Envelope, point: &Point) -> Option<String> {
    let bus = envelope
        .column(Case::Present)
        .and_then(|column| cautions::bus(column.no_load.operation.bus.crest_volts, None));
    bus.or_else(|| cautions::terminals(point.volts))
        .map(|finding| finding.sentence)
}

/// All that is said about a point.
#[derive(Debug, Clone, Copy)]
pub struct Answer<'a> {
    /// The supply.
    pub supply: &'a Supply,
    /// Its envelope.
    pub envelope: &'a Envelope,
    /// The point.
    pub point: &'a Point,
    /// What is met first.
    pub reach: &'a Reach,
    /// The figures in the case that the tightest limit is judged in; `None` where the bus collapses.
    pub working: Option<&'a Working>,
    /// What moves the tightest limit, if it was worked out.
    pub moves: Option<&'a Sensitivity>,
    /// How the output is held there, or why that is not known.
    pub holding: Option<&'a Result<Holding, NotKnown>>,
}

/// A point in plain text, for the terminal.
pub fn text(answer: Answer<'_>) -> String {
    let Answer {
        supply,
        envelope,
        point,
        reach,
        working,
        moves,
        holding,
    } = answer;
    let mut out = format!(
        "{}\nAt {} and {}\n\n{}\n",
        supply.name,
        number::volts(point.volts),
        number::amps(point.amps),
        limits::verdict(point, supply).sentence
    );
    // Where the bus collapses nothing else is judged, and what stands on it without load is beside the point.
    if let Some(tightest) = point.tightest().filter(|_| point.operation.is_some()) {
        line(&mut out, &limits::sentence(tightest, supply, point));
        if let Some(working) = working {
            line(&mut out, &formula(tightest, working, supply, point));
        }
        line(&mut out, &limits::how_judged(tightest).unwrap_or_default());
    }
    let other: Vec<&Use> = point
        .uses
        .iter()
        .skip(1)
        .filter(|u| u.ratio().is_some_and(|r| r > 1.0))
        .collect();
    if !other.is_empty() {
        out.push_str("\nAlso over\n");
        for one in other {
            line(
                &mut out,
                &format!("  {}", limits::sentence(one, supply, point)),
            );
        }
    }
    let met = first_met(reach, supply);
    out.push_str("\nFirst met from here\n");
    if met.is_empty() {
        line(&mut out, &format!("  {NOTHING_MET}"));
    }
    for met in met {
        line(&mut out, &format!("  {met}"));
    }
    if let Some(found) = moves {
        out.push_str(
            "
What moves ",
        );
        line(&mut out, &limits::name(found.limit, supply));
        line(&mut out, &format!("  {}", axis(found)));
        if found.shifts.is_empty() {
            line(&mut out, &format!("  {}", nothing_moves_it(found.limit)));
        }
        for one in what_moves_it(found, supply) {
            let breaks = if one.breaks.is_empty() {
                String::new()
            } else {
                format!("  ({})", one.breaks)
            };
            line(&mut out, &format!("  {:<52} {}{breaks}", one.what, one.by));
        }
    }
    if let Some(holding) = holding {
        held(&mut out, holding, supply);
    }
    if let Some(caution) = caution(envelope, point) {
        out.push('\n');
        line(&mut out, &caution);
    }
    for caution in cautions::regulator(supply) {
        line(&mut out, &caution.sentence);
    }
    line(&mut out, cautions::ESTIMATE);
    out
}

/// The figures of the loop, and what is to be said about it.
fn held(out: &mut String, holding: &Result<Holding, NotKnown>, supply: &Supply) {
    out.push_str("\nHow the output is held\n");
    let holding = match holding {
        Ok(holding) => holding,
        Err(why) => {
            line(out, &format!("  {}", regulation::not_known(why)));
            return;
        }
    };
    for figure in regulation::figures(holding) {
        line(out, &format!("  {:<52} {}", figure.what, figure.text));
    }
    for finding in regulation::findings(holding, supply) {
        line(out, &format!("  {}", finding.sentence));
    }
}

fn line(out: &mut String, text: &str) {
    if !text.is_empty() {
        out.push_str(text);
        out.push('\n');
    }
}

/// Why not here, or how much is left, for a place that is pointed at: the place with its verdict, and the tightest limit's
/// sentence. Two short lines.
pub fn pointed_at(point: &Point, supply: &Supply) -> [String; 2] {
    let place = format!(
        "{}, {}",
        number::volts(point.volts),
        number::amps(point.amps)
    );
    let verdict = limits::verdict(point, supply).sentence;
    let reason = point
        .tightest()
        .filter(|_| point.operation.is_some())
        .map_or_else(String::new, |one| limits::sentence(one, supply, point));
    [format!("{place}. {verdict}"), reason]
}
