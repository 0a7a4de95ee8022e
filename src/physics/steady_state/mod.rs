//! The waveform that repeats: every figure before the pass tubes, for one output current or many.
//!
//! Never marched from switch-on until it settles: the start of the period that comes back to itself is found
//! by Newton's method, and each current starts from its neighbour's answer.

mod collocation;
mod cycle;
mod mesh;
mod network;
mod port;
mod shooting;
mod valley;
mod waveform;

pub use waveform::{Instant, Mark, Waveform, waveform};

use nalgebra::SVector;

use crate::parts::{CapacitorStack, Connection, Supply};
use crate::physics::Failure;
use crate::physics::device::rectifier::{Commutation, Path};
use crate::physics::operation::{Case, Operation};
use crate::physics::pass_stage;
use crate::physics::source::source;
use mesh::Mesh;
use network::{Network, Port};
use shooting::{Carrier, Drive, Found, Lost};

/// Rms mains volts of a case. Nominal mains move along when the present mains leave the range from low to high:
/// the swing that a maker allowed for then starts from a higher (lower) middle.
pub fn mains_volts(supply: &Supply, case: Case) -> f64 {
    let mains = &supply.mains;
    match case {
        Case::Low | Case::LowLeast | Case::LowMost => mains.low.0.min(mains.present.0),
        Case::Present => mains.present.0,
        Case::High | Case::HighLeast | Case::HighMost => mains.high.0.max(mains.present.0),
        Case::Nominal if mains.present.0 > mains.high.0 => {
            mains.nominal.0 * mains.present.0 / mains.high.0
        }
        Case::Nominal if mains.present.0 < mains.low.0 => {
            mains.nominal.0 * mains.present.0 / mains.low.0
        }
        Case::Nominal => mains.nominal.0,
    }
}

/// At which end of its tolerance every capacitor is in a case: −1, 0 or +1.
fn tolerance_sign(case: Case) -> f64 {
    match case {
        Case::LowLeast | Case::HighLeast => -1.0,
        Case::LowMost | Case::HighMost => 1.0,
        Case::Low | Case::Present | Case::High | Case::Nominal => 0.0,
    }
}

/// Everything before the pass tubes at one output current.
///
/// # Errors
/// [`Failure::Description`] if the transformer makes no sense, [`Failure::Collapse`] if the bus cannot give
/// this current, [`Failure::NotConverged`] if no steady state was found.
pub fn operate(supply: &Supply, case: Case, output_amps: f64) -> Result<Operation, Failure> {
    let mut found = operate_many(supply, case, &[output_amps])?;
    found.pop().ok_or(Failure::Collapse { amps: output_amps })
}

/// Capacitance of a whole stack in a case (F), at the end of its tolerance that belongs to it.
pub fn stack_farads(stack: &CapacitorStack, case: Case) -> f64 {
    network::toleranced(stack, tolerance_sign(case))
}

/// Frequency of the ripple behind the rectifier (Hz): twice that of the mains where both half cycles count.
pub fn ripple_hertz(supply: &Supply) -> f64 {
    let pulses = match supply.rectifier.connection {
        Connection::HalfWave => 1.0,
        Connection::FullWaveCentreTap | Connection::Bridge => 2.0,
    };
    pulses * supply.mains.frequency.0
}

/// Everything before the pass tubes at each of `output_amps`, which rise or fall steadily. Ends early where the bus
/// collapses.
///
/// # Errors
/// As [`operate`], but for the collapse.
pub fn operate_many(
    supply: &Supply,
    case: Case,
    output_amps: &[f64],
) -> Result<Vec<Operation>, Failure> {
    match network::state_count(&supply.filter) {
        0 => Err(Failure::NoOutput("the filter has no capacitor".to_owned())),
        1 => column::<1>(supply, case, output_amps),
        2 => column::<2>(supply, case, output_amps),
        3 => column::<3>(supply, case, output_amps),
        4 => column::<4>(supply, case, output_amps),
        5 => column::<5>(supply, case, output_amps),
        6 => column::<6>(supply, case, output_amps),
        7..=9 => column::<9>(supply, case, output_amps),
        10..=15 => column::<15>(supply, case, output_amps),
        16..=25 => column::<25>(supply, case, output_amps),
        many => Err(Failure::NoOutput(format!(
            "the filter has {many} chokes and capacitors, more than the 25 that are computed"
        ))),
    }
}

/// The electromotive force and rectifier of a case.
fn drive(supply: &Supply, case: Case) -> Result<Drive, Failure> {
    let source = source(
        &supply.transformer,
        &supply.mains,
        mains_volts(supply, case),
    )
    .map_err(|p| Failure::Description(vec![p]))?;
    let common_ohms = network::port_ohms(&supply.filter);
    Ok(Drive {
        peak_volts: core::f64::consts::SQRT_2 * source.emf_rms_volts,
        angular_frequency: source.angular_frequency,
        port: port::Port {
            path: Path::new(&supply.rectifier, source.ohms + common_ohms),
            second: Commutation::new(&supply.rectifier, source.ohms),
            common_ohms,
        },
        full_wave: supply.rectifier.connection != Connection::HalfWave,
    })
}

fn column<const N: usize>(
    supply: &Supply,
    case: Case,
    output_amps: &[f64],
) -> Result<Vec<Operation>, Failure> {
    let drive = drive(supply, case)?;
    let net = Network::<N>::new(&supply.filter, tolerance_sign(case));
    let (connection, in_parallel) = (
        supply.rectifier.connection,
        f64::from(supply.rectifier.in_parallel.max(1)),
    );
    let mut out = Vec::with_capacity(output_amps.len());
    // The last answers, newest last, from which the next is extrapolated.
    let mut known: Vec<Known<N>> = Vec::new();
    let law = pass_stage::law_of(supply);
    for &amps in output_amps {
        let bus_amps = amps + supply.filter.internal_current.0;
        let found = match solve(&drive, &net, bus_amps, ahead(&known, amps)) {
            Ok(found) => found,
            Err(Lost::Collapsed) => break,
            Err(Lost::NotConverged(residual)) => {
                return Err(Failure::NotConverged {
                    amps,
                    steps: shooting::MOST_PERIODS,
                    residual,
                });
            }
        };
        let mut operation =
            cycle::measure(&found, &drive, &net, (connection, in_parallel, bus_amps));
        if operation.bus.trough_volts <= 0.0 {
            break;
        }
        operation.output_amps = amps;
        operation.least_drop_volts = pass_stage::least_drop(supply, law.as_ref(), amps);
        out.push(operation);
        if known.len() == 4 {
            known.remove(0);
        }
        known.push(Known {
            amps,
            start: found.start,
            mesh: found.mesh,
        });
    }
    Ok(out)
}

/// An answer from which others are reached.
struct Known<const N: usize> {
    amps: f64,
    start: SVector<f64, N>,
    mesh: Mesh,
}

/// The steady state at one current, from a guess if there is one, else or if that fails from nothing, and as the last
/// resort from a heavier load.
fn solve<const N: usize>(
    drive: &Drive,
    net: &Network<N>,
    bus_amps: f64,
    guess: Option<(SVector<f64, N>, Mesh)>,
) -> Result<Found<N>, Lost> {
    let scale = state_scale(drive, net, bus_amps);
    let from = |start: SVector<f64, N>, mesh: Option<Mesh>, bus_amps: f64| {
        Carrier::new(drive, net, bus_amps, 1.0).find(start, mesh, &scale)
    };
    let cold = cold_start(drive, net, bus_amps);
    let near = guess.as_ref().map_or(cold, |(start, _)| *start);
    let first = match guess {
        Some((start, mesh)) => from(start, Some(mesh), bus_amps)
            .or_else(|lost| retry(lost, || from(cold, None, bus_amps))),
        None => from(cold, None, bus_amps),
    };
    let even = || Carrier::new(drive, net, bus_amps, 1.0).find_on_even_steps(near, &scale);
    first
        .or_else(|lost| retry(lost, even))
        .or_else(|lost| retry(lost, || ramp_down(&from, cold, bus_amps)))
}

/// Another attempt, unless the bus has collapsed.
fn retry<T>(lost: Lost, attempt: impl FnOnce() -> Result<T, Lost>) -> Result<T, Lost> {
    if lost == Lost::Collapsed {
        Err(lost)
    } else {
        attempt()
    }
}

/// The last resort for a filter that nearly resonates: a heavier load damps it, and from there the load is taken off
/// bit by bit.
fn ramp_down<const N: usize>(
    from: &dyn Fn(SVector<f64, N>, Option<Mesh>, f64) -> Result<Found<N>, Lost>,
    cold: SVector<f64, N>,
    bus_amps: f64,
) -> Result<Found<N>, Lost> {
    let mut result = Err(Lost::NotConverged(f64::INFINITY));
    let (mut start, mut mesh) = (cold, None);
    for eighth in (0..=40).rev() {
        result = from(
            start,
            mesh.clone(),
            bus_amps * (f64::from(eighth) / 8.0).exp2(),
        );
        if let Ok(found) = &result {
            start = found.start;
            mesh = Some(found.mesh.clone());
        }
    }
    result
}

/// The size of each state, to judge closure by.
fn state_scale<const N: usize>(drive: &Drive, net: &Network<N>, bus_amps: f64) -> SVector<f64, N> {
    let mut scale = SVector::repeat(drive.peak_volts);
    for &(state, henries) in &net.chokes {
        scale[state] =
            bus_amps.abs() + 0.1 * drive.peak_volts / (drive.angular_frequency * henries);
    }
    scale
}

/// A first guess without a neighbour.
fn cold_start<const N: usize>(drive: &Drive, net: &Network<N>, bus_amps: f64) -> SVector<f64, N> {
    let share = if net.port == Port::Choke { 0.55 } else { 0.88 };
    let volts = share * drive.peak_volts - bus_amps * drive.port.path.ohms;
    let mut start = SVector::zeros();
    for &(state, _) in &net.capacitors {
        start[state] = volts.max(0.2 * drive.peak_volts);
    }
    for &(state, _) in &net.chokes {
        start[state] = bus_amps;
    }
    start
}

/// Start and mesh on the polynomial through up to four known ones, at `amps`: in the square root of the current, as
/// the bus comes down near no load.
fn ahead<const N: usize>(known: &[Known<N>], amps: f64) -> Option<(SVector<f64, N>, Mesh)> {
    let last = known.last()?;
    let bend = |amps: f64| amps.max(0.0).sqrt();
    let mut start = SVector::zeros();
    let mut meshes = Vec::with_capacity(known.len());
    for (k, of) in known.iter().enumerate() {
        let others = known.iter().enumerate().filter(|(j, _)| *j != k);
        let weight: f64 = others
            .map(|(_, o)| (bend(amps) - bend(o.amps)) / (bend(of.amps) - bend(o.amps)))
            .product();
        start += of.start * weight;
        meshes.push((weight, &of.mesh));
    }
    let mesh = Mesh::blend(&meshes).unwrap_or_else(|| last.mesh.clone());
    Some((start, mesh))
}
