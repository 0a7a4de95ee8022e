//! How a supply stands in a text, part by part.

use crate::parts::catalogue::{Catalogue, Listed};
use crate::parts::file::FORMAT;
use crate::parts::file::fault::Fault;
use crate::parts::file::fields::Fields;
use crate::parts::file::layout::Text;
use crate::parts::file::notation::{
    Notation, Reading, Record, Sources, put, read_record, record, variants, write_record,
};
use crate::parts::file::tree::{Tree, Value};
use crate::parts::file::types::{type_name, type_names};
use crate::parts::rating::RatingSystem;
use crate::parts::readings::{
    Bench, Connected, Meter, Phase, Reading as BenchReading, ReadingSet, Step, What,
};
use crate::parts::spread::{Condition, Electrolytics, StatedSpread, Tubes};
use crate::parts::{
    Accepted, Amps, AsFound, BiasRail, CapacitorStack, Connection, CoreBuild, Divider, Dummy,
    Filter, FilterSection, Fraction, Fuse, FuseKind, FusePlace, GasReference, GasShunt, HeaterTie,
    Limiter, MadeOf, Mains, Mounting, NoLoadReadings, Ohms, Output, PassStage, PassTubeType,
    PlateSupply, Primary, RailWinding, Rectifier, ReferenceFeed, Regulator, Resistor, ResistorKind,
    ScreenDivider, ScreenFeed, SenseControl, SeriesElement, StandBy, Supply, Tap, Transformer,
    VoltAmps, Volts, WindingVolts, Work,
};

/// The field under which types stand that the catalogue does not have.
pub(super) const OWN_TYPES: &str = "own_types";

const FIELDS: [&str; 19] = [
    "format",
    "name",
    "notes",
    "mains",
    "transformer",
    "rectifier",
    "filter",
    "pass_stage",
    "regulator",
    "output",
    "accepted",
    "as_found",
    "dummies",
    "guessed",
    "spreads",
    "condition",
    "bench",
    "primary",
    OWN_TYPES,
];

/// Reads a supply and what stands beside it.
pub(super) fn read(tree: &Tree<'_>, catalogue: &Catalogue) -> Result<Work, Fault> {
    let (sources, none) = (Sources::new(), Catalogue::default());
    let context = Reading {
        catalogue,
        is_broken: tree.fault.is_some(),
        ..Reading::of(&sources, &none)
    };
    tree.read(|file| read_file(file, &context))
}

fn read_file(file: &Value<'_>, context: &Reading<'_>) -> Result<Work, Fault> {
    let fields = Fields::of(file, "supply", &FIELDS)?;
    fields.get_by("format", None, |version| version.number::<u32>("1"))?;
    let own_types = &fields.get(OWN_TYPES, context, Some(Catalogue::default()))?;
    let mains: Mains = fields.get("mains", context, None)?;
    let context = &Reading {
        own_types,
        nominal: mains.nominal,
        ..*context
    };
    fields.end(Work {
        name: fields.get("name", context, Some(String::new()))?,
        notes: fields.get("notes", context, Some(String::new()))?,
        supply: Supply {
            mains,
            transformer: fields.get("transformer", context, None)?,
            rectifier: fields.get("rectifier", context, None)?,
            filter: fields.get("filter", context, None)?,
            pass_stage: fields.get("pass_stage", context, None)?,
            regulator: fields.get("regulator", context, None)?,
            output: fields.get("output", context, None)?,
            accepted: fields.get("accepted", context, Some(Vec::new()))?,
            as_found: fields.get("as_found", context, Some(AsFound::default()))?,
        },
        dummies: fields.get("dummies", context, Some(Vec::new()))?,
        guessed: fields.get("guessed", context, Some(Vec::new()))?,
        spreads: fields.get("spreads", context, Some(Vec::new()))?,
        condition: fields.get("condition", context, Some(Condition::default()))?,
        bench: fields.get("bench", context, Some(Bench::default()))?,
        primary: fields.get("primary", context, Some(Primary::default()))?,
    })
}

/// Writes a supply and what stands beside it; types that are not built in just so, or that `catalogue` has otherwise, are written
/// out.
pub(super) fn write(work: &Work, catalogue: &Catalogue) -> Text {
    let mut own = types_of(&work.supply);
    own.keep_those_to_write(catalogue);
    let own = (own != Catalogue::default()).then(|| Text::group("", own.lists()));
    write_with(work, own)
}

/// The same with these types written out.
pub(super) fn write_with(work: &Work, own_types: Option<Text>) -> Text {
    let supply = &work.supply;
    let mut file = vec![Text::Plain(FORMAT.to_string()).field("format")];
    put(&mut file, "name", &work.name, None);
    put(&mut file, "notes", &work.notes, None);
    put(&mut file, "mains", &supply.mains, None);
    put(&mut file, "transformer", &supply.transformer, None);
    put(&mut file, "rectifier", &supply.rectifier, None);
    put(&mut file, "filter", &supply.filter, None);
    put(&mut file, "pass_stage", &supply.pass_stage, None);
    put(&mut file, "regulator", &supply.regulator, None);
    put(&mut file, "output", &supply.output, None);
    if !supply.accepted.is_empty() {
        put(&mut file, "accepted", &supply.accepted, None);
    }
    if !supply.as_found.is_as_described() {
        put(&mut file, "as_found", &supply.as_found, None);
    }
    put(&mut file, "dummies", &work.dummies, None);
    if !work.guessed.is_empty() {
        put(&mut file, "guessed", &work.guessed, None);
    }
    if !work.spreads.is_empty() {
        put(&mut file, "spreads", &work.spreads, None);
    }
    if work.condition != Condition::default() {
        put(&mut file, "condition", &work.condition, None);
    }
    if !work.bench.is_empty() {
        put(&mut file, "bench", &work.bench, None);
    }
    if !work.primary.is_unknown() {
        put(&mut file, "primary", &work.primary, None);
    }
    file.extend(own_types.map(|own| own.field(OWN_TYPES)));
    Text::group("", file)
}

/// The types of rectifiers and tubes that a supply is made of.
pub(super) fn types_of(supply: &Supply) -> Catalogue {
    let mut types = Catalogue::default();
    add(&mut types, &supply.rectifier.kind);
    add(&mut types, &supply.pass_stage.tube);
    if let Some(regulator) = &supply.regulator {
        add(&mut types, &regulator.control_tube);
        let rail = regulator.bias_rail.as_ref();
        if let Some(rail) = rail {
            add(&mut types, &rail.rectifier.kind);
        }
        let references = regulator.reference.iter();
        let references = references.chain(rail.and_then(|rail| rail.reference.as_ref()));
        for tube in references.flat_map(|reference| &reference.tubes) {
            add(&mut types, tube);
        }
    }
    types
}

/// Adds a type unless it stands in the list already.
fn add<T: Listed>(types: &mut Catalogue, kind: &T) {
    let list = T::list_mut(types);
    if !list.contains(kind) {
        list.push(kind.clone());
    }
}

record!(Mains, "mains", context, {
    nominal,
    present or nominal,
    low or usual_low(nominal),
    high or usual_high(nominal),
    frequency,
    crest_factor,
});

/// 5 % below a nominal of 110 to 127 V (ANSI C84.1 range A), else 10 % below (IEC 60038).
fn usual_low(nominal: Volts) -> Volts {
    share_of(nominal, if is_american(nominal) { 0.95 } else { 0.9 })
}

/// As [`usual_low`], above.
fn usual_high(nominal: Volts) -> Volts {
    share_of(nominal, if is_american(nominal) { 1.05 } else { 1.1 })
}

fn is_american(nominal: Volts) -> bool {
    (110.0..=127.0).contains(&nominal.0)
}

/// Rounded to a tenth of a volt, as one would write it.
fn share_of(nominal: Volts, share: f64) -> Volts {
    Volts((nominal.0 * share * 10.0).round() / 10.0)
}

// A rating of the winding or a choke that does not say its system is a design-centre one: copper warms over minutes, and
// makers give its rating at nominal mains.
record!(Transformer, "transformer", context, {
    primary_volts or context.nominal,
    winding, primary_resistance, primary_measured, secondary_resistance, second_half_resistance, secondary_measured,
    winding_rating,
    auxiliary or VoltAmps(0.0),
});

variants!(WindingVolts {
    OpenCircuit(volts),
    Loaded { volts, amps, },
});

record!(Rectifier, "rectifier", context, {
    kind by type_name,
    connection or Connection::default(),
    in_parallel or 1,
    in_series or 1,
    plate_resistor or Ohms(0.0),
    heater,
});

variants!(Connection {
    FullWaveCentreTap(), Bridge(), HalfWave(),
});

record!(Filter, "filter", context, {
    input_capacitor,
    sections or Vec::new(),
    bleeder,
    internal_current or Amps(0.0),
});

// Working volts of a capacitor are never to be exceeded, unless they say otherwise. Its tolerance is 20 %, as
// electrolytics are marked (letter M of IEC 60062).
record!(CapacitorStack, "capacitor", context = Reading { usual: RatingSystem::AbsoluteMaximum, ..*context }, {
    unit,
    in_series or 1,
    strings or 1,
    working_volts, surge_volts, ripple_current, balancing,
    tolerance or Fraction(0.2),
});

record!(FilterSection, "section", context, {
    series, capacitor,
});

variants!(SeriesElement {
    Resistor(ohms),
    Choke { inductance, resistance, measured, rating, },
});

// Left out, all sections of one envelope carry current, the control tube may be cut off without grid current, and the
// imbalance is 10 %.
record!(PassStage, "pass_stage", context, {
    tube by type_name,
    units or sections(&tube),
    cathode_resistor or Ohms(0.0),
    plate_resistor or Ohms(0.0),
    imbalance or Fraction(0.1),
    tube_spread, heater,
    grid_limit or Volts(0.0),
});

fn sections(tube: &PassTubeType) -> u8 {
    tube.units
}

variants!(HeaterTie {
    Common(), Cathode(), Elevated(volts),
});

record!(Regulator, "regulator", context, {
    control_tube by type_name,
    plate_load,
    plate_supply or PlateSupply::Bus,
    screen_volts, screen_divider, cathode, least_plate_volts, divider, preload, heater, reference, bias_rail,
});

record!(ScreenDivider, "screen_divider", context, {
    fed_from, upper, lower, foot,
});

variants!(ScreenFeed {
    Bus(), CleanRail(), Output(), Reference(), Common(),
});

variants!(PlateSupply {
    Bus(), Clean(volts),
});

variants!(Tap {
    Common(), Reference(), BiasReference(tubes), BiasRail(),
});

record!(Divider, "divider", context, {
    resistance, foot, control,
});

record!(SenseControl, "control", context, {
    upper, pot, lower, zero_adjuster,
});

record!(GasReference, "reference", context, {
    tubes by type_names,
    feed_resistor,
    fed_from or context.feed,
    drawn or Amps(0.0),
    shunts,
});

record!(GasShunt, "shunt", context, {
    across, resistance,
});

variants!(ReferenceFeed {
    Bus(), Output(), BiasRail(),
});

/// A winding of its own stands there by its volts alone.
impl Notation for RailWinding {
    fn read(value: &Value<'_>, context: &Reading<'_>) -> Result<Self, Fault> {
        const NAMES: [&str; 2] = ["HighVoltageEnd", "HighVoltageTap"];
        if value.as_text().is_some() {
            return Notation::read(value, context).map(Self::Own);
        }
        let choices = "the volts of a winding of its own, such as \"245 V\", or HighVoltageEnd, HighVoltageTap(\"120 V\")";
        let name = value
            .variant(&NAMES)
            .map_err(|_other| value.fault(choices))?;
        if name == "HighVoltageEnd" {
            return value.alone().map(|()| Self::HighVoltageEnd);
        }
        Notation::read(value.only()?, context).map(Self::HighVoltageTap)
    }

    fn write(&self, usual: Option<RatingSystem>) -> Text {
        match self {
            Self::Own(volts) => volts.write(usual),
            Self::HighVoltageEnd => Text::Plain("HighVoltageEnd".to_owned()),
            Self::HighVoltageTap(volts) => Text::group("HighVoltageTap", vec![volts.write(usual)]),
        }
    }
}

record!(BiasRail, "bias_rail", context = Reading { feed: ReferenceFeed::BiasRail, ..*context }, {
    winding, winding_resistance, winding_measured, winding_rating, rectifier, filter,
    load or Amps(0.0),
    reference,
});

record!(Output, "output", context, {
    set_low or Volts(0.0),
    set_high,
    meter_shunt or Ohms(0.0),
    meter_scale, stand_by,
});

variants!(StandBy {
    NoSwitch(), CentreTap(), BeforeFilter(), AfterFilter(), Output(),
});

// Power resistors are mostly marked 5 %; the whole rated power is allowed where nothing else is said.
record!(Accepted, "accepted", context, { rating, up_to, reason, });

record!(Dummy, "dummy", context, {
    name or String::new(),
    resistance, power, working_volts,
    tolerance or Fraction(0.05),
    derating, kind,
    mounting,
    made_of,
});

record!(Resistor, "resistor", context, {
    name or String::new(),
    resistance, power, working_volts,
    tolerance or Fraction(0.05),
    derating, kind,
    mounting,
});

variants!(MadeOf {
    One[resistor], Series(parts), Parallel(parts),
});

variants!(ResistorKind {
    WireWound(), AluminiumHoused(), Cement(), MetalOxide(), MetalFilm(), CarbonComposition(),
});

/// Left out, a resistor hangs in free air.
impl Notation for Mounting {
    fn read(value: &Value<'_>, _: &Reading<'_>) -> Result<Self, Fault> {
        const NAMES: [&str; 3] = ["FreeAir", "OnPlate", "BoxedIn"];
        let name = value.variant(&NAMES)?;
        value.alone()?;
        Ok(match name {
            "OnPlate" => Self::OnPlate,
            "BoxedIn" => Self::BoxedIn,
            _ => Self::FreeAir,
        })
    }

    fn write(&self, _: Option<RatingSystem>) -> Text {
        Text::Plain(format!("{self:?}"))
    }

    fn left_out() -> Option<Self> {
        Some(Self::FreeAir)
    }

    fn is_left_out(&self) -> bool {
        *self == Self::FreeAir
    }
}

record!(StatedSpread, "spread", context, { field, spread, });

record!(Condition, "condition", context, {
    tubes or Tubes::default(),
    electrolytics or Electrolytics::default(),
});

variants!(Tubes {
    New(), Used(), Tired(),
});

variants!(Electrolytics {
    Fresh(), Old(), Dried(),
});

// What is left out is as described.
record!(AsFound, "as_found", context, {
    pass_emission or Vec::new(),
    rectifier_emission or Fraction(1.0),
    control_emission or Fraction(1.0),
    dead_plate or false,
    shorted_units or Vec::new(),
    open_bleeder or false,
    leak or Amps(0.0),
});

record!(Bench, "bench", context, {
    meters or Vec::new(),
    plan or Vec::new(),
    sets or Vec::new(),
});

record!(Meter, "meter", context, { name, accuracy, });

record!(ReadingSet, "set", context, {
    name or String::new(),
    day or String::new(),
    well or false,
    mains,
    readings or Vec::new(),
});

record!(BenchReading, "reading", context, {
    what,
    load or Connected::Nothing,
    set, value, meter, mains, time, note,
});

record!(Step, "step", context, {
    phase,
    load or Connected::Nothing,
    set, note,
});

variants!(What {
    KnobUp(), StillHolds(), Output(), Droop(), Bus(), FirstCapacitor(), BusRipple(), FirstRipple(), Rail(), RailRipple(), Reference(),
    NegativeReference(), PassGrid(), CathodeResistor(unit), WindingVolts(), WindingOhms(), ChokeOhms(section), BleederOhms(),
    Capacitance(capacitor), Leak(),
});

variants!(Phase {
    ColdInspection(), Leakage(), BringUp(), StandBy(), NoLoad(), LightLoad(), Loaded(), KnobUp(), HotChecks(), ZeroSetting(),
    MainsVariation(), ShutDown(), Discharge(),
});

record!(Primary, "primary", context, {
    mains_resistance, mains_inductance, limiter, fuse,
    build or CoreBuild::default(),
    core_rating, no_load, saturates_at, saturated_inductance, heaters,
});

variants!(CoreBuild {
    Interleaved(), Butted(), Toroid(),
});

record!(NoLoadReadings, "no_load", context, { lower, higher, });

variants!(Limiter {
    Resistor(ohms),
    SoftStart { resistance, shorted_after, },
    Thermistor { cold, hot, at, time_constant, },
});

record!(Fuse, "fuse", context, {
    rating, kind,
    place or FusePlace::default(),
});

variants!(FuseKind {
    QuickGlass(), QuickCeramic(), TimeLagGlass(), TimeLagCeramic(), UlFast(), UlSlow(),
});

variants!(FusePlace {
    Line(), BothLines(), Secondary(),
});
