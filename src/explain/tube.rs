//! A tube from a datasheet in words: how far the fitted law is from each point, how sure its zero-bias line is, and why
//! figures are refused.

#[cfg(test)]
mod tests;

use crate::explain::number::{amps, change, ohms, volts, watts};
use crate::explain::{Finding, Number, Severity};
use crate::parts::Stage;
use crate::parts::pass_stage::{PlatePoint, SmallSignal};
use crate::parts::tube_draft::{DraftFault, Purpose};
use crate::physics::device::triode_fit::{
    Coverage, FigureMiss, Fit, FitError, PointMiss, ZeroBias,
};

/// What stands behind the ± of a judgement.
pub const SPREAD_HOVER: &str = "One standard error of the fit, from its covariance: currents read to 2 %, plate volts to 1.1 % of the largest, \
     µ, rp and gm to 4 %, and what such tubes usually have where nothing is published. \
     Single tubes differ from their type by another 10 to 20 % (common practice, no source)";

/// From this spread on a zero-bias line deserves a second look (relative; common practice, no source).
const UNSURE: f64 = 0.1;
/// From this spread on it is not known at all.
const HOPELESS: f64 = 0.5;

/// How sure the zero-bias line is, on which the least drop lies.
pub fn zero_bias(line: &ZeroBias) -> Finding {
    let about = percent(line.spread);
    let here = format!("{} ±{about} at {}", volts(line.volts), amps(line.amps));
    let (known, sentence) = match line.coverage {
        _ if line.spread > HOPELESS => (
            false,
            format!(
                "These points do not tell where the zero-bias line lies ({here}): points nearer to it are wanted"
            ),
        ),
        Coverage::Covered => (
            true,
            format!("Zero-bias line is held by published points: {here}"),
        ),
        Coverage::BeyondCurrent(end) => (
            false,
            format!(
                "Zero-bias line is extrapolated beyond its points, which end at {}: {here}",
                amps(end)
            ),
        ),
        Coverage::BelowPoints(times) if times >= 1.3 => (
            false,
            format!(
                "Zero-bias line is extrapolated: {here}; the nearest point has {} times the plate volts",
                short((10.0 * times).round() / 10.0)
            ),
        ),
        Coverage::BelowPoints(_) => (
            false,
            format!("Zero-bias line is extrapolated a little: {here}"),
        ),
    };
    Finding {
        about: Stage::PassStage,
        severity: if line.spread > UNSURE {
            Severity::Near
        } else if known {
            Severity::Fine
        } else {
            Severity::Remark
        },
        sentence,
        numbers: vec![
            Number {
                what: "zero-bias volts".to_owned(),
                text: volts(line.volts),
            },
            Number {
                what: "spread".to_owned(),
                text: format!("±{about}"),
            },
        ],
    }
}

/// What is said of a zero-bias table alone.
pub fn zero_bias_table(points: usize, purpose: Purpose) -> Finding {
    let (about, sentence) = match purpose {
        Purpose::Pass => (
            Stage::PassStage,
            format!(
                "The dropout line follows these {points} points; grid drive and the lowest output are then not known"
            ),
        ),
        Purpose::Control => (
            Stage::Regulator,
            format!(
                "How low the plate comes follows these {points} points; gain and regulation are then not known"
            ),
        ),
    };
    Finding {
        about,
        severity: Severity::Remark,
        sentence,
        numbers: Vec::new(),
    }
}

/// What keeps a type from being saved where no law could be fitted.
pub const NO_LAW: &str =
    "These figures are refused, for the reason above; what is typed stays as it is";

/// What the small plot of the editor shows.
pub fn family_hover(purpose: Purpose) -> String {
    let lies_there = match purpose {
        Purpose::Pass => "on which the least drop lies",
        Purpose::Control => "as low as its plate comes",
    };
    format!(
        "Plate current over plate volts at the grid volts of the points and in even steps between; the thick line is zero bias, {lies_there}. \
         Dots are your points, a stroke leads to where the law has the same current"
    )
}

/// What is said of a pentode's operating point.
pub const PENTODE: &str =
    "Gain and regulation are worked out from this point; there is no curve to fit";

/// How much a miss matters: curves are read to 5 %, and makers' families of one type agree within some 15 % (common
/// practice, no source).
pub fn severity_of(miss: &PointMiss) -> Severity {
    if miss.relative.abs() > 0.15 {
        Severity::Near
    } else {
        Severity::Fine
    }
}

/// A law that misses its only point by more than this was given figures of another point.
const APART: f64 = 0.04;

/// The law against all points in one line.
pub fn fit(fit: &Fit) -> Finding {
    let worst = fit
        .points
        .iter()
        .zip(&fit.misses)
        .max_by(|(_, a), (_, b)| a.relative.abs().total_cmp(&b.relative.abs()));
    let sentence = match worst {
        Some((point, miss)) if fit.points.len() > 1 => format!(
            "The law meets {} points; it is furthest off at {}: {}",
            fit.points.len(),
            place(point),
            off(miss)
        ),
        Some((_, miss)) if miss.relative.abs() > APART => format!(
            "The law misses the one point: {}; µ, rp and gm do not quite go with it. \
             Are its volts those of the supply, not of the tube?",
            off(miss)
        ),
        Some((_, miss)) => format!("The law goes by the one point: {}", off(miss)),
        None => "No point".to_owned(),
    };
    Finding {
        about: Stage::PassStage,
        severity: worst.map_or(Severity::Remark, |(_, miss)| {
            if fit.points.len() == 1 && miss.relative.abs() > APART {
                Severity::Near
            } else {
                severity_of(miss)
            }
        }),
        sentence,
        numbers: Vec::new(),
    }
}

/// A point's volts: `250 V, −14 V`.
pub fn place(point: &PlatePoint) -> String {
    format!("{}, {}", volts(point.plate.0), volts(point.grid.0))
}

/// How far the law is off at a point: `+2.6 % or −1.7 V`.
pub fn off(miss: &PointMiss) -> String {
    let relative = change(miss.relative);
    match miss.volts_off {
        Some(off) if off.abs() >= 0.05 => {
            let sign = if off > 0.0 { "+" } else { "\u{2212}" };
            format!("{relative} or {sign}{}", volts(off.abs()))
        }
        _ => relative,
    }
}

/// µ, rp and gm of the law beside the published ones: `µ 7.9, published 8`.
pub fn figures(published: &SmallSignal, law: &FigureMiss) -> Vec<(String, String)> {
    let mut rows = Vec::new();
    if let Some(mu) = published.mu {
        rows.push((format!("µ {}", short(mu)), format!("law {}", short(law.mu))));
    }
    if let Some(rp) = published.plate_resistance {
        rows.push((
            format!("rp {}", ohms(rp.0)),
            format!("law {}", ohms(law.plate_resistance)),
        ));
    }
    if let Some(gm) = published.transconductance {
        rows.push((
            format!("gm {} mS", short(1e3 * gm.0)),
            format!("law {} mS", short(1e3 * law.transconductance)),
        ));
    }
    rows
}

/// Why no law was fitted; `lines` are those of the points in the text (counted from 1), if they stand in lines.
pub fn refusal(error: &FitError, points: &[PlatePoint], lines: &[usize]) -> String {
    let named = |point: usize| {
        let at = points.get(point).map(place).unwrap_or_default();
        match lines.get(point) {
            Some(line) => format!("line {line} ({at})"),
            None => format!("the point {at}"),
        }
    };
    let hint = likely_slip(points);
    let said = match *error {
        FitError::NoPoint => {
            "A point is missing: plate volts, grid volts and the current there".to_owned()
        }
        FitError::NoGridEffect => {
            "What the grid does is not known: give µ, or points at two grid voltages; \
             a zero-bias curve alone has a table of its own"
                .to_owned()
        }
        FitError::NotAboveZero(point) => {
            format!(
                "Plate volts and current must be above zero; see {}",
                named(point)
            )
        }
        FitError::FigureNotAboveZero(_) => {
            "µ, plate resistance and transconductance must be above zero".to_owned()
        }
        FitError::CurrentFalls { first, second } if same_volts(points, first, second) => format!(
            "Two currents at the same volts: {} against {}",
            named(second),
            named(first)
        ),
        FitError::CurrentFalls { first, second } => format!(
            "The current falls though the volts rise, which no triode does: {} against {}",
            named(second),
            named(first)
        ),
        FitError::OneMisread { point, law_amps } => format!(
            "All other points are of one triode, which passes {} at {}: is a number or a unit misread there?",
            amps(law_amps),
            named(point)
        ),
        FitError::Pentode { first, second } => format!(
            "The current hardly rises with the plate volts, as a pentode's does: {} against {}; \
             points of a triode are wanted, or with the screen tied to the plate",
            named(second),
            named(first)
        ),
        FitError::CutOff { point, mu } => format!(
            "A µ of {} cuts the tube off at {}: grid volts times µ are more than the plate volts",
            short(mu),
            named(point)
        ),
        FitError::FiguresDisagree { mu, product, .. } => format!(
            "µ is {} but gm times rp is {}: one of the three is misread",
            short(mu),
            short(product)
        ),
        FitError::FarOff { point, law_amps } => format!(
            "No triode fits all of it: the nearest one passes {} at {}; is a number or a unit misread?",
            amps(law_amps),
            named(point)
        ),
        FitError::NoAgreement => {
            "The figures contradict each other: no triode law comes near them".to_owned()
        }
    };
    match hint {
        Some(hint) => {
            let stop = if said.ends_with('?') { "" } else { "." };
            format!("{said}{stop} {hint}")
        }
        None => said,
    }
}

/// The grid volts of a curve, at its end: always volts, so that a row of curves reads as one scale.
pub fn grid(volts: f64) -> String {
    // A sum with zero has no sign of its own.
    let text = short(volts + 0.0).replace('-', "\u{2212}");
    format!("{text} V")
}

/// A type that has the name of another one.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Namesake {
    /// One of the user's own types.
    Own,
    /// A type that comes with the program.
    BuiltIn,
}

/// A type of a new name was saved.
pub fn saved(name: &str, path: &str) -> String {
    format!("Saved {name} in {path}")
}

/// A type was saved over an earlier one of the user's own.
pub fn saved_again(name: &str, path: &str) -> String {
    format!("Saved {name} in place of the earlier one of this name, in {path}")
}

/// What saving under the name of another type would do.
pub fn would_replace(name: &str, other: Namesake) -> String {
    match other {
        Namesake::Own => format!("Saving replaces your own {name}"),
        Namesake::BuiltIn => format!(
            "Saving puts this in place of the built-in {name} in the lists; the built-in one is back when yours is deleted from your own types"
        ),
    }
}

fn same_volts(points: &[PlatePoint], first: usize, second: usize) -> bool {
    let volts = |point: usize| points.get(point).map(|p| (p.plate, p.grid));
    volts(first) == volts(second)
}

/// A slip that all points share, if there is one: grid volts without their sign, plate volts in another unit.
fn likely_slip(points: &[PlatePoint]) -> Option<&'static str> {
    let all = |is: fn(&PlatePoint) -> bool| !points.is_empty() && points.iter().all(is);
    if all(|p| p.grid.0 > 0.0) {
        Some("All grid volts are above zero: is their sign missing?")
    } else if all(|p| p.plate.0 > 0.0 && p.plate.0 < 5.0) {
        Some("All plate volts are below 5 V: are they kV?")
    } else {
        None
    }
}

/// What is said of points without current.
pub fn idle(points: usize) -> Option<String> {
    match points {
        0 => None,
        1 => Some("The point without current only bounds the law".to_owned()),
        n => Some(format!("{n} points without current only bound the law")),
    }
}

/// Points far hotter than this many times the dissipation, or colder than one part in so many of it, are in another
/// unit of current (curves are published to three or four times the dissipation; common practice, no source).
const TOO_HOT: f64 = 10.0;
const TOO_COLD: f64 = 40.0;
/// No section of a receiving tube dissipates as much (W).
const NO_TUBE: f64 = 1000.0;

/// What is odd about points that were fitted all the same; `dissipation` is the rating, if known (W).
pub fn doubt(fit: &Fit, dissipation: Option<f64>) -> Option<Finding> {
    let (power, point) = fit.hottest()?;
    let (high, low) = (
        dissipation.map_or(NO_TUBE, |rated| TOO_HOT * rated),
        dissipation.map_or(0.0, |rated| rated / TOO_COLD),
    );
    let sentence = if power > high {
        format!(
            "{} and {} are {}: is the current in µA?",
            place(point),
            amps(point.current.0),
            watts(power)
        )
    } else if power < low {
        format!(
            "The hottest point, {}, has {} only: is the current in mA?",
            place(point),
            watts(power)
        )
    } else {
        likely_slip(&fit.points)?.to_owned()
    };
    Some(Finding {
        about: Stage::PassStage,
        severity: Severity::Near,
        sentence,
        numbers: Vec::new(),
    })
}

/// Two points that the law was fitted to although their currents are in the wrong order.
pub fn wrong_order(fit: &Fit) -> Option<Finding> {
    let (more, less, by) = fit.wrong_order()?;
    Some(Finding {
        about: Stage::PassStage,
        severity: Severity::Near,
        sentence: format!(
            "At {} the current is {} lower than at {}, though the volts are no lower: is one of them misread?",
            place(less),
            percent(by),
            place(more)
        ),
        numbers: Vec::new(),
    })
}

/// What is odd about the points of a type that was read from a file: that no law meets them, or that two are in the wrong
/// order; `lines` as in [`refusal`].
pub fn own_type_doubt(
    fit: Result<&Fit, &FitError>,
    points: &[PlatePoint],
    lines: &[usize],
) -> Option<String> {
    match fit {
        Ok(fit) => wrong_order(fit).map(|finding| finding.sentence),
        Err(error) => {
            let why = refusal(error, points, lines);
            let stop = if why.ends_with('?') { "" } else { "." };
            Some(format!(
                "{why}{stop} The type is in the list, but its curve is not known"
            ))
        }
    }
}

/// What is wrong with a field.
pub fn fault(fault: &DraftFault) -> String {
    let line = fault
        .line
        .map(|l| format!(", line {l}"))
        .unwrap_or_default();
    format!(
        "{}{line}: found {}, expected {}",
        fault.field, fault.found, fault.expected
    )
}

fn percent(ratio: f64) -> String {
    // Two figures are more than the ± of a ± is worth.
    let hundred = 100.0 * ratio;
    if hundred < 1.0 {
        "1 %".to_owned()
    } else {
        format!("{hundred:.0} %")
    }
}

/// Two or three figures without a unit.
fn short(value: f64) -> String {
    let text = if value.abs() >= 100.0 {
        format!("{value:.0}")
    } else if value.abs() >= 10.0 {
        format!("{value:.1}")
    } else {
        format!("{value:.2}")
    };
    if text.contains('.') {
        text.trim_end_matches('0').trim_end_matches('.').to_owned()
    } else {
        text
    }
}
