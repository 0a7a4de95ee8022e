//! Warming up: when bus and regulator are there after a cold start, and when to leave stand-by.

use crate::parts::rectifier::Heater;
use crate::parts::{RectifierLaw, Supply};

/// From when to when something comes (s).
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Span {
    /// With a quick one (s).
    pub from: f64,
    /// With a slow one (s).
    pub to: f64,
}

/// First direct current after a cold start.
///
/// # Source
/// Values from memory, medium confidence: published-values-bench.md, A5. No measured series was found.
const SILICON: Span = Span { from: 0.0, to: 0.1 };
const FILAMENT: Span = Span { from: 2.0, to: 4.0 };
const SMALL_INDIRECT: Span = Span {
    from: 8.0,
    to: 12.0,
};
const LARGE_INDIRECT: Span = Span {
    from: 10.0,
    to: 15.0,
};
const DAMPER: Span = Span {
    from: 20.0,
    to: 30.0,
};
const TUBES: Span = Span {
    from: 10.0,
    to: 20.0,
};
/// A mercury-vapour tube must not see plate volts before its mercury is warm (s). Common practice, no source: half a minute, a quarter of
/// an hour after it was moved.
const MERCURY_SECONDS: f64 = 30.0;
/// Stand-by is left when tubes have settled a little (s). Common practice, no source.
const LEAVE_SECONDS: f64 = 30.0;
/// Types that are television dampers, and come late.
const DAMPERS: [&str; 7] = ["6CJ3", "6D22S", "6AU4", "6AX4", "6W4", "6CG3", "PY88"];
/// Heaters of more watts than this belong to the larger of the indirectly heated.
const LARGE_WATTS: f64 = 9.0;

/// The start of a supply.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct WarmUp {
    /// When the rectifier begins to charge the filter.
    pub rectifier: Span,
    /// When the slowest of pass and control tubes draw current, and the output is held.
    pub regulator: Span,
    /// For how long at most the filter may stand with nothing drawn, its tubes still cold (s); 0 if they come first.
    pub bus_alone_seconds: f64,
    /// When to leave stand-by (s).
    pub leave_seconds: f64,
    /// True where the rectifier must have its heater on before it gets plate volts.
    pub preheats: bool,
}

/// How a supply warms up.
pub fn warm_up(supply: &Supply) -> WarmUp {
    let kind = &supply.rectifier.kind;
    let preheats = matches!(kind.law, RectifierLaw::MercuryVapour { .. });
    let rectifier = if kind.is_silicon() {
        SILICON
    } else if DAMPERS.iter().any(|name| kind.name.starts_with(name)) {
        DAMPER
    } else {
        of_heater(kind.heater.as_ref())
    };
    let pass = match supply.pass_stage.tube.ratings.heater.as_ref() {
        Some(heater) if heater.filament => FILAMENT,
        _ => TUBES,
    };
    // Nearly all control tubes are indirectly heated.
    let regulator = Span {
        from: TUBES.from.max(pass.from),
        to: TUBES.to.max(pass.to),
    };
    let leave = if preheats { MERCURY_SECONDS } else { 0.0 };
    WarmUp {
        rectifier,
        regulator,
        bus_alone_seconds: (regulator.to - rectifier.from).max(0.0),
        leave_seconds: LEAVE_SECONDS.max(leave).max(regulator.to),
        preheats,
    }
}

fn of_heater(heater: Option<&Heater>) -> Span {
    match heater {
        Some(heater) if heater.filament => FILAMENT,
        Some(heater) if heater.volts.0 * heater.amps.0 > LARGE_WATTS => LARGE_INDIRECT,
        _ => SMALL_INDIRECT,
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::parts::catalogue::{Catalogue, presets};
    use crate::parts::file::read_checked;

    /// The rows of published-values-bench.md, A5 (values from memory).
    #[test]
    fn first_current_as_published() {
        let (_, text) = presets().first().expect("a preset");
        let catalogue = Catalogue::built_in();
        let mut supply = read_checked(text, &catalogue).expect("a supply");
        for (name, from, to) in [
            ("5U4-GB", 2.0, 4.0),
            ("5Y3-GT", 2.0, 4.0),
            ("6X4", 8.0, 12.0),
            ("GZ34", 10.0, 15.0),
            ("1N4007", 0.0, 0.1),
        ] {
            supply.rectifier.kind = catalogue.rectifier(name).expect(name).clone();
            let found = warm_up(&supply);
            assert_eq!(found.rectifier, Span { from, to }, "{name}");
            assert!(found.leave_seconds >= found.regulator.to);
            assert!(
                (found.bus_alone_seconds - (20.0 - from)).abs() < 1e-9,
                "{name}"
            );
        }
    }
}
