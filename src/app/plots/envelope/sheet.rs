//! Everything that the plot of a supply borrows, put together from physics, bench and explain.

use crate::app::plots::envelope::{
    Age, Cross, Ghost, LimitLabel, MainsLines, PlotInput, PlotLoad, PlotWords, StressZone,
    ToleranceBand,
};
use crate::bench::acceptance::Taken;
use crate::bench::load_line::LoadLine;
use crate::explain::{NEAR, limits, number, plot};
use crate::parts::{Dummy, Supply};
use crate::physics::envelope::{Envelope, MarginMap, Point};
use crate::physics::operation::Case;
use crate::physics::stress;

/// The words and marks of a supply's plot; lends a [`PlotInput`].
#[derive(Debug, Clone, PartialEq)]
pub(crate) struct PlotSheet {
    labels: Vec<LimitLabel>,
    loads: Vec<String>,
    zone: Option<StressZone>,
    words: PlotWords,
}

/// What may change from frame to frame without new words.
#[derive(Debug, Clone, Copy, Default)]
pub(crate) struct PlotState<'a> {
    /// Which dummy load is selected.
    pub(crate) selected_load: Option<usize>,
    /// Earlier variants, in outline.
    pub(crate) ghosts: &'a [Ghost<'a>],
    /// What was measured.
    pub(crate) readings: &'a [Cross],
    /// Whether the lines at low and high mains are drawn.
    pub(crate) mains_lines: MainsLines,
    /// Shades the envelope by the tightest limit.
    pub(crate) map: Option<&'a MarginMap>,
    /// The band of the dropout line over the spreads of the parts.
    pub(crate) band: Option<ToleranceBand<'a>>,
    /// Whether this is the envelope of the supply as it is described now.
    pub(crate) age: Age,
}

impl PlotSheet {
    /// Puts the words together.
    pub(crate) fn of(
        supply: &Supply,
        envelope: &Envelope,
        taken: &[Taken],
        point: Option<&Point>,
        dummies: &[Dummy],
    ) -> Self {
        let labels = envelope.limits.iter().map(|line| LimitLabel {
            limit: line.limit,
            name: limits::name(line.limit, supply),
            detail: limits::part(line.limit, supply),
        });
        Self {
            labels: labels.collect(),
            loads: dummies.iter().map(plot::load_label).collect(),
            zone: stress_zone(supply, envelope),
            words: PlotWords {
                name: plot::NAME.to_owned(),
                value: point.map_or_else(String::new, |p| plot::point_in_words(p, supply)),
                point_volts: point.map_or_else(String::new, |p| number::volts(p.volts)),
                point_amps: point.map_or_else(String::new, |p| number::amps(p.amps)),
                low_mains: plot::at_mains(supply.mains.low.0),
                high_mains: plot::at_mains(supply.mains.high.0),
                not_known: plot::NOT_KNOWN.to_owned(),
                nothing_allowed: plot::nothing_allowed(envelope, supply),
                by_the_book: plot::BY_THE_BOOK.to_owned(),
                over_a_rating: plot::over_a_rating(taken, envelope, supply),
                older: plot::OLDER.to_owned(),
            },
        }
    }

    /// Says on the plot that all this is of the supply before.
    pub(crate) fn of_supply_before(mut self) -> Self {
        plot::SUPPLY_BEFORE.clone_into(&mut self.words.older);
        self
    }

    /// The point in words while it is not known yet how it is there.
    pub(crate) fn with_point_to_come(mut self, [amps, volts]: [f64; 2]) -> Self {
        self.words.value = format!(
            "{}, {}: {}",
            number::volts(volts),
            number::amps(amps),
            plot::CALCULATING
        );
        self
    }

    /// The dummy loads with their labels; `lines` in the order of the dummies.
    pub(crate) fn loads<'a>(&'a self, lines: &'a [LoadLine]) -> Vec<PlotLoad<'a>> {
        lines
            .iter()
            .zip(&self.loads)
            .map(|(line, label)| PlotLoad { line, label })
            .collect()
    }

    /// What the plot draws.
    pub(crate) fn input<'a>(
        &'a self,
        envelope: &'a Envelope,
        point: Option<&'a Point>,
        loads: &'a [PlotLoad<'a>],
        state: PlotState<'a>,
    ) -> PlotInput<'a> {
        PlotInput {
            envelope,
            point,
            loads,
            selected_load: state.selected_load,
            limits: &self.labels,
            zone: self.zone.as_ref(),
            ghosts: state.ghosts,
            readings: state.readings,
            mains_lines: state.mains_lines,
            map: state.map,
            band: state.band,
            age: state.age,
            words: &self.words,
        }
    }
}

fn stress_zone(supply: &Supply, envelope: &Envelope) -> Option<StressZone> {
    let over_volts = stress::bus_working_volts(&supply.filter)?;
    let high = envelope.column(Case::High)?;
    let bus_volts = high.no_load.operation.bus.crest_volts;
    Some(StressZone {
        near_volts: NEAR * over_volts,
        over_volts,
        bus_volts,
        near_words: plot::stress_zone(over_volts),
        over_words: plot::over_zone(),
        bus_words: plot::bus_mark(bus_volts, high.mains_volts),
    })
}
