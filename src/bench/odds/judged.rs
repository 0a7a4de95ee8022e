//! All limits of a drawn supply at a point, each solved in the cases by which it is judged and in no others.

use crate::parts::{Stage, Supply};
use crate::physics::envelope::Standing;
use crate::physics::failure::Failure;
use crate::physics::limit::{self, Limit, OperatingPoint, Unloaded};
use crate::physics::model::Model;
use crate::physics::operation::{Case, NoLoad, Operation};
use crate::physics::spread::Beside;
use crate::physics::stress::no_load_from;

/// A drawn supply at the current of its neighbour and some output volts, solved as far as it was asked.
pub(super) struct Judged<'a> {
    model: &'a Model,
    beside: &'a Beside,
    /// Output volts (V).
    volts: f64,
    /// `None` where the bus cannot give the current.
    loaded: Vec<(Case, Option<Operation>)>,
    at_rest: Vec<(Case, NoLoad)>,
}

/// The cases in which the negative rail of a supply is asked for by its limits, the lowest setting or a meter.
pub(super) fn cases_of_rail(supply: &Supply) -> Vec<Case> {
    let mut cases = vec![Case::Low, Case::Present, Case::High];
    let is_before = |limit: &Limit| {
        let stage = limit.row().stage;
        matches!(
            stage,
            Stage::Mains | Stage::Transformer | Stage::Rectifier | Stage::Filter
        )
    };
    for limit in limit::all(supply)
        .into_iter()
        .filter(|limit| !is_before(limit))
    {
        let system = limit::allowed(limit, supply)
            .ok()
            .and_then(|rated| rated.system);
        cases.extend(limit::judging_cases(limit, system));
    }
    // A rail on the high-voltage winding is a load of it at every mains.
    if supply.rail_on_high_voltage().is_some() {
        cases.extend(Beside::CASES);
    }
    cases.sort_unstable();
    cases.dedup();
    cases
}

impl<'a> Judged<'a> {
    /// Nothing solved yet.
    pub(super) fn new(model: &'a Model, beside: &'a Beside, volts: f64) -> Self {
        Self {
            model,
            beside,
            volts,
            loaded: Vec::new(),
            at_rest: Vec::new(),
        }
    }

    /// Everything before the pass tubes in a case; `None` where the bus cannot give the current.
    pub(super) fn loaded(&mut self, case: Case) -> Result<Option<&Operation>, Failure> {
        let known = self.loaded.iter().position(|(of, _)| *of == case);
        let place = if let Some(place) = known {
            place
        } else {
            let found = match self.beside.loaded(self.model, case) {
                Ok(operation) => Some(operation),
                Err(Failure::Collapse { .. }) => None,
                Err(other) => return Err(other),
            };
            self.loaded.push((case, found));
            self.loaded.len() - 1
        };
        Ok(self.loaded.get(place).and_then(|(_, found)| found.as_ref()))
    }

    fn at_rest(&mut self, case: Case) -> Result<Option<&NoLoad>, Failure> {
        let known = self.at_rest.iter().position(|(of, _)| *of == case);
        let place = if let Some(place) = known {
            place
        } else {
            let operation = self.beside.at_rest(self.model, case)?;
            self.at_rest
                .push((case, no_load_from(self.model, case, operation)));
            self.at_rest.len() - 1
        };
        Ok(self.at_rest.get(place).map(|(_, found)| found))
    }

    /// How much of a limit is used, in the worst of the cases by which it is judged; `None` where that is not known.
    pub(super) fn used(&mut self, limit: Limit) -> Result<Option<f64>, Failure> {
        let (model, volts) = (self.model, self.volts);
        let Ok(rated) = limit::allowed(limit, &model.supply) else {
            return Ok(None);
        };
        let mut worst: Option<f64> = None;
        for &case in limit::judging_cases(limit, rated.system) {
            let both = if limit.is_no_load() {
                let no_load = self.at_rest(case)?;
                let unloaded = no_load.and_then(|no_load| {
                    limit.unloaded(Unloaded {
                        model,
                        case,
                        no_load,
                    })
                });
                unloaded.map(|actual| actual.map(|actual| [actual, rated.value]))
            } else {
                let operation = self.loaded(case)?;
                operation.and_then(|operation| {
                    let point = OperatingPoint {
                        model,
                        case,
                        operation,
                        volts,
                    };
                    limit.at_point(point, rated.value)
                })
            };
            match both {
                None => {}
                Some(Err(_not_known)) => return Ok(None),
                Some(Ok([actual, allowed])) => {
                    let ratio = limit::ratio(limit, actual, allowed);
                    worst = Some(worst.map_or(ratio, |most| most.max(ratio)));
                }
            }
        }
        Ok(worst)
    }

    /// Where the point stands, by the uses of the limits.
    pub(super) fn standing(&mut self, used: &[(Limit, Option<f64>)]) -> Result<Standing, Failure> {
        let over = |is_rating: bool| {
            let mut all = used.iter();
            all.any(|(limit, ratio)| {
                limit.is_rating() == is_rating && ratio.is_some_and(|ratio| ratio > 1.0)
            })
        };
        Ok(if self.loaded(Case::Present)?.is_none() || over(false) {
            Standing::OutOfReach
        } else if over(true) {
            Standing::OverARating
        } else {
            Standing::Inside
        })
    }
}
