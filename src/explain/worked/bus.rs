//! Filter and bus on the worked page, and the bus checked with a pencil.

use crate::bench::bus_by_hand::{Begin, BusByHand};
use crate::bench::working::Working;
use crate::explain::number;
use crate::explain::worked::{Page, at_work};
use crate::parts::{SeriesElement, Supply};
use crate::physics::operation::Operation;

pub(super) fn bus(page: &mut Page, supply: &Supply, working: &Working) {
    let operation = &working.operation;
    page.text("## Filter and bus");
    let mut filter: Vec<String> = Vec::new();
    if let Some(stack) = &supply.filter.input_capacitor {
        filter.push(number::farads(stack.farads()));
    }
    for section in &supply.filter.sections {
        filter.push(match &section.series {
            SeriesElement::Resistor(ohms) => ohms.to_string(),
            SeriesElement::Choke {
                inductance,
                resistance,
                measured,
                ..
            } => format!("{inductance} with {}", at_work(*resistance, *measured)),
        });
        filter.push(number::farads(section.capacitor.farads()));
    }
    let mut drawn = vec![number::amps(operation.output_amps)];
    let mut summands = "output";
    if working.regulator_bus_amps > 0.0 {
        drawn.push(number::amps(working.regulator_bus_amps));
        summands = "output + the most that the regulator draws";
    }
    drawn.push(number::amps(supply.filter.internal_current.0));
    if let Some(ohms) = supply.filter.bleeder {
        drawn.push(format!(
            "{} ({} / {ohms})",
            number::amps(working.bleeder_amps),
            number::volts(operation.bus.mean_volts)
        ));
    }
    if working.balancing_amps > 0.0 {
        drawn.push(number::amps(working.balancing_amps));
    }
    page.step(
        "Current from the rectifier",
        &format!("{summands} + internal current + bleeder + balancing resistors, on the mean"),
        &format!(
            "{} = {}{}",
            drawn.join(" + "),
            number::amps(operation.rectified_amps),
            shared(operation)
        ),
        "A capacitor carries no direct current",
    );
    if !supply.filter.is_choke_input() {
        page.step(
            "Ripple current of the first capacitor",
            "√(Irms² − Imean²) of the rectifier, less what the filter takes on as ripple",
            &format!(
                "√({}² − {}²); found {}",
                number::amps(operation.rectified_rms_amps),
                number::amps(operation.rectified_amps),
                number::amps(operation.capacitor_rms_amps.first().copied().unwrap_or(0.0))
            ),
            "Currents of different frequencies add by their squares; a capacitor carries no direct current",
        );
    }
    page.step(
        "Bus",
        &format!("steady state behind {}", filter.join(" – ")),
        &format!(
            "mean {}, valley {}, crest {}: ripple {} peak to peak",
            number::volts(operation.bus.mean_volts),
            number::volts(operation.bus.trough_volts),
            number::volts(operation.bus.crest_volts),
            number::volts(operation.bus.ripple_volts())
        ),
        "The same repeating waveform",
    );
    if let Some(way) = &working.bus_by_hand {
        bus_checked(page, supply, (working, way));
    }
}

/// Over how many devices the mean current goes.
fn shared(operation: &Operation) -> String {
    if let Some([first, second]) = operation.by_half {
        let whole = first.mean_amps + second.mean_amps;
        return format!(
            ", {:.1} % of it from the first half of the winding and {:.1} % from the second",
            100.0 * first.mean_amps / whole,
            100.0 * second.mean_amps / whole
        );
    }
    let devices = (operation.rectified_amps / operation.rectifier.mean_amps).round();
    if devices > 1.0 {
        format!(", shared by {devices:.0}: the mean of each above")
    } else {
        String::new()
    }
}

/// The bus once more, from the winding's crest with a pencil.
fn bus_checked(page: &mut Page, supply: &Supply, (working, way): (&Working, &BusByHand)) {
    let (formula, begin, source) = match way.from {
        Begin::TopOfPulse => (
            "crest − peak of the pulse × R − drop of the rectifier, then the mean current through each section",
            String::new(),
            "Kirchhoff's law at the top of a pulse; the peak is that of the waveform. The first capacitor then stands between \
             its valley and its crest, so with much ripple this lies beside the mean by some of it",
        ),
        Begin::MeanOfWave if !supply.mains.crest_factor.is_sine() => (
            "mean of the full wave = 2/π × crest × (1 + 2h/15)/(1 − 2h), − mean current × R − drop of the rectifier, then the \
             mean current through each section",
            format!(
                "{} of a crest of {}; ",
                number::volts(way.emf_volts),
                number::volts(working.crest_volts)
            ),
            "Mean of a full-wave rectifier whose choke never runs dry, its mains flattened as above",
        ),
        Begin::MeanOfWave => (
            "2/π × crest − mean current × R − drop of the rectifier, then the mean current through each section",
            format!(
                "2/π × {} = {}; ",
                number::volts(way.emf_volts * core::f64::consts::FRAC_PI_2),
                number::volts(way.emf_volts)
            ),
            "Mean of a full-wave rectifier whose choke never runs dry",
        ),
    };
    let numbers = format!(
        "{begin}{} − {} × {} − {} in the rectifier = {}",
        number::volts(way.emf_volts),
        number::amps(way.amps),
        number::ohms(way.ohms),
        number::volts(way.device_volts),
        number::volts(way.rectified_volts)
    );
    let lost = way
        .sections
        .iter()
        .zip(&supply.filter.sections)
        .map(|((amps, ohms), section)| {
            let part = match section.series {
                SeriesElement::Resistor(_) => "resistor",
                SeriesElement::Choke { .. } => "choke",
            };
            format!(
                " − {} × {} in the {part}",
                number::amps(*amps),
                number::ohms(*ohms)
            )
        });
    let lost: String = lost.collect();
    let on = if lost.is_empty() {
        String::new()
    } else {
        let rectified = number::volts(way.rectified_volts);
        format!("; {rectified}{lost} = {}", number::volts(way.bus_volts))
    };
    page.step("The bus checked by hand", formula, &(numbers + &on), source);
}
