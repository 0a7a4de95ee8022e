//! What is guessed around the control tube.

use crate::parts::Copper;
use crate::parts::catalogue::Catalogue;
use crate::parts::new_supply::Answers;
use crate::parts::new_supply::guess::{Circuit, Guessing, two_figures};
use crate::parts::{
    Amps, BiasRail, CapacitorStack, Connection, Divider, Farads, Filter, GasReference, GasTubeType,
    Ohms, PlateSupply, RailWinding, Rectifier, ReferenceFeed, Regulator, Tap, Volts,
};

/// Most gas tubes that are put in series to make up a rail.
const MOST_TUBES: usize = 3;
/// A stack of gas tubes is taken for the rail if its volts are that close.
const CLOSE: f64 = 0.06;

/// The regulator around an answered control tube. With a negative rail the tube's cathode sits on the output's negative terminal
/// and the foot of the divider on the rail, so that the output comes down to zero; without one the cathode sits on a gas tube fed
/// from the output. Plate load 470 kΩ from the bus, divider 220 kΩ. Screen volts, least plate volts and heaters stay not known.
pub(super) fn regulator(
    answers: &Answers,
    circuit: &Circuit,
    catalogue: &Catalogue,
    guessing: &mut Guessing,
) -> Option<Regulator> {
    let control_tube = answers.control_tube.clone()?;
    let (reference, bias_rail) = match circuit.rail {
        Some(volts) => (None, rail(volts, catalogue, guessing)),
        None => (positive(circuit, catalogue, guessing), None),
    };
    let tubes = (bias_rail.as_ref())
        .and_then(|rail| u8::try_from(rail.reference.as_ref()?.tubes.len()).ok());
    let (cathode, foot) = match (&reference, &bias_rail, tubes) {
        (Some(_), ..) => (Tap::Reference, Tap::Common),
        (None, Some(_), Some(tubes)) => (Tap::Common, Tap::BiasReference(tubes)),
        (None, Some(_), None) => (Tap::Common, Tap::BiasRail),
        (None, None, _) => (Tap::Common, Tap::Common),
    };
    Some(Regulator {
        control_tube,
        plate_load: guessing.of("regulator.plate_load", Ohms(470e3)),
        plate_supply: guessing.of("regulator.plate_supply", PlateSupply::Bus),
        screen_volts: None,
        cathode: guessing.of("regulator.cathode", cathode),
        least_plate_volts: None,
        divider: Divider {
            control: None,
            resistance: guessing.of("regulator.divider.resistance", Ohms(220e3)),
            foot: guessing.of("regulator.divider.foot", foot),
        },
        screen_divider: None,
        preload: None,
        heater: None,
        reference,
        bias_rail,
    })
}

/// An 85A2 fed from the output, with two thirds of its highest current at the highest setting.
fn positive(
    circuit: &Circuit,
    catalogue: &Catalogue,
    guessing: &mut Guessing,
) -> Option<GasReference> {
    let tube = catalogue
        .gas_tube("85A2")
        .or(catalogue.gas_tubes.first())?
        .clone();
    let above = (circuit.set_high.0 - tube.volts.value.0).max(10.0);
    let feed = two_figures(above / (0.67 * tube.current_most.value.0));
    Some(GasReference {
        tubes: guessing.of("regulator.reference.tubes", vec![tube]),
        feed_resistor: guessing.of("regulator.reference.feed_resistor", feed),
        fed_from: guessing.of("regulator.reference.fed_from", ReferenceFeed::Output),
        drawn: Amps(0.0),
        shunts: None,
    })
}

/// Gas tubes that make up the rail, if any do, behind a raw supply of 1.6 times their volts: half wave, 16 µF, hardly loaded, so that
/// its bus is near the winding's crest. The feed gives the mean of the tubes' least and highest current. Without gas tubes the raw
/// supply gives the rail itself. Its winding loses a tenth at 30 mA.
fn rail(volts: Volts, catalogue: &Catalogue, guessing: &mut Guessing) -> Option<BiasRail> {
    let tubes = stack_of(volts, catalogue);
    let raw = if tubes.is_empty() {
        volts.0
    } else {
        1.6 * volts.0
    };
    let kind = catalogue
        .rectifier("1N4007")
        .or(catalogue.rectifiers.first())?
        .clone();
    let path = |name: &str| format!("regulator.bias_rail.{name}");
    let winding = (raw / 1.3).max(1.0).round();
    let reference = tubes.first().cloned().map(|first| {
        let least = (first.current_least.value.0, first.current_most.value.0);
        let middle = 0.5 * (least.0 + least.1);
        GasReference {
            feed_resistor: guessing.of(
                &path("reference.feed_resistor"),
                two_figures(((raw - volts.0) / middle).max(100.0)),
            ),
            tubes: guessing.of(&path("reference.tubes"), tubes),
            fed_from: ReferenceFeed::BiasRail,
            drawn: Amps(0.0),
            shunts: None,
        }
    });
    Some(BiasRail {
        winding: RailWinding::Own(guessing.of(&path("winding"), Volts(winding))),
        winding_resistance: Some(guessing.of(
            &path("winding_resistance"),
            two_figures(0.1 * winding / 0.03),
        )),
        winding_measured: Copper::Warm,
        winding_rating: None,
        rectifier: Rectifier {
            kind: guessing.of(&path("rectifier.kind"), kind),
            connection: Connection::HalfWave,
            in_parallel: 1,
            in_series: 1,
            plate_resistor: Ohms(0.0),
            heater: None,
        },
        filter: Filter {
            input_capacitor: Some(CapacitorStack::single(
                guessing.of(&path("filter.input_capacitor.unit"), Farads(16e-6)),
            )),
            sections: Vec::new(),
            bleeder: None,
            internal_current: Amps(0.0),
        },
        load: Amps(0.0),
        reference,
    })
}

/// The fewest gas tubes of the usual octal and miniature kinds that make up these volts; empty if none are close.
fn stack_of(volts: Volts, catalogue: &Catalogue) -> Vec<GasTubeType> {
    let usual: Vec<&GasTubeType> = ["0A2", "0C3", "0A3", "85A2"]
        .into_iter()
        .filter_map(|name| catalogue.gas_tube(name))
        .collect();
    let mut stacks: Vec<Vec<&GasTubeType>> = vec![Vec::new()];
    for _ in 0..MOST_TUBES {
        stacks = stacks
            .iter()
            .flat_map(|stack| {
                usual
                    .iter()
                    .map(move |tube| [stack.as_slice(), &[*tube]].concat())
            })
            .collect();
        let sum = |stack: &Vec<&GasTubeType>| stack.iter().map(|t| t.volts.value.0).sum::<f64>();
        let miss = |stack: &Vec<&GasTubeType>| (sum(stack) - volts.0).abs();
        let best = stacks.iter().min_by(|a, b| miss(a).total_cmp(&miss(b)));
        if let Some(best) = best.filter(|best| miss(best) <= CLOSE * volts.0) {
            return best.iter().map(|tube| (*tube).clone()).collect();
        }
    }
    Vec::new()
}
