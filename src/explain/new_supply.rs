//! The words of the page for a new supply: what is asked, what "don't know" costs, and why a field is marked as guessed.

use crate::parts::new_supply::draft::{Field, FieldFault, Question};

/// Under the title of the page.
pub const LEAD: &str = "Answer what you know and leave the rest open. Nothing is taken from an example: what cannot be left open is \
                        guessed, and marked in its card until you type a value.";

/// What a field that is left open says.
pub const UNKNOWN: &str = "don't know";

/// A question in a word or two.
pub fn title(question: Question) -> &'static str {
    match question {
        Question::Mains => "Mains",
        Question::Winding => "High-voltage winding",
        Question::Rectifier => "Rectifier",
        Question::First => "Filter input",
        Question::Capacitors => "Rest of the filter",
        Question::PassTubes => "Pass tubes",
        Question::ControlTube => "Control tube",
        Question::Rail => "Negative rail",
        Question::Output => "Output range",
    }
}

/// What "don't know" costs.
pub fn cost(question: Question) -> &'static str {
    match question {
        Question::Mains => {
            "230 V is taken, the frequency that goes with the volts, and the swing of the standard. Every line moves with it"
        }
        Question::Winding => {
            "Volts follow from the output range, else 350-0-350 V: the whole picture moves with them. Ohms not measured are guessed \
             from volts and VA: dropout and rectifier peaks are then rough."
        }
        Question::Rectifier => {
            "A 5U4-G on a centre tap is taken, silicon in a bridge. Drop, peak inverse and DC rating may be another tube's."
        }
        Question::First => "8 µF is taken: bus volts and rectifier peaks depend on it",
        Question::Capacitors => {
            "A 10 H choke and 16 µF are taken: ripple, and dropout with it. Without working volts no capacitor is judged."
        }
        Question::PassTubes => {
            "One 6L6-G, screen to plate, is taken. Dissipation, dropout and the most current are then that tube's."
        }
        Question::ControlTube => {
            "The regulator is left undescribed: no lowest regulated output, no hum, no regulation, none of its ratings judged."
        }
        Question::Rail => {
            "With a control tube, 150 V is taken where the output begins below 85 V, else none. Lowest regulated output and zero setting depend on it."
        }
        Question::Output => {
            "From 0 V (150 V without a negative rail) to 0.9 times the winding's volts: only how far the knob goes, no limit."
        }
    }
}

/// What a field is called beside its question.
pub fn label(field: Field) -> &'static str {
    match field {
        Field::Mains | Field::Winding => "volts",
        Field::Frequency => "frequency",
        Field::PrimaryOhms => "primary ohms",
        Field::WindingOhms => "winding ohms",
        Field::Rectifier | Field::PassTube | Field::ControlTube => "type",
        Field::Connection => "connection",
        Field::First => "value",
        Field::Then => "in order",
        Field::WorkingVolts => "working volts",
        Field::PassTubes => "how many",
        Field::Rail => "volts below zero",
        Field::Low => "lowest",
        Field::High => "highest",
    }
}

/// What to type into a field and where to read it.
pub fn how(field: Field) -> &'static str {
    match field {
        Field::Mains => "Nominal volts of the network, such as 120 V or 230 V",
        Field::Frequency => "50 or 60 Hz",
        Field::Winding => {
            "Rms volts without load: 350-0-350 with a centre tap, one figure without. The nameplate or the diagram; a meter there is \
             lethal work."
        }
        Field::PrimaryOhms => {
            "Ohmmeter across the plug's pins, switch on, plug out. Counted as measured cold: warm copper has a fifth more."
        }
        Field::WindingOhms => {
            "Ohmmeter from centre tap to one end, or across a winding without one; plug out, bus measured dead. Counted as measured cold: \
             warm copper has a fifth more."
        }
        Field::Rectifier => "Printed on the tube or diode",
        Field::Connection => {
            "Centre tap to chassis is full wave, four diodes on the whole winding a bridge"
        }
        Field::First => {
            "What stands first behind the rectifier, with its unit: 8 µF, or 10 H for choke input."
        }
        Field::Then => "What follows, with units, in order: 10 H, 47 µF. Or none.",
        Field::WorkingVolts => "Printed on the capacitors; the least of them.",
        Field::PassTube => "Printed on the tube",
        Field::PassTubes => {
            "Envelopes that share the current; all sections of each are taken as in use."
        }
        Field::ControlTube => "The small tube whose plate drives the grids of the pass tubes",
        Field::Rail => "Volts below the output's negative terminal, such as 150 V; or none.",
        Field::Low => "Lowest volts that the control can ask for",
        Field::High => "Highest volts that the control can ask for",
    }
}

/// What an empty field says of itself.
pub fn empty(field: Field) -> &'static str {
    match field {
        Field::PrimaryOhms | Field::WindingOhms => "not measured",
        _ => UNKNOWN,
    }
}

/// What is wrong beside a field.
pub fn fault(fault: &FieldFault) -> String {
    format!("found {}, expected {}", fault.found, fault.expected)
}

/// Said when the supply is made.
pub fn made(guessed: usize) -> String {
    match guessed {
        0 => "Nothing in this supply is guessed".to_owned(),
        1 => "One value is guessed: it is marked in its card.".to_owned(),
        many => format!(
            "{many} values are guessed: they are marked in their cards. Type what you find out"
        ),
    }
}

/// Why a field is marked, and from what its value was guessed; by its path in the file.
pub fn why_guessed(field: &str) -> String {
    let from = match field {
        "mains.nominal" => "the standard network of IEC 60038",
        "mains.present" => "the nominal volts; read a meter at the socket",
        "mains.low" | "mains.high" => {
            "the swing of the standard: 5 % at 110 to 127 V (ANSI C84.1, range A), else 10 % (IEC 60038)"
        }
        "mains.frequency" => "the volts: 60 Hz goes with 110 to 127 V",
        "transformer.primary_volts" => "the nominal mains; read the tap in use",
        "transformer.winding" => "the highest output volts, or else as the most usual winding",
        "transformer.primary_resistance" | "transformer.secondary_resistance" => {
            "volts and VA: a transformer of 100 VA loses about a tenth in its copper, half in each winding. An ohmmeter says it better"
        }
        "transformer.auxiliary" => {
            "the heaters of the tubes here, and a tenth of it all for the core"
        }
        "output.set_high" => "the winding's volts",
        "output.set_low" => "whether there is a negative rail",
        "regulator.divider.foot" | "regulator.cathode" => {
            "the negative rail, or that there is none"
        }
        _ if field.starts_with("regulator.bias_rail") => "the rail's volts and common practice",
        "regulator.reference.feed_resistor" => "the tube's current at the highest output",
        _ => "common practice",
    };
    format!(
        "Nobody measured this: guessed from {from}. Type a value and the mark goes; click the mark if the guess is right"
    )
}
