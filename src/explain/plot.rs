//! The words on the envelope plot that belong to no limit: the stress zone, the dummy loads, the point.

use crate::bench::acceptance::Taken;
use crate::explain::{NEAR, Severity, limits, number, why};
use crate::parts::{Dummy, Supply};
use crate::physics::envelope::{Envelope, Point};

/// Accessible name of the plot.
pub const NAME: &str = "Operating envelope";
/// Name of the upright axis.
pub const VOLTS_AXIS: &str = "output volts";
/// Name of the level axis, in two lines.
pub const MILLIAMPS_AXIS: &str = "output\ncurrent, mA";
/// The same where it is shown in amperes.
pub const AMPS_AXIS: &str = "output\ncurrent, A";
/// At the dotted line above which even the mean of the bus no longer suffices.
pub const REGULATION_LOST: &str = "regulation lost";
/// Behind the name of a limit that cannot be drawn.
pub const NOT_KNOWN: &str = "not known";
/// In the corner of a picture that was kept from before an error.
pub const OLDER: &str = "From before the error";

/// Where the first picture of a window is to come.
pub const CALCULATING: &str = "Calculating …";
/// On a picture that stays until the one of the supply as it is now is worked out.
pub const SUPPLY_BEFORE: &str = "Calculating … this is the supply before";
/// Over a verdict that stays until that of the supply as it is now is worked out.
pub const VERDICT_OF_SUPPLY_BEFORE: &str = "Calculating … what follows is of the supply before";
/// Over a verdict that stays until that of the point as it is now is worked out.
pub const VERDICT_OF_POINT_BEFORE: &str = "Calculating … what follows is of the point before";

/// At the band of the dropout line over the spreads of the parts.
pub const TOLERANCE_BAND: &str = "dropout of 9 units in 10";
/// The same where it is of the supply before.
pub const TOLERANCE_BAND_BEFORE: &str = "9 units in 10, from a moment ago";
/// Behind what is of before, while it is worked out anew.
pub const A_MOMENT_AGO: &str = "from a moment ago";

/// Beside the margin map: what shade and lines say.
pub const MARGIN_KEY: &str = "shade and lines: how much of the tightest limit is used";

/// Before the names of limits that are exceeded wherever the point is.
const OVER_EVERYWHERE: &str = "Over before anything is connected";

/// Behind the name of a limit whose published line is dotted, because it is accepted as built.
pub const BY_THE_BOOK: &str = "by the book";

/// Name of the band below the working volts of the bus capacitor: `filter stress zone, 90–100 % of 600 V`.
pub fn stress_zone(working_volts: f64) -> String {
    format!(
        "filter stress zone, {:.0}–100 % of {}",
        NEAR * 100.0,
        number::volts(working_volts)
    )
}

/// Name of the band above them: `filter over its rating`.
pub fn over_zone() -> String {
    "filter over its rating".to_owned()
}

/// At the mark of the bus without load: `556 V bus, no load, 126 V mains`.
pub fn bus_mark(bus_volts: f64, mains_volts: f64) -> String {
    format!(
        "{} bus, no load, {} mains",
        number::volts(bus_volts),
        number::volts(mains_volts)
    )
}

/// At the dropout line of low or high mains: `114 V mains`.
pub fn at_mains(volts: f64) -> String {
    format!("{} mains", number::volts(volts))
}

/// At the end of a dummy load's line: `10 kΩ · 25 W`, or its resistance alone.
pub fn load_label(dummy: &Dummy) -> String {
    match dummy.power {
        Some(power) => format!("{} · {power}", dummy.resistance),
        None => dummy.resistance.to_string(),
    }
}

/// The point for those who cannot see it: `300 V, 30 mA. Inside, 14 % left; first met: output range`.
pub fn point_in_words(point: &Point, supply: &Supply) -> String {
    let [verdict, reason] = why::pointed_at(point, supply);
    match limits::verdict(point, supply).severity {
        Severity::Over if !reason.is_empty() => format!("{verdict} {reason}"),
        _ => verdict,
    }
}

/// What stands on the plot in outline, behind the point: ` In outline: As opened, 100 µF`. Empty without any.
pub fn outlines(names: &[String]) -> String {
    if names.is_empty() {
        String::new()
    } else {
        format!(" In outline: {}", names.join(", "))
    }
}

/// What band stands on the plot, behind the point: ` Band: dropout of 9 units in 10`.
pub fn with_band(name: &str) -> String {
    format!(" Band: {name}")
}

/// What is wrong wherever the point is, in one line: `Over with nothing connected: C1 volts, no load`. Empty if
/// some point is allowed.
pub fn nothing_allowed(envelope: &Envelope, supply: &Supply) -> String {
    match envelope.broken_everywhere.as_slice() {
        // What is within reach is named after the rating that takes it away.
        [] if envelope.region.is_empty() && envelope.reach.is_empty() => {
            "Nothing is within reach".to_owned()
        }
        [] => String::new(),
        [first] => format!("{OVER_EVERYWHERE}: {}", limits::name(*first, supply)),
        [first, rest @ ..] => format!(
            "{OVER_EVERYWHERE}: {} and {} more",
            limits::name(*first, supply),
            rest.len()
        ),
    }
}

/// The name of what is within reach but over a rating, after the one that takes most: `works, but over plate dissipation`, and
/// short. Empty where that is little, or said already because it is over wherever the point is.
pub fn over_a_rating(taken: &[Taken], envelope: &Envelope, supply: &Supply) -> [String; 2] {
    match taken {
        [most, ..] if envelope.broken_everywhere.is_empty() => {
            let name = limits::name(most.limit, supply);
            [format!("works, but over {name}"), format!("over {name}")]
        }
        _ => Default::default(),
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::explain::samples;

    #[test]
    fn labels_read_as_in_the_trade() {
        assert_eq!(stress_zone(600.0), "filter stress zone, 90–100 % of 600 V");
        assert_eq!(bus_mark(556.2, 126.0), "556 V bus, no load, 126 V mains");
        assert_eq!(load_label(&samples::dummy(10e3, 25.0)), "10 kΩ · 25 W");
    }
}
