//! Numbers rounded for people: three significant figures, the SI prefix that keeps them short, the unit.
//!
//! A part's own value is printed exactly by its quantity (`Ohms(4700.0).to_string()`); what was computed is
//! printed here, because more than three figures of it would claim more than typical tubes can keep.

use crate::physics::limit::{Judged, Measure};

/// Prefixes of the trade: their power of ten and letter.
const PREFIXES: [(i32, &str); 7] = [
    (-12, "p"),
    (-9, "n"),
    (-6, "µ"),
    (-3, "m"),
    (0, ""),
    (3, "k"),
    (6, "M"),
];

/// A value in volts: `519 V`, `1.55 kV`.
pub fn volts(value: f64) -> String {
    with_prefix(value, "V", -3, 3)
}

/// A value in volts to a tenth where that takes no more than four figures: for terms of a difference, which would else not add
/// up to what is said of it.
pub fn volts_four(value: f64) -> String {
    if value.abs() < 999.9 {
        format!("{} V", plain(value, 1))
    } else {
        volts(value)
    }
}

/// A value in amperes: `83 mA`, `1.2 A`.
pub fn amps(value: f64) -> String {
    with_prefix(value, "A", -6, 0)
}

/// A value in watts: `12.3 W`.
pub fn watts(value: f64) -> String {
    with_prefix(value, "W", -3, 3)
}

/// A value in ohms: `4.7 kΩ`.
pub fn ohms(value: f64) -> String {
    with_prefix(value, "Ω", -3, 6)
}

/// A value in siemens: `5.2 mS`.
pub fn siemens(value: f64) -> String {
    with_prefix(value, "S", -6, 0)
}

/// A value in farads: `47 µF`.
pub fn farads(value: f64) -> String {
    with_prefix(value, "F", -12, -6)
}

/// A value in hertz: `120 Hz`.
pub fn hertz(value: f64) -> String {
    with_prefix(value, "Hz", 0, 3)
}

/// A value in joules: `7.7 J`.
pub fn joules(value: f64) -> String {
    with_prefix(value, "J", -3, 3)
}

/// A time as one would say it: `848 ms`, `9.97 s`, `2 min 10 s`, `14 min`, `3 h 20 min`, `5 days`.
pub fn seconds(value: f64) -> String {
    if !value.is_finite() {
        return NOT_KNOWN.to_owned();
    }
    let pair = |large: f64, [one, other]: [&str; 2]| {
        let whole = value / large;
        // Three figures in all, so that a single one of the larger leaves two of the smaller.
        let small = large / 60.0;
        let smalls = (value / small).round();
        let (larges, rest) = ((smalls / 60.0).floor(), smalls % 60.0);
        if whole >= 10.0 || rest < 0.5 {
            format!("{:.0} {one}", if whole >= 10.0 { whole } else { larges })
        } else {
            format!("{larges:.0} {one} {rest:.0} {other}")
        }
    };
    match value {
        ..59.95 => with_prefix(value, "s", -3, 0),
        ..3599.5 => pair(60.0, ["min", "s"]),
        ..172_800.0 => pair(3600.0, ["h", "min"]),
        _ => format!("{:.0} days", value / 86_400.0),
    }
}

/// A number without unit: `94.2`.
pub fn pure(value: f64) -> String {
    with_prefix(value, "", 0, 0).trim_end().to_owned()
}

/// A value in whatever a limit is measured in.
pub fn measured(value: f64, measure: Measure) -> String {
    match measure {
        Measure::Volts => volts(value),
        Measure::Amps => amps(value),
        Measure::Watts => watts(value),
        Measure::Ohms => ohms(value),
        Measure::Farads => farads(value),
    }
}

/// What is used of what is allowed, with one unit where both share it: `62 of 183 mA`; of a least value
/// `200, least 150 V`; `none of 25 W` where what is left is below nothing, as the volts and watts of a pass tube are beyond
/// dropout.
pub fn of_allowed(judged: &Judged) -> String {
    if judged.actual < 0.0 && judged.allowed > 0.0 {
        return format!("none of {}", measured(judged.allowed, judged.measure));
    }
    let actual = measured(judged.actual, judged.measure);
    let allowed = measured(judged.allowed, judged.measure);
    let from_below = (judged.actual > judged.allowed) != (judged.ratio > 1.0);
    let word = if from_below { ", least" } else { " of" };
    match (actual.split_once(' '), allowed.split_once(' ')) {
        (Some((number, unit)), Some((_, same))) if unit == same => {
            format!("{number}{word} {allowed}")
        }
        _ => format!("{actual}{word} {allowed}"),
    }
}

/// A ratio in per cent: `82 %`. It shows more figures where fewer would hide on which side of 100 % it is.
pub fn per_cent(ratio: f64) -> String {
    if !ratio.is_finite() {
        return NOT_KNOWN.to_owned();
    }
    let hundred = ratio * 100.0;
    // Beyond that the figure says nothing more.
    if hundred > 1000.0 {
        return "> 1000 %".to_owned();
    }
    let places = (0..4)
        .find(|places| {
            let shown = rounded(hundred, *places);
            (shown > 100.0) == (hundred > 100.0) && (shown < 100.0) == (hundred < 100.0)
        })
        .unwrap_or(0);
    format!("{} %", plain(hundred, places))
}

/// What is left of a limit, or by how much it is exceeded: `18 % left`, `26 % over`.
pub fn left(margin: f64) -> String {
    if !margin.is_finite() {
        return NOT_KNOWN.to_owned();
    }
    let hundred = margin.abs() * 100.0;
    // A tenth of a per cent is the last figure worth showing near the edge.
    let places = usize::from(hundred < 1.0);
    if rounded(hundred, places) <= 0.0 {
        "just met".to_owned()
    } else if margin > 0.0 {
        format!("{} % left", plain(hundred, places))
    } else {
        format!("{} % over", plain(hundred, places))
    }
}

/// A change in per cent with its sign: `+2.6 %`, `−4 %`.
pub fn change(ratio_less_one: f64) -> String {
    if !ratio_less_one.is_finite() {
        return NOT_KNOWN.to_owned();
    }
    let text = plain((ratio_less_one * 100.0).abs(), 1);
    match text.as_str() {
        "0" => "0 %".to_owned(),
        _ if ratio_less_one < 0.0 => format!("\u{2212}{text} %"),
        _ => format!("+{text} %"),
    }
}

/// A value to three figures, never nearer to where one comes from than it is: `214.7` coming from above is `214`. So that who
/// goes as far as is said is there.
pub fn no_nearer(value: f64, from: f64) -> f64 {
    if !(value.is_finite() && value != 0.0) {
        return value;
    }
    let step = 10f64.powf(value.abs().log10().floor() - 2.0);
    // What is round already stays.
    let steps = value / step;
    let whole = if (steps - steps.round()).abs() < 1e-6 {
        steps.round()
    } else if from > value {
        steps.floor()
    } else {
        steps.ceil()
    };
    whole * step
}

/// What stands in place of a number that is none.
const NOT_KNOWN: &str = "not known";

fn with_prefix(value: f64, unit: &str, least: i32, largest: i32) -> String {
    if !value.is_finite() {
        return NOT_KNOWN.to_owned();
    }
    // Rounded first, prefix afterwards: 999.6 V is 1 kV, not 1000 V.
    let three = format!("{value:.2e}");
    let exponent = three
        .split_once('e')
        .and_then(|(_, e)| e.parse::<i32>().ok())
        .unwrap_or(0);
    let power = exponent
        .div_euclid(3)
        .saturating_mul(3)
        .clamp(least, largest);
    let letter = PREFIXES
        .iter()
        .find(|(p, _)| *p == power)
        .map_or("", |(_, letter)| letter);
    let scaled = three.parse().unwrap_or(value) / 10f64.powi(power);
    let places = usize::try_from(2 - (exponent - power)).unwrap_or(0).min(3);
    let text = plain(scaled, places);
    if text == "0" {
        return format!("0 {unit}");
    }
    format!("{text} {letter}{unit}")
}

fn rounded(value: f64, places: usize) -> f64 {
    format!("{value:.places$}").parse().unwrap_or(value)
}

/// `value` with at most `places` decimals, no idle zeros, and a true minus sign.
fn plain(value: f64, places: usize) -> String {
    let text = format!("{value:.places$}");
    let text = if text.contains('.') {
        text.trim_end_matches('0').trim_end_matches('.')
    } else {
        &text
    };
    match text.strip_prefix('-') {
        Some("0") => "0".to_owned(),
        Some(digits) => format!("\u{2212}{digits}"),
        None => text.to_owned(),
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::physics::operation::Case;

    #[test]
    fn three_figures_and_the_prefix_that_keeps_them_short() {
        for (got, want) in [
            (amps(0.083), "83 mA"),
            (amps(0.082_96), "83 mA"),
            (volts(1200.0), "1.2 kV"),
            (volts(999.6), "1 kV"),
            (volts(999.4), "999 V"),
            (volts(0.0), "0 V"),
            (volts(-0.0), "0 V"),
            (volts(-12.34), "\u{2212}12.3 V"),
            (ohms(4700.0), "4.7 kΩ"),
            (farads(100e-6), "100 µF"),
            (farads(2200e-6), "2200 µF"),
            (amps(1e-9), "0.001 µA"),
            (amps(1e-12), "0 A"),
            (watts(12.345), "12.3 W"),
            (joules(7.7), "7.7 J"),
            (seconds(0.0), "0 s"),
            (seconds(0.848), "848 ms"),
            (seconds(9.969), "9.97 s"),
            (seconds(59.94), "59.9 s"),
            (seconds(59.96), "1 min"),
            (seconds(130.2), "2 min 10 s"),
            (seconds(843.0), "14 min"),
            (seconds(3599.4), "60 min"),
            (seconds(12_000.0), "3 h 20 min"),
            (seconds(100_000.0), "28 h"),
            (seconds(432_000.0), "5 days"),
            (volts(f64::NAN), "not known"),
        ] {
            assert_eq!(got, want);
        }
    }

    #[test]
    fn per_cents_never_round_over_to_the_other_side_of_the_limit() {
        for (got, want) in [
            (per_cent(0.8234), "82 %"),
            (per_cent(0.9996), "99.96 %"),
            (per_cent(1.0), "100 %"),
            (per_cent(1.002), "100.2 %"),
            (per_cent(1.26), "126 %"),
            (per_cent(1000.0), "> 1000 %"),
            (per_cent(1.0 + 1e-12), "100 %"),
            (left(0.18), "18 % left"),
            (left(0.003), "0.3 % left"),
            (left(0.0), "just met"),
            (left(-0.26), "26 % over"),
            (change(120.0 / 117.0 - 1.0), "+2.6 %"),
            (change(-0.04), "\u{2212}4 %"),
            (change(1e-6), "0 %"),
        ] {
            assert_eq!(got, want);
        }
    }

    #[test]
    fn a_way_to_a_value_is_never_said_too_short() {
        for (value, from, want) in [
            (214.7, 300.0, "214 V"),
            (214.2, 100.0, "215 V"),
            (350.0, 500.0, "350 V"),
            (0.061_49, 1.0, "61.4 mV"),
            (0.0, 1.0, "0 V"),
        ] {
            assert_eq!(volts(no_nearer(value, from)), want);
        }
    }

    #[test]
    fn a_shared_unit_is_said_once() {
        let judged = |actual, allowed, measure| Judged {
            ratio: actual / allowed,
            actual,
            allowed,
            measure,
            case: Case::Nominal,
            mains_volts: 120.0,
            actual_now: None,
            at_low_present_high: [actual / allowed; 3],
        };
        assert_eq!(
            of_allowed(&judged(0.062, 0.183, Measure::Amps)),
            "62 of 183 mA"
        );
        assert_eq!(
            of_allowed(&judged(0.21, 1.0, Measure::Amps)),
            "210 mA of 1 A"
        );
        let at_least = Judged {
            ratio: 0.75,
            ..judged(200.0, 150.0, Measure::Volts)
        };
        assert_eq!(of_allowed(&at_least), "200, least 150 V");
    }
}
