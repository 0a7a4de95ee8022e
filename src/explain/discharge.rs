//! What the capacitors keep after switch-off, in words: how much, how long, and what to do about it; with it stand-by, stacks of capacitors,
//! reforming and warming up.

mod care;
mod text;

pub use care::{
    LEAKAGE, REFORMING_WATCH, balanced, bleeder, closing, endurance, endurance_in_short,
    no_bleeder, place_does, reforming, shared, size, stand_by_place, warming_up,
};
pub use text::{Found, text};

use crate::bench::run_down::{FromPoint, RunDown};
use crate::explain::limits::capacitor_name;
use crate::explain::number;
use crate::parts::Supply;
use crate::physics::discharge::warm::Course;
use crate::physics::discharge::{DEAD_VOLTS, Kept, TOUCH_VOLTS, Wait};
use crate::physics::stand_by::hot_switching_rating;

/// Accessible name of the plot.
pub const NAME: &str = "Volts after switch-off";
/// Words of the glossary that it uses.
pub const WORDS: [&str; 1] = ["bleeder"];
/// What stands in a sentence where nothing bleeds a filter.
pub const STAYS: &str = "stays charged: nothing bleeds it";

/// What to do, a line each; the short list beside the curves and the end of the page. Common practice.
pub const TO_DO: [&str; 4] = [
    "Switch off, pull the plug, wait; count on no more than what is soldered in.",
    "Discharge each capacitor through a resistor, not a screwdriver: 10 kΩ 10 W on insulated leads, one hand, chassis first.",
    "Measure every capacitor and the negative rail dead, with a meter that was tried on a live source before and after.",
    "Leave a clip across the bus: a dielectric gives back a tenth of its volts within minutes. Measure again before you touch.",
];
/// At the mark of [`TOUCH_VOLTS`].
pub const DANGEROUS_ABOVE: &str = "60 V, dangerous above";
/// At that of [`DEAD_VOLTS`].
pub const DEAD_BELOW: &str = "10 V";
/// The same beside the curves.
pub const TO_DO_IN_SHORT: &str = "Plug out, and wait. Discharge every capacitor through a resistor, 10 kΩ 10 W, one hand. Measure each, and \
     the rail, dead. Clip the bus: some charge comes back.";
/// Why the warm figure is not to be trusted with a life.
pub const WARM_IS_A_GUESS: &str = "Warm tubes pull the bus down sooner, by a model of typical cathodes: a factor of two either way, and none \
     of it with a tube out, or cold. Reckon with cold ones.";
/// What the figures leave out.
pub const NOT_COUNTED: &str = "Not counted: leakage, panel meter and lamps, which shorten the wait; a joint that is dry, which does not.";

/// What is kept and for how long, in a sentence: `the filter keeps up to 8.1 J after switch-off, about 2 min 10 s to 60 V`.
pub fn keeps(kept: &Kept) -> String {
    let joules = number::joules(kept.joules);
    match longest(kept) {
        Longest::BusStays => format!("the filter keeps up to {joules} and {STAYS}"),
        Longest::RailStays(bus) => format!(
            "the filter keeps up to {joules} after switch-off, about {} to {}, while the negative rail {STAYS}",
            number::seconds(bus),
            number::volts(TOUCH_VOLTS)
        ),
        Longest::Falls(seconds) => format!(
            "the filter keeps up to {joules} after switch-off, about {} to {}",
            number::seconds(seconds),
            number::volts(TOUCH_VOLTS)
        ),
    }
}

/// How long it is kept, in the fewest words: `about 2 min 10 s to 60 V`.
pub fn keeps_in_short(kept: &Kept) -> String {
    let touch = number::volts(TOUCH_VOLTS);
    match longest(kept) {
        Longest::BusStays => "stays charged, nothing bleeds it".to_owned(),
        Longest::RailStays(bus) => format!(
            "about {} to {touch}; the rail stays charged",
            number::seconds(bus)
        ),
        Longest::Falls(seconds) => format!("about {} to {touch}", number::seconds(seconds)),
    }
}

/// What one has to wait for.
enum Longest {
    BusStays,
    /// The bus takes so long (s), the rail for ever.
    RailStays(f64),
    Falls(f64),
}

fn longest(kept: &Kept) -> Longest {
    let rail = kept.rail.filter(|rail| rail.volts >= TOUCH_VOLTS);
    match (kept.bus.to_touch, rail.map(|rail| rail.to_touch)) {
        (None, _) => Longest::BusStays,
        (Some(bus), Some(None)) => Longest::RailStays(bus),
        (Some(bus), rail) => Longest::Falls(rail.flatten().map_or(bus, |rail| rail.max(bus))),
    }
}

/// How long a chain takes: `60 V after 17.2 s, 10 V after 33.1 s`, or that it stays charged.
pub fn wait(wait: &Wait) -> String {
    match wait.to_touch {
        Some(_) => falls([wait.to_touch, wait.to_dead]),
        None if wait.left_volts < 0.9 * wait.volts => format!(
            "stays at about {}: nothing bleeds it any further",
            number::volts(wait.left_volts)
        ),
        None => format!("stays at {}: nothing bleeds it", number::volts(wait.volts)),
    }
}

fn falls([touch, dead]: [Option<f64>; 2]) -> String {
    let after = |level: f64, seconds: Option<f64>| match seconds {
        Some(seconds) if seconds > 0.0 => {
            format!(
                "{} after {}",
                number::volts(level),
                number::seconds(seconds)
            )
        }
        Some(_) => format!("never above {}", number::volts(level)),
        None => format!("{} not within two years", number::volts(level)),
    };
    format!("{}, {}", after(TOUCH_VOLTS, touch), after(DEAD_VOLTS, dead))
}

/// How the bus's filter falls with warm tubes.
pub fn warm(course: &Course) -> String {
    falls(course.falls)
}

/// The name of a capacitor of the bus's filter, `C1`, `bus`; at a line of the plot.
pub fn capacitor(place: usize, supply: &Supply) -> String {
    capacitor_name(u8::try_from(place).unwrap_or(u8::MAX), supply)
}

/// The name of a capacitor of the negative rail.
pub fn rail_capacitor(place: usize, of: usize) -> String {
    if of > 1 {
        format!("rail C{}", place + 1)
    } else {
        "rail".to_owned()
    }
}

/// What stands above the plot, and the same in fewer words.
pub fn titles(found: &RunDown) -> [String; 3] {
    let worst = &found.worst;
    let keeps = keeps_in_short(&worst.kept);
    let joules = number::joules(worst.kept.joules);
    let mains = number::volts(worst.mains_volts);
    [
        format!(
            "After switch-off (nothing connected, {mains} mains before, tubes cold): {joules}, {keeps}"
        ),
        format!("Nothing connected, {mains} mains: {joules}, {keeps}"),
        format!("{joules}, {keeps}"),
    ]
}

/// The whole plot in a sentence, for who does not see it.
pub fn in_words(found: &RunDown) -> String {
    let worst = &found.worst;
    let mut said = vec![
        format!(
            "Nothing connected, {} stored. Tubes cold: {}",
            number::joules(worst.kept.joules),
            wait(&worst.kept.bus)
        ),
        format!("Tubes still warm: {}", warm(&worst.warm)),
    ];
    if let Some(open) = &worst.open {
        said.push(format!("Bleeder open: {}", wait(&open.bus)));
    }
    if let Some(rail) = &worst.kept.rail {
        said.push(format!("Negative rail: {}", wait(rail)));
    }
    if let Some(point) = &found.from_point {
        said.push(format!(
            "From the point, load left on: {}",
            warm(&point.warm)
        ));
    }
    said.join(". ")
}

/// What stands below the curves where there is little room: how long, and what to do.
pub fn in_a_line(found: &RunDown) -> String {
    let worst = &found.worst;
    let open = worst.open.map_or_else(String::new, |open| {
        let until = open
            .bus
            .to_touch
            .map_or_else(|| "nothing else bleeds it".to_owned(), number::seconds);
        format!("; bleeder open: {until}")
    });
    format!(
        "Cold: {}{open}. Plug out, discharge each capacitor through a resistor, measure, then touch.",
        wait(&worst.kept.bus)
    )
}

/// What stands beside the curves, a heading and its words each.
pub fn beside(found: &RunDown, supply: &Supply) -> Vec<[String; 2]> {
    let worst = &found.worst;
    let line = |heading: &str, words: String| [heading.to_owned(), words];
    let mut all = vec![line("Tubes cold", wait(&worst.kept.bus))];
    all.push(line("Still warm", warm_span(found)));
    all.push(match &worst.open {
        Some(open) => line("Bleeder open", wait(&open.bus)),
        None => line("Bleeder", "there is none".to_owned()),
    });
    if let Some(rail) = &worst.kept.rail {
        all.push(line("Negative rail", wait(rail)));
    }
    if let Some(point) = &found.from_point {
        all.push(line("From the point", from_point(point)));
    }
    if let Some(waiting) = &found.waiting {
        let mut said = format!("{}: {}", stand_by_place(waiting.place), place_does(waiting));
        if let Some(closing) = closing(waiting, hot_switching_rating(supply), supply) {
            said = format!("{said}; {closing}");
        }
        all.push(line("Stand-by", said));
    }
    all.push(line(
        "With no load",
        endurance_in_short(found.endurance).to_owned(),
    ));
    all
}

/// How soon warm tubes bring the bus down, with how sure that is: `60 V after 4.1 s, 10 V after 6 s; 60 V between 3 s and 6.5 s by how
/// slowly they cool`.
pub fn warm_span(found: &RunDown) -> String {
    let worst = &found.worst;
    let [quick, slow] = worst.warm_to_touch;
    let said = warm(&worst.warm);
    let touch = number::volts(TOUCH_VOLTS);
    match [slow, quick].map(|end| end.map(number::seconds)) {
        [Some(from), Some(to)] if from != to => {
            format!("{said}; {touch} between {from} and {to} by how slowly they cool")
        }
        [Some(_), None] => format!("{said}; it may stay charged if they cool faster"),
        _ => said,
    }
}

/// From the point, what is connected staying so.
pub fn from_point(point: &FromPoint) -> String {
    let connected = if point.connected.amps > 0.0 {
        "load left on"
    } else {
        "nothing connected"
    };
    format!("{connected}, {}", warm(&point.warm))
}

#[cfg(test)]
mod tests;
