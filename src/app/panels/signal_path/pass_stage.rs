//! The card of the pass tubes.

use crate::app::panels::shown::Shown;
use crate::app::panels::signal_path::rectifier::heater_text;
use crate::app::panels::signal_path::regulator_parts::heater_rows;
use crate::app::panels::signal_path::swap::{Candidate, List, swap_ui};
use crate::app::panels::signal_path::tube_buttons::tube_buttons_ui;
use crate::app::widgets::fields::{Field, Fields};
use crate::app::widgets::quantity_field::{Span, keep_in_view};
use crate::app::work::view;
use crate::app::work::view::Trying;
use crate::explain::kind;
use crate::explain::{change, regulation};
use crate::parts::catalogue::{Catalogue, is_own};
use crate::parts::tube_draft::Purpose;
use crate::parts::{PassStage, PassTubeType, PlateCharacteristic, RatingSystem, Supply};

use crate::physics::Case;
use crate::physics::regulator::sharing::imbalance;

/// The line under the title.
pub(super) fn summary(supply: &Supply) -> String {
    let stage = &supply.pass_stage;
    match (stage.units, stage.tube.units) {
        (1, 1) => stage.tube.name.clone(),
        (n, 1) => format!("{n} × {}", stage.tube.name),
        (1, _) => format!("{}, one section", stage.tube.name),
        (n, _) => format!("{}, {n} sections", stage.tube.name),
    }
}

/// Its rows.
pub(super) fn rows(fields: &mut Fields<'_>, shown: Shown<'_>, stage: &mut PassStage) {
    picker(fields, shown, stage);
    fields.count(
        Field {
            name: "Units",
            hover: "Units (sections) that share the current: both halves of a twin triode are two. \
                    Moves dropout, dissipation and current lines.",
            span: Span::even(1.0, 12.0, 1.0),
        },
        &mut stage.units,
    );
    one_out(fields, shown, stage);
    fields.quantity(
        Field {
            name: "Cathode resistor",
            hover: "Resistor in each cathode, for sharing. Read its bands. More evens out the share and lowers the dropout line.",
            span: Span::by_ratio(0.0, 1000.0),
        },
        &mut stage.cathode_resistor,
    );
    fields.quantity(
        Field {
            name: "Plate resistor",
            hover: "Resistor in each plate lead (0 Ω for none). Takes some of the heat, lowers the dropout line.",
            span: Span::by_ratio(0.0, 1000.0),
        },
        &mut stage.plate_resistor,
    );
    sharing_rows(fields, shown, stage);
    fields.quantity(
        Field {
            name: "Grid limit",
            hover: "Highest grid–cathode volts that the control tube can give: 0 V when it is cut off and no grid current flows. \
                    Lower means more drop.",
            span: Span::even(-20.0, 0.0, 0.5),
        },
        &mut stage.grid_limit,
    );
    heater_rows(fields, "Heaters tied to", &mut stage.heater);
    fields.folded("Ratings of this type", |fields| {
        rating_rows(fields, &mut stage.tube);
    });
}

/// How unevenly the units share: from the spread of the tubes, or typed.
fn sharing_rows(fields: &mut Fields<'_>, shown: Shown<'_>, stage: &mut PassStage) {
    if stage.units < 2 {
        return;
    }
    fields.optional(
        Field {
            name: "Tube spread",
            hover: "How much more current than the others the worst tube draws at equal volts; 10 to 30 % between new tubes of \
                    one type. The imbalance then follows from it and the cathode resistors. Empty: type the imbalance.",
            span: Span::even(0.0, 1.0, 0.01),
        },
        &mut stage.tube_spread,
        "not known",
    );
    if stage.tube_spread.is_some() {
        let worked_out = shown.answers.picture.as_ref().and_then(|picture| {
            let point = picture.point.as_ref()?;
            let (model, operation) = (&picture.model, point.operation.as_ref()?);
            let current = model.pass_current(Case::Present, operation, point.volts);
            let share = imbalance(&model.pass, operation, current, point.volts);
            Some(regulation::imbalance(share))
        });
        fields.remark(worked_out.as_deref().unwrap_or(regulation::NO_IMBALANCE));
        return;
    }
    fields.quantity(
        Field {
            name: "Imbalance",
            hover: "How much more than its even share the worst unit carries. Compare the drops of the cathode resistors. \
                    Moves dissipation and current lines.",
            span: Span::even(0.0, 0.5, 0.01),
        },
        &mut stage.imbalance,
    );
}

/// What would happen with one unit pulled or dead, in outline on the plot and in words, while it is asked for.
fn one_out(fields: &mut Fields<'_>, shown: Shown<'_>, stage: &PassStage) {
    if stage.units < 2 {
        return;
    }
    let asked = egui::Id::unique(("one pass tube out", shown.document.serial));
    let mut on = fields
        .ui()
        .data(|data| data.get_temp::<bool>(asked).unwrap_or(false));
    let response = fields.ui().checkbox(&mut on, "One unit out").on_hover_text(
        "Shows in outline what is left if one unit is pulled or dead, and says what that makes of this point. \
         Changes nothing.",
    );
    keep_in_view(&response);
    fields.ui().data_mut(|data| data.insert_temp(asked, on));
    if !on {
        return;
    }
    let mut supply = shown.document.work.supply.clone();
    supply.pass_stage.units = stage.units - 1;
    let words = shown.answers.variants.picture(&supply).and_then(|picture| {
        Some(change::candidate(picture.point.as_ref()?, &supply, None).sentence)
    });
    if let Some(words) = words {
        fields.remark(&words);
    }
    let without = view::Candidate {
        name: "one unit out".to_owned(),
        supply,
    };
    let asked = Trying {
        candidates: vec![without],
        looked_at: Some(0),
    };
    // A list of types that hangs open goes first.
    let first = fields.trying().unwrap_or(asked);
    fields.is_trying(first);
}

fn picker(fields: &mut Fields<'_>, shown: Shown<'_>, stage: &mut PassStage) {
    let types = &shown.catalogue.pass_tubes;
    let candidates = types
        .iter()
        .map(|t| Candidate {
            name: &t.name,
            about: &t.about,
            kind: kind::of_pass_tube(t),
            own: is_own(t, Catalogue::built_in_ones().pass_tube(&t.name)),
            supply: {
                let mut supply = shown.document.work.supply.clone();
                supply.pass_stage.tube = t.clone();
                supply
            },
        })
        .collect();
    let in_use = stage.tube.name.clone();
    let picked = swap_ui(
        fields,
        shown,
        List::of("Pass tube type", &in_use),
        candidates,
    );
    if let Some(tube) = picked.and_then(|place| types.get(place)) {
        stage.tube = tube.clone();
        fields.note(&tube.name);
    }
    tube_buttons_ui(fields, Purpose::Pass, &stage.tube.name);
    let tube = &stage.tube;
    let known = match &tube.characteristic {
        PlateCharacteristic::Published { points, .. } => match points.len() {
            1 => "law fitted to one published point".to_owned(),
            many => format!("law fitted to {many} published points"),
        },
        PlateCharacteristic::Law(_) => "law given by its coefficients".to_owned(),
        PlateCharacteristic::ZeroBias(table) => {
            format!(
                "zero-bias curve of {} points; grid drive not known",
                table.len()
            )
        }
    };
    let listed = shown.catalogue.pass_tube(&tube.name);
    fields.about_type(&[&tube.about, &known], tube, listed);
}

fn rating_rows(fields: &mut Fields<'_>, tube: &mut PassTubeType) {
    let centre = RatingSystem::DesignCentre;
    fields.rating(
        Field {
            name: "Dissipation",
            hover: "Highest plate dissipation of one unit (plate and screen if triode-connected). Moves the dissipation line.",
            span: Span::by_ratio(1.0, 300.0),
        },
        &mut tube.ratings.plate_dissipation,
        centre,
    );
    fields.rating(
        Field {
            name: "Whole bulb",
            hover: "Highest dissipation of all units of one bulb together, where it is less than their sum",
            span: Span::by_ratio(1.0, 300.0),
        },
        &mut tube.envelope_dissipation,
        centre,
    );
    fields.rating(
        Field {
            name: "Plate volts",
            hover: "Highest plate volts. Counts at low output, no load and high mains.",
            span: Span::by_ratio(50.0, 3000.0),
        },
        &mut tube.ratings.plate_volts,
        centre,
    );
    fields.rating(
        Field {
            name: "Current",
            hover: "Highest plate (cathode) current of one unit",
            span: Span::by_ratio(0.005, 1.0),
        },
        &mut tube.plate_current,
        centre,
    );
    fields.rating(
        Field {
            name: "Heater–cathode",
            hover: "Highest volts between heater and cathode; matters where the heater is not tied to the output.",
            span: Span::by_ratio(50.0, 1000.0),
        },
        &mut tube.ratings.heater_cathode,
        centre,
    );
    fields.rating(
        Field {
            name: "Grid resistor",
            hover: "Largest resistance in the grid circuit; more lets grid current run the tube away.",
            span: Span::by_ratio(1e4, 1e7),
        },
        &mut tube.ratings.grid_resistor,
        centre,
    );
    if tube.triode_connected {
        fields.rating(
            Field {
                name: "Screen",
                hover: "Highest screen dissipation of one unit, its screen tied to the plate. Judged by the screen's share of the current.",
                span: Span::by_ratio(0.5, 50.0),
            },
            &mut tube.ratings.screen_dissipation,
            centre,
        );
        fields.figure(
            Field {
                name: "Screen share",
                hover: "What the screen takes of both currents, from a published row with plate and screen at the same volts",
                span: Span::even(0.01, 0.5, 0.01),
            },
            &mut tube.screen_share,
        );
    }
    if let Some(heater) = &tube.ratings.heater {
        fields.remark(&heater_text(heater));
    }
}
