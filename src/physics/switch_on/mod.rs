//! Switching on: what the primary draws from the instant at which the switch closes until all is warm.
//!
//! Read in this order: [`saturation`] (a core that saturates), [`heaters`] (tungsten, and when cathodes emit), [`thermistor`] (what limits the
//! current), [`side`] (all of it made ready, with what is usual where nothing is stated), `march` (one step of time), [`transient`] (the
//! first cycles), [`settling`] (the seconds after them), [`mod@running`] (the primary at work), [`faults`] (what a fuse is there for).

pub mod faults;
pub mod heaters;
mod march;
pub mod running;
pub mod saturation;
pub mod settling;
pub mod side;
pub mod thermistor;
pub mod transient;

pub use faults::{Fault, FaultCurrent, fault_currents};
pub use running::{Running, running};
pub use settling::Settling;
pub use side::{CoreFault, MadeReady, PrimarySide, Value};
pub use transient::{Balance, CHECKPOINTS, Closing, Instant, Surge, Surging, Transient};

use crate::parts::{Primary, RawSupply};
use crate::physics::circuit::network;
use crate::physics::circuit::source::Source;
use crate::physics::failure::{Failure, NoOutput};
use crate::physics::model::Model;
use crate::physics::operation::Case;
use crate::physics::steady_state::for_filter;

/// Why nothing can be said of switching on.
#[derive(Debug, Clone, PartialEq)]
pub enum NoSwitchOn {
    /// The core is none that works.
    Core(CoreFault),
    /// The circuit before the pass tubes has no answer.
    Supply(Failure),
}

impl From<Failure> for NoSwitchOn {
    fn from(failure: Failure) -> Self {
        Self::Supply(failure)
    }
}

impl From<CoreFault> for NoSwitchOn {
    fn from(fault: CoreFault) -> Self {
        Self::Core(fault)
    }
}

/// A supply, ready to be switched on at the mains as they are now.
#[derive(Debug, Clone, PartialEq)]
pub struct SwitchOn {
    /// The primary side.
    pub ready: MadeReady,
    /// What makes the bus, with what the regulator draws.
    raw: RawSupply,
    source: Source,
    /// What the bus gives once everything works (A).
    bus_amps: f64,
    /// Crest of the high-voltage winding's e.m.f. (V).
    crest_volts: f64,
}

impl SwitchOn {
    /// With so much drawn from the output once it is there (A).
    ///
    /// # Errors
    /// [`NoSwitchOn`] if the core or the filter is none that works.
    pub fn of(model: &Model, primary: &Primary, output_amps: f64) -> Result<Self, NoSwitchOn> {
        let ready = side::made_ready(model, primary)?;
        let source = model.at(Case::Present).source;
        match network::state_count(&model.raw.filter) {
            0 => return Err(Failure::NoOutput(NoOutput::NoCapacitor).into()),
            many @ 26.. => return Err(Failure::NoOutput(NoOutput::TooManyParts(many)).into()),
            _ => {}
        }
        Ok(Self {
            ready,
            source,
            bus_amps: output_amps + model.raw.filter.internal_current.0,
            crest_volts: source.crest_volts(),
            raw: model.raw.clone(),
        })
    }

    /// Length of one mains cycle (s).
    pub fn cycle_seconds(&self) -> f64 {
        core::f64::consts::TAU / self.source.angular_frequency
    }

    /// The largest residual flux that is reckoned with, as a share of the working flux.
    pub fn most_residual(&self) -> f64 {
        self.ready.side.most_residual
    }

    /// The first `cycles` after the switch closes, instant by instant.
    ///
    /// # Errors
    /// [`Failure`] where the filter cannot be followed.
    pub fn transient(&self, closing: &Closing, cycles: u32) -> Result<Transient, Failure> {
        for_filter!(&self.raw.filter, transient_of(self, closing, cycles))
    }

    /// Heaters and rectifier until all is warm, with no surge of the core.
    ///
    /// # Errors
    /// As [`Self::transient`].
    pub fn settling(&self, closing: &Closing) -> Result<Settling, Failure> {
        for_filter!(&self.raw.filter, settling_of(self, closing))
    }

    /// Made ready to be switched on thousands of times, all of which come to `settling` in the end.
    ///
    /// # Errors
    /// As [`Self::transient`].
    pub fn many_times(&self, settling: &Settling) -> Result<Box<dyn Surging>, Failure> {
        for_filter!(&self.raw.filter, surging_of(self, settling))
    }
}

fn transient_of<const N: usize>(
    of: &SwitchOn,
    closing: &Closing,
    cycles: u32,
) -> Result<Transient, Failure> {
    transient::followed::<N>(of, closing, cycles)
}

fn settling_of<const N: usize>(of: &SwitchOn, closing: &Closing) -> Result<Settling, Failure> {
    settling::settling::<N>(of, closing)
}

fn surging_of<const N: usize>(
    of: &SwitchOn,
    settling: &Settling,
) -> Result<Box<dyn Surging>, Failure> {
    let prepared = transient::Prepared::<N>::new(of, settling)?;
    Ok(Box::new(prepared))
}

#[cfg(test)]
mod tests;
