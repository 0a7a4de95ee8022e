//! Everything about a point as plain text: `sagline explain`.

use crate::bench::first_met::{FirstMet, WaysBack};
use crate::bench::holding::Holding;
use crate::bench::sensitivity::Sensitivity;
use crate::bench::working::Working;
use crate::explain::why::{
    NOTHING_MET, axis, back_heading, caution, enough, first_met, formula, nothing_moves_it,
    way_back, what_moves_it,
};
use crate::explain::{accepted, cautions, limits, number, regulation, sentence};
use crate::parts::Supply;
use crate::physics::Failure;
use crate::physics::envelope::{Envelope, Point};
use crate::physics::limit::Use;

/// All that is said about a point.
#[derive(Clone, Copy)]
pub struct Answer<'a> {
    /// The supply.
    pub supply: &'a Supply,
    /// Its envelope.
    pub envelope: &'a Envelope,
    /// The point.
    pub point: &'a Point,
    /// What is met first.
    pub met: &'a FirstMet,
    /// What leads back inside.
    pub back: &'a WaysBack,
    /// The figures in the case that a limit is judged in; `None` where the bus collapses.
    pub figures: &'a dyn Fn(&Use) -> Option<Working>,
    /// What moves the limit that is explained, if it was worked out.
    pub moves: Option<&'a Sensitivity>,
    /// How the output is held there, or why that is not known.
    pub holding: Option<&'a Result<Holding, Failure>>,
}

/// A point of the supply of this name in plain text, for the terminal.
pub fn text(name: &str, answer: Answer<'_>) -> String {
    let Answer {
        supply,
        envelope,
        point,
        moves,
        holding,
        ..
    } = answer;
    let mut out = format!(
        "{name}\nAt {} and {}\n\n{}\n",
        number::volts(point.volts),
        number::amps(point.amps),
        sentence(&limits::verdict(point, supply).sentence)
    );
    // Where the bus collapses nothing else is judged, and what stands on it without load is beside the point.
    if let Some(tightest) = point.tightest().filter(|_| point.operation.is_some()) {
        for words in judged(answer, tightest) {
            line(&mut out, &words);
        }
    }
    let said = point.tightest().map(|one| one.limit);
    let other = point.uses.iter();
    let other: Vec<&Use> = other
        .filter(|one| one.is_over() && Some(one.limit) != said)
        .collect();
    if !other.is_empty() {
        out.push_str("\nAlso over\n");
        for one in other {
            line(
                &mut out,
                &format!("  {}", sentence(&limits::sentence(one, supply, point))),
            );
        }
    }
    let accepted = accepted::sentences(supply);
    if !accepted.is_empty() {
        out.push('\n');
        line(&mut out, accepted::HEADING);
        for one in accepted {
            line(&mut out, &format!("  {one}"));
        }
    }
    around(&mut out, answer);
    if let Some(found) = moves {
        moved(&mut out, answer, found);
    }
    if let Some(holding) = holding {
        held(&mut out, holding, supply);
    }
    if let Some(caution) = caution(envelope, point) {
        out.push('\n');
        line(&mut out, &sentence(&caution));
    }
    for caution in cautions::regulator(supply) {
        line(&mut out, &sentence(&caution.sentence));
    }
    line(&mut out, cautions::ESTIMATE);
    out
}

/// A limit's sentence, its formula with the numbers put in, and how it was judged.
fn judged(answer: Answer<'_>, one: &Use) -> [String; 3] {
    let working = (answer.figures)(one);
    [
        sentence(&limits::sentence(one, answer.supply, answer.point)),
        working.map_or_else(String::new, |w| {
            formula(one, &w, answer.supply, answer.point)
        }),
        limits::how_judged(one).unwrap_or_default(),
    ]
}

/// What leads back inside, or what is met first.
fn around(out: &mut String, answer: Answer<'_>) {
    let at = [answer.point.amps, answer.point.volts];
    let back = way_back(answer.back, at, answer.supply);
    if !back.is_empty() {
        out.push('\n');
        line(out, back_heading(answer.back));
        for way in back {
            line(out, &format!("  {}", sentence(&way)));
        }
        return;
    }
    let met = first_met(answer.met, answer.supply);
    out.push_str("\nFirst met from here\n");
    if met.is_empty() {
        line(out, &format!("  {NOTHING_MET}"));
    }
    for met in met {
        line(out, &format!("  {met}"));
    }
}

/// What moves the limit that is explained; its own sentence first where that was not said yet.
fn moved(out: &mut String, answer: Answer<'_>, found: &Sensitivity) {
    let Answer { supply, point, .. } = answer;
    out.push_str("\nWhat moves ");
    line(out, &limits::name(found.limit, supply));
    let said = point.tightest().is_some_and(|t| t.limit == found.limit);
    if let Some(one) = (point.uses.iter()).find(|one| one.limit == found.limit && !said) {
        // Among what is also over its sentence stands already.
        let over = one.ratio().is_some_and(|ratio| ratio > 1.0);
        let words = judged(answer, one);
        let new = words.iter().skip(usize::from(over));
        for words in new.filter(|w| !w.is_empty()) {
            line(out, &format!("  {words}"));
        }
    }
    line(out, &format!("  {}", sentence(&axis(found))));
    if found.shifts.is_empty() {
        line(out, &format!("  {}", nothing_moves_it(found.limit)));
    }
    for one in what_moves_it(found, supply) {
        let breaks = if one.breaks.is_empty() {
            String::new()
        } else {
            format!("  ({})", one.breaks)
        };
        line(out, &format!("  {:<52} {}{breaks}", one.what, one.by));
    }
    let enough = enough(found, supply);
    if !enough.is_empty() {
        line(out, &format!("  {enough}"));
    }
}

/// The figures of the loop, and what is to be said about it.
fn held(out: &mut String, holding: &Result<Holding, Failure>, supply: &Supply) {
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
        line(out, &format!("  {}", sentence(&finding.sentence)));
    }
}

fn line(out: &mut String, text: &str) {
    if !text.is_empty() {
        out.push_str(text);
        out.push('\n');
    }
}
