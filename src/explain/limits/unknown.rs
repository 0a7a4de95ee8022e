//! What is missing to judge a limit, and where on the real thing to read it.

use crate::explain::limits::whose::{capacitor_long, choke};
use crate::explain::limits::{name, regulator};
use crate::explain::needs::needs;
use crate::explain::sentence_case;
use crate::parts::Supply;
use crate::physics::limit::{Limit, Use, allowed};

/// What is missing to judge a limit, and where to read it. Empty if the use is known.
pub fn not_known(one_use: &Use, supply: &Supply) -> String {
    let Err(missing) = one_use.judged else {
        return String::new();
    };
    // The rating is known, but something else is not: the part's label would not help.
    if allowed(one_use.limit, supply).is_ok() {
        return format!(
            "{} cannot be judged here without {}",
            sentence_case(&name(one_use.limit, supply)),
            needs(missing)
        );
    }
    let tube = &supply.pass_stage.tube.name;
    let kind = &supply.rectifier.kind.name;
    let sheet = |what: &str, of: &str| {
        // "Volts" are many in the trade's mouth, a current or a power is one.
        let (is, it) = if what.ends_with("volts") {
            ("are", "them")
        } else {
            ("is", "it")
        };
        format!("The {what} of the {of} {is} not known: read {it} in the maker's data sheet")
    };
    match one_use.limit {
        Limit::PlateDissipation => sheet("highest plate dissipation", tube),
        // Nothing in the list of limits without a rating, so it is the share that is missing.
        Limit::ScreenDissipation => format!(
            "The screen's share of the current of the {tube} is not known: read it from a row of the maker's data sheet with plate \
             and screen at the same volts"
        ),
        Limit::EnvelopeDissipation => sheet("highest dissipation of one bulb", tube),
        Limit::PlateCurrent => sheet("highest cathode current", tube),
        Limit::PlateVolts => sheet("highest plate volts", tube),
        Limit::RectifierDc => sheet("highest DC output", kind),
        Limit::RectifierPeak => sheet("highest peak current", kind),
        Limit::RectifierPeakInverse => sheet("highest peak inverse volts", kind),
        Limit::WindingRms => "The rms current rating of the high-voltage winding is not known: \
             read it on the transformer's label or from its maker"
            .to_owned(),
        Limit::CapacitorRipple(n) => format!(
            "The ripple current rating of {} is not known: read it in the capacitor's data sheet",
            capacitor_long(n, supply)
        ),
        Limit::CapacitorVolts(n) => format!(
            "The working volts of {} are not known: read them on the capacitor",
            capacitor_long(n, supply)
        ),
        Limit::CapacitorSurge(n) => format!(
            "The surge volts of {} are not known: read them on the capacitor or in its data sheet",
            capacitor_long(n, supply)
        ),
        Limit::ChokeCurrent(n) => format!(
            "The current rating of the {} is not known: read it on the choke's label",
            choke(n, supply)
        ),
        Limit::HeaterCathode
        | Limit::HeaterAboveCathode
        | Limit::ControlPlateVolts
        | Limit::ControlPlateDissipation
        | Limit::ControlScreenVolts
        | Limit::ControlScreenDissipation
        | Limit::ControlHeaterCathode
        | Limit::GridResistor(_) => regulator::sheet_of(one_use.limit, supply)
            .map_or_else(String::new, |(what, of)| sheet(what, &of)),
        Limit::GridFloor => {
            "How low the output goes is not known: describe the regulator".to_owned()
        }
        Limit::ReferenceStrike(side) => format!(
            "The starting volts of the gas reference ({}) are not known: read them in the maker's data sheet",
            regulator::reference_names(supply, side)
        ),
        Limit::Dropout
        | Limit::ControlGridCeiling
        | Limit::ReferenceLeast(_)
        | Limit::ReferenceMost(_)
        | Limit::SetRangeHigh
        | Limit::SetRangeLow => format!(
            "{} cannot be judged here without {}",
            sentence_case(&name(one_use.limit, supply)),
            needs(missing)
        ),
    }
}
