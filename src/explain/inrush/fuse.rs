//! Fuses in words.

use crate::bench::fuses::{FuseJudged, Holds, Inrush, MOST_WORN, Pick, Protection, Verdict};
use crate::explain::inrush::{fault, heating, time};
use crate::explain::number;
use crate::parts::FuseKind;
use crate::parts::quantity::Amps;
use crate::physics::switch_on::Fault;

/// A family by its name: `time-lag, ceramic (T…H, IEC 60127-2 sheet 5)`.
pub fn family(kind: FuseKind) -> &'static str {
    match kind {
        FuseKind::QuickGlass => "quick-acting, glass (F…L, IEC 60127-2 sheet 2)",
        FuseKind::QuickCeramic => "quick-acting, ceramic (F…H, IEC 60127-2 sheet 1)",
        FuseKind::TimeLagGlass => "time-lag, glass (T…L, IEC 60127-2 sheet 3)",
        FuseKind::TimeLagCeramic => "time-lag, ceramic (T…H, IEC 60127-2 sheet 5)",
        FuseKind::UlFast => "fast-acting (UL 248-14)",
        FuseKind::UlSlow => "slow-blow (UL 248-14)",
    }
}

/// What stands on its cap: `T1.6AH250V`, or in words where nothing is standard.
pub fn caption(kind: FuseKind, rating: f64) -> String {
    let amps = Amps(rating).to_string().replace(' ', "");
    match kind {
        FuseKind::QuickGlass => format!("F{amps}L250V"),
        FuseKind::QuickCeramic => format!("F{amps}H250V"),
        FuseKind::TimeLagGlass => format!("T{amps}L250V"),
        FuseKind::TimeLagCeramic => format!("T{amps}H250V"),
        FuseKind::UlFast => format!("{} fast, 250 V", Amps(rating)),
        FuseKind::UlSlow => format!("{} slow-blow, 250 V", Amps(rating)),
    }
}

/// The same in a few letters, for a line of a picture.
pub fn short_name(kind: FuseKind, rating: f64) -> String {
    let amps = Amps(rating);
    match kind {
        FuseKind::QuickGlass | FuseKind::QuickCeramic => format!("F {amps}"),
        FuseKind::TimeLagGlass | FuseKind::TimeLagCeramic => format!("T {amps}"),
        FuseKind::UlFast => format!("fast {amps}"),
        FuseKind::UlSlow => format!("slow {amps}"),
    }
}

/// In how many switch-ons it blows: `in 23 of 100 switch-ons`.
pub fn odds(share: f64) -> String {
    let hundred = 100.0 * share;
    if hundred < 1.0 {
        "in fewer than 1 of 100 switch-ons".to_owned()
    } else if hundred > 99.0 {
        "in more than 99 of 100 switch-ons".to_owned()
    } else {
        format!("in {hundred:.0} of 100 switch-ons")
    }
}

/// Whether it bears the switching on.
pub fn holds(one: &FuseJudged) -> String {
    if !one.carries {
        return "too small for what the primary draws at work".to_owned();
    }
    match one.holds {
        Holds::Blows(share) => format!("blows {}", odds(share)),
        Holds::AllButTheWeakest => {
            "holds, but for the weakest of its kind at the worst closings".to_owned()
        }
        Holds::Always if one.worn > MOST_WORN => format!(
            "holds, but ages: the surge is up to {} of its melting I²t",
            number::per_cent(one.worn)
        ),
        Holds::Always => "holds always".to_owned(),
    }
}

/// What it does in a fault.
pub fn protection(how: Protection) -> String {
    match how {
        Protection::Always(seconds) => format!("opens within {}", time(seconds)),
        Protection::ByLuck => "opens or not, by its maker".to_owned(),
        Protection::TooLarge => "too large to protect".to_owned(),
        Protection::NotKnown => "current not known".to_owned(),
    }
}

/// The same of all faults in a line.
pub fn protects(one: &FuseJudged) -> String {
    let listed = |want: &dyn Fn(Protection) -> bool| {
        let found = one.protects.iter().filter(|(_, how)| want(*how));
        let names: Vec<&str> = found.map(|(of, _)| fault(*of)).collect();
        names.join(", ")
    };
    let opens = listed(&|how| matches!(how, Protection::Always(_)));
    let large = listed(&|how| how == Protection::TooLarge);
    let luck = listed(&|how| how == Protection::ByLuck);
    let parts = [
        ("opens at", opens),
        ("by luck at", luck),
        ("too large for", large),
    ];
    let said: Vec<String> = parts
        .into_iter()
        .filter(|(_, names)| !names.is_empty())
        .map(|(what, names)| format!("{what} {names}"))
        .collect();
    said.join("; ")
}

/// A recommended fuse with its reason, its place and its breaking capacity.
pub fn pick(pick: &Pick, found: &Inrush) -> Vec<String> {
    let fuse = &pick.fuse;
    let [low, high] = fuse.melting.map(heating);
    let mut said = vec![format!(
        "{}: the smallest {} that holds at every closing, whoever made it, and carries {} rms",
        caption(fuse.kind, fuse.rating),
        family(fuse.kind),
        number::amps(found.most_running_amps)
    )];
    if let Some(smaller) = &pick.smaller {
        said.push(format!(
            "Not {}: {}",
            caption(smaller.kind, smaller.rating),
            holds(smaller)
        ));
    }
    said.push(match pick.verdict {
        Verdict::HoldsAndProtects => format!("It protects: {}", protects(fuse)),
        Verdict::HoldsAndOpensAtShorts => format!(
            "It opens where something is shorted, not at an overload: {}. A second fuse in the centre tap of the high-voltage winding covers that",
            protects(fuse)
        ),
        Verdict::HoldsAlone => {
            // A limiter helps where it is the surge that keeps a smaller one out.
            let is_kept_out = pick.smaller.as_ref().is_some_and(|one| one.carries);
            let limiter = if is_kept_out {
                ". A limiter in the line makes a smaller one possible"
            } else {
                ""
            };
            format!(
                "It does not protect against every fault: {}{limiter}. A fuse in the centre tap or the lead to the rectifier sees no inrush, and \
                 can be smaller",
                protects(fuse)
            )
        }
    });
    said.push(format!(
        "Melting I²t {low} to {high} between makers; in the line before the switch, where both conductors are switched",
    ));
    said.push(breaks(fuse, found));
    said
}

/// What a fuse breaks, against what these mains give into a dead short behind it.
fn breaks(fuse: &FuseJudged, found: &Inrush) -> String {
    let side = &found.ready.side;
    let reactance = side.angular_frequency * side.mains_henries;
    let short = side.mains_volts / side.mains_ohms.hypot(reactance);
    let breaks = format!(
        "It breaks {} at {}",
        number::amps(fuse.breaking.amps),
        number::volts(fuse.breaking.volts)
    );
    if short.is_finite() && short > fuse.breaking.amps {
        format!(
            "{breaks}: a dead short right behind it draws up to {} from these mains, more than it can break; a ceramic one (H) breaks 1500 A",
            number::amps(short)
        )
    } else {
        breaks
    }
}

/// The current of a fault.
pub(super) fn fault_current(of: Fault, amps: Option<f64>) -> String {
    let known = amps.map_or_else(
        || "not known".to_owned(),
        |amps| format!("{} rms", number::amps(amps)),
    );
    format!("{}: {known}", crate::explain::sentence_case(fault(of)))
}
