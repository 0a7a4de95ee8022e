//! The filter as linear equations with one port, to which the rectifier is connected.
//!
//! `x' = A·x + B·p + c`. The states `x` are capacitor volts and choke amperes from the rectifier to the bus; state 0
//! faces the rectifier. With a capacitor input the port takes a current (`p = i`, `x₀ = w`), with a choke input
//! a voltage (`p = w`, `x₀ = i`), where `w` and `i` are the rectifier's output volts and amperes.

use nalgebra::{SMatrix, SVector};

use crate::parts::{CapacitorStack, Filter, SeriesElement};

/// Leakage that keeps a bus determinate from which nothing else flows. Only then: beside a bleeder of some megohms
/// it would show.
const LEAK_SIEMENS: f64 = 1e-9;

/// That leakage (S); 0 where something else takes what is on the bus.
pub(in crate::physics) fn leak_siemens(filter: &Filter) -> f64 {
    let bleeds = filter.bleeder.is_some() || filter.stacks().any(|stack| stack.balancing.is_some());
    if bleeds { 0.0 } else { LEAK_SIEMENS }
}

/// What faces the rectifier.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(in crate::physics) enum Input {
    /// A capacitor: the port's input is a current.
    Capacitor,
    /// A choke: the port's input is a voltage.
    Choke,
}

/// Resistance that is in series with the port and belongs to the path, not the network: the resistor of an R input.
pub(in crate::physics) fn port_ohms(filter: &Filter) -> f64 {
    match (&filter.input_capacitor, filter.sections.first()) {
        (None, Some(section)) => match section.series {
            SeriesElement::Resistor(ohms) => ohms.0,
            SeriesElement::Choke { .. } => 0.0,
        },
        _ => 0.0,
    }
}

/// States that the filter needs.
pub(in crate::physics) fn state_count(filter: &Filter) -> usize {
    let chokes = filter
        .sections
        .iter()
        .filter(|s| matches!(s.series, SeriesElement::Choke { .. }))
        .count();
    usize::from(filter.input_capacitor.is_some()) + filter.sections.len() + chokes
}

/// The network with `N` states; states that the filter does not need decay on their own and touch nothing.
#[derive(Debug, Clone)]
pub(in crate::physics) struct Network<const N: usize> {
    pub(in crate::physics) input: Input,
    pub(in crate::physics) a: SMatrix<f64, N, N>,
    pub(in crate::physics) b: SVector<f64, N>,
    /// `c` for one ampere out of the bus.
    pub(in crate::physics) load: SVector<f64, N>,
    /// What all bleeders and balancing resistors draw together, per volt (S).
    pub(in crate::physics) conductance: f64,
    /// Which state is which capacitor stack, and its capacitance (F).
    pub(in crate::physics) capacitors: Vec<(usize, f64)>,
    /// Which state is which choke, and its inductance (H).
    pub(in crate::physics) chokes: Vec<(usize, f64)>,
}

/// Capacitance of a stack at an end of its tolerance (F): `sign` is −1, 0 or +1.
pub(in crate::physics) fn toleranced(stack: &CapacitorStack, sign: f64) -> f64 {
    stack.farads() * (1.0 + sign * stack.tolerance.0)
}

impl<const N: usize> Network<N> {
    /// Sets up the equations with every capacitor at an end of its tolerance: `tolerance_sign` is −1, 0 or +1.
    pub(in crate::physics) fn new(filter: &Filter, tolerance_sign: f64) -> Self {
        let mut net = Self {
            input: Input::Capacitor,
            a: SMatrix::zeros(),
            b: SVector::zeros(),
            load: SVector::zeros(),
            conductance: 0.0,
            capacitors: Vec::new(),
            chokes: Vec::new(),
        };
        let stack_farads = |stack: &CapacitorStack| toleranced(stack, tolerance_sign);
        let mut next_state = 0;
        let mut upstream: Option<(usize, f64)> = None; // capacitor node that feeds the next section
        if let Some(stack) = &filter.input_capacitor {
            let farads = stack_farads(stack);
            net.add_capacitor(next_state, farads, stack.balancing_ohms());
            net.b[next_state] = 1.0 / farads;
            upstream = Some((next_state, farads));
            next_state += 1;
        }
        for section in &filter.sections {
            let farads = stack_farads(&section.capacitor);
            match (&section.series, upstream) {
                (choke_itself @ SeriesElement::Choke { inductance, .. }, _) => {
                    let (choke, node) = (next_state, next_state + 1);
                    next_state += 2;
                    let henries = inductance.0;
                    net.chokes.push((choke, henries));
                    net.a[(choke, choke)] = -choke_itself.ohms_at_work().0 / henries;
                    net.a[(choke, node)] = -1.0 / henries;
                    net.a[(node, choke)] = 1.0 / farads;
                    if let Some((before, before_farads)) = upstream {
                        net.a[(choke, before)] = 1.0 / henries;
                        net.a[(before, choke)] = -1.0 / before_farads;
                    } else {
                        net.input = Input::Choke;
                        net.b[choke] = 1.0 / henries;
                    }
                    net.add_capacitor(node, farads, section.capacitor.balancing_ohms());
                    upstream = Some((node, farads));
                }
                (SeriesElement::Resistor(ohms), Some((before, before_farads))) => {
                    let node = next_state;
                    next_state += 1;
                    net.a[(before, before)] -= 1.0 / (ohms.0 * before_farads);
                    net.a[(before, node)] += 1.0 / (ohms.0 * before_farads);
                    net.a[(node, before)] += 1.0 / (ohms.0 * farads);
                    net.a[(node, node)] -= 1.0 / (ohms.0 * farads);
                    net.add_capacitor(node, farads, section.capacitor.balancing_ohms());
                    upstream = Some((node, farads));
                }
                // An R input: its resistor stands in the rectifier's path, its capacitor is the first.
                (SeriesElement::Resistor(_), None) => {
                    let node = next_state;
                    next_state += 1;
                    net.add_capacitor(node, farads, section.capacitor.balancing_ohms());
                    net.b[node] = 1.0 / farads;
                    upstream = Some((node, farads));
                }
            }
        }
        if let Some((bus, farads)) = upstream {
            if let Some(bleeder) = filter.bleeder {
                net.a[(bus, bus)] -= 1.0 / (bleeder.0 * farads);
                net.conductance += 1.0 / bleeder.0;
            } else {
                net.a[(bus, bus)] -= leak_siemens(filter) / farads;
            }
            net.load[bus] = -1.0 / farads;
        }
        for unused in next_state..N {
            net.a[(unused, unused)] = -1e3;
        }
        net
    }

    fn add_capacitor(&mut self, state: usize, farads: f64, balancing_ohms: f64) {
        self.capacitors.push((state, farads));
        self.conductance += 1.0 / balancing_ohms;
        self.a[(state, state)] -= 1.0 / (balancing_ohms * farads);
    }

    /// Angular frequency of the fastest swing of a choke between its capacitors (rad/s): `√((1/Ca + 1/Cb)/L)`.
    pub(in crate::physics) fn fastest_radians(&self) -> f64 {
        let square = |&(choke, _): &(usize, f64)| -> f64 {
            (0..N)
                .filter(|&k| k != choke)
                .map(|k| -self.a[(choke, k)] * self.a[(k, choke)])
                .sum()
        };
        self.chokes.iter().map(square).fold(0.0, f64::max).sqrt()
    }

    /// Fastest decay of a capacitor through the resistors around it (1/s): after conduction ends, its crest is still to come.
    pub(in crate::physics) fn fastest_decay(&self) -> f64 {
        self.capacitors
            .iter()
            .map(|&(state, _)| -self.a[(state, state)])
            .fold(0.0, f64::max)
    }

    /// The state that is the bus.
    pub(in crate::physics) fn bus(&self) -> usize {
        self.capacitors.last().map_or(0, |(state, _)| *state)
    }
}
