//! Why there is no answer, in a sentence: the place, what was found, what was expected.

use crate::explain::needs::needs;
use crate::explain::number;
use crate::parts::Stage;
use crate::parts::check::Problem;
use crate::parts::escape::escaped;
use crate::physics::circuit::source::TransformerFault;
use crate::physics::energy::NoFlow;
use crate::physics::failure::{Failure, NoOutput};

/// The sentence of a failure, without a full stop; several problems are parted by semicolons.
pub fn sentence(failure: &Failure) -> String {
    match failure {
        Failure::Description(_) | Failure::Transformer(_) => {
            let all: Vec<String> = problems(failure).iter().map(ToString::to_string).collect();
            all.join("; ")
        }
        Failure::NotKnown(missing) => format!("needed: {}", needs(*missing)),
        Failure::NoOutput(why) => format!(
            "transformer and rectifier: found no voltage, {}; expected winding volts whose crest is above the \
             rectifier's drop",
            no_output(*why)
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
        Failure::MetNowhere => "this limit is met nowhere".to_owned(),
    }
}

/// What is wrong with the value of a field, for its own row: what stands there and what would do.
pub fn at_field(row: &str, problem: &Problem) -> String {
    let (found, expected) = (escaped(&problem.found), escaped(&problem.expected));
    format!("{row}: {found}; give {expected}")
}

/// The parts that its sentence speaks of, as paths in the file, in the order of the signal path.
pub fn parts(failure: &Failure) -> Vec<String> {
    let parts: &[&str] = match failure {
        Failure::Description(_) | Failure::Transformer(_) => {
            return problems(failure).into_iter().map(|p| p.field).collect();
        }
        Failure::NoOutput(NoOutput::NoBus) => &["transformer", "rectifier"],
        Failure::NoOutput(NoOutput::NoCapacitor | NoOutput::TooManyParts(_))
        | Failure::NotConverged { .. } => &["filter"],
        Failure::NotKnown(_) | Failure::Collapse { .. } | Failure::MetNowhere => &[],
    };
    parts.iter().map(|part| (*part).to_owned()).collect()
}

/// The same for a record: why it has no number there.
pub fn reason(failure: &Failure) -> String {
    match failure {
        Failure::NoOutput(why) => format!("the supply gives no voltage: {}", no_output(*why)),
        Failure::Collapse { amps } => {
            format!("the supply cannot give {amps} A: the bus collapses")
        }
        Failure::NotConverged {
            amps,
            periods,
            residual,
        } => format!(
            "no steady state found at {amps} A after {periods} periods (closure error {residual:.1e}): a choke and a capacitor may \
             resonate with the ripple, change one of them"
        ),
        other => sentence(other),
    }
}

fn no_output(why: NoOutput) -> String {
    match why {
        NoOutput::NoCapacitor => "the filter has no capacitor".to_owned(),
        NoOutput::TooManyParts(many) => {
            format!(
                "the filter has {many} chokes and capacitors, more than the 25 that are computed"
            )
        }
        NoOutput::NoBus => "the bus is at zero even with nothing on the terminals".to_owned(),
    }
}

/// Why no watts flow as asked.
pub fn no_flow(why: &NoFlow) -> String {
    match why {
        NoFlow::Supply(failure) => reason(failure),
        NoFlow::AboveBus { found, highest } => {
            format!("{found:.0} V cannot come out: the bus leaves {highest:.0} V at this current")
        }
    }
}

/// What is wrong with the description, each problem with its field and what would do; none where it is something else.
pub fn problems(failure: &Failure) -> Vec<Problem> {
    let (field, found, expected) = match failure {
        Failure::Description(problems) => return problems.clone(),
        Failure::Transformer(TransformerFault::PrimaryDropsAll {
            primary,
            auxiliary,
            drop_volts,
            mains_volts,
        }) => (
            "transformer.primary_resistance",
            format!(
                "{primary}, in which {} VA drop {drop_volts:.0} V",
                auxiliary.0
            ),
            format!("a drop well below the mains of {mains_volts:.0} V"),
        ),
        Failure::Transformer(TransformerFault::RatingOutOfReach {
            primary,
            volts,
            amps,
        }) => (
            "transformer.winding",
            format!("{volts} at {amps} behind a primary of {primary}"),
            "a rating that this primary resistance can carry; measure the resistances again"
                .to_owned(),
        ),
        _ => return Vec::new(),
    };
    vec![Problem {
        stage: Stage::Transformer,
        field: field.to_owned(),
        found,
        expected,
    }]
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_failure_names_its_place_and_what_would_do() {
        for failure in [
            Failure::NoOutput(NoOutput::NoBus),
            Failure::Collapse {
                amps: 0.123_456_789,
            },
            Failure::NotConverged {
                amps: 0.123_456_789,
                periods: 3,
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
