//! How a supply is written, part by part. Fields bear the names they have in [`Work`]; what may be left out
//! says so, with what is then meant.

mod filter;
mod output;
mod source;

use serde::{Deserialize, Serialize};

use crate::parts::catalogue::Catalogue;
use crate::parts::file::figure::{RatingForm, Sources};
use crate::parts::file::regulator::RegulatorForm;
use crate::parts::file::types::{ControlTubeForm, GasTubeForm, PassTubeForm, RectifierForm};
use crate::parts::quantity::Quantity;
use crate::parts::rating::{Rating, RatingSystem};
use crate::parts::{Supply, Work};

use output::{DummyForm, OutputForm, PassStageForm};
use source::{MainsForm, TransformerForm};

pub(super) use filter::FilterForm;
pub(super) use source::RectifierStageForm;

/// System of a rating of the winding or a choke that does not say its own: copper warms over minutes, and
/// makers give its rating at nominal mains.
const WINDING_SYSTEM: RatingSystem = RatingSystem::DesignCentre;
/// The whole file.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[serde(rename = "supply", deny_unknown_fields)]
pub(super) struct SupplyForm {
    pub(super) format: u32,
    /// Empty if left out.
    #[serde(default)]
    name: String,
    /// Empty if left out.
    #[serde(default)]
    notes: String,
    mains: MainsForm,
    transformer: TransformerForm,
    rectifier: RectifierStageForm,
    filter: FilterForm,
    pass_stage: PassStageForm,
    /// Not described if left out.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    regulator: Option<RegulatorForm>,
    output: OutputForm,
    /// None if left out.
    #[serde(default)]
    dummies: Vec<DummyForm>,
    /// Types that the built-in catalogue has not, or has otherwise. None if left out.
    #[serde(default, skip_serializing_if = "OwnTypesForm::is_empty")]
    own_types: OwnTypesForm,
}

#[derive(Debug, Clone, PartialEq, Default, Serialize, Deserialize)]
#[serde(rename = "own_types", deny_unknown_fields)]
pub(super) struct OwnTypesForm {
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    rectifiers: Vec<RectifierForm>,
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pass_tubes: Vec<PassTubeForm>,
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub(super) control_tubes: Vec<ControlTubeForm>,
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub(super) gas_tubes: Vec<GasTubeForm>,
}

/// Adds a type unless the catalogue has it just so, or it stands in the list already.
fn add<T: PartialEq, F: PartialEq>(
    list: &mut Vec<F>,
    kind: &T,
    known: Option<&T>,
    of: fn(&T) -> F,
) {
    let form = of(kind);
    if known != Some(kind) && !list.contains(&form) {
        list.push(form);
    }
}

impl OwnTypesForm {
    /// The types of a supply that `catalogue` does not have just so.
    fn of(supply: &Supply, catalogue: &Catalogue) -> Self {
        let mut own = Self::default();
        let rail = supply.regulator.as_ref().and_then(|r| r.bias_rail.as_ref());
        let kinds = [
            Some(&supply.rectifier.kind),
            rail.map(|r| &r.rectifier.kind),
        ];
        for kind in kinds.into_iter().flatten() {
            let known = catalogue.rectifier(&kind.name);
            add(&mut own.rectifiers, kind, known, RectifierForm::of);
        }
        let tube = &supply.pass_stage.tube;
        let known = catalogue.pass_tube(&tube.name);
        add(&mut own.pass_tubes, tube, known, PassTubeForm::of);
        if let Some(regulator) = &supply.regulator {
            let tube = &regulator.control_tube;
            let known = catalogue.control_tube(&tube.name);
            add(&mut own.control_tubes, tube, known, ControlTubeForm::of);
            let references = [
                regulator.reference.as_ref(),
                rail.and_then(|r| r.reference.as_ref()),
            ];
            for tube in references.into_iter().flatten().flat_map(|r| &r.tubes) {
                let known = catalogue.gas_tube(&tube.name);
                add(&mut own.gas_tubes, tube, known, GasTubeForm::of);
            }
        }
        own
    }

    fn is_empty(&self) -> bool {
        self.rectifiers.is_empty()
            && self.pass_tubes.is_empty()
            && self.control_tubes.is_empty()
            && self.gas_tubes.is_empty()
    }
}

/// A type that neither the file nor the catalogue knows.
#[derive(Debug, Clone, PartialEq, Eq)]
pub(super) struct UnknownType {
    /// Where its name stands.
    pub(super) field: &'static str,
    /// The name.
    pub(super) name: String,
    /// The names that there are.
    pub(super) known: Vec<String>,
}

fn explicit<T: Quantity>(rating: Option<&Rating<T>>) -> Option<RatingForm<T>> {
    rating.map(|r| RatingForm::of(r, None))
}

fn rating<T: Quantity>(form: Option<&RatingForm<T>>, usual: RatingSystem) -> Option<Rating<T>> {
    // A supply has no list of sources: a document is named in full where it is used.
    form.map(|f| f.read(usual, &Sources::new()))
}

fn one() -> u8 {
    1
}

impl SupplyForm {
    /// The form of a file. Types that `catalogue` does not have just so are written out.
    pub(super) fn of(work: &Work, catalogue: &Catalogue) -> Self {
        let supply = &work.supply;
        Self {
            format: super::FORMAT,
            name: work.name.clone(),
            notes: work.notes.clone(),
            mains: MainsForm::of(&supply.mains),
            transformer: TransformerForm::of(&supply.transformer),
            rectifier: RectifierStageForm::of(&supply.rectifier),
            filter: FilterForm::of(&supply.filter),
            pass_stage: PassStageForm::of(&supply.pass_stage),
            regulator: supply.regulator.as_ref().map(RegulatorForm::of),
            output: OutputForm::of(&supply.output),
            dummies: work.dummies.iter().map(DummyForm::of).collect(),
            own_types: OwnTypesForm::of(supply, catalogue),
        }
    }

    /// What stands in a form.
    pub(super) fn read(&self, catalogue: &Catalogue) -> Result<Work, UnknownType> {
        let own = &self.own_types;
        let supply = Supply {
            mains: self.mains.read(),
            transformer: self.transformer.read(self.mains.nominal),
            rectifier: self.rectifier.read(own, catalogue)?,
            filter: self.filter.read(),
            pass_stage: self.pass_stage.read(own, catalogue)?,
            regulator: (self.regulator.as_ref())
                .map(|r| r.read(own, catalogue))
                .transpose()?,
            output: self.output.read(),
        };
        Ok(Work {
            name: self.name.clone(),
            notes: self.notes.clone(),
            supply,
            dummies: self.dummies.iter().map(DummyForm::read).collect(),
        })
    }
}
