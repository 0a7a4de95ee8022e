//! Switching on in words: the surge, what the primary draws at work, which fuse bears it and why.

mod fuse;
mod text;

pub use fuse::{caption, family, holds, odds, pick, protection, protects, short_name};
pub use text::text;

use crate::bench::fuses::{Before, Hang, Inrush, Surges};
use crate::explain::odds::band;
use crate::explain::{number, sentence_case};
use crate::parts::{CoreBuild, Limiter, Primary, Supply};
use crate::physics::switch_on::thermistor::InLine;
use crate::physics::switch_on::{
    Closing, CoreFault, Fault, MadeReady, NoSwitchOn, Settling, Transient, Value,
};

/// What belongs to every answer about a fuse.
pub const CAUTIONS: [&str; 4] = [
    "Mains parts are live as long as the plug is in: plug out before a cover comes off.",
    "A fuse in one conductor alone leaves the other live in a plug that can be turned; the switch should break both. It is no protection for \
     people, and none in place of a protective earth.",
    "Choosing and fitting a fuse is for someone qualified; local codes and the maker's own figure come first.",
    "A blown fuse of the right rating has a cause: look for it before the next one goes in.",
];

/// Why nothing can be said of switching on, in a sentence: place, found, expected.
pub fn failure(why: &NoSwitchOn, primary: &Primary) -> String {
    match why {
        NoSwitchOn::Supply(failure) => crate::explain::failure::sentence(failure),
        NoSwitchOn::Core(CoreFault::SaturatedAtWork {
            knee_volts,
            mains_volts,
        }) => {
            let field = if primary.no_load.is_some() {
                "primary.no_load"
            } else {
                "primary.saturates_at"
            };
            format!(
                "{field}: found a core that saturates at {}, expected more than the mains of {}: it would draw amperes for good",
                number::volts(*knee_volts),
                number::volts(*mains_volts)
            )
        }
        NoSwitchOn::Core(CoreFault::NoSuchCore) => "primary.no_load.higher: found more current than any saturation of the stated core gives, \
             expected two readings of one winding, all others open"
            .to_owned(),
    }
}

/// A value of the primary side by its name.
pub fn value(value: Value) -> &'static str {
    match value {
        Value::MainsResistance => "resistance of the mains",
        Value::MainsInductance => "inductance of the mains",
        Value::CoreRating => "VA of the transformer",
        Value::NoLoad => "no-load current",
        Value::Knee => "volts at which the core saturates",
        Value::SaturatedInductance => "inductance of the saturated primary",
        Value::Heaters => "watts of the heaters",
    }
}

/// A fault by its name.
pub fn fault(fault: Fault) -> &'static str {
    match fault {
        Fault::ShortedRectifier => "a shorted rectifier",
        Fault::ShortedBus => "a shorted bus",
        Fault::WindingOverload => "the winding overloaded by half",
    }
}

/// From what state it is switched on.
pub fn before(before: Before) -> &'static str {
    match before {
        Before::Cold => "from cold",
        Before::Hot => "again at once, everything hot",
    }
}

/// I²t: `12.3 A²s`.
pub fn heating(value: f64) -> String {
    format!("{} A²s", number::pure(value))
}

/// A time: `20 ms`, `2.9 s`, `12 min`.
pub fn time(seconds: f64) -> String {
    if !seconds.is_finite() {
        "never".to_owned()
    } else if seconds < 0.9995 {
        format!("{} ms", number::pure(1e3 * seconds))
    } else if seconds < 119.5 {
        format!("{} s", number::pure(seconds))
    } else {
        format!("{} min", number::pure(seconds / 60.0))
    }
}

/// An angle of the mains: `35°`.
pub fn degrees(degrees: f64) -> String {
    format!("{:.0}°", degrees.rem_euclid(360.0))
}

/// What stayed in the core: `+35 % of the working flux`.
pub fn residual(share: f64) -> String {
    format!("{} of the working flux", signed_per_cent(share))
}

/// The same without what it is a share of: `+35 %`.
pub fn per_cent(share: f64) -> String {
    signed_per_cent(share)
}

/// How the closing is drawn in the picture.
pub const DRAG: &str = "draw in the picture, across for the instant of closing, up and down for the flux that stayed in the core";

/// What `cold` and `hot` stand for.
pub fn before_in_full(word: &str) -> &'static str {
    if word == "hot" {
        "Switched on again at once: heaters, rectifier and thermistor hot, the capacitors nearly full"
    } else {
        "Switched on from cold: heaters cold, capacitors empty"
    }
}

fn signed_per_cent(share: f64) -> String {
    let hundred = (100.0 * share).round();
    if hundred > 0.0 {
        format!("+{hundred:.0} %")
    } else if hundred < 0.0 {
        format!("\u{2212}{:.0} %", -hundred)
    } else {
        "0 %".to_owned()
    }
}

/// One transient in a line: `Crest 23.4 A after 4.1 ms, 1.2 A²s in the first cycle`.
pub fn transient(found: &Transient) -> String {
    format!(
        "Crest {} after {}, {} in the first mains cycle",
        number::amps(found.crest_amps),
        time(found.crest_seconds),
        heating(found.first_cycle_heating)
    )
}

/// How it was closed: `closed at 35° of the mains, residual flux +20 % of the working flux`.
pub fn closing(closing: &Closing) -> String {
    format!(
        "closed at {} of the mains, residual flux {}",
        degrees(closing.degrees),
        residual(closing.residual)
    )
}

/// The same in few words: `35°, residual flux +20 %`.
fn short_closing(closing: &Closing) -> String {
    format!(
        "{}, residual flux {}",
        degrees(closing.degrees),
        signed_per_cent(closing.residual)
    )
}

/// Words of the glossary that the picture uses.
pub const WORDS: [&str; 3] = ["inrush current", "residual flux", "melting I²t"];

/// Accessible name of the picture.
pub const NAME: &str = "Switching on";

/// Names of its curves.
pub const CURVES: [&str; 4] = [
    "through the plug",
    "magnetising the core",
    "this switch-on",
    "nineteen of twenty switch-ons stay below",
];

/// The picture in words: this closing, all closings, the fuse that is shown.
pub fn in_words(found: &Transient, all: Option<&Inrush>) -> String {
    let this = format!(
        "{}. {}",
        sentence_case(&closing(&found.closing)),
        transient(found)
    );
    let Some(all) = all else {
        return this;
    };
    let crests = crests(&all.surges).unwrap_or_default();
    let best = all.picks.first().map_or_else(String::new, |best| {
        format!(
            ". Recommended {}: {}",
            caption(best.fuse.kind, best.fuse.rating),
            holds(&best.fuse)
        )
    });
    format!("{this}. {crests}{best}")
}

/// One line under the picture's title: what all switch-ons say, and the fuse.
pub fn verdict(all: &Inrush) -> String {
    let drawn = all.surges.drawn.len();
    let crest = all.surges.crest();
    let crest = crest.map_or_else(String::new, |crest| {
        format!(
            "Of {drawn} switch-ons nine in ten have a crest of {}. ",
            band(crest, number::amps)
        )
    });
    let fuse = match (&all.fitted, all.picks.first()) {
        (Some(fitted), _) => format!(
            "The fitted {} {}; {}",
            caption(fitted.kind, fitted.rating),
            holds(fitted),
            protects(fitted)
        ),
        (None, Some(best)) => format!(
            "{} {}; {}",
            caption(best.fuse.kind, best.fuse.rating),
            holds(&best.fuse),
            protects(&best.fuse)
        ),
        (None, None) => "No standard fuse bears this: a limiter is needed first".to_owned(),
    };
    format!("{crest}{fuse}. {SHORT_CAUTION}")
}

/// The shortest caution that a fuse's figures have beside them.
pub const SHORT_CAUTION: &str = "Fuses are for someone qualified; plug out first.";

/// Crests of many switch-ons: `Crest 3.1 to 28 A, middle 11 A; highest drawn 41 A`.
pub fn crests(surges: &Surges) -> Option<String> {
    let crest = surges.crest()?;
    let highest = surges.worst()?;
    Some(format!(
        "Crest {}; the highest drawn {}, {}",
        band(crest, number::amps),
        number::amps(highest.surge.crest_amps),
        closing(&highest.closing)
    ))
}

/// What the heaters and the rectifier draw after the surge.
pub fn settling(found: &Settling, before: Before) -> Vec<String> {
    let rms = |seconds: f64| {
        let window = 0.1;
        let brought = found.heating_at(seconds + window) - found.heating_at(seconds);
        number::amps((brought / window).max(0.0).sqrt())
    };
    let mut said = Vec::new();
    if before == Before::Cold {
        said.push(format!(
            "Heaters and core: {} rms after a tenth of a second, {} after 3 s, {} after 10 s",
            rms(0.1),
            rms(3.0),
            rms(10.0)
        ));
    }
    if found.rectifier_from > 0.0 {
        said.push(format!(
            "The rectifier begins to conduct about {} after the switch; until then the filter is empty",
            time(found.rectifier_from)
        ));
    } else {
        said.push(
            "The rectifier conducts at once: its surge and that of the core come together"
                .to_owned(),
        );
    }
    said
}

/// What was not stated and stands as is usual; `None` where all was.
pub fn assumed(ready: &MadeReady) -> Option<String> {
    let names: Vec<&str> = ready.assumed.iter().map(|one| value(*one)).collect();
    let [before @ .., last] = names.as_slice() else {
        return None;
    };
    let list = if before.is_empty() {
        (*last).to_owned()
    } else {
        format!("{} and {last}", before.join(", "))
    };
    Some(format!(
        "Not stated, so what is usual of a transformer of {} VA: {list}",
        number::pure(ready.volt_amps)
    ))
}

/// How much the worst crest hangs on a value.
pub fn hangs_on(hang: &Hang) -> String {
    let [low, high] = hang.crest_amps.map(number::amps);
    format!(
        "{}: the worst crest is {low} to {high} over what it may be",
        sentence_case(value(hang.value))
    )
}

/// What would make it known.
pub const TO_MEASURE: &str = "Worth measuring: the no-load current at two voltages of the primary, all other windings open and insulated, on an \
isolated variable transformer; lethal volts stand on the open windings.";

/// What a limiter does, and what it cannot.
pub fn limiter(limiter: Limiter, running_amps: f64) -> String {
    match limiter {
        Limiter::Resistor(ohms) => format!(
            "{ohms} stay in the line: at {} they drop {} and take {}",
            number::amps(running_amps),
            number::volts(ohms.0 * running_amps),
            number::watts(ohms.0 * running_amps * running_amps)
        ),
        Limiter::SoftStart {
            resistance,
            shorted_after,
        } => format!("{resistance} stay in the line for {shorted_after}, then a relay shorts them"),
        Limiter::Thermistor { cold, at, .. } => {
            let ohms = InLine::settled(Some(limiter), running_amps).ohms(0.0);
            let low = if running_amps < 0.3 * at.0 {
                format!(
                    "; that is less than a third of its {at}, so that it stays half cold and keeps more of the mains than its sheet says"
                )
            } else {
                String::new()
            };
            format!(
                "{cold} cold, {} warm at {}: it drops {}{low}. Hot, it limits nothing: a minute or two to cool before the next switch-on",
                number::ohms(ohms),
                number::amps(running_amps),
                number::volts(ohms * running_amps)
            )
        }
    }
}

/// How a core is built.
pub fn build(build: CoreBuild) -> &'static str {
    match build {
        CoreBuild::Interleaved => "interleaved E and I",
        CoreBuild::Butted => "butted or welded E and I",
        CoreBuild::Toroid => "toroid",
    }
}

/// What the primary carries at work: by output current.
pub fn running(found: &Inrush) -> Vec<String> {
    found
        .running
        .iter()
        .map(|one| {
            let load = if one.output_amps > 0.0 {
                format!("{} out", number::amps(one.output_amps))
            } else {
                "nothing connected".to_owned()
            };
            format!(
                "{load}: {} rms, crest {}, of which {} rms magnetise the core",
                number::amps(one.rms_amps),
                number::amps(one.crest_amps),
                number::amps(one.magnetising_rms_amps)
            )
        })
        .collect()
}

/// What stands above the picture of one closing, and the same in fewer words.
pub fn titles(found: &Transient, supply: &Supply) -> [String; 3] {
    let volts = supply.mains.present;
    [
        format!(
            "Switching on at {volts}, {}. {}",
            closing(&found.closing),
            transient(found)
        ),
        format!("{}: {}", short_closing(&found.closing), transient(found)),
        format!(
            "{}, {}: crest {}",
            degrees(found.closing.degrees),
            signed_per_cent(found.closing.residual),
            number::amps(found.crest_amps)
        ),
    ]
}
