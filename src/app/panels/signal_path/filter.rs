//! The filter card: any number of sections behind a capacitor or a choke.

use egui::RichText;

use crate::app::panels::shown::Shown;
use crate::app::panels::signal_path::swap::{Candidate, List, swap_ui};
use crate::app::panels::signal_path::transformer::copper_row;
use crate::app::theme::{self, Theme};
use crate::app::widgets::fields::{Field, Fields};
use crate::app::widgets::quantity_field::{Span, name_it};
use crate::bench::variation::capacitor_choices;
use crate::explain;
use crate::parts::Copper;
use crate::parts::{
    CapacitorStack, Farads, Filter, FilterSection, Henries, Ohms, Rating, RatingSystem,
    SeriesElement, Supply, Volts,
};

/// The line under the title.
pub(super) fn summary(supply: &Supply) -> String {
    let filter = &supply.filter;
    let mut shape: Vec<String> = filter.input_capacitor.iter().map(stack_text).collect();
    for section in &filter.sections {
        shape.push(match &section.series {
            SeriesElement::Resistor(ohms) => ohms.to_string(),
            SeriesElement::Choke { inductance, .. } => inductance.to_string(),
        });
        shape.push(stack_text(&section.capacitor));
    }
    shape.join(" · ")
}

fn stack_text(stack: &CapacitorStack) -> String {
    let mut text = stack.unit.to_string();
    if stack.in_series > 1 {
        text = format!("{} × {text}", stack.in_series);
    }
    if stack.strings > 1 {
        text = format!("{text} × {}", stack.strings);
    }
    text
}

/// Its rows.
pub(super) fn rows(fields: &mut Fields<'_>, shown: Shown<'_>, filter: &mut Filter) {
    input_rows(fields, shown, filter);
    let first = usize::from(filter.input_capacitor.is_some());
    let mut remove = None;
    let removable = filter.sections.len() + first > 1;
    for (place, section) in filter.sections.iter_mut().enumerate() {
        if section_rows(
            fields,
            shown,
            section,
            SectionPlace {
                section: place,
                first,
                removable,
            },
        ) {
            remove = Some(place);
        }
    }
    if let Some(place) = remove {
        filter.sections.remove(place);
        fields.note(&format!("section {} removed", place + 1));
    }
    add_buttons(fields, filter);
    fields.heading("Across the bus");
    fields.optional(
        Field {
            name: "Bleeder",
            hover: "Resistor across the bus that empties the capacitors. Read its bands, measure it with the bus dead. \
                    Moves the time to 60 V and the no-load volts.",
            span: Span::by_ratio(1e3, 1e7),
        },
        &mut filter.bleeder,
        "none",
    );
    fields.quantity(
        Field {
            name: "Internal",
            hover: "Current that the supply itself takes from the bus: screen feeds, a reference string on the bus, the control \
                    tube's plate load. Adds to every load. What a described regulator takes from the output (sense divider, \
                    preload, a reference on the output) is worked out and does not belong here.",
            span: Span::even(0.0, 0.1, 0.000_5),
        },
        &mut filter.internal_current,
    );
}

fn input_rows(fields: &mut Fields<'_>, shown: Shown<'_>, filter: &mut Filter) {
    let mut capacitor = filter.input_capacitor.is_some();
    fields.choice(
        "Input",
        "What stands first behind the rectifier. A capacitor gives more volts and far higher rectifier peaks; \
         a choke fewer volts and a calm rectifier.",
        &mut capacitor,
        &[(true, "capacitor"), (false, "choke or resistor")],
    );
    match (capacitor, filter.input_capacitor.is_some()) {
        (true, false) => {
            let like = filter.sections.first().map(|s| s.capacitor.clone());
            filter.input_capacitor = Some(like.unwrap_or_else(usual_stack));
        }
        (false, true) => {
            let was = filter.input_capacitor.take();
            if filter.sections.is_empty() {
                // Something must stand behind the rectifier.
                filter.sections.push(FilterSection {
                    series: usual_choke(),
                    capacitor: was.unwrap_or_else(usual_stack),
                });
            }
        }
        _ => {}
    }
    if let Some(stack) = &mut filter.input_capacitor {
        stack_rows(fields, shown, stack, 1);
    }
}

#[derive(Clone, Copy)]
struct SectionPlace {
    section: usize,
    first: usize,
    removable: bool,
}

/// Rows of one section; true if it is to go.
fn section_rows(
    fields: &mut Fields<'_>,
    shown: Shown<'_>,
    section: &mut FilterSection,
    at: SectionPlace,
) -> bool {
    let number = at.section + 1;
    let mut gone = false;
    let theme = Theme::of(fields.ui().ctx());
    fields.ui().add_space(4.0);
    fields.ui().horizontal(|ui| {
        ui.label(
            RichText::new(format!("Section {number}"))
                .font(theme::strong_font(theme::SMALL))
                .color(theme.middle),
        );
        if at.removable {
            ui.with_layout(egui::Layout::right_to_left(egui::Align::Center), |ui| {
                let button = ui.small_button("Remove");
                name_it(
                    ui.ctx(),
                    button.id,
                    &format!("Remove section {number}"),
                    None,
                );
                gone = button.clicked();
            });
        }
    });
    let mut choke = matches!(section.series, SeriesElement::Choke { .. });
    fields.choice(
        &format!("Series part {number}"),
        "What carries the current to the next capacitor",
        &mut choke,
        &[(false, "resistor"), (true, "choke")],
    );
    match (choke, &section.series) {
        (true, SeriesElement::Resistor(_)) => section.series = usual_choke(),
        (false, SeriesElement::Choke { resistance, .. }) => {
            section.series = SeriesElement::Resistor(*resistance);
        }
        _ => {}
    }
    series_rows(fields, "", &mut section.series, number);
    let number = at.section + at.first + 1;
    stack_rows(fields, shown, &mut section.capacitor, number);
    gone
}

/// Rows of what carries the current to the next capacitor; `of` stands before its name: nothing, or `Rail `.
pub(super) fn series_rows(
    fields: &mut Fields<'_>,
    of: &str,
    series: &mut SeriesElement,
    number: usize,
) {
    match series {
        SeriesElement::Resistor(ohms) => fields.quantity(
            Field {
                name: &format!("{of}R{number}"),
                hover: "Resistor between the capacitors. Read its bands. More: less ripple, lower volts behind it.",
                span: Span::by_ratio(1.0, 100e3),
            },
            ohms,
        ),
        SeriesElement::Choke {
            inductance,
            resistance,
            measured,
            rating,
        } => {
            let name = |what: &str| format!("{of}L{number}{what}");
            fields.quantity(
                Field {
                    name: &name(""),
                    hover: "Inductance at the direct current in use. Nameplate; it falls with current. More: less ripple.",
                    span: Span::by_ratio(0.1, 100.0),
                },
                inductance,
            );
            fields.quantity(
                Field {
                    name: &name(" ohms"),
                    hover: "DC resistance of the choke's winding. Ohmmeter, plug out, capacitors measured dead. More: lower volts \
                            under load.",
                    span: Span::by_ratio(1.0, 5000.0),
                },
                resistance,
            );
            copper_row(fields, &name(" was"), *resistance, measured);
            fields.rating(
                Field {
                    name: &name(" current"),
                    hover: "Highest direct current of the choke. Nameplate.",
                    span: Span::by_ratio(0.001, 2.0),
                },
                rating,
                RatingSystem::AbsoluteMaximum,
            );
        }
    }
}

/// The list of what else could stand in a capacitor's place, each shown before it is chosen.
fn other_stacks(
    fields: &mut Fields<'_>,
    shown: Shown<'_>,
    stack: &mut CapacitorStack,
    number: usize,
) {
    let choices = capacitor_choices(stack);
    let words: Vec<[String; 2]> = choices
        .iter()
        .map(|choice| [stack_text(choice), stack_about(choice)])
        .collect();
    let candidates = choices
        .iter()
        .zip(&words)
        .map(|(choice, [name, about])| {
            let mut supply = shown.document.work.supply.clone();
            if let Some(place) = supply.filter.stacks_mut().nth(number - 1) {
                *place = choice.clone();
            }
            Candidate {
                name,
                about,
                kind: "",
                own: false,
                supply,
            }
        })
        .collect();
    let in_use = stack_text(stack);
    let list = List {
        name: &format!("C{number} instead"),
        in_use: &in_use,
        shown_as: &format!("C{number}  {in_use}"),
    };
    let picked = swap_ui(fields, shown, list, candidates);
    if let Some(choice) = picked.and_then(|place| choices.into_iter().nth(place))
        && choice != *stack
    {
        *stack = choice;
        fields.note(&format!("C{number} {}", stack_text(stack)));
    }
}

/// What a stack bears: `600 V in all`; what it holds, where that is not the unit's value.
fn stack_about(stack: &CapacitorStack) -> String {
    let volts = stack.working_volts.as_ref().map_or_else(
        || "volts not known".to_owned(),
        |rating| Volts(rating.value.0 * f64::from(stack.in_series)).to_string(),
    );
    if stack.in_series > 1 || stack.strings > 1 {
        format!("{}, {volts}", explain::number::farads(stack.farads()))
    } else {
        volts
    }
}

fn stack_rows(
    fields: &mut Fields<'_>,
    shown: Shown<'_>,
    stack: &mut CapacitorStack,
    number: usize,
) {
    let name = |what: &str| format!("C{number} {what}");
    other_stacks(fields, shown, stack, number);
    fields.quantity(
        Field {
            name: &name("unit"),
            hover: "Capacitance of one capacitor of the stack. Printed on it; old ones drift, measure it out of circuit. \
                    More: less ripple, higher dropout line, higher rectifier peak.",
            span: Span::by_ratio(1e-6, 2e-3),
        },
        &mut stack.unit,
    );
    fields.count(
        Field {
            name: &name("in series"),
            hover: "Equal capacitors in series. Count them. Divides the capacitance, multiplies the working volts.",
            span: Span::even(1.0, 6.0, 1.0),
        },
        &mut stack.in_series,
    );
    fields.rating(
        Field {
            name: &name("volts"),
            hover: "Working volts of one capacitor. Printed on it. Moves the filter stress zone.",
            span: Span::even(50.0, 1000.0, 10.0),
        },
        &mut stack.working_volts,
        RatingSystem::AbsoluteMaximum,
    );
    fields.optional(
        Field {
            name: &name("balancing"),
            hover: "Resistor across each capacitor of a series stack, so that they share the volts. Read its bands. \
                    Lower: more even share, more bleed.",
            span: Span::by_ratio(10e3, 2e6),
        },
        &mut stack.balancing,
        "none",
    );
    fields.folded(&name("more"), |fields| {
        fields.count(
            Field {
                name: &name("strings"),
                hover: "Such strings in parallel. Multiplies capacitance and ripple rating.",
                span: Span::even(1.0, 6.0, 1.0),
            },
            &mut stack.strings,
        );
        fields.rating(
            Field {
                name: &name("surge"),
                hover: "Volts that one capacitor stands for a short while, at switch-on. Printed on it or in its sheet.",
                span: Span::even(50.0, 1000.0, 10.0),
            },
            &mut stack.surge_volts,
            RatingSystem::AbsoluteMaximum,
        );
        fields.rating(
            Field {
                name: &name("ripple"),
                hover: "Ripple current of one capacitor (rms, at twice the mains frequency). In its sheet. Moves the ripple line.",
                span: Span::by_ratio(0.01, 10.0),
            },
            &mut stack.ripple_current,
            RatingSystem::AbsoluteMaximum,
        );
        fields.quantity(
            Field {
                name: &name("tolerance"),
                hover: "Spread of the capacitance, ± this. Moves the worst corner and the sharing of a series stack.",
                span: Span::even(0.0, 0.5, 0.01),
            },
            &mut stack.tolerance,
        );
    });
}

fn add_buttons(fields: &mut Fields<'_>, filter: &mut Filter) {
    let mut add = None;
    fields.ui().horizontal_wrapped(|ui| {
        if ui.small_button("Add R–C section").clicked() {
            add = Some((SeriesElement::Resistor(Ohms(470.0)), "R–C section added"));
        }
        if ui.small_button("Add L–C section").clicked() {
            add = Some((usual_choke(), "L–C section added"));
        }
    });
    if let Some((series, note)) = add {
        let like = filter.stacks().last().cloned();
        filter.sections.push(FilterSection {
            series,
            capacitor: like.unwrap_or_else(usual_stack),
        });
        fields.note(note);
    }
}

/// A choke to begin with.
fn usual_choke() -> SeriesElement {
    SeriesElement::Choke {
        inductance: Henries(8.0),
        resistance: Ohms(200.0),
        measured: Copper::Warm,
        rating: None,
    }
}

/// A capacitor to begin with.
fn usual_stack() -> CapacitorStack {
    CapacitorStack {
        working_volts: Some(Rating::own(Volts(450.0), RatingSystem::AbsoluteMaximum)),
        ..CapacitorStack::single(Farads(47e-6))
    }
}
