//! Words for the view of one mains cycle.

use crate::explain::number;
use crate::parts::Supply;
use crate::physics::steady_state::{Instant, Waveform};

/// Accessible name of the view.
pub const NAME: &str = "One mains cycle";

/// Words of the glossary that the view uses.
pub const WORDS: [&str; 3] = ["bus valley", "conduction angle", "dropout line"];

/// Above the view: `One mains cycle at 30 mA, 120 V mains`.
pub fn title(wave: &Waveform, supply: &Supply) -> String {
    format!(
        "{NAME} at {}, {} mains",
        number::amps(wave.operation.output_amps),
        number::volts(supply.mains.present.0)
    )
}

/// The title, and the same in fewer words for a narrow window: `Cycle at 30 mA, 120 V mains`.
pub fn titles(wave: &Waveform, supply: &Supply) -> [String; 2] {
    let whole = title(wave, supply);
    let short = whole.replacen(NAME, "Cycle", 1);
    [whole, short]
}

/// At the lowest instant of the bus: `valley 478 V`.
pub fn trough(wave: &Waveform) -> String {
    format!("valley {}", number::volts(wave.trough.volts))
}

/// At the highest instant of the bus: `crest 497 V`.
pub fn crest(wave: &Waveform) -> String {
    format!("crest {}", number::volts(wave.crest.volts))
}

/// At the level below which the bus must not fall: `dropout 312 V`.
pub fn dropout(volts: f64) -> String {
    format!("dropout {}", number::volts(volts))
}

/// The same where the level lies below what is drawn, the second shorter for want of room.
pub fn dropout_below(volts: f64) -> [String; 2] {
    let level = dropout(volts);
    [format!("{level}, further down"), format!("{level} ↓")]
}

/// Between the ends of a pulse: `conducts 64°`.
pub fn conduction(wave: &Waveform) -> String {
    format!(
        "conducts {:.0}°",
        wave.operation.rectifier.conduction_degrees
    )
}

/// At the top of a pulse: `peak 320 mA`, of one device.
pub fn peak(wave: &Waveform) -> String {
    format!("peak {}", number::amps(wave.operation.rectifier.peak_amps))
}

/// Names of the curves: of the winding's two halves, the first capacitor, the bus, the rectifier's two paths and the
/// first choke.
pub const CURVES: [&str; 5] = ["winding", "first capacitor", "bus", "rectifier", "choke"];

/// One instant in a line: `4.17 ms, 90°: bus 487 V, rectifier 120 mA`.
pub fn instant(at: &Instant, wave: &Waveform) -> String {
    let amps: f64 = at.plate_amps.iter().copied().fold(0.0, f64::max);
    format!(
        "{:.2} ms, {:.0}°: bus {}, winding {}, rectifier {}",
        at.seconds * 1e3,
        wave.degrees(at.seconds),
        number::volts(at.bus_volts()),
        number::volts(at.half_volts[0]),
        number::amps(amps)
    )
}

/// The whole view for those who cannot see it.
pub fn in_words(wave: &Waveform, dropout_volts: Option<f64>) -> String {
    let operation = &wave.operation;
    let level = dropout_volts.map_or_else(
        || "the dropout level is not known".to_owned(),
        |volts| format!("dropout at {}", number::volts(volts)),
    );
    format!(
        "Bus from {} to {}, mean {}; {level}; each rectifier path conducts {:.0}° with a peak of {}",
        number::volts(operation.bus.trough_volts),
        number::volts(operation.bus.crest_volts),
        number::volts(operation.bus.mean_volts),
        operation.rectifier.conduction_degrees,
        number::amps(operation.rectifier.peak_amps)
    )
}
