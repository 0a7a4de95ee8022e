//! All kinds of limit, a row each: everything that the layers above ask about a limit stands in its row or follows from it.
//!
//! To add one: its variant and its row here, the two functions that the row names in the file of its part, its words in
//! `explain/limits/words`, and a test.

use crate::parts::{ControlTubeKind, HeaterTie, SeriesElement, Side, Stage, Supply};
use crate::physics::limit::{
    Absent, Bound, Edge, Figures, Measure, Nature, OfRail, Rated, Row, Shape, filter, output,
    pass_tubes, rail, rectifier, references, regulator as of_regulator,
};
use crate::physics::regulator::grid_circuit::Whose;

/// A limit of the supply. Numbered ones count capacitor stacks or chokes from the rectifier, starting at 0.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum Limit {
    /// Above it the valley of the bus ripple no longer leaves the pass tubes their least drop.
    Dropout,
    /// Highest volts that the control can ask for.
    SetRangeHigh,
    /// Lowest volts that the control can ask for.
    SetRangeLow,
    /// Plate (plate and screen) dissipation of the worst pass tube unit.
    PlateDissipation,
    /// Screen dissipation of the worst pass tube unit, a beam tube or pentode with its screen tied to the plate.
    ScreenDissipation,
    /// Dissipation of all units of one pass tube envelope together.
    EnvelopeDissipation,
    /// Plate (cathode) current of the worst pass tube unit.
    PlateCurrent,
    /// Plate volts of the pass tubes.
    PlateVolts,
    /// Below it the control tube cannot pull the pass grids far enough down.
    GridFloor,
    /// Above it the control tube's grid would have to be lower than the foot of the sense divider.
    ControlGridCeiling,
    /// Heater–cathode volts of the pass tubes; with a raised heater those by which the cathodes are above it.
    HeaterCathode,
    /// Volts by which a raised heater is above the cathodes of the pass tubes.
    HeaterAboveCathode,
    /// Least current of a gas reference.
    ReferenceLeast(Side),
    /// Highest current of a gas reference, no load.
    ReferenceMost(Side),
    /// Volts with which a gas reference strikes.
    ReferenceStrike(Side),
    /// Plate volts of the control tube.
    ControlPlateVolts,
    /// Plate dissipation of the control tube at its worst setting, no load.
    ControlPlateDissipation,
    /// Screen volts of the control tube.
    ControlScreenVolts,
    /// Screen dissipation of the control tube at its lowest setting, no load.
    ControlScreenDissipation,
    /// Heater–cathode volts of the control tube.
    ControlHeaterCathode,
    /// Resistance that a grid sees.
    GridResistor(Whose),
    /// DC output of the rectifier.
    RectifierDc,
    /// Steady-state peak current of a rectifier device.
    RectifierPeak,
    /// Peak inverse volts of a rectifier device, no load.
    RectifierPeakInverse,
    /// Peak inverse volts of a rectifier device under load, of a type that is rated by its current.
    RectifierInverseLoaded,
    /// Supply resistance before each rectifier device, behind a capacitor input.
    SupplyResistance,
    /// The first capacitor behind the rectifier.
    FirstCapacitor,
    /// Heater–cathode volts of the rectifier, no load.
    RectifierHeaterCathode,
    /// What a part of the negative rail bears.
    Rail(OfRail),
    /// Rms current of the high-voltage winding.
    WindingRms,
    /// Ripple current of a capacitor.
    CapacitorRipple(u8),
    /// Direct current of a choke.
    ChokeCurrent(u8),
    /// Working volts of a capacitor, no load.
    CapacitorVolts(u8),
    /// Surge volts of a capacitor, no load.
    CapacitorSurge(u8),
}

fn one(_: &Supply) -> usize {
    1
}

fn with_regulator(supply: &Supply) -> usize {
    usize::from(supply.regulator.is_some())
}

fn with_pentode(supply: &Supply) -> usize {
    let regulator = supply.regulator.as_ref();
    let kind = regulator.map(|r| &r.control_tube.kind);
    usize::from(matches!(kind, Some(ControlTubeKind::Pentode { .. })))
}

fn positive_reference(supply: &Supply) -> usize {
    usize::from(references::of_side(supply, Side::Positive).is_some())
}

fn negative_reference(supply: &Supply) -> usize {
    usize::from(references::of_side(supply, Side::Negative).is_some())
}

fn stacks(supply: &Supply) -> usize {
    supply.filter.stacks().count()
}

fn chokes(supply: &Supply) -> usize {
    let sections = supply.filter.sections.iter();
    sections
        .filter(|s| matches!(s.series, SeriesElement::Choke { .. }))
        .count()
}

fn everywhere(_: &Supply) -> Shape {
    Shape::Everywhere
}

fn wall(_: &Supply) -> Shape {
    Shape::Wall
}

/// A rating of a current, in a wall: what the others are told from by what they have otherwise.
pub(super) const RATING: Row = Row {
    limit: Limit::WindingRms,
    key: "winding_rms",
    stage: Stage::Transformer,
    nature: Nature::Rating,
    measure: Measure::Amps,
    bound: Bound::AtMost,
    absent: Absent::NotApplicable,
    count: one,
    allowed: rectifier::winding_allowed,
    figures: Figures::AtPoint(|p, _| p.model.winding_rms_amps(p.case, p.operation)),
    shape: wall,
};

/// Every kind of limit in the order of the signal path: a supply has those of it that its parts have.
pub const ROWS: [Row; 44] = [
    RATING,
    Row {
        limit: Limit::RectifierDc,
        key: "rectifier_dc",
        stage: Stage::Rectifier,
        allowed: rectifier::dc_allowed,
        figures: Figures::AtPoint(|p, _| Ok(p.operation.rectifier.mean_amps)),
        ..RATING
    },
    Row {
        limit: Limit::RectifierPeak,
        key: "rectifier_peak",
        stage: Stage::Rectifier,
        allowed: rectifier::peak_allowed,
        figures: Figures::AtPoint(|p, _| Ok(p.operation.rectifier.peak_amps)),
        ..RATING
    },
    Row {
        limit: Limit::RectifierPeakInverse,
        key: "rectifier_peak_inverse",
        stage: Stage::Rectifier,
        measure: Measure::Volts,
        allowed: rectifier::peak_inverse_unloaded_allowed,
        figures: Figures::Unloaded(|u, _| Ok(u.no_load.peak_inverse_volts)),
        shape: everywhere,
        ..RATING
    },
    Row {
        limit: Limit::RectifierInverseLoaded,
        key: "rectifier_peak_inverse_loaded",
        stage: Stage::Rectifier,
        measure: Measure::Volts,
        // Where the maker gives a chart over the current; else what stands with nothing connected is the most.
        count: |supply| usize::from(rectifier::has_inverse_chart(supply)),
        allowed: rectifier::peak_inverse_unloaded_allowed,
        figures: Figures::Both(rectifier::peak_inverse_loaded),
        ..RATING
    },
    Row {
        limit: Limit::SupplyResistance,
        key: "rectifier_supply_resistance",
        stage: Stage::Rectifier,
        nature: Nature::CircuitValue,
        measure: Measure::Ohms,
        bound: Bound::AtLeast,
        absent: Absent::NotKnown,
        // Where published, and asked for with capacitor input only.
        count: |supply| usize::from(rectifier::supply_resistance_allowed(supply, 0).is_ok()),
        allowed: rectifier::supply_resistance_allowed,
        figures: Figures::Unloaded(rectifier::supply_resistance),
        shape: everywhere,
    },
    Row {
        limit: Limit::FirstCapacitor,
        key: "first_capacitor",
        stage: Stage::Rectifier,
        nature: Nature::CircuitValue,
        measure: Measure::Farads,
        absent: Absent::NotKnown,
        count: |supply| usize::from(rectifier::first_capacitor_allowed(supply, 0).is_ok()),
        allowed: rectifier::first_capacitor_allowed,
        figures: Figures::Unloaded(rectifier::first_capacitor),
        shape: everywhere,
        ..RATING
    },
    Row {
        limit: Limit::RectifierHeaterCathode,
        key: "rectifier_heater_cathode",
        stage: Stage::Rectifier,
        measure: Measure::Volts,
        absent: Absent::NotKnown,
        count: |supply| usize::from(rectifier::has_heater_rating(&supply.rectifier.kind)),
        allowed: rectifier::heater_cathode_allowed,
        figures: Figures::Unloaded(rectifier::heater_cathode_volts),
        shape: everywhere,
        ..RATING
    },
    Row {
        limit: Limit::CapacitorVolts(0),
        key: "capacitor_#_volts",
        stage: Stage::Filter,
        measure: Measure::Volts,
        count: stacks,
        allowed: filter::working_volts_allowed,
        figures: Figures::Unloaded(filter::unit_volts),
        shape: everywhere,
        ..RATING
    },
    Row {
        limit: Limit::CapacitorSurge(0),
        key: "capacitor_#_surge",
        stage: Stage::Filter,
        measure: Measure::Volts,
        count: stacks,
        allowed: filter::surge_volts_allowed,
        figures: Figures::Unloaded(filter::unit_volts),
        shape: everywhere,
        ..RATING
    },
    Row {
        limit: Limit::CapacitorRipple(0),
        key: "capacitor_#_ripple",
        stage: Stage::Filter,
        count: stacks,
        allowed: filter::ripple_allowed,
        figures: Figures::AtPoint(filter::ripple_amps),
        ..RATING
    },
    Row {
        limit: Limit::ChokeCurrent(0),
        key: "choke_#_current",
        stage: Stage::Filter,
        count: chokes,
        allowed: filter::choke_allowed,
        figures: Figures::AtPoint(filter::choke_amps),
        ..RATING
    },
    Row {
        limit: Limit::PlateVolts,
        key: "plate_volts",
        stage: Stage::PassStage,
        measure: Measure::Volts,
        allowed: pass_tubes::plate_volts_allowed,
        figures: Figures::Both(pass_tubes::plate_volts),
        shape: |supply| match supply.pass_stage.tube.plate_volts_by_watts {
            Some(_) => Shape::Floor(Edge::Sought(pass_tubes::plate_volts_floor)),
            None => Shape::Floor(Edge::FromBus(|p, allowed| {
                Some(p.operation.bus.crest_volts - allowed)
            })),
        },
        ..RATING
    },
    Row {
        limit: Limit::PlateCurrent,
        key: "plate_current",
        stage: Stage::PassStage,
        allowed: pass_tubes::plate_current_allowed,
        figures: Figures::AtPoint(pass_tubes::worst_amps),
        ..RATING
    },
    Row {
        limit: Limit::PlateDissipation,
        key: "plate_dissipation",
        stage: Stage::PassStage,
        measure: Measure::Watts,
        allowed: pass_tubes::plate_dissipation_allowed,
        figures: Figures::AtPoint(|p, _| Ok(pass_tubes::unit_watts(p))),
        shape: |_| Shape::Floor(Edge::FromBus(pass_tubes::plate_dissipation_floor)),
        ..RATING
    },
    Row {
        limit: Limit::ScreenDissipation,
        key: "screen_dissipation",
        stage: Stage::PassStage,
        measure: Measure::Watts,
        absent: Absent::NotKnown,
        count: pass_tubes::has_screen_rating,
        allowed: pass_tubes::screen_dissipation_allowed,
        figures: Figures::AtPoint(pass_tubes::screen_watts),
        shape: |_| Shape::Floor(Edge::FromBus(pass_tubes::screen_dissipation_floor)),
        ..RATING
    },
    Row {
        limit: Limit::EnvelopeDissipation,
        key: "tube_dissipation",
        stage: Stage::PassStage,
        measure: Measure::Watts,
        absent: Absent::NotKnown,
        count: |supply| usize::from(supply.pass_stage.tube.envelope_dissipation.is_some()),
        allowed: pass_tubes::bulb_dissipation_allowed,
        figures: Figures::AtPoint(pass_tubes::bulb_watts),
        shape: |_| Shape::Floor(Edge::FromBus(pass_tubes::bulb_dissipation_floor)),
        ..RATING
    },
    Row {
        limit: Limit::HeaterCathode,
        key: "heater_cathode",
        stage: Stage::PassStage,
        measure: Measure::Volts,
        // Nothing insulates a filament from itself.
        count: |supply| {
            let is_filament = pass_tubes::has_filament(supply);
            usize::from(supply.pass_stage.heater.is_some() && !is_filament)
        },
        allowed: pass_tubes::heater_cathode_allowed,
        figures: Figures::AtPoint(pass_tubes::heater_cathode_volts),
        // Tied to the output, only the resistors' drop stands there, and that goes with the current.
        shape: |supply| match supply.pass_stage.heater {
            Some(HeaterTie::Cathode) => Shape::Wall,
            _ => Shape::Ceiling(Edge::Sought(pass_tubes::heater_cathode_ceiling)),
        },
        ..RATING
    },
    Row {
        limit: Limit::HeaterAboveCathode,
        key: "heater_above_cathode",
        stage: Stage::PassStage,
        measure: Measure::Volts,
        count: |supply| {
            let is_raised = matches!(supply.pass_stage.heater, Some(HeaterTie::Elevated(_)));
            usize::from(is_raised && !pass_tubes::has_filament(supply))
        },
        allowed: pass_tubes::heater_cathode_allowed,
        figures: Figures::AtPoint(pass_tubes::heater_above_cathode_volts),
        shape: |_| Shape::Floor(Edge::Sought(pass_tubes::heater_above_cathode_floor)),
        ..RATING
    },
    Row {
        limit: Limit::Dropout,
        key: "dropout",
        stage: Stage::PassStage,
        nature: Nature::Reach,
        measure: Measure::Volts,
        allowed: |_, _| Ok(Rated::by_circuit(0.0)),
        figures: Figures::Both(output::dropout),
        shape: |_| {
            Shape::Ceiling(Edge::FromBus(|p, _| {
                p.model.dropout_volts(p.case, p.operation)
            }))
        },
        ..RATING
    },
    Row {
        limit: Limit::GridFloor,
        key: "grid_drive_floor",
        stage: Stage::Regulator,
        nature: Nature::Reach,
        measure: Measure::Volts,
        bound: Bound::GridDrive,
        allowed: of_regulator::grid_floor_allowed,
        figures: Figures::Both(of_regulator::grid_floor),
        shape: |_| Shape::Floor(Edge::Sought(of_regulator::grid_floor_volts)),
        ..RATING
    },
    Row {
        limit: Limit::ControlGridCeiling,
        key: "control_grid_ceiling",
        stage: Stage::Regulator,
        nature: Nature::Reach,
        measure: Measure::Volts,
        bound: Bound::GridDrive,
        count: with_regulator,
        allowed: |_, _| Ok(Rated::by_circuit(0.0)),
        figures: Figures::Both(of_regulator::control_grid),
        absent: Absent::NotApplicable,
        shape: |_| Shape::Ceiling(Edge::Sought(of_regulator::control_grid_volts)),
    },
    Row {
        limit: Limit::ReferenceStrike(Side::Positive),
        key: "reference_start",
        stage: Stage::Regulator,
        nature: Nature::Reach,
        measure: Measure::Volts,
        bound: Bound::AtLeast,
        count: positive_reference,
        allowed: |supply, _| references::strike_allowed(supply, Side::Positive),
        figures: Figures::AtPoint(references::positive_dark_volts),
        ..RATING
    },
    Row {
        limit: Limit::ReferenceLeast(Side::Positive),
        key: "reference_least",
        stage: Stage::Regulator,
        bound: Bound::AtLeast,
        count: positive_reference,
        allowed: |supply, _| references::least_allowed(supply, Side::Positive),
        figures: Figures::AtPoint(references::positive_least_amps),
        shape: |supply| {
            if references::is_fed_from_output(supply) {
                Shape::Floor(Edge::Sought(references::positive_least_volts))
            } else {
                Shape::Wall
            }
        },
        ..RATING
    },
    Row {
        limit: Limit::ReferenceMost(Side::Positive),
        key: "reference_most",
        stage: Stage::Regulator,
        count: positive_reference,
        allowed: |supply, _| references::most_allowed(supply, Side::Positive),
        figures: Figures::Unloaded(references::positive_most_amps),
        shape: everywhere,
        ..RATING
    },
    rail::WINDING_RMS,
    rail::RECTIFIER_DC,
    rail::RECTIFIER_PEAK,
    rail::PEAK_INVERSE,
    rail::HEATER_CATHODE,
    rail::CAPACITOR_VOLTS,
    rail::CAPACITOR_SURGE,
    Row {
        limit: Limit::ReferenceStrike(Side::Negative),
        key: "rail_reference_start",
        stage: Stage::Regulator,
        nature: Nature::Reach,
        measure: Measure::Volts,
        bound: Bound::AtLeast,
        count: negative_reference,
        allowed: |supply, _| references::strike_allowed(supply, Side::Negative),
        figures: Figures::Unloaded(references::negative_dark_volts),
        absent: Absent::NotApplicable,
        shape: everywhere,
    },
    Row {
        limit: Limit::ReferenceLeast(Side::Negative),
        key: "rail_reference_least",
        stage: Stage::Regulator,
        bound: Bound::AtLeast,
        count: negative_reference,
        allowed: |supply, _| references::least_allowed(supply, Side::Negative),
        figures: Figures::Unloaded(references::negative_least_amps),
        shape: everywhere,
        ..RATING
    },
    Row {
        limit: Limit::ReferenceMost(Side::Negative),
        key: "rail_reference_most",
        stage: Stage::Regulator,
        count: negative_reference,
        allowed: |supply, _| references::most_allowed(supply, Side::Negative),
        figures: Figures::Unloaded(references::negative_most_amps),
        shape: everywhere,
        ..RATING
    },
    Row {
        limit: Limit::ControlPlateVolts,
        key: "control_plate_volts",
        stage: Stage::Regulator,
        measure: Measure::Volts,
        count: with_regulator,
        allowed: of_regulator::plate_volts_allowed,
        figures: Figures::AtPoint(of_regulator::plate_volts),
        shape: |_| Shape::Ceiling(Edge::Sought(of_regulator::plate_volts_ceiling)),
        ..RATING
    },
    Row {
        limit: Limit::ControlPlateDissipation,
        key: "control_plate_dissipation",
        stage: Stage::Regulator,
        measure: Measure::Watts,
        count: with_regulator,
        allowed: of_regulator::plate_dissipation_allowed,
        figures: Figures::Unloaded(of_regulator::plate_watts),
        shape: everywhere,
        ..RATING
    },
    Row {
        limit: Limit::ControlScreenVolts,
        key: "control_screen_volts",
        stage: Stage::Regulator,
        measure: Measure::Volts,
        count: with_pentode,
        allowed: of_regulator::screen_volts_allowed,
        figures: Figures::Unloaded(of_regulator::screen_volts),
        shape: everywhere,
        ..RATING
    },
    Row {
        limit: Limit::ControlScreenDissipation,
        key: "control_screen_dissipation",
        stage: Stage::Regulator,
        measure: Measure::Watts,
        count: with_pentode,
        allowed: of_regulator::screen_dissipation_allowed,
        figures: Figures::Unloaded(of_regulator::screen_watts),
        shape: everywhere,
        ..RATING
    },
    Row {
        limit: Limit::ControlHeaterCathode,
        key: "control_heater_cathode",
        stage: Stage::Regulator,
        measure: Measure::Volts,
        count: with_regulator,
        allowed: of_regulator::heater_cathode_allowed,
        figures: Figures::Unloaded(of_regulator::heater_cathode_volts),
        shape: everywhere,
        ..RATING
    },
    Row {
        limit: Limit::GridResistor(Whose::Pass),
        key: "grid_resistor",
        // The resistor is the regulator's, whosever grid it is.
        stage: Stage::Regulator,
        nature: Nature::CircuitValue,
        measure: Measure::Ohms,
        absent: Absent::NotKnown,
        // Where published; few tubes have them.
        count: |supply| usize::from(of_regulator::pass_grid_allowed(supply, 0).is_ok()),
        allowed: of_regulator::pass_grid_allowed,
        figures: Figures::Unloaded(|u, _| of_regulator::grid_ohms(u, Whose::Pass)),
        shape: everywhere,
        ..RATING
    },
    Row {
        limit: Limit::GridResistor(Whose::Control),
        key: "control_grid_resistor",
        stage: Stage::Regulator,
        nature: Nature::CircuitValue,
        measure: Measure::Ohms,
        absent: Absent::NotKnown,
        count: |supply| usize::from(of_regulator::control_grid_allowed(supply, 0).is_ok()),
        allowed: of_regulator::control_grid_allowed,
        figures: Figures::Unloaded(|u, _| of_regulator::grid_ohms(u, Whose::Control)),
        shape: everywhere,
        ..RATING
    },
    Row {
        limit: Limit::SetRangeLow,
        key: "set_range_low",
        stage: Stage::Output,
        nature: Nature::Reach,
        measure: Measure::Volts,
        bound: Bound::LowEnd,
        count: |supply| usize::from(supply.output.set_low.0 > 0.0),
        allowed: |supply, _| Ok(Rated::by_circuit(supply.output.set_low.0)),
        figures: Figures::AtPoint(|p, _| Ok(p.volts)),
        absent: Absent::NotApplicable,
        shape: |_| Shape::Floor(Edge::Level),
    },
    Row {
        limit: Limit::SetRangeHigh,
        key: "set_range_high",
        stage: Stage::Output,
        nature: Nature::Reach,
        measure: Measure::Volts,
        allowed: |supply, _| Ok(Rated::by_circuit(supply.output.set_high.0)),
        figures: Figures::AtPoint(|p, _| Ok(p.volts)),
        shape: |_| Shape::Ceiling(Edge::Level),
        ..RATING
    },
];

impl Limit {
    /// One of every kind, in the order of the signal path; of capacitors and chokes the first stands for all.
    pub const KINDS: [Self; ROWS.len()] = {
        let mut kinds = [Self::Dropout; ROWS.len()];
        let mut k = 0;
        while k < ROWS.len() {
            kinds[k] = ROWS[k].limit;
            k += 1;
        }
        kinds
    };

    /// Its row.
    pub fn row(self) -> &'static Row {
        const TABLE: &[Row] = &ROWS;
        let kind = self.with_number(0);
        // Every limit that a supply has comes from a row; the first never answers for another.
        TABLE
            .iter()
            .find(|row| row.limit == kind)
            .unwrap_or(&TABLE[0])
    }

    /// Which capacitor or choke it is of, counted from the rectifier from 0.
    pub fn number(self) -> u8 {
        match self {
            Self::CapacitorVolts(n)
            | Self::CapacitorSurge(n)
            | Self::CapacitorRipple(n)
            | Self::ChokeCurrent(n) => n,
            Self::Rail(of) => of.number(),
            _ => 0,
        }
    }

    fn with_number(self, n: u8) -> Self {
        match self {
            Self::CapacitorVolts(_) => Self::CapacitorVolts(n),
            Self::CapacitorSurge(_) => Self::CapacitorSurge(n),
            Self::CapacitorRipple(_) => Self::CapacitorRipple(n),
            Self::ChokeCurrent(_) => Self::ChokeCurrent(n),
            Self::Rail(of) => Self::Rail(of.with_number(n)),
            other => other,
        }
    }

    /// Its name for machines.
    pub fn key(self) -> String {
        let number = u32::from(self.number()) + 1;
        self.row().key.replace('#', &number.to_string())
    }

    /// The stage whose card shows it.
    pub fn stage(self) -> Stage {
        self.row().stage
    }

    /// True if exceeding it harms a part; false if the supply just does not do it.
    pub fn is_rating(self) -> bool {
        self.row().nature != Nature::Reach
    }

    /// What a ratio says of how near the limit is: nothing where the circuit's value is as its tube's maker asks.
    pub fn nearness(self, ratio: f64) -> f64 {
        if self.row().nature == Nature::CircuitValue && ratio <= 1.0 {
            0.0
        } else {
            ratio
        }
    }

    /// True for what must not fall short, as the least current of a gas tube.
    pub fn is_least(self) -> bool {
        self.row().bound == Bound::AtLeast
    }

    /// True if it does not depend on the load: it is judged with nothing on the terminals, and is the same everywhere.
    pub fn is_no_load(self) -> bool {
        matches!(self.row().figures, Figures::Unloaded(_))
    }

    /// What it is measured in.
    pub fn measure(self) -> Measure {
        self.row().measure
    }

    fn is_of_capacitor(self) -> bool {
        matches!(
            self,
            Self::CapacitorVolts(_) | Self::CapacitorSurge(_) | Self::CapacitorRipple(_)
        )
    }
}

/// All limits that a supply has, known or not, in the order of the signal path.
pub fn all(supply: &Supply) -> Vec<Limit> {
    let numbers = |row: &Row| (0..(row.count)(supply)).filter_map(|k| u8::try_from(k).ok());
    let mut limits: Vec<Limit> = (ROWS.iter())
        .flat_map(|row| numbers(row).map(|n| row.limit.with_number(n)))
        .collect();
    // What one capacitor bears stands together.
    let is_capacitor = |limit: &Limit| limit.is_of_capacitor();
    if let (Some(first), Some(last)) = (
        limits.iter().position(is_capacitor),
        limits.iter().rposition(is_capacitor),
    ) && let Some(of_capacitors) = limits.get_mut(first..=last)
    {
        of_capacitors.sort_by_key(|limit| limit.number());
    }
    limits
}
