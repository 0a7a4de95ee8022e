//! The steady state against a general-purpose solver of differential equations.
//!
//! `cases.json` holds the circuits and what `generate.py` beside it found for them with scipy's `solve_ivp`
//! (versions, method and the agreement of its second methods are in the head of the file). Allowed here is what
//! the program promises: volts within 0.05 %, currents within 0.3 %. Every miss is listed before the one assert.
//!
//! `cargo test --test reference -- --nocapture` also prints the worst error of each quantity.

mod circuit;
mod discharge;
mod energy;
mod rail_on_winding;
mod regulator;
mod switch_on;

use std::collections::BTreeMap;
use std::fmt;

use sagline::physics::Operation;
use sagline::physics::operation::Case;
use sagline::physics::steady_state::operate;

use crate::circuit::{Reference, Results, read_reference};

/// Mean, trough and crest of a voltage: the accuracy that the program promises.
const VOLTS_WITHIN: f64 = 0.0005;
/// Rms of what varies of a voltage: that is charge moved, so as near as a current.
const RIPPLE_WITHIN: f64 = 0.003;
/// Peak, mean and rms of a current: the accuracy that the program promises.
const AMPS_WITHIN: f64 = 0.003;

/// One number of ours beside the reference.
struct Compared {
    case: String,
    quantity: String,
    got: f64,
    want: f64,
    /// What the error is relative to: the wanted number, save where that is near zero.
    against: f64,
    /// Largest relative error; none where nothing is promised and the error is only shown.
    within: Option<f64>,
}

impl Compared {
    /// Infinite where ours is not a number, so that it cannot pass.
    fn relative_error(&self) -> f64 {
        let error = ((self.got - self.want) / self.against).abs();
        if error.is_nan() { f64::INFINITY } else { error }
    }

    fn is_miss(&self) -> bool {
        self.within
            .is_some_and(|within| self.relative_error() > within)
    }
}

impl fmt::Display for Compared {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(
            f,
            "{:44} {:28} got {:>14.8} want {:>14.8} error {:.5} %",
            self.case,
            self.quantity,
            self.got,
            self.want,
            100.0 * self.relative_error()
        )
    }
}

/// Collects the numbers of one case.
struct Table<'a> {
    case: &'a str,
    rows: Vec<Compared>,
}

impl Table<'_> {
    fn row(&mut self, quantity: impl Into<String>, got: f64, want: f64, within: Option<f64>) {
        self.row_against(quantity, (got, want), want, within);
    }

    fn row_against(
        &mut self,
        quantity: impl Into<String>,
        (got, want): (f64, f64),
        against: f64,
        within: Option<f64>,
    ) {
        self.rows.push(Compared {
            case: self.case.to_owned(),
            quantity: quantity.into(),
            got,
            want,
            against,
            within,
        });
    }

    fn list(&mut self, quantity: &str, got: &[f64], want: &[f64], within: f64) {
        self.row_against(
            format!("{quantity}, how many"),
            (got.len() as f64, want.len() as f64),
            1.0,
            Some(0.0),
        );
        for (&got, &want) in got.iter().zip(want) {
            self.row(quantity, got, want, Some(within));
        }
    }
}

fn compare(case: &str, got: &Operation, want: &Results) -> Vec<Compared> {
    let mut table = Table {
        case,
        rows: Vec::new(),
    };
    let (volts, amps) = (Some(VOLTS_WITHIN), Some(AMPS_WITHIN));
    table.row("bus mean", got.bus.mean_volts, want.bus_mean_volts, volts);
    table.row(
        "bus trough",
        got.bus.trough_volts,
        want.bus_trough_volts,
        volts,
    );
    table.row(
        "bus crest",
        got.bus.crest_volts,
        want.bus_crest_volts,
        volts,
    );
    table.row(
        "bus ripple rms",
        got.bus.ripple_rms_volts,
        want.bus_ripple_rms_volts,
        Some(RIPPLE_WITHIN),
    );
    // Where the halves of the winding differ, the generator has the first in the common figures.
    let rectifier = &got.by_half.map_or(got.rectifier, |[first, _]| first);
    let winding_rms = got
        .by_half
        .map_or(got.winding_rms_amps, |_| rectifier.rms_amps);
    table.row(
        "rectifier peak",
        rectifier.peak_amps,
        want.rectifier_peak_amps,
        amps,
    );
    table.row(
        "rectifier mean",
        rectifier.mean_amps,
        want.rectifier_mean_amps,
        amps,
    );
    table.row(
        "rectifier rms",
        rectifier.rms_amps,
        want.rectifier_rms_amps,
        amps,
    );
    table.row("winding rms", winding_rms, want.winding_rms_amps, amps);
    compare_halves(&mut table, got, want);
    table.list(
        "capacitor ripple rms",
        &got.capacitor_rms_amps,
        &want.capacitor_rms_amps,
        AMPS_WITHIN,
    );
    table.list(
        "capacitor mean",
        &got.capacitor_mean_volts,
        &want.capacitor_mean_volts,
        VOLTS_WITHIN,
    );
    table.list(
        "capacitor crest",
        &got.capacitor_crest_volts,
        &want.capacitor_crest_volts,
        VOLTS_WITHIN,
    );
    compare_chokes(&mut table, got, want);
    table.rows
}

/// The device on the second half, and which of both is taken for the whole. A half that is idle has no error of its own.
fn compare_halves(table: &mut Table<'_>, got: &Operation, want: &Results) {
    let halves = (got.by_half.is_some(), want.second_half_amps.is_some());
    table.row_against(
        "halves told apart",
        (f64::from(u8::from(halves.0)), f64::from(u8::from(halves.1))),
        1.0,
        Some(0.0),
    );
    let (Some([_, second]), Some([peak, mean, rms])) = (got.by_half, want.second_half_amps) else {
        return;
    };
    let whole = &got.rectifier;
    for (name, got, second, first, whole) in [
        (
            "peak",
            second.peak_amps,
            peak,
            want.rectifier_peak_amps,
            whole.peak_amps,
        ),
        (
            "mean",
            second.mean_amps,
            mean,
            want.rectifier_mean_amps,
            whole.mean_amps,
        ),
        (
            "rms",
            second.rms_amps,
            rms,
            want.rectifier_rms_amps,
            whole.rms_amps,
        ),
    ] {
        let against = if second > 0.0 { second } else { first };
        let amps = Some(AMPS_WITHIN);
        table.row_against(format!("second half {name}"), (got, second), against, amps);
        table.row(
            format!("harder half {name}"),
            whole,
            first.max(second),
            amps,
        );
    }
    table.row(
        "harder half winding rms",
        got.winding_rms_amps,
        want.rectifier_rms_amps.max(rms),
        Some(AMPS_WITHIN),
    );
}

fn compare_chokes(table: &mut Table<'_>, got: &Operation, want: &Results) {
    let of = |value: fn(&sagline::physics::ChokeStress) -> f64| -> Vec<f64> {
        got.chokes.iter().map(value).collect()
    };
    table.list(
        "choke mean",
        &of(|c| c.mean_amps),
        &want.choke_mean_amps,
        AMPS_WITHIN,
    );
    table.list(
        "choke peak",
        &of(|c| c.peak_amps),
        &want.choke_peak_amps,
        AMPS_WITHIN,
    );
    table.list(
        "choke rms",
        &of(|c| c.rms_amps),
        &want.choke_rms_amps,
        AMPS_WITHIN,
    );
    // The lowest instant may be zero: its error is taken against the peak.
    let least = of(|c| c.least_amps);
    for ((&got, &want), &peak) in least
        .iter()
        .zip(&want.choke_least_amps)
        .zip(&want.choke_peak_amps)
    {
        table.row_against("choke least", (got, want), peak, Some(AMPS_WITHIN));
    }
}

#[test]
fn steady_state_agrees_with_a_general_purpose_solver() {
    let Reference { cases } = read_reference().unwrap();
    assert!(
        cases.len() >= 28,
        "too few reference cases: {}",
        cases.len()
    );
    let mut misses = Vec::new();
    let mut worst: BTreeMap<String, Compared> = BTreeMap::new();
    for case in &cases {
        let circuit = &case.circuit;
        let operation = match operate(&circuit.supply().raw(), Case::Present, circuit.output_amps) {
            Ok(operation) => operation,
            Err(failure) => {
                misses.push(format!("{:44} {failure:?}", circuit.name));
                continue;
            }
        };
        for row in compare(&circuit.name, &operation, &case.results) {
            if row.is_miss() {
                misses.push(row.to_string());
            }
            let known = worst.get(&row.quantity);
            if known.is_none_or(|known| row.relative_error() > known.relative_error()) {
                worst.insert(row.quantity.clone(), row);
            }
        }
    }
    println!("worst of {} cases:", cases.len());
    for row in worst.values() {
        println!("{row}");
    }
    assert!(
        misses.is_empty(),
        "{} misses:\n{}",
        misses.len(),
        misses.join("\n")
    );
}
