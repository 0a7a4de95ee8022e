//! The worked page: the calculation at a point, from the mains to the limits.

use crate::bench::working::working;
use crate::explain::worked;
use crate::physics::Model;
use crate::physics::envelope::Point;
use crate::physics::operation::Case;

/// The calculation at a point as a page, with this section on how sure it is; `None` where nothing flows.
pub(crate) fn worked_page(
    name: &str,
    model: &Model,
    point: &Point,
    how_sure: Option<String>,
) -> Option<String> {
    let figures = |case| working(model, case, [point.amps, point.volts]).ok();
    let now = figures(Case::Present)?;
    let page = worked::page(name, &model.supply, point, &now, &|one| {
        figures(one.judged.as_ref().ok()?.case)
    });
    Some(match how_sure {
        Some(section) => worked::with_section(&page, &section),
        None => page,
    })
}

/// A page with the day on which it was made below its heading.
pub(crate) fn dated(page: &str, day: &str) -> String {
    let (heading, rest) = page.split_once('\n').unwrap_or((page, ""));
    format!("{heading}\n\n{day}\n{rest}")
}
