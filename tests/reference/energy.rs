//! Where the watts go, each share by itself, against the figures that the general-purpose solver found.
//!
//! Mercury vapour drops the same volts at any current, so that all watts of its circuits follow from the stored means and
//! root mean squares: `R·i²` of what resists, the drop times the mean current, the bus times what is drawn from it.

use sagline::parts::{Ohms, VoltAmps};
use sagline::physics::energy::{Sink, energy};
use sagline::physics::model::Model;
use sagline::physics::operation::Case;

use crate::circuit::{Circuit, Law, Results, Series, Solved, read_reference};

/// A square of currents that are promised within 0.3 %.
const WATTS_WITHIN: f64 = 0.006;
/// Rms volts of the mains in every case (V), and what stands on the transformer besides: 1.5 A.
const MAINS: f64 = 100.0;
const PRIMARY: Ohms = Ohms(0.3);
const AUXILIARY: VoltAmps = VoltAmps(150.0);

/// One half of a winding with its device, by the generator's figures.
struct Half {
    emf_volts: f64,
    path_ohms: f64,
    mean_amps: f64,
    rms_amps: f64,
}

/// Both halves: twice the same where they are alike.
fn halves(circuit: &Circuit, found: &Results) -> [Half; 2] {
    let (emf_volts, path_ohms) = (circuit.emf_volts, circuit.path_ohms);
    let (mean_amps, rms_amps) = (found.rectifier_mean_amps, found.rectifier_rms_amps);
    let first = Half {
        emf_volts,
        path_ohms,
        mean_amps,
        rms_amps,
    };
    let second = match (circuit.second_half, found.second_half_amps) {
        (Some(half), Some([_, mean_amps, rms_amps])) => Half {
            emf_volts: half.emf_volts,
            path_ohms: half.path_ohms,
            mean_amps,
            rms_amps,
        },
        _ => Half { ..first },
    };
    [first, second]
}

/// Watts that the e.m.f. gives, summed over where they end; `None` where a device's do not follow from stored figures.
fn emf_watts(circuit: &Circuit, found: &Results) -> Option<f64> {
    let Law::Mercury { drop_volts } = circuit.law else {
        return None;
    };
    let of_half =
        |half: &Half| half.path_ohms * half.rms_amps.powi(2) + drop_volts * half.mean_amps;
    let mut watts = halves(circuit, found).iter().map(of_half).sum::<f64>()
        + found.bus_mean_volts * (circuit.output_amps + circuit.internal_amps);
    if let Some(ohms) = circuit.bleeder_ohms {
        watts += (found.bus_mean_volts.powi(2) + found.bus_ripple_rms_volts.powi(2)) / ohms;
    }
    for (section, amps) in circuit.sections.iter().zip(&found.choke_rms_amps) {
        let Series::Choke { ohms, .. } = section.series else {
            return None;
        };
        watts += ohms * amps.powi(2);
    }
    Some(watts)
}

/// The primary carries the auxiliary current and the reflected one together. The first goes with the e.m.f., so the mean of
/// their product is what the e.m.f. gives, over its volts, times the auxiliary current.
#[test]
fn primary_and_auxiliary_have_their_shares() {
    let mut compared = 0;
    for Solved { circuit, results } in read_reference().unwrap().cases {
        let Some(given) = emf_watts(&circuit, &results) else {
            continue;
        };
        compared += 1;
        let model = Model::of(&circuit.behind(PRIMARY, AUXILIARY)).unwrap();
        let got = energy(&model, Case::Present, [circuit.output_amps, 0.0]).unwrap();
        let auxiliary_amps = AUXILIARY.0 / MAINS;
        let inner = MAINS - PRIMARY.0 * auxiliary_amps;
        let turns = circuit.emf_volts / inner;
        let product = auxiliary_amps * turns * given / circuit.emf_volts;
        let both = halves(&circuit, &results);
        let reflected = |half: &Half| (half.emf_volts / inner * half.rms_amps).powi(2);
        let primary_square =
            auxiliary_amps.powi(2) + 2.0 * product + both.iter().map(reflected).sum::<f64>();
        for (what, got, want) in [
            (
                "from the mains",
                got.mains_watts,
                AUXILIARY.0 + MAINS * turns * given / circuit.emf_volts,
            ),
            (
                "primary",
                got.watts(Sink::PrimaryCopper),
                PRIMARY.0 * primary_square,
            ),
            (
                "auxiliary",
                got.watts(Sink::Auxiliary),
                AUXILIARY.0 - PRIMARY.0 * (auxiliary_amps.powi(2) + product),
            ),
            ("rectifier", got.watts(Sink::Rectifier), {
                let Law::Mercury { drop_volts } = circuit.law else {
                    continue;
                };
                drop_volts * (both[0].mean_amps + both[1].mean_amps)
            }),
        ] {
            assert!(
                (got / want - 1.0).abs() < WATTS_WITHIN,
                "{}, {what}: got {got} W want {want} W",
                circuit.name
            );
        }
    }
    assert!(compared >= 5, "only {compared} cases");
}
