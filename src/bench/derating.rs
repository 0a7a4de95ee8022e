//! What a resistor bears where it is mounted: watts and volts for long, more of both for a short time, and how hot it gets.
//!
//! The published numbers stand in `published`, each with its source. Between two sizes of a maker's table the lower share of the
//! two counts, below and above it that of its end.

mod published;

use crate::parts::{Dummy, Fraction, MadeOf, Mounting, Ohms, Resistor, ResistorKind, Volts, Watts};

pub use published::{BOX_CELSIUS, Line, ROOM_CELSIUS, Sourced, line};

/// A resistor as far as what it bears goes by it.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Body {
    /// Its resistance (Ω).
    pub ohms: f64,
    /// Its rated power (W), if known.
    pub rated_watts: Option<f64>,
    /// Working volts from its sheet (V), if known.
    pub working_volts: Option<f64>,
    /// How it is made, if known.
    pub kind: Option<ResistorKind>,
    /// Where it gets rid of its heat.
    pub mounting: Mounting,
    /// The share that its owner allows, if he says one.
    pub own_share: Option<f64>,
}

impl From<&Dummy> for Body {
    /// The load as one resistor; one that is wired of several is asked part by part.
    fn from(dummy: &Dummy) -> Self {
        Self {
            ohms: dummy.resistance.0,
            rated_watts: dummy.power.map(|Watts(watts)| watts),
            working_volts: dummy.working_volts.map(|Volts(volts)| volts),
            kind: dummy.kind,
            mounting: dummy.mounting,
            own_share: dummy.derating.map(|Fraction(share)| share),
        }
    }
}

impl From<&Resistor> for Body {
    fn from(resistor: &Resistor) -> Self {
        let Ohms(ohms) = resistor.resistance;
        Self {
            ohms,
            rated_watts: Some(resistor.power.0),
            working_volts: resistor.working_volts.map(|Volts(volts)| volts),
            kind: resistor.kind,
            mounting: resistor.mounting,
            own_share: resistor.derating.map(|Fraction(share)| share),
        }
    }
}

/// Why a resistor bears what it does.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Ground {
    /// Its owner says so.
    Own,
    /// Its kind is not known: the whole rating counts.
    KindNotKnown,
    /// By its kind, size and mounting, from this source.
    Published(&'static str),
}

/// What it bears for long.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct ForLong {
    /// Watts.
    pub watts: f64,
    /// Why.
    pub ground: Ground,
}

impl Body {
    /// What it bears for long where it is mounted (W); `None` where its power is not known.
    pub fn for_long(&self) -> Option<ForLong> {
        let rated = self.rated_watts?;
        let (share, ground) = match (self.own_share, self.kind) {
            (Some(own), _) => (own, Ground::Own),
            (None, None) => (1.0, Ground::KindNotKnown),
            (None, Some(kind)) => {
                let found = published::share(kind, self.mounting, rated);
                (found.value, Ground::Published(found.source))
            }
        };
        Some(ForLong {
            watts: share * rated,
            ground,
        })
    }

    /// The highest volts across it for long (V) by its size: its sheet's, else what is usual of its kind and size; `None` where
    /// neither is known.
    pub fn size_volts(&self) -> Option<f64> {
        self.working_volts.or_else(|| {
            published::size_volts(self.kind?, self.rated_watts?).map(|sourced| sourced.value)
        })
    }

    /// The highest volts across it for long (V): `√(P·R)`, never above the limit of its size, as all makers' sheets have it; `None`
    /// where neither is known.
    pub fn most_volts(&self) -> Option<f64> {
        let by_watts = self.for_long().map(|long| (long.watts * self.ohms).sqrt());
        [by_watts, self.size_volts()]
            .into_iter()
            .flatten()
            .reduce(f64::min)
    }

    /// How long it bears so many watts when it begins cold (s): infinite up to what it bears for long, 0 for more than its sheet
    /// allows for a moment, or at volts beyond what its size bears; `None` where that is not known of its kind.
    ///
    /// A sheet gives one overload for 5 s; between the two the energy of that overload is taken as what it may take up, which is on
    /// the safe side, for the heat that leaves it meanwhile is left out (common practice, no source).
    pub fn seconds_at(&self, watts: f64) -> Option<f64> {
        let long = self.for_long()?.watts;
        let volts = (watts * self.ohms).sqrt();
        if watts <= long && self.size_volts().is_none_or(|most| volts <= most) {
            return Some(f64::INFINITY);
        }
        let (kind, rated) = (self.kind?, self.rated_watts?);
        let short = published::short_time(kind);
        let most_volts = published::overload_volts(kind, rated).map(|sourced| sourced.value);
        let most_volts = most_volts.or(self.size_volts());
        let over = watts > short.times.value * rated || most_volts.is_some_and(|most| volts > most);
        if over {
            return Some(0.0);
        }
        Some(short.times.value * rated * short.seconds / watts)
    }

    /// How hot its surface gets at so many watts for long (°C), in a room of 25 °C; `None` where its kind or power is not known.
    ///
    /// A straight derating line is a temperature that rises in proportion to the watts; a tube in free air rises more slowly, with
    /// the power 0.6 (fits the maker's guide: 300 °C at all, 200 °C at half, 125 °C at a quarter of its watts).
    pub fn celsius_at(&self, watts: f64) -> Option<f64> {
        let (kind, rated) = (self.kind?, self.rated_watts?);
        // A box warms the air around it; beyond that air it warms as it does outside. What its owner allows does not cool it.
        let (surroundings, as_mounted) = match self.mounting {
            Mounting::BoxedIn => (BOX_CELSIUS, Mounting::FreeAir),
            other => (ROOM_CELSIUS, other),
        };
        let bears = published::share(kind, as_mounted, rated).value * rated;
        let line = line(kind, rated);
        let whole_rise = line.zero_at - line.full_to;
        let share = watts / bears;
        let rise = match kind {
            ResistorKind::WireWound => published::TUBE_RISE * share.powf(0.6),
            _ => whole_rise * share,
        };
        Some(surroundings + rise)
    }

    /// How hot that is.
    pub fn heat_at(&self, watts: f64) -> Option<Heat> {
        self.celsius_at(watts).map(Heat::of)
    }
}

/// How hot a surface is, by what it does to a hand and to what lies on it.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub enum Heat {
    /// Below 45 °C: one can hold it.
    Warm,
    /// To 60 °C: one lets go.
    Hot,
    /// To 100 °C: it burns the skin.
    Burns,
    /// To 200 °C: it hurts at once and melts insulation.
    Scorches,
    /// Above: it chars paper, wood and varnish.
    Chars,
}

impl Heat {
    /// Of a surface so hot (°C). Bare metal burns the skin within a second from about 60 °C (ISO 13732-1, value from memory), PVC
    /// insulation is made for 70 to 105 °C (value from memory); the other bounds are common practice, no source.
    pub fn of(celsius: f64) -> Self {
        match celsius {
            c if c < 45.0 => Self::Warm,
            c if c < 60.0 => Self::Hot,
            c if c < 100.0 => Self::Burns,
            c if c < 200.0 => Self::Scorches,
            _ => Self::Chars,
        }
    }
}

/// What a load is wired of, each with the share of the load's volts that lies across it; a load of one resistor has all of them.
pub fn bodies(dummy: &Dummy) -> Vec<(Body, f64)> {
    match &dummy.made_of {
        Some(made_of) => bodies_of(made_of),
        None => vec![(Body::from(dummy), 1.0)],
    }
}

/// The same of what is wired together.
pub fn bodies_of(made_of: &MadeOf) -> Vec<(Body, f64)> {
    let all = made_of.shares().into_iter();
    all.map(|(resistor, share)| (Body::from(resistor), share))
        .collect()
}

/// The highest volts across all together (V) at which none takes more watts than it bears for long; `None` where none is known.
pub fn most_by_watts(bodies: &[(Body, f64)]) -> Option<f64> {
    let all = bodies.iter();
    all.filter_map(|(body, share)| Some((body.for_long()?.watts * body.ohms).sqrt() / share))
        .reduce(f64::min)
}

/// The same at which none has more volts than its size bears.
pub fn most_by_volts(bodies: &[(Body, f64)]) -> Option<f64> {
    let all = bodies.iter();
    all.filter_map(|(body, share)| Some(body.size_volts()? / share))
        .reduce(f64::min)
}

/// How long they bear so many volts across all together (s), by the one that gives way first; as [`Body::seconds_at`].
pub fn seconds_at(bodies: &[(Body, f64)], volts: f64) -> Option<f64> {
    let mut least = f64::INFINITY;
    for (body, share) in bodies {
        let across = volts * share;
        least = least.min(body.seconds_at(across * across / body.ohms)?);
    }
    Some(least)
}

/// How hot the hottest of them gets at so many volts across all together (°C); `None` where that of one is not known.
pub fn celsius_at(bodies: &[(Body, f64)], volts: f64) -> Option<f64> {
    let mut most = f64::NEG_INFINITY;
    for (body, share) in bodies {
        let across = volts * share;
        most = most.max(body.celsius_at(across * across / body.ohms)?);
    }
    most.is_finite().then_some(most)
}

#[cfg(test)]
mod tests;
