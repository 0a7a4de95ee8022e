//! Bleeder, stand-by, stacks, reforming, warming up: each in a sentence or two.

use crate::bench::bleeder::{Choice, NoChoice, Size};
use crate::bench::capacitor_stack::{Balanced, Shared};
use crate::bench::reforming::Reforming;
use crate::bench::warm_up::{Span, WarmUp};
use crate::explain::discharge::capacitor;
use crate::explain::number;
use crate::parts::{Amps, Rating, StandBy, Supply};
use crate::physics::stand_by::{Endurance, Waiting};

/// Where the leakage is from that balancing resistors are chosen by.
pub const LEAKAGE: &str = "Units are taken to differ by 0.0015·C·V µA in what they leak, unless it was measured; a new one may leak \
     3·√(C·U) µA, in the style of IEC 60384-4 (values from memory). Old cans leak more, and want smaller resistors.";

/// What to watch while reforming. Common practice; times as quoted there.
pub const REFORMING_WATCH: [&str; 4] = [
    "Out of the supply, or with everything else disconnected; lethal all the same, and it stays charged: discharge it after each step.",
    "A step is over when the volts across the series resistor no longer fall; the last takes hours, after decades a day.",
    "Stop if it gets warm, hisses, or if the volts across the resistor rise: it is done for.",
    "Then measure its capacitance and loss as well: a dried-out one may not leak at all.",
];

/// One or several resistors: `a 25 W resistor`, `two 10 W resistors in series`.
pub fn size(size: Option<Size>) -> String {
    match size {
        Some(Size {
            in_series: 1,
            rated_watts,
        }) => format!("{} rated", number::watts(rated_watts)),
        Some(size) => format!(
            "{} in series, each {} rated",
            size.in_series,
            number::watts(size.rated_watts)
        ),
        None => "larger than any common one".to_owned(),
    }
}

/// A bleeder that was chosen: `27 kΩ, 25 W rated: 60 V after 9.2 s; takes 6.2 W and 15 mA for good`.
pub fn bleeder(choice: &Choice) -> String {
    format!(
        "{}, {}: 60 V after {}; takes {} and {} all the time",
        number::ohms(choice.ohms),
        size(choice.size),
        number::seconds(choice.seconds),
        number::watts(choice.watts),
        number::amps(choice.amps)
    )
}

/// Why none was chosen.
pub fn no_bleeder(why: NoChoice) -> String {
    match why {
        NoChoice::NotNeeded(seconds) => format!(
            "none needed: without one it takes {}",
            number::seconds(seconds)
        ),
        NoChoice::NotByABleeder(Some(seconds)) => format!(
            "none at the bus does it: even 100 Ω takes {}, for what stands before the bus holds the first capacitors up",
            number::seconds(seconds)
        ),
        NoChoice::NotByABleeder(None) => {
            "none at the bus does it: a capacitor before it has no way to discharge".to_owned()
        }
    }
}

/// Where a switch is: `in the centre tap`.
pub fn stand_by_place(place: StandBy) -> &'static str {
    match place {
        StandBy::NoSwitch => "no switch",
        StandBy::CentreTap => "in the centre tap",
        StandBy::BeforeFilter => "before the filter",
        StandBy::AfterFilter => "after the filter",
        StandBy::Output => "at the output",
    }
}

/// What a switch there does while one waits: `filter at 0 V`, `filter up to 412 V, nothing drawn`.
pub fn place_does(waiting: &Waiting) -> String {
    let most = waiting.capacitor_volts.iter().copied().fold(0.0, f64::max);
    let volts = number::volts(most);
    match waiting.place {
        StandBy::CentreTap | StandBy::BeforeFilter => {
            "filter at 0 V while one waits, output dead".to_owned()
        }
        StandBy::AfterFilter => {
            format!("filter at up to {volts} with nothing drawn, output dead")
        }
        StandBy::Output => format!("filter at up to {volts}, all at work but the terminals"),
        StandBy::NoSwitch => {
            format!("filter at up to {volts} until the tubes draw current")
        }
    }
}

/// What the rectifier meets when the switch is closed: the peak against its rating.
pub fn closing(waiting: &Waiting, rated: Option<&Rating<Amps>>, supply: &Supply) -> Option<String> {
    let amps = waiting.closing_amps?;
    let kind = &supply.rectifier.kind;
    let drives = match waiting.place {
        StandBy::CentreTap | StandBy::BeforeFilter if kind.is_silicon() => {
            "closing it drives up to"
        }
        StandBy::CentreTap | StandBy::BeforeFilter => "closing it on the hot cathode drives up to",
        StandBy::NoSwitch | StandBy::AfterFilter | StandBy::Output => {
            "the mains switch drives up to"
        }
    };
    let peak = format!("{drives} {} into the empty filter", number::amps(amps));
    Some(match rated {
        Some(rated) if amps > rated.value.0 => {
            format!("{peak}, over the {} of the {}", rated.value, kind.name)
        }
        Some(rated) => format!("{peak}, of {} rated", rated.value),
        None => format!("{peak}; no rating of the {} for that is known", kind.name),
    })
}

/// How long the supply may stand with nothing connected.
pub fn endurance(endurance: Endurance) -> &'static str {
    match endurance {
        Endurance::AnyTime => {
            "Nothing connected, output up: as long as one likes; every capacitor is within its working volts at high mains."
        }
        Endurance::Briefly => {
            "Nothing connected, output up: a capacitor stands between its working and its surge volts at high mains. Judgement, for no sheet \
             gives a total: half a minute at a time, and not as a habit."
        }
        Endurance::Never => {
            "Nothing connected, output up: not at all at high mains; a capacitor is beyond what it stands."
        }
        Endurance::NotKnown => {
            "Nothing connected, output up: not known, for the working volts of a capacitor are not. Judgement: no longer than a test takes."
        }
    }
}

/// The same in a few words.
pub fn endurance_in_short(endurance: Endurance) -> &'static str {
    match endurance {
        Endurance::AnyTime => "as long as one likes, within all working volts",
        Endurance::Briefly => "half a minute at a time (judgement): above working volts",
        Endurance::Never => "not at all at high mains: a capacitor is beyond what it stands",
        Endurance::NotKnown => "not known: working volts are missing",
    }
}

/// A stack in series: how it shares.
pub fn shared(of: &Shared, supply: &Supply) -> Vec<String> {
    let name = capacitor(of.place, supply);
    let working = of.working_volts.map_or_else(
        || "working volts not known".to_owned(),
        |volts| format!("{} each", number::volts(volts)),
    );
    let mut said = vec![format!(
        "{name}, {} in series, {working}: {} across them with nothing connected",
        of.in_series,
        number::volts(of.volts)
    )];
    said.push(format!(
        "by capacitance alone the worst may get {}",
        number::volts(of.by_tolerance_volts)
    ));
    match &of.fitted {
        Some(fitted) => said.push(format!("fitted: {}", balanced(fitted))),
        None => said.push(
            "no balancing resistors: in the long run leakage alone decides, and nobody knows it"
                .to_owned(),
        ),
    }
    match &of.chosen {
        Some(chosen) => said.push(format!("one would fit: {}", balanced(chosen))),
        None if of.working_volts.is_none() => {
            said.push("none can be chosen without the working volts".to_owned());
        }
        None => said.push("no balancing resistors help: even shares are too much".to_owned()),
    }
    said
}

/// Balancing resistors: `330 kΩ across each, 606 mW at most, 2 W rated; the worst unit gets 447 V in the long run; time constant 6.6 s`.
pub fn balanced(of: &Balanced) -> String {
    let limit = of.limit_volts.map_or_else(String::new, |volts| {
        format!(
            ", {} if all others leak as much as a new one may",
            number::volts(volts)
        )
    });
    format!(
        "{} across each, {} at most, {}; the worst unit gets {} in the long run{limit}; time constant {}",
        number::ohms(of.ohms),
        number::watts(of.watts),
        size(of.size),
        number::volts(of.worst_volts),
        number::seconds(of.seconds)
    )
}

/// How one would reform a capacitor of this name.
pub fn reforming(name: &str, of: &Reforming) -> Vec<String> {
    let steps: Vec<String> = of
        .steps
        .iter()
        .map(|step| number::volts(step.volts))
        .collect();
    let least = of.steps.first().map_or(0.0, |step| step.seconds);
    vec![
        format!(
            "{name}: through {}, {}, so that no more than {} flows",
            number::ohms(of.ohms),
            size(of.size),
            number::amps(of.most_amps)
        ),
        format!(
            "{}, at least {} each",
            steps.join(", "),
            number::seconds(least)
        ),
        format!(
            "done when it leaks less than {}: {} across the resistor",
            number::amps(of.done_amps),
            number::volts(of.done_volts)
        ),
    ]
}

fn span(of: Span) -> String {
    if of.to < 1.0 {
        "at once".to_owned()
    } else {
        format!("after {:.0} to {:.0} s", of.from, of.to)
    }
}

/// How a supply warms up, a line each.
pub fn warming_up(of: &WarmUp, supply: &Supply) -> Vec<String> {
    let mut said = vec![
        format!(
            "bus: {} ({})",
            span(of.rectifier),
            supply.rectifier.kind.name
        ),
        format!("regulator: {}", span(of.regulator)),
    ];
    if of.bus_alone_seconds > 0.0 {
        let alone = if supply.rectifier.kind.is_silicon() {
            "the bus is up before the heaters are"
        } else {
            "the bus is up before the tubes draw current"
        };
        said.push(format!(
            "{alone}, for up to {:.0} s: the capacitors stand at their highest then, unless a stand-by switch keeps them off",
            of.bus_alone_seconds
        ));
    }
    if of.preheats {
        said.push(
            "mercury vapour: plate volts only when its heater has been on for 30 s".to_owned(),
        );
    }
    said.push(format!(
        "leave stand-by after {:.0} s (judgement; times from memory)",
        of.leave_seconds
    ));
    said
}
