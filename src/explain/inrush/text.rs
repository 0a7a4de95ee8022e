//! All that is said of a supply's switching on, as a text for a terminal or a page.

use crate::bench::fuses::{FuseJudged, Holds, Inrush};
use crate::explain::inrush::fuse::fault_current;
use crate::explain::inrush::{
    CAUTIONS, TO_MEASURE, assumed, before, build, caption, crests, family, hangs_on, heating,
    holds, limiter, pick, protects, running, settling,
};
use crate::explain::odds::band;
use crate::explain::{cautions, number, sentence_case};
use crate::parts::{FuseKind, FusePlace, Work};

/// The text.
pub fn text(work: &Work, found: &Inrush) -> String {
    let mut page = Vec::new();
    if !work.name.is_empty() {
        page.push(work.name.clone());
    }
    let surges = &found.surges;
    page.push(format!(
        "{} switch-ons {}, drawn (seed {}): closed at any instant, residual flux up to {} of the working flux either way; core of {}",
        surges.drawn.len(),
        before(surges.asked.before),
        surges.asked.seed,
        number::per_cent(found.ready.side.most_residual),
        build(work.primary.build),
    ));
    surge(&mut page, found);
    section(
        &mut page,
        "At work, through the plug, at the mains as they are",
    );
    page.extend(running(found).into_iter().map(indented));
    if let Some(fitted) = work.primary.limiter {
        page.push(indented(format!(
            "Limiter: {}",
            limiter(fitted, found.most_running_amps)
        )));
    }
    section(&mut page, "In faults");
    for one in &found.faults {
        page.push(indented(fault_current(one.fault, one.rms_amps)));
    }
    fuses(&mut page, work, found);
    if let Some(said) = assumed(&found.ready) {
        section(&mut page, "What this hangs on");
        page.push(indented(said));
        page.extend(found.hangs_on.iter().map(|hang| indented(hangs_on(hang))));
        page.push(indented(TO_MEASURE));
    }
    page.push(String::new());
    page.extend(CAUTIONS.map(str::to_owned));
    page.extend([cautions::ESTIMATE.to_owned(), String::new()]);
    page.join("\n")
}

fn section(page: &mut Vec<String>, title: &str) {
    page.extend([String::new(), title.to_owned()]);
}

fn indented(line: impl AsRef<str>) -> String {
    format!("  {}", line.as_ref())
}

fn surge(page: &mut Vec<String>, found: &Inrush) {
    section(page, "At the closing, nine switch-ons in ten");
    page.extend(crests(&found.surges).map(indented));
    if let Some(first) = found.surges.first_cycle_heating() {
        page.push(indented(format!(
            "I²t of the first mains cycle {}",
            band(first, heating)
        )));
    }
    let said = settling(&found.surges.settling, found.surges.asked.before);
    page.extend(said.into_iter().map(indented));
}

/// Ratings of one kind that are listed: from the largest that blows nearly always to two beyond the first that bears it.
fn worth_listing(all: &[FuseJudged], kind: FuseKind) -> Vec<&FuseJudged> {
    let of_kind: Vec<&FuseJudged> = all.iter().filter(|one| one.kind == kind).collect();
    let hopeless = |one: &&&FuseJudged| {
        !one.carries || matches!(one.holds, Holds::Blows(share) if share > 0.99)
    };
    let first = of_kind
        .iter()
        .take_while(hopeless)
        .count()
        .saturating_sub(1);
    let borne = of_kind.iter().position(|one| one.bears_it());
    let last = borne.map_or(of_kind.len(), |place| place + 3);
    let wanted = first..last.min(of_kind.len());
    of_kind.get(wanted).map_or_else(Vec::new, <[_]>::to_vec)
}

fn fuses(page: &mut Vec<String>, work: &Work, found: &Inrush) {
    for kind in crate::bench::fuses::kinds_for(&work.supply) {
        section(page, &format!("Fuses: {}", family(kind)));
        for one in worth_listing(&found.judged, kind) {
            page.push(indented(format!(
                "{}: {}; {}",
                caption(one.kind, one.rating),
                holds(one),
                protects(one)
            )));
        }
    }
    section(page, "Recommended");
    match found.picks.first() {
        Some(best) => page.extend(pick(best, found).into_iter().map(indented)),
        None => page.push(indented(
            "No standard fuse bears this: a limiter in the line is needed first",
        )),
    }
    if let Some(fuse) = &work.primary.fuse {
        let name = caption(fuse.kind, fuse.rating.0);
        let said = match &found.fitted {
            Some(one) => format!("Fitted: {name} {}; {}", holds(one), protects(one)),
            None if fuse.place == FusePlace::Secondary => format!(
                "Fitted: {name} behind the transformer, where it sees no inrush; it is not judged here"
            ),
            None => format!("Fitted: {name}"),
        };
        page.push(indented(sentence_case(&said)));
    }
}
