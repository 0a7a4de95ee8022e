//! All of it as a text for a terminal or a page.

use crate::bench::bleeder::{Choice, NoChoice};
use crate::bench::capacitor_stack::Shared;
use crate::bench::reforming::Reforming;
use crate::bench::run_down::RunDown;
use crate::bench::warm_up::WarmUp;
use crate::explain::discharge::{
    LEAKAGE, NOT_COUNTED, REFORMING_WATCH, TO_DO, WARM_IS_A_GUESS, bleeder, capacitor, closing,
    endurance, from_point, no_bleeder, place_does, rail_capacitor, reforming, shared,
    stand_by_place, wait, warm_span, warming_up,
};
use crate::explain::{cautions, number, sentence, sentence_case};
use crate::parts::{StandBy, Work};
use crate::physics::discharge::{Chain, TOUCH_VOLTS};
use crate::physics::stand_by::{Endurance, Waiting, hot_switching_rating};

/// What was found out about a supply.
#[derive(Debug, Clone, Copy)]
pub struct Found<'a> {
    /// How it runs down.
    pub run_down: &'a RunDown,
    /// The wait that was asked for (s), and the bleeder for it.
    pub bleeder: Option<(f64, Result<Choice, NoChoice>)>,
    /// What a stand-by switch does at each place that it may have.
    pub waiting: &'a [Waiting],
    /// How long it may stand with nothing connected.
    pub endurance: Endurance,
    /// Its stacks of capacitors in series.
    pub stacks: &'a [Shared],
    /// How its electrolytics would be reformed: which, and how.
    pub reforming: &'a [(usize, Reforming)],
    /// How it warms up.
    pub warm_up: &'a WarmUp,
}

/// The text.
pub fn text(work: &Work, found: Found<'_>) -> String {
    let mut page = Vec::new();
    if !work.name.is_empty() {
        page.push(work.name.clone());
        page.push(String::new());
    }
    run_down(&mut page, work, found.run_down);
    if let Some((wanted, chosen)) = found.bleeder {
        section(
            &mut page,
            format!(
                "A bleeder for {} within {}",
                number::volts(TOUCH_VOLTS),
                number::seconds(wanted)
            ),
        );
        let said = chosen.map_or_else(no_bleeder, |choice| bleeder(&choice));
        item(&mut page, &said);
    }
    stand_by(&mut page, work, found);
    if !found.stacks.is_empty() {
        section(&mut page, "Capacitors in series".to_owned());
        for one in found.stacks {
            items(&mut page, &shared(one, &work.supply));
        }
        page.push(format!("  {LEAKAGE}"));
    }
    if !found.reforming.is_empty() {
        section(
            &mut page,
            "Reforming an electrolytic that has lain idle".to_owned(),
        );
        for (place, one) in found.reforming {
            items(&mut page, &reforming(&capacitor(*place, &work.supply), one));
        }
        page.extend(REFORMING_WATCH.map(|line| format!("  {line}")));
    }
    section(&mut page, "Warming up".to_owned());
    items(&mut page, &warming_up(found.warm_up, &work.supply));
    section(&mut page, "Before you touch".to_owned());
    page.extend(TO_DO.map(|line| format!("  {line}")));
    page.push(format!("  {NOT_COUNTED}"));
    page.extend([
        String::new(),
        sentence(cautions::STANDING[3]),
        cautions::ESTIMATE.to_owned(),
        String::new(),
    ]);
    page.join("\n")
}

fn section(page: &mut Vec<String>, title: String) {
    page.extend([String::new(), title]);
}

fn item(page: &mut Vec<String>, said: &str) {
    page.push(format!("  {}", sentence_case(said)));
}

/// A first line, and those under it.
fn items(page: &mut Vec<String>, all: &[String]) {
    if let [first, rest @ ..] = all {
        item(page, first);
        page.extend(rest.iter().map(|line| format!("    {line}")));
    }
}

fn run_down(page: &mut Vec<String>, work: &Work, found: &RunDown) {
    let worst = &found.worst;
    page.push(format!(
        "After switch-off, nothing connected, {} mains before",
        number::volts(worst.mains_volts)
    ));
    item(
        page,
        &format!("stored: {} in all", number::joules(worst.kept.joules)),
    );
    let name = |place: usize| capacitor(place, &work.supply);
    stores(page, &worst.charged.bus, &name);
    if let Some(rail) = &worst.charged.rail {
        stores(page, rail, &|place| {
            rail_capacitor(place, rail.stores.len())
        });
    }
    item(page, &format!("tubes cold: {}", wait(&worst.kept.bus)));
    item(
        page,
        &format!(
            "capacitors at the upper end of their tolerance: {}",
            wait(&worst.larger.bus)
        ),
    );
    match &worst.open {
        Some(open) => item(page, &format!("bleeder open: {}", wait(&open.bus))),
        None => item(page, "there is no bleeder"),
    }
    if let Some(rail) = &worst.kept.rail {
        item(page, &format!("negative rail: {}", wait(rail)));
    }
    item(page, &format!("tubes still warm: {}", warm_span(found)));
    page.push(format!(
        "    they count as cold after {}; until then the output is held, then follows the bus; it is below {} after {}",
        number::seconds(worst.warm.cold_from),
        number::volts(TOUCH_VOLTS),
        number::seconds(worst.warm.output_to_touch)
    ));
    page.push(format!("    {WARM_IS_A_GUESS}"));
    if let Some(point) = &found.from_point {
        section(
            page,
            format!(
                "From {} and {}, present mains",
                number::volts(point.connected.volts),
                number::amps(point.connected.amps)
            ),
        );
        item(
            page,
            &format!("stored: {}", number::joules(point.kept.joules)),
        );
        item(page, &from_point(point));
        item(page, &format!("tubes cold: {}", wait(&point.kept.bus)));
    }
}

fn stores(page: &mut Vec<String>, chain: &Chain, name: &dyn Fn(usize) -> String) {
    for (place, store) in chain.stores.iter().enumerate() {
        page.push(format!(
            "    {}: {} at {}, {}",
            name(place),
            number::farads(store.farads),
            number::volts(store.volts),
            number::joules(store.joules())
        ));
    }
}

fn stand_by(page: &mut Vec<String>, work: &Work, found: Found<'_>) {
    let stated = work.supply.output.stand_by;
    let heading = match stated {
        None => "Stand-by: where the switch sits is not stated".to_owned(),
        Some(StandBy::NoSwitch) => "Stand-by: there is no switch".to_owned(),
        Some(place) => format!("Stand-by: the switch sits {}", stand_by_place(place)),
    };
    section(page, heading);
    let rated = hot_switching_rating(&work.supply);
    for one in found.waiting {
        let is_it = stated == Some(one.place);
        let mark = if is_it { " (as it is)" } else { "" };
        let mut said = format!("{}{mark}: {}", stand_by_place(one.place), place_does(one));
        if let Some(closing) = closing(one, rated, &work.supply) {
            said = format!("{said}; {closing}");
        }
        item(page, &said);
    }
    page.push(format!("  {}", endurance(found.endurance)));
}
