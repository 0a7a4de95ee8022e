//! What every reading would show: of the sound unit, of one with each cause, and how much each unknown of a sound unit moves it.
//!
//! All of it is of the supply and of where the readings are taken, and knows nothing of what was read: worked out once, it serves for any
//! number of readings. The unknowns' part is linear, by central differences about the sound unit.

use rayon::prelude::*;

use crate::bench::diagnosis::cause::{Cause, Line, LoadsBy, Row, table};
use crate::bench::diagnosis::curve::finer;
use crate::bench::diagnosis::errors::{
    AMMETER_SCALE, LEAK_AMPS, LOAD_AMPS, LOAD_OHMS, is_ripple, range_of,
};
use crate::bench::expected::{Rig, Shown, Spot, Unit};
use crate::parts::readings::Connected;
use crate::parts::spread::{Batch, Chance, Field, Input, inputs};
use crate::parts::{Volts, Work};
use crate::physics::failure::Failure;
use crate::physics::model::Model;
use crate::physics::spread::{Spreading, quantile, scale_field};
use crate::physics::watch::Watch;

/// Sizes of a fault that are solved.
const NODES: usize = 6;
/// Sizes of a fault that are looked at.
pub const FINE_NODES: usize = 41;
/// Step of the differences, in standard deviations.
const STEP: f64 = 0.7;

/// Something of a sound unit that is not known exactly, with how much one standard deviation of it moves each reading.
#[derive(Debug, Clone, PartialEq)]
pub struct Unknown {
    /// What it is.
    pub of: UnknownOf,
    /// By reading, in its unit; nothing where it is not known.
    pub moves: Vec<f64>,
    /// With what a field shares a part of its spread.
    pub batch: Option<Batch>,
}

/// What is not known exactly.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum UnknownOf {
    /// What a field has for itself.
    Own(Field),
    /// What the parts of a batch have in common.
    Common(Batch),
    /// The leak of sound capacitors.
    Leak,
    /// The mains, by one per cent: what is known of them depends on how they were read.
    Mains,
    /// The scale of the ammeter that sets loads.
    Ammeter,
    /// A load's own current.
    Load(Connected),
}

impl UnknownOf {
    /// True for what is another each evening.
    pub fn is_fresh(self) -> bool {
        matches!(self, Self::Mains | Self::Load(_))
    }
}

/// The step of [`UnknownOf::Mains`], as a share.
pub const MAINS_STEP: f64 = 0.01;

/// What readings would show with a cause of one size.
#[derive(Debug, Clone, PartialEq)]
pub struct Node {
    /// The pass unit that it is of, where that matters.
    pub unit: u8,
    /// The size of the cause.
    pub size: f64,
    /// By reading; `None` for one that is then never reached.
    pub shows: Vec<Option<f64>>,
    /// Fields whose own spread it stands in place of.
    pub replaces: Vec<Field>,
}

/// A cause with all its sizes.
#[derive(Debug, Clone, PartialEq)]
pub struct CauseNodes {
    /// Its row of the table.
    pub row: Row,
    /// Its sizes, each as likely as the others.
    pub nodes: Vec<Node>,
}

/// What every reading would show.
#[derive(Debug, Clone, PartialEq)]
pub struct Predicted {
    /// Where.
    pub spots: Vec<Spot>,
    /// Of the sound unit; `None` where it cannot be told or is never reached.
    pub sound: Vec<Option<f64>>,
    /// What is not known of it.
    pub unknowns: Vec<Unknown>,
    /// Each cause.
    pub causes: Vec<CauseNodes>,
}

/// A supply at these mains, ready for predictions: without what was found of single pass units, which is in the sound unit.
pub struct Ground {
    spreading: Spreading,
    /// The sound unit: every value in the middle of its spread.
    pub sound: Unit,
}

impl Ground {
    /// Of a work at mains (V).
    ///
    /// # Errors
    /// [`Failure`] of the supply.
    pub fn of(work: &Work, mains_volts: f64) -> Result<Self, Failure> {
        let mut supply = work.supply.clone();
        supply.mains.present = Volts(mains_volts);
        let emission = supply.as_found.pass_units(supply.pass_stage.units);
        supply.as_found.pass_emission = Vec::new();
        let model = Model::of(&supply)?;
        let spread: Vec<Input> = inputs(&Work {
            supply: model.supply.clone(),
            ..work.clone()
        })
        .into_iter()
        .filter(|input| input.field != Field::Mains)
        .collect();
        let spreading = Spreading::of(&model, &spread);
        let mut sound = Unit::of(spreading.supply(&spreading.middle()));
        sound.emission = emission;
        Ok(Self { spreading, sound })
    }

    /// A unit whose values are multiplied by these factors, one for each of [`Self::inputs`].
    pub fn unit(&self, factors: &[f64]) -> Unit {
        Unit {
            supply: self.spreading.supply(factors),
            ..self.sound.clone()
        }
    }

    /// The sound unit, these of its fields as they are described.
    pub fn with_described(&self, fields: &[Field]) -> Unit {
        let mut factors = self.spreading.middle();
        for (input, factor) in self.inputs().iter().zip(&mut factors) {
            if fields.contains(&input.field) {
                *factor = 1.0;
            }
        }
        self.unit(&factors)
    }

    /// What is spread of the supply, but for the mains.
    pub fn inputs(&self) -> &[Input] {
        self.spreading.inputs()
    }

    /// The spreads to draw from.
    pub fn spreading(&self) -> &Spreading {
        &self.spreading
    }

    /// A rig for readings at these spots.
    pub fn rig(&self, spots: &[Spot]) -> Rig<'_> {
        Rig::of(self.spreading.nominal(), spots)
    }
}

/// Standard deviation of an input, as a share of its middle.
pub fn sigma(chance: Chance) -> f64 {
    let middle = quantile(chance, 0.5);
    let half = match chance {
        Chance::Even { low, high } => (high - low) / 12f64.sqrt(),
        // Between the points at which a normal distribution is one standard deviation off its mean.
        bell @ Chance::Bell { .. } => 0.5 * (quantile(bell, 0.841_345) - quantile(bell, 0.158_655)),
    };
    half / middle
}

/// Works all of it out.
///
/// # Errors
/// [`Failure`] of the sound unit. Nothing where whoever asked has lost interest.
pub fn predicted(
    ground: &Ground,
    spots: &[Spot],
    watch: &dyn Watch,
) -> Result<Option<Predicted>, Failure> {
    let rig = ground.rig(spots);
    let figures = |unit: &Unit| -> Vec<Option<f64>> {
        let shown = rig.shown(unit, spots).into_iter();
        shown.map(Shown::figure).collect()
    };
    let sound = figures(&ground.sound);
    let unknowns = unknowns(ground, spots, &figures);
    if !watch.may_go_on(0.3) {
        return Ok(None);
    }
    let by_ammeter = spots
        .iter()
        .any(|spot| matches!(spot.load, Connected::Current(_)));
    let by = if by_ammeter {
        LoadsBy::Ammeter
    } else {
        LoadsBy::Resistor
    };
    let supply = &ground.sound.supply;
    let rows = table(supply, by);
    // Each node of each cause by itself; they do not know each other.
    let asked: Vec<(Row, u8, f64)> = (rows.iter())
        .flat_map(|row| {
            let lines = row.cause.lines(supply, NODES).into_iter();
            let row = *row;
            lines.flat_map(move |line| {
                let unit = line.unit;
                line.sizes.into_iter().map(move |size| (row, unit, size))
            })
        })
        .collect();
    let solved: Vec<Vec<Option<f64>>> = asked
        .par_iter()
        .map(|(row, unit, size)| {
            let mut with = ground.with_described(&row.cause.replaces(supply));
            row.cause.put_into(&mut with, *unit, *size);
            on_meters(row.cause, *size, spots, figures(&with))
        })
        .collect();
    if !watch.may_go_on(0.9) {
        return Ok(None);
    }
    let mut solved = solved.into_iter();
    let causes = rows
        .into_iter()
        .map(|row| CauseNodes {
            row,
            nodes: nodes(
                row.cause.lines(supply, NODES),
                &row.cause.replaces(supply),
                &mut solved,
            ),
        })
        .collect();
    Ok(Some(Predicted {
        spots: spots.to_vec(),
        sound,
        unknowns,
        causes,
    }))
}

/// The same of the sound unit alone, without causes: for what is only expected.
pub fn sound(ground: &Ground, spots: &[Spot]) -> Predicted {
    let rig = ground.rig(spots);
    let figures = |unit: &Unit| -> Vec<Option<f64>> {
        let shown = rig.shown(unit, spots).into_iter();
        shown.map(Shown::figure).collect()
    };
    Predicted {
        spots: spots.to_vec(),
        sound: figures(&ground.sound),
        unknowns: unknowns(ground, spots, &figures),
        causes: Vec::new(),
    }
}

type Figures<'a> = dyn Fn(&Unit) -> Vec<Option<f64>> + Sync + 'a;

/// What a cause's own error of a meter makes of readings.
fn on_meters(cause: Cause, size: f64, spots: &[Spot], shown: Vec<Option<f64>>) -> Vec<Option<f64>> {
    let both = shown.into_iter().zip(spots);
    both.map(|(value, spot)| Some(value? * cause.on_meters(range_of(spot.what), size)))
        .collect()
}

/// Finer nodes of a cause's lines, of which the solved ones come next.
fn nodes(
    lines: Vec<Line>,
    replaces: &[Field],
    solved: &mut impl Iterator<Item = Vec<Option<f64>>>,
) -> Vec<Node> {
    let mut all = Vec::new();
    for line in lines {
        let coarse: Vec<Vec<Option<f64>>> = solved.take(line.sizes.len()).collect();
        let spots = coarse.first().map_or(0, Vec::len);
        let count = if line.sizes.len() > 1 { FINE_NODES } else { 1 };
        let sizes: Vec<Option<f64>> = line.sizes.iter().copied().map(Some).collect();
        let sizes = finer(&sizes, count);
        let along: Vec<Vec<Option<f64>>> = (0..spots)
            .map(|spot| {
                let values: Vec<Option<f64>> = coarse
                    .iter()
                    .map(|node| node.get(spot).copied().flatten())
                    .collect();
                finer(&values, count)
            })
            .collect();
        all.extend(sizes.into_iter().enumerate().filter_map(|(k, size)| {
            Some(Node {
                unit: line.unit,
                size: size?,
                shows: along
                    .iter()
                    .map(|values| values.get(k).copied().flatten())
                    .collect(),
                replaces: replaces.to_vec(),
            })
        }));
    }
    all
}

/// How much one standard deviation of each unknown moves the readings.
fn unknowns(ground: &Ground, spots: &[Spot], figures: &Figures<'_>) -> Vec<Unknown> {
    let inputs = ground.inputs();
    let middle = ground.spreading.middle();
    let own: Vec<Vec<f64>> = inputs
        .par_iter()
        .enumerate()
        .map(|(place, input)| {
            let step = STEP * sigma(input.chance);
            let moved = |by: f64| {
                let mut factors = middle.clone();
                if let Some(one) = factors.get_mut(place) {
                    *one *= by.exp();
                }
                figures(&ground.unit(&factors))
            };
            slope(&moved(step), &moved(-step), 1.0 / (2.0 * STEP))
        })
        .collect();
    let mut all = by_batches(inputs, &own);
    let one = |of: UnknownOf, moves: Vec<f64>| Unknown {
        of,
        moves,
        batch: None,
    };
    let with = |change: &dyn Fn(&mut Unit)| {
        let mut unit = ground.sound.clone();
        change(&mut unit);
        figures(&unit)
    };
    let sound = with(&|_| {});
    let leaking = with(&|unit| unit.leak_amps += LEAK_AMPS);
    all.push(one(UnknownOf::Leak, slope(&leaking, &sound, 1.0)));
    let at_mains = |factor: f64| with(&|unit| scale_field(&mut unit.supply, Field::Mains, factor));
    let [up, down] = [at_mains(1.0 + MAINS_STEP), at_mains(1.0 - MAINS_STEP)];
    all.push(one(UnknownOf::Mains, slope(&up, &down, 0.5)));
    let mut loads: Vec<Connected> = Vec::new();
    for spot in spots {
        if spot.load != Connected::Nothing && !loads.contains(&spot.load) {
            loads.push(spot.load);
        }
    }
    if loads
        .iter()
        .any(|load| matches!(load, Connected::Current(_)))
    {
        let [up, down] = [1.0 + AMMETER_SCALE, 1.0 - AMMETER_SCALE]
            .map(|factor| with(&|unit| unit.ammeter *= factor));
        all.push(one(UnknownOf::Ammeter, slope(&up, &down, 0.5)));
    }
    all.extend(loads.into_iter().map(|load| {
        let share = match load {
            Connected::Current(amps) => LOAD_AMPS / amps.0.max(LOAD_AMPS),
            Connected::Resistor(_) | Connected::Nothing => LOAD_OHMS,
        };
        let [up, down] =
            [1.0 + share, 1.0 - share].map(|factor| with(&|unit| unit.loads.push((load, factor))));
        one(UnknownOf::Load(load), slope(&up, &down, 0.5))
    }));
    all
}

/// Parts of a batch share half of their variance: what each has for itself, and what all have in common.
fn by_batches(inputs: &[Input], own: &[Vec<f64>]) -> Vec<Unknown> {
    let mut all: Vec<Unknown> = Vec::new();
    for (input, moves) in inputs.iter().zip(own) {
        let share = input.batch.map_or(1.0, |_| 1.0 - Batch::COMMON).sqrt();
        all.push(Unknown {
            of: UnknownOf::Own(input.field),
            moves: moves.iter().map(|value| share * value).collect(),
            batch: input.batch,
        });
    }
    for batch in Batch::ALL {
        let members: Vec<&Vec<f64>> = inputs
            .iter()
            .zip(own)
            .filter(|(input, _)| input.batch == Some(batch))
            .map(|(_, moves)| moves)
            .collect();
        let Some(first) = members.first() else {
            continue;
        };
        let share = Batch::COMMON.sqrt();
        let sum = |spot: usize| -> f64 {
            members
                .iter()
                .filter_map(|moves| moves.get(spot))
                .sum::<f64>()
                * share
        };
        all.push(Unknown {
            of: UnknownOf::Common(batch),
            moves: (0..first.len()).map(sum).collect(),
            batch: None,
        });
    }
    all
}

/// Difference of readings times a factor; nothing where one of them is missing.
fn slope(up: &[Option<f64>], down: &[Option<f64>], factor: f64) -> Vec<f64> {
    let both = up.iter().zip(down);
    both.map(|(up, down)| match (up, down) {
        (Some(up), Some(down)) => factor * (up - down),
        _ => 0.0,
    })
    .collect()
}

impl Predicted {
    /// What one unknown moves a reading by with a cause in the unit: of what goes as the ripple goes, more where there is more of it.
    pub fn row_scale(&self, spot: usize, node: &Node) -> f64 {
        let is_scaled = self
            .spots
            .get(spot)
            .is_some_and(|spot| is_ripple(spot.what));
        let of = |values: &[Option<f64>]| values.get(spot).copied().flatten();
        match (of(&node.shows), of(&self.sound)) {
            (Some(here), Some(sound)) if is_scaled && sound > 0.0 => (here / sound).max(0.0),
            _ => 1.0,
        }
    }
}
