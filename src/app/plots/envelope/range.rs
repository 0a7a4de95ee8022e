//! How much of the plane is shown before anybody zooms.

use crate::app::plots::envelope::{PlotInput, Stay, StressZone};
use crate::app::plots::geometry::nice_at_least;
use crate::physics::envelope::Curve;
use crate::physics::limit::Limit;

/// Walls further than this many times the end of the envelope are only noted at the edge.
const FAR_WALL: f64 = 1.7;
/// An envelope that ends before this share of the reach is too little to make the picture of.
const LITTLE: f64 = 0.5;
/// A stress zone that begins higher than this many times everything else is only noted at the top.
const FAR_ZONE: f64 = 1.12;
/// So much of the height is the zone, where nothing else reaches into it: room for its name.
const ZONE: f64 = 0.065;

/// The corner of the plane opposite to the origin.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(crate) struct Range {
    /// Right end (A).
    pub(crate) amps: f64,
    /// Top (V).
    pub(crate) volts: f64,
}

/// The automatic range.
pub(crate) fn shown_range(input: &PlotInput<'_>) -> Range {
    Range {
        amps: round_up(amps_to_show(input) * 1.06).clamp(1e-4, 1e3),
        volts: round_up(volts_to_show(input) * 1.02).clamp(1.0, 1e6),
    }
}

fn amps_to_show(input: &PlotInput<'_>) -> f64 {
    let envelope = input.envelope;
    let walls = || {
        envelope.limits.iter().filter_map(|l| match l.curve {
            Curve::Wall(amps) if amps > 0.0 => Some(amps),
            _ => None,
        })
    };
    let end = |region: &[[f64; 3]]| region.last().map_or(0.0, |r| r[0]);
    let grid_end = envelope.amps.last().copied().unwrap_or(0.0);
    // Far beyond every rating it is only what would be.
    let (region_end, reach_end) = (end(&envelope.region), end(&envelope.reach).min(grid_end));
    let is_allowed = envelope.broken_everywhere.is_empty();
    // Where ratings leave little, what the supply does is the picture.
    let reference = if is_allowed && region_end > LITTLE * reach_end {
        region_end
    } else if reach_end > 0.0 {
        reach_end
    } else {
        walls().fold(f64::INFINITY, f64::min)
    };
    let reference = if reference.is_finite() {
        reference
    } else {
        envelope.amps.last().copied().unwrap_or(0.1)
    };
    let content = walls()
        .filter(|&amps| amps <= FAR_WALL * reference)
        .fold(reference, f64::max);
    let ghosts = kept_regions(input).map(|r| r[0]);
    let content = ghosts.fold(content, f64::max);
    content.max(input.point.map_or(0.0, |p| p.amps * 1.02))
}

/// The outlines of the ghosts that stay: what they lost or gained must be seen whole.
fn kept_regions<'a>(input: &PlotInput<'a>) -> impl Iterator<Item = &'a [f64; 3]> {
    (input.ghosts.iter())
        .filter(|ghost| ghost.stay == Stay::Kept)
        .flat_map(|ghost| &ghost.envelope.region)
}

fn volts_to_show(input: &PlotInput<'_>) -> f64 {
    let mut content = input.point.map_or(10.0, |p| p.volts.max(10.0));
    for line in &input.envelope.limits {
        let curves = std::iter::once(&line.curve).chain(&line.at_low_present_high);
        let may_set_range = line.limit == Limit::Dropout || !line.limit.is_rating();
        for curve in curves {
            if let (Curve::Ceiling(points), true) = (curve, may_set_range) {
                content = points.iter().map(|p| p[1]).fold(content, f64::max);
            }
        }
    }
    content = input
        .envelope
        .region
        .iter()
        .chain(kept_regions(input))
        .map(|r| r[2])
        .fold(content, f64::max);
    let Some(zone) = input.zone else {
        return content * 1.06;
    };
    let content = content.max(zone.bus_volts);
    if is_far(zone, content) {
        return content * 1.06;
    }
    // What reaches into the zone is seen whole; of the zone itself no more than tells where it begins.
    (content * 1.04).max(zone.near_volts / (1.0 - ZONE))
}

/// True where a zone begins so far above everything else that it is only noted.
fn is_far(zone: &StressZone, content: f64) -> bool {
    zone.near_volts > FAR_ZONE * content
}

/// Up to the next fiftieth or so, so that the axes stand still while something changes a little.
fn round_up(value: f64) -> f64 {
    let step = nice_at_least(value / 50.0);
    (value / step).ceil() * step
}
