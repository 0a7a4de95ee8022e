//! Walls: currents at which what there is reaches what is allowed, whatever the volts.

use super::{Bound, Groups, OverGrid, first};
use crate::physics::envelope::{Column, Curve};
use crate::physics::failure::Failure;
use crate::physics::limit::boundary::{Accuracy, excess, first_met};
use crate::physics::operation::Operation;
use crate::physics::steady_state::operate_near;

/// A wall between two currents of the grid.
const ACCURACY: Accuracy = Accuracy {
    agree: 5e-4,
    solved: 1e-7,
};

impl OverGrid<'_> {
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

    fn wall_of(&self, column: &Column) -> Option<f64> {
        let excess_at = |operation: &Operation| {
            excess(
                self.limit,
                self.point(column.case, operation, 0.0),
                self.allowed,
            )?
            .ok()
        };
        // Beyond the grid only what the supply does at all is followed, in wide steps.
        let grid_end = self.envelope.amps.last().copied().unwrap_or(0.0);
        let tail = column.tail.iter().take_while(|o| o.output_amps <= grid_end);
        let known: Vec<[f64; 2]> = (column.operations.iter().chain(tail))
            .filter_map(|operation| Some([operation.output_amps, excess_at(operation)?]))
            .collect();
        let mut solve = |amps: f64| -> Result<f64, Failure> {
            let solved = operate_near(&self.model.raw, column.case, amps, &column.starts)?;
            excess_at(&solved.operation).ok_or(Failure::MetNowhere)
        };
        first_met(&known, ACCURACY, &mut solve).ok()?
    }
}
