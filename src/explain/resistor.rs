//! A resistor in words: how it is made, where it is mounted, what it bears there, how hot it gets, how long it bears more.

use crate::bench::derating::{Body, Ground, Heat};
use crate::explain::number;
use crate::parts::drawer::kind_word;
use crate::parts::{Mounting, Ohms, Owned, Resistor, ResistorKind, Watts};

/// How it is made: `wire-wound`.
pub fn kind(kind: ResistorKind) -> &'static str {
    kind_word(kind)
}

/// The same for machines, where it is not known too.
pub fn kind_key(of: Option<ResistorKind>) -> &'static str {
    of.map_or(KIND_NOT_KNOWN, kind)
}

/// Stands where the kind is not known.
pub const KIND_NOT_KNOWN: &str = "kind not known";

/// Where it gets rid of its heat: `bare, without heat sink`.
pub fn mounting(kind: Option<ResistorKind>, mounting: Mounting) -> &'static str {
    match (mounting, kind) {
        (Mounting::FreeAir, Some(ResistorKind::AluminiumHoused)) => "bare, without heat sink",
        (Mounting::FreeAir, _) => "in free air",
        (Mounting::OnPlate, Some(ResistorKind::AluminiumHoused)) => "on its heat sink",
        (Mounting::OnPlate, _) => "on a plate",
        (Mounting::BoxedIn, _) => "boxed in",
    }
}

/// A mounting by itself, in a list to choose from.
pub fn mounting_choice(mounting: Mounting) -> &'static str {
    match mounting {
        Mounting::FreeAir => "bare",
        Mounting::OnPlate => "on a plate",
        Mounting::BoxedIn => "boxed in",
    }
}

/// What it bears of what is printed on it: `12.5 of 25 W`, or `25 W` where that is all of it.
pub fn bears(body: &Body) -> Option<String> {
    let (rated, long) = (body.rated_watts?, body.for_long()?);
    let printed = Watts(rated).to_string();
    if (long.watts / rated - 1.0).abs() < 1e-9 {
        return Some(printed);
    }
    let watts = number::watts(long.watts);
    Some(match (watts.split_once(' '), printed.split_once(' ')) {
        (Some((number, unit)), Some((_, same))) if unit == same => format!("{number} of {printed}"),
        _ => format!("{watts} of {printed}"),
    })
}

/// The same with where it is mounted: `bare, without heat sink: 12.5 of 25 W`.
pub fn bears_where(body: &Body) -> Option<String> {
    let bears = bears(body)?;
    Some(format!("{}: {bears}", mounting(body.kind, body.mounting)))
}

/// Why it bears that, as a sentence without a full stop.
pub fn why_it_bears(body: &Body) -> Option<String> {
    let long = body.for_long()?;
    let said = bears_where(body)?;
    Some(match long.ground {
        Ground::Own => format!("{said}; as its owner says"),
        Ground::KindNotKnown => {
            format!("{said}; its kind is not known, so the whole rating counts")
        }
        Ground::Published(source) => format!("{said} ({source})"),
    })
}

/// How hot that is, in one word.
pub fn heat_word(heat: Heat) -> &'static str {
    match heat {
        Heat::Warm => "warm",
        Heat::Hot => "hot",
        Heat::Burns => "burning",
        Heat::Scorches => "scorching",
        Heat::Chars => "charring",
    }
}

/// How hot a surface of so many degrees Celsius is, for a hand and for what lies on it.
pub fn heat(celsius: f64) -> String {
    let does = match Heat::of(celsius) {
        Heat::Warm => "one can hold it",
        Heat::Hot => "too hot to hold",
        Heat::Burns => "burns the skin",
        Heat::Scorches => "burns at once and melts insulation: keep wires and hands clear",
        Heat::Chars => "chars paper, wood and varnish: on ceramic or metal, nothing near it",
    };
    format!("About {} °C: {does}", 10.0 * (celsius / 10.0).round())
}

/// How long it bears more than for long (s): `for 25 s at most`.
pub fn how_long(seconds: f64) -> String {
    if seconds.is_infinite() {
        "for long".to_owned()
    } else if seconds < 1.0 {
        "not for a moment".to_owned()
    } else if seconds < 99.5 {
        format!("for {seconds:.0} s at most, from cold")
    } else {
        format!("for {:.0} min at most, from cold", (seconds / 60.0).floor())
    }
}

/// What is printed on a resistor: `10 kΩ 25 W`.
pub fn printed(resistor: &Resistor) -> String {
    format!("{} {}", resistor.resistance, resistor.power)
}

/// An entry of the drawer: `4 × 10 kΩ 25 W`.
pub fn owned(owned: &Owned) -> String {
    let printed = printed(&owned.resistor);
    match owned.count {
        1 => printed,
        count => format!("{count} × {printed}"),
    }
}

/// What else is known of it: `wire-wound, in free air: 25 W`.
pub fn about(resistor: &Resistor) -> String {
    let body = Body::from(resistor);
    let kind = resistor.kind.map_or(KIND_NOT_KNOWN, kind);
    let bears = bears_where(&body).unwrap_or_default();
    let volts = body
        .size_volts()
        .map(|volts| format!(", to {}", number::volts(volts)))
        .unwrap_or_default();
    format!("{kind}, {bears}{volts}")
}

/// The drawer in one line, the first few entries of it: `10 kΩ 25 W ×2 · 2.2 kΩ 50 W · 1 kΩ …`.
pub fn in_short(resistors: &[Owned]) -> String {
    const FEW: usize = 4;
    let few = resistors.iter().take(FEW);
    let said: Vec<String> = few
        .map(|owned| {
            let Ohms(ohms) = owned.resistor.resistance;
            let ohms = number::ohms(ohms);
            match owned.count {
                1 => ohms,
                count => format!("{count} × {ohms}"),
            }
        })
        .collect();
    let more = if resistors.len() > FEW { " …" } else { "" };
    format!("{}{more}", said.join(" · "))
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::parts::Fraction;

    fn resistor(watts: f64, kind: Option<ResistorKind>, mounting: Mounting) -> Resistor {
        Resistor {
            name: String::new(),
            resistance: Ohms(2200.0),
            power: Watts(watts),
            tolerance: Fraction(0.05),
            working_volts: None,
            kind,
            mounting,
            derating: None,
        }
    }

    #[test]
    fn what_it_bears_is_said_as_one_would_say_it() {
        use ResistorKind::{AluminiumHoused, WireWound};
        let mut own = resistor(50.0, Some(AluminiumHoused), Mounting::FreeAir);
        own.derating = Some(Fraction(0.3));
        let said: Vec<String> = [
            resistor(25.0, Some(AluminiumHoused), Mounting::FreeAir),
            resistor(50.0, Some(AluminiumHoused), Mounting::OnPlate),
            own,
            resistor(0.5, Some(WireWound), Mounting::BoxedIn),
            resistor(10.0, None, Mounting::FreeAir),
        ]
        .iter()
        .filter_map(|one| why_it_bears(&Body::from(one)))
        .collect();
        insta::assert_snapshot!(said.join("\n"), @r"
        bare, without heat sink: 12.5 of 25 W (TE Connectivity, HS series)
        on its heat sink: 50 W (TE Connectivity, HS series)
        bare, without heat sink: 15 of 50 W; as its owner says
        boxed in: 250 of 500 mW (common practice, no source)
        in free air: 10 W; its kind is not known, so the whole rating counts
        ");
        let about = about(&resistor(25.0, Some(AluminiumHoused), Mounting::FreeAir));
        insta::assert_snapshot!(about, @"aluminium-housed, bare, without heat sink: 12.5 of 25 W, to 500 V");
    }

    #[test]
    fn heat_and_time_are_said_in_words() {
        let said: Vec<String> = [30.0, 55.0, 80.0, 150.0, 325.0].map(heat).into();
        insta::assert_snapshot!(said.join("\n"), @r"
        About 30 °C: one can hold it
        About 60 °C: too hot to hold
        About 80 °C: burns the skin
        About 150 °C: burns at once and melts insulation: keep wires and hands clear
        About 330 °C: chars paper, wood and varnish: on ceramic or metal, nothing near it
        ");
        let said: Vec<String> = [f64::INFINITY, 0.0, 5.0, 40.0, 170.0].map(how_long).into();
        insta::assert_snapshot!(said.join("\n"), @r"
        for long
        not for a moment
        for 5 s at most, from cold
        for 40 s at most, from cold
        for 2 min at most, from cold
        ");
    }
}
