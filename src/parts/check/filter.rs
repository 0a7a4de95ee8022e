//! The filter: enough to store charge in, no more than the shooting can carry, and parts that can exist.

use crate::parts::check::{AMPS, Findings, Problem, VOLTS, bounds};
use crate::parts::{CapacitorStack, Filter, SeriesElement, Stage};

/// More sections than this no supply has; each adds two states to the steady state.
const MOST_SECTIONS: usize = 12;

pub(super) fn filter(filter: &Filter) -> Vec<Problem> {
    let mut f = Findings::of(Stage::Filter);
    if let Some(stack) = &filter.input_capacitor {
        capacitor(&mut f, "filter.input_capacitor", stack);
    }
    let count = filter.sections.len();
    if count > MOST_SECTIONS {
        f.add(
            "filter.sections",
            format!("{count} sections"),
            format!("at most {MOST_SECTIONS}"),
        );
    }
    if filter.input_capacitor.is_none() && count == 0 {
        f.add(
            "filter",
            "no capacitor",
            "an input_capacitor or at least one of the sections",
        );
    }
    for (index, section) in filter.sections.iter().enumerate() {
        let at = format!("filter.sections[{index}]");
        series(&mut f, &at, &section.series);
        capacitor(&mut f, &format!("{at}.capacitor"), &section.capacitor);
    }
    bounds!(f, "filter", filter, { bleeder: 1.0..=1e9, internal_current: 0.0..=10.0, });
    f.problems
}

fn series(f: &mut Findings, at: &str, element: &SeriesElement) {
    match element {
        SeriesElement::Resistor(ohms) => f.within(&format!("{at}.series"), ohms, 0.01..=10e6),
        SeriesElement::Choke {
            inductance,
            resistance,
            rating,
            ..
        } => {
            let at = |name: &str| format!("{at}.series.{name}");
            f.within(&at("inductance"), inductance, 1e-6..=1e3);
            f.within(&at("resistance"), resistance, 0.0..=100e3);
            f.within(&at("rating"), rating, AMPS);
        }
    }
}

fn capacitor(f: &mut Findings, path: &str, stack: &CapacitorStack) {
    bounds!(f, path, stack, {
        unit: 1e-9..=0.1,
        in_series: 1.0..=32.0,
        strings: 1.0..=32.0,
        working_volts: VOLTS,
        surge_volts: VOLTS,
        ripple_current: AMPS,
    });
    if let (Some(working), Some(surge)) = (&stack.working_volts, &stack.surge_volts)
        && surge.value < working.value
    {
        f.add(
            &format!("{path}.surge_volts"),
            surge.value.to_string(),
            format!("at least the working volts of {}", working.value),
        );
    }
    bounds!(f, path, stack, { balancing: 10.0..=1e9, tolerance: 0.0..=0.9, });
}
