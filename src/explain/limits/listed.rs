//! Limits in a list: what stands above a group, a row's name and figures, and what is folded away.

use crate::explain::limits::name;
use crate::explain::limits::words::Subject;
use crate::explain::limits::words::filter::{label, one_unit};
use crate::explain::number;
use crate::parts::Supply;
use crate::physics::envelope::{Envelope, Point};
use crate::physics::limit::{Judged, Limit, Use};
use crate::physics::operation::Case;

/// Above what depends on where the point is.
pub const MOVING: &str = "Moves with the point, the tightest first";

/// Above what is the same wherever the point is.
pub const ALWAYS_THERE: &str = "Always there: nothing connected";

/// Above what cannot be judged.
pub const NOT_JUDGED: &str = "Not known, so not judged";

/// Above what is the same wherever the point is, with the mains at which it is judged; each rating system asks for its own:
/// `Always there: nothing connected, high mains 126 V`.
pub fn always_there(group: &[&Use]) -> String {
    let cases = || group.iter().filter_map(|one| one.judged.as_ref().ok());
    let Some(first) = cases().next() else {
        return ALWAYS_THERE.to_owned();
    };
    if cases().any(|judged| judged.case != first.case) {
        let mains = || cases().map(|judged| judged.mains_volts);
        let (least, most) = (
            mains().fold(f64::MAX, f64::min),
            mains().fold(0.0, f64::max),
        );
        let (least, most) = (number::volts(least), number::volts(most));
        return format!("{ALWAYS_THERE}, mains {least} to {most}");
    }
    let mains = match first.case {
        Case::Low | Case::LowLeast | Case::LowMost => "low mains",
        Case::Present => "mains now",
        Case::High | Case::HighLeast | Case::HighMost => "high mains",
        Case::Nominal => "nominal mains",
    };
    format!(
        "{ALWAYS_THERE}, {mains} {}",
        number::volts(first.mains_volts)
    )
}

/// The name of a limit in a list under its heading: `C1, each of 2 in series`, `rectifier peak inverse`.
pub fn listed_name(limit: Limit, supply: &Supply) -> String {
    let of = Subject { limit, supply };
    let whole = name(limit, supply);
    match limit {
        Limit::CapacitorVolts(n) if !one_unit(of).is_empty() => {
            format!("{}, {}", label(n, supply), one_unit(of))
        }
        // The heading says it of all.
        _ if limit.is_no_load() => whole.replace(", no load", ""),
        _ => whole,
    }
}

/// The figures of a limit in a list, such as they can be compared with the plot: of dropout the volts to spare of its line,
/// `164 V left`; of the lowest regulated output the volts of its line, `198, least 19 V`; of all others what is used of what is
/// allowed, `102 of 210 mA`.
pub fn figures(one: &Use, envelope: &Envelope, point: &Point) -> String {
    let Ok(judged) = &one.judged else {
        return "not known".to_owned();
    };
    let mut lines = envelope.limits.iter();
    let line = lines.find(|line| line.limit == one.limit);
    let line_volts = line.and_then(|line| line.curve.volts_at(point.amps));
    match one.limit {
        Limit::Dropout => {
            let room = line_volts.map(|line| line - point.volts);
            to_spare(room.unwrap_or(judged.allowed - judged.actual))
        }
        Limit::GridFloor => match line_volts {
            Some(line) => number::of_allowed(&Judged {
                actual: point.volts,
                allowed: line.max(0.0),
                ..*judged
            }),
            None => number::of_allowed(judged),
        },
        _ => number::of_allowed(judged),
    }
}

/// `164 V left`, `12 V short`.
fn to_spare(volts: f64) -> String {
    let text = number::volts(volts.abs());
    if volts < 0.0 {
        format!("{text} short")
    } else {
        format!("{text} left")
    }
}

/// What is folded away below the tightest: `8 more, none above 23 %`; of what is not known `8 more`.
pub fn more(rest: &[&Use]) -> String {
    let most = rest.iter().filter_map(|one| one.nearness());
    let count = rest.len();
    match most.reduce(f64::max) {
        // Never less than there is.
        Some(most) => {
            let most = number::per_cent((100.0 * most).ceil() / 100.0);
            let none = if count == 1 { "not" } else { "none" };
            format!("{count} more, {none} above {most}")
        }
        None => format!("{count} more"),
    }
}

#[cfg(test)]
mod tests;
