//! Switching on against a general-purpose solver: `switch_on.json`, made by `switch_on.py` beside it.

use sagline::parts::{Ohms, Primary, VoltAmps};
use sagline::physics::Model;
use sagline::physics::switch_on::saturation::Core;
use sagline::physics::switch_on::side::Auxiliary;
use sagline::physics::switch_on::transient::HOT;
use sagline::physics::switch_on::{Closing, SwitchOn};
use serde::Deserialize;

use crate::circuit::Circuit;
use crate::{Compared, Table};

/// Crest and I²t, as near as the program's steady currents are.
const AMPS_WITHIN: f64 = 0.003;
/// The bus while it is charging, of the volts that it comes to.
const VOLTS_WITHIN: f64 = 0.002;

#[derive(Debug, Deserialize)]
struct Reference {
    cases: Vec<Case>,
}

#[derive(Debug, Deserialize)]
struct Case {
    circuit: Circuit,
    side: Side,
    closing: How,
    results: Results,
}

#[derive(Debug, Deserialize)]
struct Side {
    mains_volts: f64,
    mains_ohms: f64,
    mains_henries: f64,
    primary_ohms: f64,
    auxiliary_va: f64,
    heater_share: f64,
    core: CoreFigures,
}

#[derive(Debug, Clone, Copy, Deserialize)]
struct CoreFigures {
    knee: f64,
    rounding: f64,
    henries: f64,
    saturated_henries: f64,
}

#[derive(Debug, Deserialize)]
struct How {
    degrees: f64,
    residual: f64,
    rectifier: String,
    cycles: u32,
}

#[derive(Debug, Deserialize)]
struct Results {
    crest_amps: f64,
    marks: Vec<Mark>,
}

#[derive(Debug, Deserialize)]
struct Mark {
    seconds: f64,
    heating: f64,
    bus_volts: f64,
}

impl Case {
    fn switch_on(&self) -> Option<SwitchOn> {
        let supply = self.circuit.behind(
            Ohms(self.side.primary_ohms),
            VoltAmps(self.side.auxiliary_va),
        );
        let model = Model::of(&supply).ok()?;
        let mut on = SwitchOn::of(&model, &Primary::default(), 0.0).ok()?;
        let side = &mut on.ready.side;
        let whole = side.auxiliary.siemens(f64::INFINITY);
        side.mains_volts = self.side.mains_volts;
        side.mains_ohms = self.side.mains_ohms;
        side.mains_henries = self.side.mains_henries;
        let CoreFigures {
            knee,
            rounding,
            henries,
            saturated_henries,
        } = self.side.core;
        side.core = Core {
            knee,
            rounding,
            henries,
            saturated_henries,
        };
        side.auxiliary = Auxiliary {
            steady: whole * (1.0 - self.side.heater_share),
            heaters: whole * self.side.heater_share,
            filaments: 0.0,
        };
        Some(on)
    }

    fn closing(&self) -> Closing {
        Closing {
            degrees: self.closing.degrees,
            residual: self.closing.residual,
            heated_seconds: if self.closing.rectifier == "hot" {
                HOT
            } else {
                0.0
            },
            charged: 0.0,
        }
    }

    fn compared(&self) -> Vec<Compared> {
        let name = format!(
            "{} {:.0} deg {:+.1} {}",
            self.circuit.name, self.closing.degrees, self.closing.residual, self.closing.rectifier
        );
        let mut table = Table {
            case: &name,
            rows: Vec::new(),
        };
        let found = self
            .switch_on()
            .and_then(|on| on.transient(&self.closing(), self.closing.cycles + 1).ok());
        let Some(found) = found else {
            table.row("transient", f64::NAN, 1.0, Some(0.0));
            return table.rows;
        };
        let want = &self.results;
        table.row(
            "crest",
            found.crest_amps,
            want.crest_amps,
            Some(AMPS_WITHIN),
        );
        let most = |of: fn(&Mark) -> f64| want.marks.iter().map(of).fold(1e-9, f64::max);
        let (volts, heating) = (most(|mark| mark.bus_volts), most(|mark| mark.heating));
        for mark in &want.marks {
            table.row_against(
                format!("I2t at {:.4} s", mark.seconds),
                (found.heating_at(mark.seconds), mark.heating),
                // Before the surge there is next to nothing.
                mark.heating.max(0.01 * heating),
                Some(AMPS_WITHIN),
            );
            let of_bus = found.value_at(mark.seconds, |one| one.bus_volts);
            table.row_against(
                format!("bus at {:.4} s", mark.seconds),
                (of_bus, mark.bus_volts),
                volts.max(1.0),
                Some(VOLTS_WITHIN),
            );
        }
        table.rows
    }
}

#[test]
fn switching_on_is_as_the_general_purpose_solver_has_it() {
    let read: Result<Reference, _> = serde_json::from_str(include_str!("switch_on.json"));
    let reference = read.expect("the file that was compiled in");
    assert_eq!(reference.cases.len(), 8);
    let rows: Vec<Compared> = reference.cases.iter().flat_map(Case::compared).collect();
    for row in &rows {
        println!("{row}");
    }
    let missed: Vec<String> = rows
        .iter()
        .filter(|row| row.is_miss())
        .map(Compared::to_string)
        .collect();
    assert!(missed.is_empty(), "{}", missed.join("\n"));
}
