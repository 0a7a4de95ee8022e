//! Walls: currents at which what is had reaches what is allowed, whatever the volts.

use super::{Bound, Groups, Line, Way, first, root};
use crate::physics::envelope::{Column, Curve};
use crate::physics::limit::{self, OperatingPoint};
use crate::physics::operation::Operation;
use crate::physics::steady_state::operate;

impl Line<'_> {
    pub(super) fn walls(&self, groups: Groups<'_>) -> [Bound; 4] {
        let walls = self.each(groups, |(column, _)| self.wall_of(column));
        groups.map(|group| {
            let known = walls
                .of(group)
                .filter_map(|(case, wall)| Some(((*wall)?, case)));
            let least = known.min_by(|a, b| a.0.total_cmp(&b.0));
            least.map_or((Curve::OutOfReach, first(group)), |(amps, case)| {
                (Curve::Wall(amps), case)
            })
        })
    }

    /// Current at which the actual value reaches the allowed one, by the parabola through three points of the grid; where those on
    /// either side do not agree on it, it is solved for.
    fn wall_of(&self, column: &Column) -> Option<f64> {
        let excess = |operation: &Operation| {
            let point = OperatingPoint {
                model: self.model,
                case: column.case,
                operation,
                volts: 0.0,
            };
            let excess = limit::actual(self.limit, point).ok()? - self.allowed;
            // What must not fall short is exceeded when it does.
            let short = self.limit.is_least();
            Some((operation.output_amps, if short { -excess } else { excess }))
        };
        let value = |k: usize| column.operations.get(k).and_then(excess);
        let beyond = (0..column.operations.len())
            .find(|&k| value(k).is_some_and(|(_, excess)| excess >= 0.0))?;
        if beyond == 0 {
            return Some(0.0);
        }
        let (a, b) = (value(beyond - 1)?, value(beyond)?);
        let before = beyond.checked_sub(2).and_then(value);
        let after = value(beyond + 1);
        let near = crossing(a, b, before.or(after));
        let other = crossing(a, b, after.or(before));
        if (near - other).abs() <= AGREE * near {
            return Some(near);
        }
        let (mut low, mut high) = (a, b);
        for _ in 0..MOST_SOLVED {
            let third = if low == a { before.or(after) } else { Some(a) };
            let at = crossing(low, high, third);
            let operation = operate(&self.model.raw, column.case, at).ok()?;
            let here = excess(&operation)?;
            if here.1.abs() <= AGREE * self.allowed {
                return Some(at);
            }
            if here.1 < 0.0 {
                low = here;
            } else {
                high = here;
            }
        }
        Some(crossing(low, high, None))
    }
}

/// Two parabolas agree on a wall within this, and a wall is found within it, relative.
const AGREE: f64 = 5e-4;
/// So many currents are solved at most to find a wall.
const MOST_SOLVED: u32 = 12;

/// Where the parabola through two points of opposite sign and a third one, else the straight line, is zero between the two.
fn crossing(a: (f64, f64), b: (f64, f64), third: Option<(f64, f64)>) -> f64 {
    let slope = (b.1 - a.1) / (b.0 - a.0);
    let bend = third
        .filter(|c| (c.0 - a.0).abs() > 0.0 && (c.0 - b.0).abs() > 0.0)
        .map_or(0.0, |c| ((c.1 - a.1) / (c.0 - a.0) - slope) / (c.0 - b.0));
    root(a.0, b.0, Way::Up, &mut |x| {
        a.1 + (x - a.0) * (slope + bend * (x - b.0))
    })
}
