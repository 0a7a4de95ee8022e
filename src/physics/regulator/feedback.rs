//! The loop: gain, output resistance, hum, and how they die towards dropout.
//!
//! # Source
//! Small signals of a cathode follower driven by one amplifier stage. With `n` pass units, `Z = (rp + Rp)/n +
//! (1 + µ)·(Rk/n + shunt)`, `A = gm·(ra ∥ RL)`, a divider that passes on `β`, and a share `k = ra/(ra + RL)` where the plate
//! load hangs on the bus: `i·Z = µ·vg + vb − (1 + µ)·vo`, `vg = −A·β·vo + k·vb`. So the output resistance is
//! `Z/(1 + µ(1 + Aβ))` and the bus ripple comes through as `(1 + µk)/(1 + µ(1 + Aβ))` (the form of the handbooks; common
//! practice, no source). Here the same equations are solved with what the handbooks leave out: a clean rail rides on the
//! output; preload and divider load it; the references have a slope, and bring a share of their feed's ripple.

use nalgebra::{Matrix5, Vector5};

use crate::parts::{PlateSupply, ReferenceFeed, ScreenDivider, ScreenFeed, Tap};
use crate::physics::device::control_tube::ControlPoint;
use crate::physics::device::triode;
use crate::physics::model::RegulatorModel;
use crate::physics::needs::Needs;
use crate::physics::operation::Operation;
use crate::physics::regulator::ceiling::ceiling;
use crate::physics::regulator::floor::floor;
use crate::physics::regulator::{Load, Pass, Potentials};

/// How well the output is held at one load.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Regulation {
    /// Output current (A).
    pub amps: f64,
    /// Output volts (V).
    pub volts: f64,
    /// What holds it there.
    pub hold: Hold,
    /// The control tube's working point.
    pub control: ControlPoint,
    /// Where its cathode and the divider's foot stand.
    pub potentials: Potentials,
    /// The pass tubes at the mean of the bus.
    pub pass: Pass,
    /// Transconductance of one pass unit (S).
    pub pass_transconductance: f64,
    /// Plate resistance of one pass unit (Ω).
    pub pass_plate_resistance: f64,
    /// Share of the output that the divider passes on.
    pub divider_share: f64,
    /// Gain of the control tube from grid to plate, `gm·(ra ∥ RL)`.
    pub control_gain: f64,
    /// Gain once round the loop, `µ·A·β/(1 + µ)`; zero where nothing regulates.
    pub loop_gain: f64,
    /// Output resistance (Ω).
    pub output_ohms: f64,
    /// Share of the bus ripple that reaches the output.
    pub bus_share: f64,
    /// Share of the negative rail's ripple that reaches the output; negative where it comes upside down.
    pub rail_share: f64,
    /// Hum at the output, peak to peak: bus and rail taken as adding up, and what breaks through in the valleys (V).
    pub hum_volts: f64,
}

/// What holds the output.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum Hold {
    /// The loop, all through the ripple.
    Regulated,
    /// The loop, but not in the valleys of the ripple.
    Valleys,
    /// Nothing: the pass tubes are wide open.
    Dropout,
    /// Nothing: the control tube is at its bottom, below the grid-drive floor.
    Bottomed,
    /// Nothing: the control tube is fully on at every setting, above the control-grid ceiling.
    FullyOn,
}

/// Working points of control tube and pass tubes at a load.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct WorkingPoint {
    /// The control tube.
    pub control: ControlPoint,
    /// Where its cathode and the divider's foot stand.
    pub potentials: Potentials,
    /// The pass tubes.
    pub pass: Pass,
}

impl WorkingPoint {
    /// The control tube's cathode current: plate and screen (A).
    pub fn cathode_amps(&self) -> f64 {
        self.control.amps + self.control.screen_amps
    }

    /// The control tube's grid above the common (V).
    pub fn grid_potential(&self) -> f64 {
        self.potentials.cathode + self.control.grid_volts
    }

    /// Share of the output above the foot at which the divider must stand for this load.
    pub fn divider_share(&self, volts: f64) -> f64 {
        let whole = volts - self.potentials.foot;
        if whole.abs() < 1e-9 {
            return 1.0;
        }
        ((self.grid_potential() - self.potentials.foot) / whole).clamp(0.0, 1.0)
    }
}

/// Control tube and pass tubes at a load, as the loop would hold them.
///
/// # Errors
/// What would have to be known.
pub fn working_point(model: &RegulatorModel, load: Load) -> Result<WorkingPoint, Needs> {
    let law = model.control.as_ref().map_err(|needs| *needs)?;
    let ohms = model.regulator.plate_load.0;
    let supply = model.plate_supply_volts(load);
    let at = |cathode_amps: f64, screen_amps: f64| {
        let potentials = model.potentials_with(load, cathode_amps, screen_amps)?;
        let pass = model.pass_at(load, potentials)?;
        let amps = ((supply - pass.grid_potential) / ohms).max(0.0);
        let plate_volts = pass.grid_potential - potentials.cathode;
        let control = match (&model.on_divider, potentials.screen_volts()) {
            (Some(tube), Some(screen)) => tube.law(screen)?.point(plate_volts, amps)?,
            _ => law.point(plate_volts, amps)?,
        };
        Ok(WorkingPoint {
            control,
            potentials,
            pass,
        })
    };
    // The taps move by a volt or so with the control tube's current: three rounds leave a microvolt.
    let mut found = at(0.0, 0.0)?;
    for _ in 0..2 {
        found = at(found.cathode_amps(), found.control.screen_amps)?;
    }
    Ok(found)
}

/// What holds the output at `volts`.
fn hold(model: &RegulatorModel, operation: &Operation, volts: f64) -> Hold {
    let above = |edge: Option<f64>| edge.is_some_and(|edge| volts > edge);
    if above(model.lost_regulation_volts(operation)) {
        Hold::Dropout
    } else if above(ceiling(model, operation).ok().flatten()) {
        Hold::FullyOn
    } else if floor(model, operation).is_ok_and(|floor| volts < floor) {
        Hold::Bottomed
    } else if above(model.dropout_volts(operation)) {
        Hold::Valleys
    } else {
        Hold::Regulated
    }
}

/// How well the output is held at `volts` with the bus of `operation`.
///
/// # Errors
/// What would have to be known.
pub fn regulation(
    model: &RegulatorModel,
    operation: &Operation,
    volts: f64,
) -> Result<Regulation, Needs> {
    let bus = &operation.bus;
    let load = Load {
        bus_volts: bus.mean_volts,
        amps: operation.output_amps,
        volts,
    };
    let at = working_point(model, load)?;
    let hold = hold(model, operation, volts);
    let law = model.pass.triode()?;
    let pass = at.pass;
    let (pass_gm, pass_ra, mu) =
        triode::small_signal(law, pass.plate_volts.max(1.0), pass.grid_volts);
    let ohms = model.regulator.plate_load.0;
    let control_gain =
        at.control.transconductance / (1.0 / ohms + 1.0 / at.control.plate_resistance);
    let share = at.divider_share(volts);
    let circuit = SmallSignal {
        regulator: model,
        at: &at,
        hold,
        mu,
        pass_ra,
        share,
    };
    let [output_ohms, bus_share, rail_share] = circuit.solve();
    let rail_ripple = (model.working_rail()).map_or(0.0, |rail| rail.operation.bus.ripple_volts());
    let broken = match hold {
        Hold::Valleys => (model.dropout_volts(operation)).map_or(0.0, |edge| volts - edge),
        _ => 0.0,
    };
    let regulates = matches!(hold, Hold::Regulated | Hold::Valleys);
    Ok(Regulation {
        amps: load.amps,
        volts,
        hold,
        control: at.control,
        potentials: at.potentials,
        pass,
        pass_transconductance: pass_gm,
        pass_plate_resistance: pass_ra,
        divider_share: share,
        control_gain,
        loop_gain: if regulates {
            mu * control_gain * share / (1.0 + mu)
        } else {
            0.0
        },
        output_ohms,
        bus_share,
        rail_share,
        hum_volts: (bus_share * bus.ripple_volts()).abs()
            + (rail_share * rail_ripple).abs()
            + broken,
    })
}

/// The small-signal circuit around a working point.
struct SmallSignal<'a> {
    regulator: &'a RegulatorModel,
    at: &'a WorkingPoint,
    hold: Hold,
    /// Amplification factor of a pass unit.
    mu: f64,
    /// Plate resistance of a pass unit (Ω).
    pass_ra: f64,
    /// Share of the output that the divider passes on.
    share: f64,
}

/// By how much a tap's potential moves with small changes of what it hangs on.
#[derive(Debug, Clone, Copy, Default)]
struct TapResponse {
    /// With the control tube's cathode current (V/A).
    cathode_amps: f64,
    /// With the current that the divider brings to its foot (V/A).
    foot_amps: f64,
    /// With the bus, the output and the negative rail (V/V).
    bus: f64,
    output: f64,
    rail: f64,
}

/// The equation of the screen's potential: its coefficients, and how it moves with bus and negative rail (V/V).
#[derive(Debug, Clone, Copy, Default)]
struct ScreenRow {
    row: [f64; 5],
    bus: f64,
    rail: f64,
}

impl SmallSignal<'_> {
    fn tap_response(&self, tap: Tap) -> TapResponse {
        let regulator = &self.regulator.regulator;
        let (cathode, foot) = (regulator.cathode, regulator.divider.foot);
        match tap {
            Tap::Common => TapResponse::default(),
            Tap::Reference => {
                let Some(stack) = &self.regulator.positive else {
                    return TapResponse::default();
                };
                let joins = |tap: Tap| f64::from(u8::from(tap == Tap::Reference));
                let ohms = stack.ohms();
                let share = stack.share_of_feed(usize::MAX, 0.0);
                let own = ohms * (1.0 - share);
                let fed_from = regulator.reference.as_ref().map(|r| r.fed_from);
                let from =
                    |feed: ReferenceFeed| f64::from(u8::from(fed_from == Some(feed))) * share;
                TapResponse {
                    cathode_amps: own * joins(cathode),
                    foot_amps: 0.0,
                    bus: from(ReferenceFeed::Bus),
                    output: from(ReferenceFeed::Output),
                    rail: 0.0,
                }
            }
            Tap::BiasReference(tubes) => {
                let (Some(stack), Some(rail)) =
                    (&self.regulator.negative, self.regulator.working_rail())
                else {
                    return TapResponse::default();
                };
                let share = stack.share_of_feed(usize::from(tubes), rail.source.ohms);
                let to = |other: Tap| match other {
                    Tap::BiasReference(others) => {
                        stack.ohms_to(usize::from(tubes.min(others)))
                            - share * stack.ohms_to(usize::from(others))
                    }
                    _ => 0.0,
                };
                TapResponse {
                    cathode_amps: to(cathode),
                    foot_amps: to(foot),
                    bus: 0.0,
                    output: 0.0,
                    rail: -share,
                }
            }
            Tap::BiasRail => TapResponse {
                rail: -1.0,
                ..TapResponse::default()
            },
        }
    }

    /// The row of the screen: its potential is what the divider makes of the volts of its ends, less what the screen's current drops
    /// in it. What its current does to the gas tubes at its ends is left out: some thousandths of it.
    fn screen_row(&self, follow: [f64; 5]) -> ScreenRow {
        let regulator = &self.regulator.regulator;
        let mut row = ScreenRow {
            row: [0.0, 0.0, 0.0, 0.0, 1.0],
            ..ScreenRow::default()
        };
        let Some(divider) = &regulator.screen_divider else {
            // Held above its cathode, it is not counted.
            return row;
        };
        let (upper, lower) = (divider.upper.0, divider.lower.0);
        let mut hangs_on = |tap: Tap, share: f64| {
            if tap == regulator.cathode {
                row.row[2] -= share;
            } else if tap == regulator.divider.foot {
                row.row[3] -= share;
            } else {
                let other = self.tap_response(tap);
                row.row[0] -= share * other.output;
                row.bus += share * other.bus;
                row.rail += share * other.rail;
            }
        };
        let [from_top, from_foot] = [lower, upper].map(|r| r / (upper + lower));
        hangs_on(divider.foot, from_foot);
        match divider.fed_from {
            ScreenFeed::Reference => hangs_on(Tap::Reference, from_top),
            ScreenFeed::Bus => row.bus += from_top,
            ScreenFeed::Output | ScreenFeed::CleanRail => row.row[0] -= from_top,
            ScreenFeed::Common => {}
        }
        let ohms = upper * lower / (upper + lower);
        for (coefficient, follows) in row.row.iter_mut().zip(follow) {
            *coefficient += ohms * follows;
        }
        row
    }

    /// Output resistance (Ω), share of the bus, share of the negative rail: solved for output, pass grids, cathode, foot and
    /// screen.
    fn solve(&self) -> [f64; 3] {
        let model = self.regulator;
        let (tubes, unit_ohms) = (&model.pass, model.pass.unit_ohms());
        let cathode_ohms = tubes.stage.cathode_resistor.0;
        let divider = 1.0 / model.regulator.divider.resistance.0;
        let reference = match (&model.regulator.reference, &model.positive) {
            (Some(reference), Some(stack)) if reference.fed_from == ReferenceFeed::Output => {
                1.0 / (reference.feed_resistor.0 + stack.ohms())
            }
            _ => 0.0,
        };
        let screen_divider = model.regulator.screen_divider.as_ref();
        let on_output =
            |d: &&ScreenDivider| matches!(d.fed_from, ScreenFeed::Output | ScreenFeed::CleanRail);
        let to_screen = screen_divider
            .filter(on_output)
            .map_or(0.0, |d| 1.0 / d.upper.0);
        let preload = model.regulator.preload.map_or(0.0, |r| 1.0 / r.0) + reference + to_screen;
        if self.hold == Hold::Dropout {
            // Wide open, the grids go with the cathodes: only the plate resistance is left.
            let series = (self.pass_ra + unit_ohms) / tubes.units + tubes.shunt_ohms;
            let loaded = 1.0 + series * (preload + divider);
            return [series / loaded, 1.0 / loaded, 0.0];
        }
        let mu = self.mu;
        let series = (self.pass_ra + unit_ohms - cathode_ohms) / tubes.units
            + (1.0 + mu) * (cathode_ohms / tubes.units + tubes.shunt_ohms);
        let control = &self.at.control;
        let (gm, ra) = (control.transconductance, 1.0 / control.plate_resistance);
        let load = 1.0 / model.regulator.plate_load.0;
        let (on_bus, on_output) = match model.regulator.plate_supply {
            PlateSupply::Bus => (load, 0.0),
            PlateSupply::Clean(_) => (0.0, load),
        };
        let (beta, rest) = (self.share, 1.0 - self.share);
        // Cathode current: the plate's and the screen's, which follows the grid alike.
        let screen = control.screen_amps / control.amps;
        let follow = gm * (1.0 + screen);
        let (c, f) = (
            self.tap_response(model.regulator.cathode),
            self.tap_response(model.regulator.divider.foot),
        );
        // A screen held above its cathode goes with it; one on a divider does not.
        let by_screen = (model.on_divider.as_ref()).map_or(0.0, |_| control.by_screen);
        let bottomed = matches!(self.hold, Hold::Bottomed | Hold::FullyOn);
        let plate = if bottomed {
            [0.0, 1.0, -1.0, 0.0, 0.0]
        } else {
            [
                gm * beta - on_output,
                ra + load,
                -gm - ra - by_screen,
                gm * rest,
                by_screen,
            ]
        };
        // Rows: pass tubes, control plate, cathode tap, foot tap, screen; columns: output, pass grids, cathode, foot, screen.
        let tap = |a: TapResponse, place: usize| {
            let mut row = [0.0, 0.0, 1.0, 0.0, 0.0];
            row.swap(2, place);
            row[0] -= a.output + a.cathode_amps * follow * beta + a.foot_amps * divider;
            row[1] -= a.cathode_amps * ra;
            row[2] += a.cathode_amps * (follow + ra + by_screen * (1.0 + screen));
            row[3] -= a.cathode_amps * follow * rest - a.foot_amps * divider;
            row[4] -= a.cathode_amps * by_screen * (1.0 + screen);
            row
        };
        let screen_follows = [
            screen * gm * beta,
            0.0,
            -screen * (gm + by_screen),
            screen * gm * rest,
            screen * by_screen,
        ];
        let s = self.screen_row(screen_follows);
        let pass = [
            series * (preload + divider) + 1.0 + mu,
            -mu,
            0.0,
            -series * divider,
            -series * to_screen,
        ];
        let rows = [pass, plate, tap(c, 2), tap(f, 3), s.row];
        let matrix = Matrix5::from_fn(|i, j| rows[i][j]);
        let lu = matrix.lu();
        let output = |right: [f64; 5]| lu.solve(&Vector5::from(right)).map_or(f64::NAN, |x| x[0]);
        let bus = if bottomed { 0.0 } else { on_bus };
        [
            -output([-series, 0.0, 0.0, 0.0, 0.0]),
            output([1.0, bus, c.bus, f.bus, s.bus]),
            output([0.0, 0.0, c.rail, f.rail, s.rail]),
        ]
    }
}
