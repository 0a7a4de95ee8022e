//! A filter cut off from the mains: capacitors in a row, resistors and chokes between them, what bleeds them beside them.

use nalgebra::{DMatrix, DVector};

use crate::parts::{CapacitorStack, Filter, GasReference, SeriesElement};
use crate::physics::discharge::input_choke;
use crate::physics::operation::Operation;

/// A capacitor stack with what is across it.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Store {
    /// Its capacitance (F), above zero.
    pub farads: f64,
    /// Spread of that, ± this share.
    pub tolerance: f64,
    /// Its volts at the instant of switching off (V).
    pub volts: f64,
    /// All its balancing resistors together (S).
    pub balancing_siemens: f64,
}

impl Store {
    /// Its energy (J): `½·C·V²`.
    pub fn joules(&self) -> f64 {
        0.5 * self.farads * self.volts * self.volts
    }
}

/// What is between a capacitor and the next.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum Link {
    /// A resistor (Ω), above zero.
    Resistor(f64),
    /// A choke.
    Choke {
        /// Inductance (H), above zero.
        henries: f64,
        /// Resistance of its winding (Ω).
        ohms: f64,
        /// Its current at the instant of switching off (A), towards the bus.
        amps: f64,
    },
}

/// Gas tubes behind their feed resistor: they burn as long as there are more volts than theirs.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct GasPath {
    /// Running volts of all of them (V).
    pub volts: f64,
    /// The feed resistor (Ω), above zero.
    pub ohms: f64,
}

impl GasPath {
    /// Of a reference with at least one tube. What resistors across its tubes take once they are out is left out.
    pub fn of(reference: &GasReference) -> Option<Self> {
        let volts: f64 = reference.tubes.iter().map(|tube| tube.volts.value.0).sum();
        let ohms = reference.feed_resistor.0;
        (volts > 0.0 && ohms > 0.0).then_some(Self { volts, ohms })
    }
}

/// The chain.
#[derive(Debug, Clone, PartialEq)]
pub struct Chain {
    /// Its capacitors, from the rectifier on; at least one.
    pub stores: Vec<Store>,
    /// What is between them: one less.
    pub links: Vec<Link>,
    /// The bleeder across the last capacitor (S); 0 without one.
    pub bleeder_siemens: f64,
    /// What else is soldered in across it (S).
    pub fixed_siemens: f64,
    /// Gas tubes across it.
    pub gas: Option<GasPath>,
}

/// Whether gas tubes burn.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum Gas {
    Lit,
    Dark,
}

impl Chain {
    /// A filter in a steady state.
    pub fn of(filter: &Filter, operation: &Operation) -> Self {
        let crest = |place: usize| operation.capacitor_crest_volts.get(place).copied();
        let mut stores: Vec<Store> = (filter.stacks().enumerate())
            .map(|(place, stack)| store(stack, crest(place).unwrap_or(0.0)))
            .collect();
        if let (Some([henries, amps]), Some(first)) =
            (input_choke(filter, operation), stores.first_mut())
        {
            first.volts = (first.volts.powi(2) + henries * amps * amps / first.farads).sqrt();
        }
        let before = usize::from(filter.input_capacitor.is_none());
        let mut chokes = operation.chokes.iter();
        let all: Vec<Link> = (filter.sections.iter())
            .map(|section| match &section.series {
                SeriesElement::Resistor(ohms) => Link::Resistor(ohms.0),
                choke @ SeriesElement::Choke { inductance, .. } => Link::Choke {
                    henries: inductance.0,
                    ohms: choke.ohms_at_work().0,
                    amps: chokes.next().map_or(0.0, |found| found.mean_amps),
                },
            })
            .collect();
        Self {
            stores,
            // What is before the first capacitor carries nothing any more.
            links: all.into_iter().skip(before).collect(),
            bleeder_siemens: filter.bleeder.map_or(0.0, |ohms| 1.0 / ohms.0),
            fixed_siemens: 0.0,
            gas: None,
        }
    }

    /// Energy of all capacitors, and of the chokes between them (J).
    pub fn joules(&self) -> f64 {
        let stored: f64 = self.stores.iter().map(Store::joules).sum();
        let in_chokes = self.links.iter().map(|link| match link {
            Link::Resistor(_) => 0.0,
            Link::Choke { henries, amps, .. } => 0.5 * henries * amps * amps,
        });
        stored + in_chokes.sum::<f64>()
    }

    /// The highest volts of a capacitor at the instant of switching off (V).
    pub fn highest_volts(&self) -> f64 {
        self.stores
            .iter()
            .map(|store| store.volts)
            .fold(0.0, f64::max)
    }

    /// Volts of the last capacitor then (V).
    pub fn bus_volts(&self) -> f64 {
        self.stores.last().map_or(0.0, |store| store.volts)
    }

    /// All that is soldered in across the chain (S): 0 where nothing bleeds it for good.
    pub fn soldered_siemens(&self) -> f64 {
        let balancing: f64 = self.stores.iter().map(|s| s.balancing_siemens).sum();
        balancing + self.bleeder_siemens + self.fixed_siemens
    }

    /// What gas tubes take at volts across them and their resistor (A).
    pub fn gas_amps(&self, volts: f64) -> f64 {
        let gas = self.gas.as_ref();
        gas.map_or(0.0, |gas| ((volts - gas.volts) / gas.ohms).max(0.0))
    }

    /// Capacitors and chokes, and one that is always 1.
    pub(super) fn states(&self) -> usize {
        let chokes = self
            .links
            .iter()
            .filter(|l| matches!(l, Link::Choke { .. }));
        self.stores.len() + chokes.count() + 1
    }

    /// The state that is always 1.
    fn unit(&self) -> usize {
        self.states() - 1
    }

    /// At the instant of switching off: volts of the capacitors, amperes of the chokes, 1.
    pub(super) fn start(&self) -> DVector<f64> {
        let mut start = DVector::zeros(self.states());
        for (place, store) in self.stores.iter().enumerate() {
            start[place] = store.volts;
        }
        let mut next = self.stores.len();
        for link in &self.links {
            if let Link::Choke { amps, .. } = link {
                start[next] = *amps;
                next += 1;
            }
        }
        start[self.unit()] = 1.0;
        start
    }

    /// The matrix `A` of `x' = A·x`, by Kirchhoff's laws, with `sink_amps` drawn from the last capacitor.
    pub(super) fn matrix(&self, gas: Gas, sink_amps: f64) -> DMatrix<f64> {
        let mut a = DMatrix::zeros(self.states(), self.states());
        let (bus, unit) = (self.stores.len().saturating_sub(1), self.unit());
        let farads = |place: usize| self.stores.get(place).map_or(1.0, |s| s.farads);
        for (place, store) in self.stores.iter().enumerate() {
            a[(place, place)] -= store.balancing_siemens / store.farads;
        }
        a[(bus, bus)] -= (self.bleeder_siemens + self.fixed_siemens) / farads(bus);
        a[(bus, unit)] -= sink_amps / farads(bus);
        if let (Gas::Lit, Some(path)) = (gas, &self.gas) {
            a[(bus, bus)] -= 1.0 / (path.ohms * farads(bus));
            a[(bus, unit)] += path.volts / (path.ohms * farads(bus));
        }
        let mut next = self.stores.len();
        for (before, link) in self.links.iter().enumerate() {
            let after = before + 1;
            match *link {
                Link::Resistor(ohms) => {
                    for (here, there) in [(before, after), (after, before)] {
                        a[(here, here)] -= 1.0 / (ohms * farads(here));
                        a[(here, there)] += 1.0 / (ohms * farads(here));
                    }
                }
                Link::Choke { henries, ohms, .. } => {
                    a[(next, next)] -= ohms / henries;
                    a[(next, before)] += 1.0 / henries;
                    a[(next, after)] -= 1.0 / henries;
                    a[(before, next)] -= 1.0 / farads(before);
                    a[(after, next)] += 1.0 / farads(after);
                    next += 1;
                }
            }
        }
        a
    }

    /// Volts of the capacitors and amperes of the chokes in a state.
    pub(super) fn parts_of(&self, state: &DVector<f64>) -> [Vec<f64>; 2] {
        let stores = self.stores.len();
        let chokes = self.unit().saturating_sub(stores);
        let all = || state.iter().copied();
        [
            all().take(stores).collect(),
            all().skip(stores).take(chokes).collect(),
        ]
    }

    /// The highest volts of a capacitor in a state (V), of either sign.
    pub(super) fn highest_in(&self, state: &DVector<f64>) -> f64 {
        let volts = state.iter().take(self.stores.len());
        volts.fold(0.0, |most, v| v.abs().max(most))
    }

    /// Volts of the last capacitor in a state (V).
    pub(super) fn bus_in(&self, state: &DVector<f64>) -> f64 {
        state[self.stores.len().saturating_sub(1)]
    }
}

fn store(stack: &CapacitorStack, volts: f64) -> Store {
    Store {
        farads: stack.farads(),
        tolerance: stack.tolerance.0,
        volts,
        balancing_siemens: 1.0 / stack.balancing_ohms(),
    }
}
