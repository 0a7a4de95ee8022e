//! Limits in words: their short names, why a point is or is not allowed, and what is not known.

use crate::explain::{Finding, NEAR, Number, Severity, number, sentence_case};
use crate::parts::{
    Amps, CapacitorStack, Connection, Rating, RatingSystem, RectifierLaw, SeriesElement, Stage,
    Supply,
};
use crate::physics::envelope::Point;
use crate::physics::limit::{Judged, Limit, Use};
use crate::physics::operation::Case;

/// Short name for a label or a list: `plate dissipation`, `bus volts, no load`.
pub fn name(limit: Limit, supply: &Supply) -> String {
    let triode = supply.pass_stage.tube.triode_connected;
    match limit {
        Limit::Dropout => "dropout".to_owned(),
        Limit::SetRangeHigh => "set range".to_owned(),
        Limit::SetRangeLow => "set range, low end".to_owned(),
        Limit::PlateDissipation if triode => "plate and screen dissipation".to_owned(),
        Limit::PlateDissipation => "plate dissipation".to_owned(),
        Limit::EnvelopeDissipation => "dissipation of one bulb".to_owned(),
        Limit::PlateCurrent if triode => "cathode current".to_owned(),
        Limit::PlateCurrent => "plate current".to_owned(),
        Limit::PlateVolts => "plate volts".to_owned(),
        Limit::RectifierDc => "rectifier DC".to_owned(),
        Limit::RectifierPeak => "rectifier peak".to_owned(),
        Limit::RectifierPeakInverse => "peak inverse, no load".to_owned(),
        Limit::WindingRms => "winding rms".to_owned(),
        Limit::CapacitorRipple(n) => format!("ripple current, {}", capacitor(n, supply)),
        Limit::ChokeCurrent(n) => format!("{} current", choke(n, supply)),
        Limit::CapacitorVolts(n) => format!("{} volts, no load", capacitor(n, supply)),
        Limit::CapacitorSurge(n) => format!("{} surge volts, no load", capacitor(n, supply)),
    }
}

/// The allowed value and the part it belongs to, as a second line under the name: `13 W, worst 6080 section`.
/// Empty where there is nothing to add or the rating is not known.
pub fn part(limit: Limit, supply: &Supply) -> String {
    let tube = &supply.pass_stage.tube;
    let kind = &supply.rectifier.kind;
    let stack = |n: u8| supply.filter.stacks().nth(usize::from(n));
    let text = match limit {
        Limit::Dropout => Some(format!("{} at its least drop", tube.name)),
        Limit::SetRangeHigh => Some(number::volts(supply.output.set_high.0)),
        Limit::SetRangeLow => Some(number::volts(supply.output.set_low.0)),
        Limit::PlateDissipation => tube
            .plate_dissipation
            .as_ref()
            .map(|r| format!("{}, {}", number::watts(r.value.0), worst_unit(supply))),
        Limit::EnvelopeDissipation => tube
            .envelope_dissipation
            .as_ref()
            .map(|r| format!("{}, one {}", number::watts(r.value.0), tube.name)),
        Limit::PlateCurrent => tube
            .plate_current
            .as_ref()
            .map(|r| format!("{}, {}", number::amps(r.value.0), worst_unit(supply))),
        Limit::PlateVolts => tube
            .plate_volts
            .as_ref()
            .map(|r| format!("{}, {}", number::volts(r.value.0), tube.name)),
        Limit::RectifierDc => {
            rectifier_dc(supply).map(|r| format!("{}, {}", number::amps(r.value.0), kind.name))
        }
        Limit::RectifierPeak => kind
            .peak_current
            .as_ref()
            .map(|r| format!("{}, {}", number::amps(r.value.0), device(supply))),
        Limit::RectifierPeakInverse => kind
            .peak_inverse
            .as_ref()
            .map(|r| format!("{}, {}", number::volts(r.value.0), device(supply))),
        Limit::WindingRms => supply
            .transformer
            .winding_rating
            .as_ref()
            .map(|r| format!("{}, {}", number::amps(r.value.0), winding(supply))),
        Limit::CapacitorRipple(n) => stack(n).and_then(|s| {
            unit_rating(
                s,
                s.ripple_current.as_ref().map(|r| number::amps(r.value.0)),
            )
        }),
        Limit::CapacitorVolts(n) => stack(n).and_then(|s| {
            unit_rating(
                s,
                s.working_volts.as_ref().map(|r| number::volts(r.value.0)),
            )
        }),
        Limit::CapacitorSurge(n) => stack(n)
            .and_then(|s| unit_rating(s, s.surge_volts.as_ref().map(|r| number::volts(r.value.0)))),
        Limit::ChokeCurrent(n) => choke_rating(n, supply).map(|r| number::amps(r.value.0)),
    };
    text.unwrap_or_default()
}

/// Why the point is allowed by this limit, or why not, with its numbers.
pub fn sentence(one_use: &Use, supply: &Supply, point: &Point) -> String {
    match &one_use.judged {
        Ok(judged) => judged_sentence(one_use.limit, judged, supply, point),
        Err(_) => not_known(one_use, supply),
    }
}

/// A limit at a point as a finding: its sentence, how near it is, its numbers.
pub fn finding(one_use: &Use, supply: &Supply, point: &Point) -> Finding {
    let numbers = match &one_use.judged {
        Ok(judged) => vec![
            Number {
                what: name(one_use.limit, supply),
                text: number::of_allowed(judged),
            },
            Number {
                what: "used".to_owned(),
                text: number::per_cent(judged.ratio),
            },
        ],
        Err(_) => Vec::new(),
    };
    Finding {
        about: one_use.limit.stage(),
        severity: one_use.ratio().map_or(Severity::Remark, Severity::of_ratio),
        sentence: sentence(one_use, supply, point),
        numbers,
    }
}

/// At which mains and by which rating system it was judged:
/// `Design-centre rating, judged at 120 V, nominal mains`. `None` for what is not known.
pub fn how_judged(one_use: &Use) -> Option<String> {
    let judged = one_use.judged.as_ref().ok()?;
    let place = judged_at(judged);
    Some(match one_use.system {
        Some(system) => format!("{} rating, judged {place}", system_name(system)),
        None => format!("Judged {place}"),
    })
}

/// The name of a rating system, with a capital.
pub fn system_name(system: RatingSystem) -> &'static str {
    match system {
        RatingSystem::DesignCentre => "Design-centre",
        RatingSystem::DesignMaximum => "Design-maximum",
        RatingSystem::AbsoluteMaximum => "Absolute-maximum",
    }
}

/// What is missing to judge a limit, and where to read it. Empty if the use is known.
pub fn not_known(one_use: &Use, supply: &Supply) -> String {
    let Err(needs) = one_use.judged else {
        return String::new();
    };
    let tube = &supply.pass_stage.tube.name;
    let kind = &supply.rectifier.kind.name;
    let sheet = |what: &str, of: &str| {
        // "Volts" are many in the trade's mouth, a current or a power is one.
        let (is, it) = if what.ends_with("volts") {
            ("are", "them")
        } else {
            ("is", "it")
        };
        format!("The {what} of the {of} {is} not known: read {it} in the maker's data sheet")
    };
    match one_use.limit {
        Limit::PlateDissipation => sheet("highest plate dissipation", tube),
        Limit::EnvelopeDissipation => sheet("highest dissipation of one bulb", tube),
        Limit::PlateCurrent => sheet("highest cathode current", tube),
        Limit::PlateVolts => sheet("highest plate volts", tube),
        Limit::RectifierDc => sheet("highest DC output", kind),
        Limit::RectifierPeak => sheet("highest peak current", kind),
        Limit::RectifierPeakInverse => sheet("highest peak inverse volts", kind),
        Limit::WindingRms => "The rms current rating of the high-voltage winding is not known: \
             read it on the transformer's label or from its maker"
            .to_owned(),
        Limit::CapacitorRipple(n) => format!(
            "The ripple current rating of {} is not known: read it in the capacitor's data sheet",
            capacitor_long(n, supply)
        ),
        Limit::CapacitorVolts(n) => format!(
            "The working volts of {} are not known: read them on the capacitor",
            capacitor_long(n, supply)
        ),
        Limit::CapacitorSurge(n) => format!(
            "The surge volts of {} are not known: read them on the capacitor or in its data sheet",
            capacitor_long(n, supply)
        ),
        Limit::ChokeCurrent(n) => format!(
            "The current rating of the {} is not known: read it on the choke's label",
            choke(n, supply)
        ),
        Limit::Dropout | Limit::SetRangeHigh | Limit::SetRangeLow => format!(
            "{} cannot be judged: {needs} is not known",
            sentence_case(&name(one_use.limit, supply))
        ),
    }
}

/// Is the point allowed, how much is left, and what is met first?
/// `Inside, 18 % left; first met: set range` or `Outside: plate dissipation 126 %`.
pub fn verdict(point: &Point, supply: &Supply) -> Finding {
    let tightest = point.tightest();
    let ratio = tightest.and_then(Use::ratio);
    let severity = match (&point.operation, ratio) {
        (None, _) => Severity::Over,
        (_, Some(ratio)) => Severity::of_ratio(ratio),
        (_, None) => Severity::Remark,
    };
    let sentence = match (tightest, ratio) {
        _ if point.operation.is_none() => format!(
            "Outside: the supply cannot give {}, the bus collapses",
            number::amps(point.amps)
        ),
        (Some(one_use), Some(ratio)) if ratio > 1.0 => outside(one_use, point, supply, ratio),
        (Some(one_use), Some(ratio)) => {
            // A no-load limit is as near everywhere: one does not meet it by moving the point.
            let met = if one_use.limit.is_no_load() {
                "tightest"
            } else {
                "first met"
            };
            format!(
                "Inside, {}; {met}: {}",
                number::left(1.0 - ratio),
                name(one_use.limit, supply)
            )
        }
        _ => "No limit is known here: fill in the ratings of the parts".to_owned(),
    };
    Finding {
        about: tightest.map_or(Stage::Output, |u| u.limit.stage()),
        severity,
        sentence,
        numbers: tightest
            .and_then(|u| u.judged.as_ref().ok().map(|j| (u.limit, j)))
            .map(|(limit, judged)| Number {
                what: name(limit, supply),
                text: number::of_allowed(judged),
            })
            .into_iter()
            .collect(),
    }
}

fn outside(one_use: &Use, point: &Point, supply: &Supply, ratio: f64) -> String {
    let others = point
        .uses
        .iter()
        .filter(|u| u.ratio().is_some_and(|r| r > 1.0))
        .count()
        .saturating_sub(1);
    let tail = match others {
        0 => String::new(),
        n => format!(", and {n} more"),
    };
    format!(
        "Outside: {} {}{tail}",
        name(one_use.limit, supply),
        number::per_cent(ratio)
    )
}

fn judged_sentence(limit: Limit, judged: &Judged, supply: &Supply, point: &Point) -> String {
    let actual = number::measured(judged.actual, judged.measure);
    let allowed = number::measured(judged.allowed, judged.measure);
    let stage = &supply.pass_stage;
    // "would" for what must not be done, "does" for what may.
    let over = judged.ratio > 1.0;
    let say = |inside: &'static str, outside: &'static str| if over { outside } else { inside };
    match limit {
        Limit::Dropout => dropout_sentence(judged, point),
        Limit::SetRangeHigh => format!(
            "The control can ask for {allowed} at most; this point is at {}",
            number::volts(point.volts)
        ),
        Limit::SetRangeLow => format!(
            "The control can ask for {} at least; this point is at {}",
            number::volts(supply.output.set_low.0),
            number::volts(point.volts)
        ),
        Limit::PlateDissipation => format!(
            "{} {} {actual}; it may burn {allowed}",
            sentence_case(&the_worst_unit(supply)),
            say("burns", "would burn")
        ),
        Limit::EnvelopeDissipation => format!(
            "All sections of one {} together {} {actual}; they may burn {allowed}",
            stage.tube.name,
            say("burn", "would burn")
        ),
        Limit::PlateCurrent => format!(
            "{} {} {actual}; it may carry {allowed}",
            sentence_case(&the_worst_unit(supply)),
            say("carries", "would carry")
        ),
        Limit::PlateVolts => format!(
            "{} between plate and cathode of the {}; {allowed} is allowed",
            if over {
                format!("There would be {actual}")
            } else {
                format!("There are {actual}")
            },
            stage.tube.name
        ),
        Limit::WindingRms => format!(
            "The {} {} {actual} rms; it may carry {allowed}",
            winding(supply),
            say("carries", "would carry")
        ),
        Limit::ChokeCurrent(n) => format!(
            "The {} {} {actual}; it may carry {allowed}",
            choke(n, supply),
            say("carries", "would carry")
        ),
        Limit::RectifierDc | Limit::RectifierPeak | Limit::RectifierPeakInverse => {
            rectifier_sentence(limit, judged, supply)
        }
        Limit::CapacitorRipple(n) | Limit::CapacitorVolts(n) | Limit::CapacitorSurge(n) => {
            capacitor_sentence(limit, n, judged, supply)
        }
    }
}

/// A sentence about dropout. Its limit is where the valley of the ripple leaves the least drop.
fn dropout_sentence(judged: &Judged, point: &Point) -> String {
    let top = number::volts(judged.allowed);
    let here = number::volts(point.volts);
    let amps = number::amps(point.amps);
    let mains = number::volts(judged.mains_volts);
    if judged.allowed <= 0.0 {
        format!("At {amps} and {mains} mains the bus is too low to be regulated at all")
    } else if judged.ratio > 1.0 {
        format!(
            "At {amps} and {mains} mains the valley of the ripple is regulated up to {top} only; \
             at {here} it would come through"
        )
    } else {
        format!(
            "At {amps} and {mains} mains the valley of the ripple is regulated up to {top}; \
             this point is at {here}"
        )
    }
}

fn rectifier_sentence(limit: Limit, judged: &Judged, supply: &Supply) -> String {
    let actual = number::measured(judged.actual, judged.measure);
    let allowed = number::measured(judged.allowed, judged.measure);
    let would = judged.ratio > 1.0;
    let device = device(supply);
    let kind = &supply.rectifier.kind.name;
    match limit {
        Limit::RectifierDc => format!(
            "The {kind} {} {actual} DC; it may give {allowed}",
            if would { "would give" } else { "gives" }
        ),
        Limit::RectifierPeak => format!(
            "The current of {device} {} {actual} at its peak; {allowed} is allowed",
            if would { "would reach" } else { "reaches" }
        ),
        _ => format!(
            "With no load at {} mains {device} sees {actual} of inverse volts; it may stand {allowed}",
            number::volts(judged.mains_volts)
        ),
    }
}

fn capacitor_sentence(limit: Limit, n: u8, judged: &Judged, supply: &Supply) -> String {
    let actual = number::measured(judged.actual, judged.measure);
    let allowed = number::measured(judged.allowed, judged.measure);
    let would = judged.ratio > 1.0;
    let whom = match supply.filter.stacks().nth(usize::from(n)) {
        Some(stack) if stack.in_series > 1 && !matches!(limit, Limit::CapacitorRipple(_)) => {
            format!(
                "the worst of {} in series, {},",
                stack.in_series,
                capacitor_long(n, supply)
            )
        }
        _ => capacitor_long(n, supply),
    };
    match limit {
        Limit::CapacitorRipple(_) => format!(
            "{} {} {actual} of ripple current; {allowed} is allowed",
            sentence_case(&whom),
            if would { "would carry" } else { "carries" }
        ),
        Limit::CapacitorVolts(_) => format!(
            "With no load at {} mains {whom} stands at {actual}; it is made for {allowed}",
            number::volts(judged.mains_volts)
        ),
        _ => format!(
            "With no load at {} mains {whom} stands at {actual}; its surge volts are {allowed}",
            number::volts(judged.mains_volts)
        ),
    }
}

/// The filter with nothing on the terminals, said once for the band at the top of the plot: the tightest of
/// its no-load limits. `None` if no working or surge volts are known.
pub fn filter_stress(uses: &[Use], supply: &Supply) -> Option<Finding> {
    let (one_use, judged) = uses
        .iter()
        .filter(|u| matches!(u.limit, Limit::CapacitorVolts(_) | Limit::CapacitorSurge(_)))
        .filter_map(|u| u.judged.as_ref().ok().map(|judged| (u, judged)))
        .max_by(|a, b| a.1.ratio.total_cmp(&b.1.ratio))?;
    let (Limit::CapacitorVolts(n) | Limit::CapacitorSurge(n)) = one_use.limit else {
        return None;
    };
    let severity = Severity::of_ratio(judged.ratio);
    let tail = match severity {
        Severity::Over => "; over its rating before anything is connected".to_owned(),
        Severity::Near => format!("; in the last {} of it", number::per_cent(1.0 - NEAR)),
        _ => String::new(),
    };
    Some(Finding {
        about: one_use.limit.stage(),
        severity,
        sentence: format!(
            "{}{tail}",
            capacitor_sentence(one_use.limit, n, judged, supply)
        ),
        numbers: vec![Number {
            what: name(one_use.limit, supply),
            text: number::of_allowed(judged),
        }],
    })
}

fn judged_at(judged: &Judged) -> String {
    let volts = number::volts(judged.mains_volts);
    match judged.case {
        Case::Low => format!("at {volts}, low mains"),
        Case::Present => format!("at {volts}, the mains now"),
        Case::High => format!("at {volts}, high mains"),
        Case::Nominal => format!("at {volts}, nominal mains"),
        Case::LowLeast => format!("at {volts}, low mains, every capacitor at its least"),
        Case::LowMost => format!("at {volts}, low mains, every capacitor at its most"),
        Case::HighLeast => format!("at {volts}, high mains, every capacitor at its least"),
        Case::HighMost => format!("at {volts}, high mains, every capacitor at its most"),
    }
}

/// `C2`, or `bus` for the last one, which is the bus.
fn capacitor(n: u8, supply: &Supply) -> String {
    if usize::from(n) + 1 == supply.filter.stacks().count() {
        "bus".to_owned()
    } else {
        format!("C{}", u32::from(n) + 1)
    }
}

/// The capacitor inside a sentence: `capacitor C1`, `the bus capacitor`.
fn capacitor_long(n: u8, supply: &Supply) -> String {
    match capacitor(n, supply).as_str() {
        "bus" => "the bus capacitor".to_owned(),
        other => format!("capacitor {other}"),
    }
}

fn unit_rating(stack: &CapacitorStack, rating: Option<String>) -> Option<String> {
    let text = rating?;
    Some(match (stack.in_series, stack.strings) {
        (0 | 1, 0 | 1) => text,
        (0 | 1, strings) => format!("{text}, each of {strings} in parallel"),
        (in_series, _) => format!("{text}, each of {in_series} in series"),
    })
}

/// `choke`, or `choke 2` where there are several.
fn choke(n: u8, supply: &Supply) -> String {
    let chokes = supply
        .filter
        .sections
        .iter()
        .filter(|s| matches!(s.series, SeriesElement::Choke { .. }))
        .count();
    if chokes > 1 {
        format!("choke {}", u32::from(n) + 1)
    } else {
        "choke".to_owned()
    }
}

fn choke_rating(n: u8, supply: &Supply) -> Option<&Rating<Amps>> {
    supply
        .filter
        .sections
        .iter()
        .filter_map(|s| match &s.series {
            SeriesElement::Choke { rating, .. } => Some(rating),
            SeriesElement::Resistor(_) => None,
        })
        .nth(usize::from(n))
        .and_then(Option::as_ref)
}

fn rectifier_dc(supply: &Supply) -> Option<&Rating<Amps>> {
    let kind = &supply.rectifier.kind;
    if supply.filter.input_capacitor.is_none() {
        kind.dc_current_choke_input
            .as_ref()
            .or(kind.dc_current.as_ref())
    } else {
        kind.dc_current.as_ref()
    }
}

/// What one device of the rectifier is called: a tube has plates, silicon has diodes.
fn device(supply: &Supply) -> String {
    let kind = &supply.rectifier.kind;
    match kind.law {
        RectifierLaw::Silicon { .. } => format!("each {} diode", kind.name),
        _ if kind.plates > 1 => format!("each {} plate", kind.name),
        _ => format!("each {}", kind.name),
    }
}

fn winding(supply: &Supply) -> &'static str {
    match supply.rectifier.connection {
        Connection::FullWaveCentreTap => "high-voltage half-winding",
        Connection::Bridge | Connection::HalfWave => "high-voltage winding",
    }
}

/// `worst 6080 section`, `each 6080 section` without imbalance, `6V6-GT` where there is only one.
fn worst_unit(supply: &Supply) -> String {
    let stage = &supply.pass_stage;
    let unit = if stage.tube.units > 1 {
        format!("{} section", stage.tube.name)
    } else {
        stage.tube.name.clone()
    };
    match stage.units {
        0 | 1 => unit,
        _ if stage.imbalance.0 > 0.0 => format!("worst {unit}"),
        _ => format!("each {unit}"),
    }
}

fn the_worst_unit(supply: &Supply) -> String {
    let unit = worst_unit(supply);
    if unit.starts_with("each ") {
        unit
    } else {
        format!("the {unit}")
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::explain::samples::{known, laboratory_supply, point};
    use crate::physics::limit::Measure;

    const ALL: [Limit; 18] = [
        Limit::Dropout,
        Limit::SetRangeHigh,
        Limit::SetRangeLow,
        Limit::PlateDissipation,
        Limit::EnvelopeDissipation,
        Limit::PlateCurrent,
        Limit::PlateVolts,
        Limit::RectifierDc,
        Limit::RectifierPeak,
        Limit::RectifierPeakInverse,
        Limit::WindingRms,
        Limit::CapacitorRipple(0),
        Limit::CapacitorRipple(1),
        Limit::ChokeCurrent(0),
        Limit::CapacitorVolts(0),
        Limit::CapacitorVolts(1),
        Limit::CapacitorSurge(0),
        Limit::CapacitorSurge(1),
    ];

    fn measure(limit: Limit) -> (Measure, f64) {
        match limit {
            Limit::PlateDissipation | Limit::EnvelopeDissipation => (Measure::Watts, 13.0),
            Limit::PlateCurrent
            | Limit::RectifierDc
            | Limit::RectifierPeak
            | Limit::WindingRms
            | Limit::CapacitorRipple(_)
            | Limit::ChokeCurrent(_) => (Measure::Amps, 0.2),
            _ => (Measure::Volts, 300.0),
        }
    }

    #[test]
    fn names_and_parts() {
        let supply = laboratory_supply();
        let words = ALL
            .map(|limit| {
                format!("{} | {}", name(limit, &supply), part(limit, &supply))
                    .trim()
                    .to_owned()
            })
            .join("\n");
        insta::assert_snapshot!(words, @r"
        dropout | 6080 at its least drop
        set range | 350 V
        set range, low end | 0 V
        plate dissipation | 13 W, worst 6080 section
        dissipation of one bulb |
        plate current | 125 mA, worst 6080 section
        plate volts | 250 V, 6080
        rectifier DC | 275 mA, 5U4-GB
        rectifier peak | 1 A, each 5U4-GB plate
        peak inverse, no load | 1.55 kV, each 5U4-GB plate
        winding rms | 183 mA, high-voltage half-winding
        ripple current, C1 |
        ripple current, bus |
        choke current |
        C1 volts, no load | 300 V
        bus volts, no load | 300 V, each of 2 in series
        C1 surge volts, no load |
        bus surge volts, no load |
        ");
    }

    #[test]
    fn a_triode_connected_beam_tube_has_a_screen_to_burn() {
        let mut supply = laboratory_supply();
        supply.pass_stage.tube.name = "6V6-GT".to_owned();
        supply.pass_stage.tube.units = 1;
        supply.pass_stage.tube.triode_connected = true;
        supply.pass_stage.imbalance.0 = 0.0;
        assert_eq!(
            name(Limit::PlateDissipation, &supply),
            "plate and screen dissipation"
        );
        assert_eq!(part(Limit::PlateDissipation, &supply), "13 W, each 6V6-GT");
        supply.pass_stage.units = 1;
        assert_eq!(part(Limit::PlateDissipation, &supply), "13 W, 6V6-GT");
    }

    #[test]
    fn why_it_is_allowed() {
        let supply = laboratory_supply();
        let here = point(0.1, 200.0, Vec::new());
        let words = ALL
            .map(|limit| {
                let (measure, allowed) = measure(limit);
                sentence(
                    &known(limit, 0.62 * allowed, allowed, measure),
                    &supply,
                    &here,
                )
            })
            .join("\n");
        insta::assert_snapshot!(words, @r"
        At 100 mA and 120 V mains the valley of the ripple is regulated up to 300 V; this point is at 200 V
        The control can ask for 300 V at most; this point is at 200 V
        The control can ask for 0 V at least; this point is at 200 V
        The worst 6080 section burns 8.06 W; it may burn 13 W
        All sections of one 6080 together burn 8.06 W; they may burn 13 W
        The worst 6080 section carries 124 mA; it may carry 200 mA
        There are 186 V between plate and cathode of the 6080; 300 V is allowed
        The 5U4-GB gives 124 mA DC; it may give 200 mA
        The current of each 5U4-GB plate reaches 124 mA at its peak; 200 mA is allowed
        With no load at 126 V mains each 5U4-GB plate sees 186 V of inverse volts; it may stand 300 V
        The high-voltage half-winding carries 124 mA rms; it may carry 200 mA
        Capacitor C1 carries 124 mA of ripple current; 200 mA is allowed
        The bus capacitor carries 124 mA of ripple current; 200 mA is allowed
        The choke carries 124 mA; it may carry 200 mA
        With no load at 126 V mains capacitor C1 stands at 186 V; it is made for 300 V
        With no load at 126 V mains the worst of 2 in series, the bus capacitor, stands at 186 V; it is made for 300 V
        With no load at 126 V mains capacitor C1 stands at 186 V; its surge volts are 300 V
        With no load at 126 V mains the worst of 2 in series, the bus capacitor, stands at 186 V; its surge volts are 300 V
        ");
    }

    #[test]
    fn why_it_is_not_allowed() {
        let supply = laboratory_supply();
        let here = point(0.1, 200.0, Vec::new());
        let words = ALL
            .map(|limit| {
                let (measure, allowed) = measure(limit);
                sentence(
                    &known(limit, 1.26 * allowed, allowed, measure),
                    &supply,
                    &here,
                )
            })
            .join("\n");
        insta::assert_snapshot!(words, @r"
        At 100 mA and 120 V mains the valley of the ripple is regulated up to 300 V only; at 200 V it would come through
        The control can ask for 300 V at most; this point is at 200 V
        The control can ask for 0 V at least; this point is at 200 V
        The worst 6080 section would burn 16.4 W; it may burn 13 W
        All sections of one 6080 together would burn 16.4 W; they may burn 13 W
        The worst 6080 section would carry 252 mA; it may carry 200 mA
        There would be 378 V between plate and cathode of the 6080; 300 V is allowed
        The 5U4-GB would give 252 mA DC; it may give 200 mA
        The current of each 5U4-GB plate would reach 252 mA at its peak; 200 mA is allowed
        With no load at 126 V mains each 5U4-GB plate sees 378 V of inverse volts; it may stand 300 V
        The high-voltage half-winding would carry 252 mA rms; it may carry 200 mA
        Capacitor C1 would carry 252 mA of ripple current; 200 mA is allowed
        The bus capacitor would carry 252 mA of ripple current; 200 mA is allowed
        The choke would carry 252 mA; it may carry 200 mA
        With no load at 126 V mains capacitor C1 stands at 378 V; it is made for 300 V
        With no load at 126 V mains the worst of 2 in series, the bus capacitor, stands at 378 V; it is made for 300 V
        With no load at 126 V mains capacitor C1 stands at 378 V; its surge volts are 300 V
        With no load at 126 V mains the worst of 2 in series, the bus capacitor, stands at 378 V; its surge volts are 300 V
        ");
    }

    #[test]
    fn what_is_not_known_says_where_to_read_it() {
        let supply = laboratory_supply();
        let words = ALL
            .map(|limit| {
                let unknown = Use {
                    limit,
                    system: None,
                    judged: Err("the tube's plate curve"),
                };
                assert_eq!(how_judged(&unknown), None);
                not_known(&unknown, &supply)
            })
            .join("\n");
        insta::assert_snapshot!(words, @r"
        Dropout cannot be judged: the tube's plate curve is not known
        Set range cannot be judged: the tube's plate curve is not known
        Set range, low end cannot be judged: the tube's plate curve is not known
        The highest plate dissipation of the 6080 is not known: read it in the maker's data sheet
        The highest dissipation of one bulb of the 6080 is not known: read it in the maker's data sheet
        The highest cathode current of the 6080 is not known: read it in the maker's data sheet
        The highest plate volts of the 6080 are not known: read them in the maker's data sheet
        The highest DC output of the 5U4-GB is not known: read it in the maker's data sheet
        The highest peak current of the 5U4-GB is not known: read it in the maker's data sheet
        The highest peak inverse volts of the 5U4-GB are not known: read them in the maker's data sheet
        The rms current rating of the high-voltage winding is not known: read it on the transformer's label or from its maker
        The ripple current rating of capacitor C1 is not known: read it in the capacitor's data sheet
        The ripple current rating of the bus capacitor is not known: read it in the capacitor's data sheet
        The current rating of the choke is not known: read it on the choke's label
        The working volts of capacitor C1 are not known: read them on the capacitor
        The working volts of the bus capacitor are not known: read them on the capacitor
        The surge volts of capacitor C1 are not known: read them on the capacitor or in its data sheet
        The surge volts of the bus capacitor are not known: read them on the capacitor or in its data sheet
        ");
    }

    #[test]
    fn how_a_rating_was_judged() {
        let words = [
            known(Limit::PlateDissipation, 8.0, 13.0, Measure::Watts),
            known(Limit::CapacitorVolts(1), 280.0, 300.0, Measure::Volts),
            known(Limit::Dropout, 200.0, 400.0, Measure::Volts),
        ]
        .map(|u| how_judged(&u).unwrap_or_default())
        .join("\n");
        insta::assert_snapshot!(words, @r"
        Design-centre rating, judged at 120 V, nominal mains
        Absolute-maximum rating, judged at 126 V, high mains, every capacitor at its most
        Judged at 120 V, the mains now
        ");
    }

    #[test]
    fn the_verdict() {
        let supply = laboratory_supply();
        let set_range = known(Limit::SetRangeHigh, 287.0, 350.0, Measure::Volts);
        let bus = known(Limit::CapacitorVolts(1), 278.0, 300.0, Measure::Volts);
        let burning = known(Limit::PlateDissipation, 16.4, 13.0, Measure::Watts);
        let winding = known(Limit::WindingRms, 0.19, 0.183, Measure::Amps);
        let unknown = Use {
            limit: Limit::ChokeCurrent(0),
            system: None,
            judged: Err("the choke's current rating"),
        };
        let mut collapsed = point(0.9, 100.0, vec![burning]);
        collapsed.operation = None;
        let words = [
            point(0.03, 287.0, vec![set_range, unknown]),
            point(0.03, 100.0, vec![bus, set_range]),
            point(0.1, 100.0, vec![burning, set_range]),
            point(0.15, 100.0, vec![burning, winding, set_range]),
            point(0.1, 100.0, vec![unknown]),
            collapsed,
        ]
        .map(|p| {
            let f = verdict(&p, &supply);
            format!("{:?}  {}", f.severity, f.sentence)
        })
        .join("\n");
        insta::assert_snapshot!(words, @r"
        Fine  Inside, 18 % left; first met: set range
        Near  Inside, 7 % left; tightest: bus volts, no load
        Over  Outside: plate dissipation 126 %
        Over  Outside: plate dissipation 126 %, and 1 more
        Remark  No limit is known here: fill in the ratings of the parts
        Over  Outside: the supply cannot give 900 mA, the bus collapses
        ");
    }

    #[test]
    fn the_filter_stress_zone() {
        let supply = laboratory_supply();
        let words = [150.0, 278.0, 310.0]
            .map(|volts| {
                let uses = [
                    known(Limit::CapacitorVolts(0), 100.0, 300.0, Measure::Volts),
                    known(Limit::CapacitorVolts(1), volts, 300.0, Measure::Volts),
                ];
                filter_stress(&uses, &supply)
                    .map_or_else(String::new, |f| format!("{:?}  {}", f.severity, f.sentence))
            })
            .join("\n");
        insta::assert_snapshot!(words, @r"
        Fine  With no load at 126 V mains the worst of 2 in series, the bus capacitor, stands at 150 V; it is made for 300 V
        Near  With no load at 126 V mains the worst of 2 in series, the bus capacitor, stands at 278 V; it is made for 300 V; in the last 10 % of it
        Over  With no load at 126 V mains the worst of 2 in series, the bus capacitor, stands at 310 V; it is made for 300 V; over its rating before anything is connected
        ");
        assert_eq!(filter_stress(&[], &supply), None);
    }
}
