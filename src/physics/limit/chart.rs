//! Ratings that a maker gives as a chart: less of one thing the more there is of another.

use crate::parts::quantity::Quantity;

/// What a falling chart allows (SI): up to its first point that one, between points along a straight line, and nothing beyond the last,
/// where the rating ends. `None` for a chart without points.
pub(super) fn read_off<X: Quantity, Y: Quantity>(chart: &[(X, Y)], at: f64) -> Option<f64> {
    let above = chart.partition_point(|(x, _)| x.si() < at);
    let Some((to, high)) = chart.get(above) else {
        return chart.last().map(|_| 0.0);
    };
    let Some((from, low)) = above.checked_sub(1).and_then(|k| chart.get(k)) else {
        return Some(high.si());
    };
    let share = (at - from.si()) / (to.si() - from.si());
    Some(low.si() + share * (high.si() - low.si()))
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::parts::{Amps, Volts};

    #[test]
    fn a_chart_is_read_along_straight_lines_and_ends_with_its_last_point() {
        let chart = [
            (Volts(300.0), Amps(0.3)),
            (Volts(450.0), Amps(0.275)),
            (Volts(550.0), Amps(0.162)),
        ];
        for (volts, amps) in [
            (0.0, 0.3),
            (300.0, 0.3),
            (375.0, 0.2875),
            (500.0, 0.2185),
            (550.0, 0.162),
            (550.1, 0.0),
        ] {
            let read = read_off(&chart, volts).unwrap();
            assert!((read - amps).abs() < 1e-12, "{volts} V: {read} A");
        }
        assert_eq!(read_off::<Volts, Amps>(&[], 1.0), None);
    }
}
