//! The waveform that repeats: every figure before the pass tubes, for one output current or many.
//!
//! Never marched from switch-on until it settles: the start of the period that comes back to itself is found
//! by Newton's method, and each current starts from its neighbour's answer.

mod cycle;
mod drive;
mod guess;
mod mesh;
mod shooting;
mod trust_region;
mod valley;
mod waveform;

pub use waveform::{Instant, Mark, Waveform, waveform};

use nalgebra::SVector;

use crate::parts::{CapacitorStack, Connection, RawSupply};
use crate::physics::circuit::network::{self, Input, Network};
use crate::physics::circuit::port::Port;
use crate::physics::circuit::source::{Winding, source_in};
use crate::physics::device::rectifier::{Commutation, Path};
use crate::physics::failure::{Failure, NoOutput};
use crate::physics::operation::{Case, Operation};
use drive::{Drive, Turns};
use guess::{Guess, PeriodicSolution, Steps};
use mesh::Mesh;
use shooting::{Shooting, ShootingError};

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
/// [`Failure::Transformer`] if the transformer makes no sense, [`Failure::Collapse`] if the bus cannot give
/// this current, [`Failure::NotConverged`] if no steady state was found.
pub fn operate(raw: &RawSupply, case: Case, output_amps: f64) -> Result<Operation, Failure> {
    let mut found = operate_many(raw, case, &[output_amps])?;
    found.pop().ok_or(Failure::Collapse { amps: output_amps })
}

/// A steady state from which others near it are found within a few periods.
#[derive(Debug, Clone, PartialEq)]
pub struct Start {
    amps: f64,
    state: Vec<f64>,
    mesh: Mesh,
    steps: Steps,
}

impl Start {
    /// Puts this one among others that rise in current.
    pub fn put_among(self, all: &mut Vec<Self>) {
        let place = all.partition_point(|one| one.amps < self.amps);
        // Two at one current would leave no slope between them.
        if all.get(place).is_none_or(|one| one.amps > self.amps) {
            all.insert(place, self);
        }
    }
}

/// Everything before the pass tubes at one output current, and where others may start from.
#[derive(Debug, Clone, PartialEq)]
pub struct Solved {
    /// The figures.
    pub operation: Operation,
    /// The start of others near it.
    pub start: Start,
}

/// As [`operate`], from the steady states on either side of `output_amps` among `near`, which rise in current and are of the same raw
/// supply in the same case.
///
/// # Errors
/// As [`operate`].
pub fn operate_near(
    raw: &RawSupply,
    case: Case,
    output_amps: f64,
    near: &[Start],
) -> Result<Solved, Failure> {
    for_filter!(&raw.filter, beside(raw, case, output_amps, near))
}

/// Capacitance of a whole stack in a case (F), at the end of its tolerance that belongs to it.
pub fn stack_farads(stack: &CapacitorStack, case: Case) -> f64 {
    network::toleranced(stack, tolerance_sign(case))
}

/// Lowest frequency of the ripple behind the rectifier (Hz): twice that of the mains where both half cycles count alike, that of the mains
/// where the halves of the winding differ.
pub fn ripple_hertz(raw: &RawSupply) -> f64 {
    let pulses = match raw.rectifier.connection {
        Connection::HalfWave => 1.0,
        Connection::FullWaveCentreTap if raw.transformer.has_unequal_halves() => 1.0,
        Connection::FullWaveCentreTap | Connection::Bridge => 2.0,
    };
    pulses * raw.mains.frequency.0
}

/// Calls a function for the number of states that a filter needs: `$of::<N>(…)`.
macro_rules! for_filter {
    ($filter:expr, $of:ident($($argument:expr),*)) => {
        match network::state_count($filter) {
            0 => Err(Failure::NoOutput(NoOutput::NoCapacitor)),
            1 => $of::<1>($($argument),*),
            2 => $of::<2>($($argument),*),
            3 => $of::<3>($($argument),*),
            4 => $of::<4>($($argument),*),
            5 => $of::<5>($($argument),*),
            6 => $of::<6>($($argument),*),
            7..=9 => $of::<9>($($argument),*),
            10..=15 => $of::<15>($($argument),*),
            16..=19 => $of::<19>($($argument),*),
            20..=25 => $of::<25>($($argument),*),
            many => Err(Failure::NoOutput(NoOutput::TooManyParts(many))),
        }
    };
}
pub(in crate::physics) use for_filter;

/// Everything before the pass tubes at each of `output_amps`, which rise or fall steadily. Ends early where the bus
/// collapses.
///
/// # Errors
/// As [`operate`], but for the collapse.
pub fn operate_many(
    raw: &RawSupply,
    case: Case,
    output_amps: &[f64],
) -> Result<Vec<Operation>, Failure> {
    let solved = solve_many(raw, case, output_amps)?;
    Ok(solved.into_iter().map(|one| one.operation).collect())
}

/// As [`operate_many`], with the starts for other currents.
///
/// # Errors
/// As [`operate_many`].
pub fn solve_many(
    raw: &RawSupply,
    case: Case,
    output_amps: &[f64],
) -> Result<Vec<Solved>, Failure> {
    for_filter!(&raw.filter, column(raw, case, output_amps))
}

/// A raw supply in a case, ready to be solved.
struct Circuit<const N: usize> {
    drive: Drive,
    net: Network<N>,
    devices: Devices,
    filter_amps: f64,
}

/// How the rectifier's devices share what it carries.
#[derive(Debug, Clone, Copy)]
struct Devices {
    connection: Connection,
    in_parallel: f64,
}

impl<const N: usize> Circuit<N> {
    fn of(raw: &RawSupply, case: Case) -> Result<Self, Failure> {
        Ok(Self {
            drive: drive(raw, case)?,
            net: Network::new(&raw.filter, tolerance_sign(case)),
            devices: Devices {
                connection: raw.rectifier.connection,
                in_parallel: f64::from(raw.rectifier.in_parallel.max(1)),
            },
            filter_amps: raw.filter.internal_current.0,
        })
    }

    /// The repeating waveform at an output current, from a neighbour's where there is one.
    fn solve(&self, amps: f64, guess: Option<Guess<N>>) -> Result<PeriodicSolution<N>, Failure> {
        solve(&self.drive, &self.net, self.bus_amps(amps), guess).map_err(|error| match error {
            ShootingError::Collapsed => Failure::Collapse { amps },
            ShootingError::NotConverged(residual) => Failure::NotConverged {
                amps,
                periods: shooting::MOST_PERIODS,
                residual,
            },
        })
    }

    /// The figures of a waveform; a bus whose valley is at zero has collapsed.
    fn figures(&self, found: &PeriodicSolution<N>, amps: f64) -> Result<Operation, Failure> {
        let bus_amps = self.bus_amps(amps);
        let mut operation = cycle::measure(found, &self.drive, &self.net, self.devices, bus_amps);
        if operation.bus.trough_volts <= 0.0 {
            return Err(Failure::Collapse { amps });
        }
        operation.output_amps = amps;
        Ok(operation)
    }

    /// The repeating waveform at an output current, with its figures.
    fn at(
        &self,
        amps: f64,
        guess: Option<Guess<N>>,
    ) -> Result<(Operation, PeriodicSolution<N>), Failure> {
        let found = self.solve(amps, guess)?;
        Ok((self.figures(&found, amps)?, found))
    }

    /// What the bus gives to the output and to what hangs on it inside (A).
    fn bus_amps(&self, amps: f64) -> f64 {
        amps + self.filter_amps
    }
}

/// The electromotive force and rectifier of a case.
fn drive(raw: &RawSupply, case: Case) -> Result<Drive, Failure> {
    let source = source_in(raw, case)?;
    let common_ohms = network::port_ohms(&raw.filter);
    let port = |own: Winding, other: Winding| {
        let ratio = other.emf_rms_volts / own.emf_rms_volts;
        Port {
            path: Path::new(&raw.rectifier, own.ohms + common_ohms),
            second: Commutation::between(&raw.rectifier, [own.ohms, other.ohms], ratio),
            common_ohms,
        }
    };
    let [first, second] = source.halves();
    Ok(Drive {
        peaks: source.crests(),
        angular_frequency: source.angular_frequency,
        shape: source.shape,
        ports: [port(first, second), port(second, first)],
        turns: if raw.rectifier.connection == Connection::HalfWave {
            Turns::HalfWave
        } else if source.second_half.is_some() {
            Turns::Unequal
        } else {
            Turns::Alike
        },
    })
}

fn column<const N: usize>(
    raw: &RawSupply,
    case: Case,
    output_amps: &[f64],
) -> Result<Vec<Solved>, Failure> {
    let circuit = Circuit::<N>::of(raw, case)?;
    let mut out = Vec::with_capacity(output_amps.len());
    // The last answers, newest last, from which the next is extrapolated.
    let mut neighbours: Vec<Neighbour<N>> = Vec::new();
    let mut inverse = None;
    for &amps in output_amps {
        let guess = extrapolate(&neighbours, amps).map(|guess| Guess { inverse, ..guess });
        let (operation, found) = match circuit.at(amps, guess) {
            Ok(solved) => solved,
            Err(Failure::Collapse { .. }) => break,
            Err(other) => return Err(other),
        };
        out.push(Solved {
            operation,
            start: start_of(&found, amps),
        });
        if neighbours.len() == 4 {
            neighbours.remove(0);
        }
        inverse = found.inverse;
        neighbours.push(Neighbour {
            amps,
            start: found.start,
            steps: found.steps,
            mesh: found.mesh,
        });
    }
    Ok(out)
}

fn start_of<const N: usize>(found: &PeriodicSolution<N>, amps: f64) -> Start {
    Start {
        amps,
        state: found.start.iter().copied().collect(),
        mesh: found.mesh.clone(),
        steps: found.steps,
    }
}

/// The steady state at one current, from up to two known ones on either side.
fn beside<const N: usize>(
    raw: &RawSupply,
    case: Case,
    amps: f64,
    near: &[Start],
) -> Result<Solved, Failure> {
    let circuit = Circuit::<N>::of(raw, case)?;
    let above = near.partition_point(|start| start.amps < amps);
    let around = above.saturating_sub(2)..(above + 2).min(near.len());
    let neighbours: Vec<Neighbour<N>> = (near.get(around).unwrap_or_default().iter())
        .filter(|start| start.state.len() == N)
        .map(|start| Neighbour {
            amps: start.amps,
            start: SVector::from_column_slice(&start.state),
            mesh: start.mesh.clone(),
            steps: start.steps,
        })
        .collect();
    let (operation, found) = circuit.at(amps, extrapolate(&neighbours, amps))?;
    Ok(Solved {
        operation,
        start: start_of(&found, amps),
    })
}

/// An answer from which others are reached.
struct Neighbour<const N: usize> {
    amps: f64,
    start: SVector<f64, N>,
    mesh: Mesh,
    steps: Steps,
}

/// The steady state at one current, from a guess if there is one, else or if that fails from nothing, and as the last
/// resort from a heavier load.
fn solve<const N: usize>(
    drive: &Drive,
    net: &Network<N>,
    bus_amps: f64,
    guess: Option<Guess<N>>,
) -> Result<PeriodicSolution<N>, ShootingError> {
    let scale = state_scale(drive, net, bus_amps);
    let from = |guess: Guess<N>, bus_amps: f64| {
        Shooting::new(drive, net, bus_amps, 1.0).find(guess, &scale)
    };
    let cold = cold_start(drive, net, bus_amps);
    let near = guess.as_ref().map_or(cold, |guess| guess.start);
    let first = match guess {
        // Where the pieces of the waveform would not settle they will not do so beside it, at least not for long.
        Some(guess) if guess.steps == Steps::Even => Shooting::new(drive, net, bus_amps, 1.0)
            .briefly()
            .find(guess, &scale),
        Some(guess) => {
            from(guess, bus_amps).or_else(|error| retry(error, || from(Guess::at(cold), bus_amps)))
        }
        None => from(Guess::at(cold), bus_amps),
    };
    let even = || Shooting::new(drive, net, bus_amps, 1.0).find_on_even_steps(near, &scale);
    first
        .or_else(|error| retry(error, even))
        .or_else(|error| retry(error, || ramp_down(&from, cold, bus_amps)))
}

/// Another attempt, unless the bus has collapsed.
fn retry<T>(
    error: ShootingError,
    attempt: impl FnOnce() -> Result<T, ShootingError>,
) -> Result<T, ShootingError> {
    if error == ShootingError::Collapsed {
        Err(error)
    } else {
        attempt()
    }
}

/// The last resort for a filter that nearly resonates: a heavier load damps it, and from there the load is taken off
/// bit by bit.
fn ramp_down<const N: usize>(
    from: &dyn Fn(Guess<N>, f64) -> Result<PeriodicSolution<N>, ShootingError>,
    cold: SVector<f64, N>,
    bus_amps: f64,
) -> Result<PeriodicSolution<N>, ShootingError> {
    let mut result = Err(ShootingError::NotConverged(f64::INFINITY));
    let mut guess = Guess::at(cold);
    for eighth in (0..=40).rev() {
        result = from(guess.clone(), bus_amps * (f64::from(eighth) / 8.0).exp2());
        if let Ok(found) = &result {
            guess = Guess {
                mesh: Some(found.mesh.clone()),
                ..Guess::at(found.start)
            };
        }
    }
    result
}

/// The size of each state, to judge closure by.
fn state_scale<const N: usize>(drive: &Drive, net: &Network<N>, bus_amps: f64) -> SVector<f64, N> {
    let mut scale = SVector::repeat(drive.peak_volts());
    for &(state, henries) in &net.chokes {
        scale[state] =
            bus_amps.abs() + 0.1 * drive.peak_volts() / (drive.angular_frequency * henries);
    }
    scale
}

/// A first guess without a neighbour.
fn cold_start<const N: usize>(drive: &Drive, net: &Network<N>, bus_amps: f64) -> SVector<f64, N> {
    let share = if net.input == Input::Choke {
        0.55
    } else {
        0.88
    };
    let volts = share * drive.peak_volts() - bus_amps * drive.port().path.ohms;
    let mut start = SVector::zeros();
    for &(state, _) in &net.capacitors {
        start[state] = volts.max(0.2 * drive.peak_volts());
    }
    for &(state, _) in &net.chokes {
        start[state] = bus_amps;
    }
    start
}

/// Start and mesh on the polynomial through those of up to four neighbours, at `amps`: in the square root of the current, as
/// the bus comes down near no load.
fn extrapolate<const N: usize>(neighbours: &[Neighbour<N>], amps: f64) -> Option<Guess<N>> {
    let last = neighbours.last()?;
    let root = |amps: f64| amps.max(0.0).sqrt();
    let mut start = SVector::zeros();
    let mut meshes = Vec::with_capacity(neighbours.len());
    for (k, of) in neighbours.iter().enumerate() {
        let others = neighbours.iter().enumerate().filter(|(j, _)| *j != k);
        let weight: f64 = others
            .map(|(_, o)| (root(amps) - root(o.amps)) / (root(of.amps) - root(o.amps)))
            .product();
        start += of.start * weight;
        meshes.push((weight, &of.mesh));
    }
    let mesh = Mesh::blend(&meshes).unwrap_or_else(|| last.mesh.clone());
    Some(Guess {
        mesh: Some(mesh),
        steps: last.steps,
        ..Guess::at(start)
    })
}
