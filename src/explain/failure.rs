//! Why there is no answer, in a sentence: the place, what was found, what was expected.

use crate::explain::number;
use crate::physics::Failure;

/// The sentence of a failure, without a full stop; several problems are parted by semicolons.
pub fn sentence(failure: &Failure) -> String {
    match failure {
        Failure::Description(_) => failure.to_string(),
        Failure::NoOutput(why) => format!(
            "transformer and rectifier: found no voltage, {why}; expected winding volts whose crest is above the \
             rectifier's drop"
        ),
        Failure::Collapse { amps } => format!(
            "output current: found {}, expected less: the bus would collapse",
            number::amps(*amps)
        ),
        Failure::NotConverged { amps, .. } => format!(
            "filter: found no waveform that repeats at {}, expected one: a choke and a capacitor may resonate with \
             the ripple, change one of them",
            number::amps(*amps)
        ),
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_failure_names_its_place_and_what_would_do() {
        for failure in [
            Failure::NoOutput("no conduction".to_owned()),
            Failure::Collapse {
                amps: 0.123_456_789,
            },
            Failure::NotConverged {
                amps: 0.123_456_789,
                steps: 3,
                residual: 0.1,
            },
        ] {
            let said = sentence(&failure);
            assert!(
                said.contains(": found ") && said.contains("expected "),
                "{said}"
            );
            assert!(!said.contains("0.123"), "{said}");
        }
    }
}
