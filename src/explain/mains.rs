//! What the mains does to an old transformer, in words.

use crate::explain::{Finding, Number, Severity, number};
use crate::parts::{Stage, Supply};

/// Share above its own volts from which a winding is worth a remark (common practice, no source).
const WORTH_SAYING: f64 = 0.015;
/// Share above its own volts from which everything on the winding runs noticeably high (common practice, no source).
const HIGH: f64 = 0.05;

/// A winding made for less than the nominal mains: `117 V winding on 120 V: +2.6 %`. `None` if it fits.
pub fn remark(supply: &Supply) -> Option<Finding> {
    let made_for = supply.transformer.primary_volts;
    let nominal = supply.mains.nominal;
    let excess = nominal.0 / made_for.0 - 1.0;
    if !excess.is_finite() || excess < WORTH_SAYING {
        return None;
    }
    let change = number::change(excess);
    let severity = if excess > HIGH {
        Severity::Near
    } else {
        Severity::Remark
    };
    Some(Finding {
        about: Stage::Mains,
        severity,
        sentence: format!("{made_for} winding on {nominal}: {change}"),
        numbers: vec![Number {
            what: "every winding, heaters too".to_owned(),
            text: change,
        }],
    })
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::explain::samples::laboratory_supply;
    use crate::parts::Volts;

    #[test]
    fn an_old_winding_on_the_mains_of_today() {
        let mut supply = laboratory_supply();
        assert_eq!(
            remark(&supply).map(|f| f.sentence).as_deref(),
            Some("117 V winding on 120 V: +2.6 %")
        );
        supply.transformer.primary_volts = Volts(110.0);
        assert_eq!(remark(&supply).map(|f| f.severity), Some(Severity::Near));
        for fits in [120.0, 125.0, 0.0] {
            supply.transformer.primary_volts = Volts(fits);
            assert_eq!(remark(&supply), None, "{fits}");
        }
    }
}
