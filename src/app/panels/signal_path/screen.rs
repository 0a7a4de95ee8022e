//! Rows of the control tube's screen: volts as measured, or a divider from which they follow.

use crate::app::widgets::fields::{Field, Fields};
use crate::app::widgets::quantity_field::Span;
use crate::parts::{ControlTubeKind, Ohms, PlateSupply, Regulator, ScreenDivider, ScreenFeed, Tap};

/// The rows; none for a triode, unless the file says something of a screen.
pub(super) fn screen_rows(
    fields: &mut Fields<'_>,
    regulator: &mut Regulator,
    taps: &[(Tap, &str)],
) {
    let has_screen = matches!(regulator.control_tube.kind, ControlTubeKind::Pentode { .. });
    if !has_screen && regulator.screen_volts.is_none() && regulator.screen_divider.is_none() {
        return;
    }
    let before = regulator.screen_divider.is_some();
    let mut divided = before;
    fields.choice(
        "Screen from",
        "Whether the volts of the control tube's screen are those that you measure, or follow from two resistors. On a divider \
         they move with what feeds it, and so do loop gain and hum.",
        &mut divided,
        &[(false, "volts as measured"), (true, "a divider")],
    );
    match (before, divided) {
        (false, true) => {
            regulator.screen_volts = None;
            regulator.screen_divider = Some(ScreenDivider {
                fed_from: ScreenFeed::Output,
                upper: Ohms(220e3),
                lower: Ohms(100e3),
                foot: regulator.cathode,
            });
        }
        (true, false) => regulator.screen_divider = None,
        _ => {}
    }
    let Some(divider) = &mut regulator.screen_divider else {
        fields.optional(
            Field {
                name: "Screen",
                hover: "Volts of the control tube's screen above its cathode. Moves loop gain and floor.",
                span: Span::even(20.0, 300.0, 5.0),
            },
            &mut regulator.screen_volts,
            "not known",
        );
        return;
    };
    let mut feeds = vec![
        (ScreenFeed::Bus, "the bus"),
        (ScreenFeed::Output, "the output"),
        (ScreenFeed::Common, "output negative"),
    ];
    if matches!(regulator.plate_supply, PlateSupply::Clean(_)) {
        feeds.push((ScreenFeed::CleanRail, "the clean rail"));
    }
    if regulator.reference.is_some() {
        feeds.push((ScreenFeed::Reference, "positive reference"));
    }
    // A divider has two different ends.
    feeds.retain(|(feed, _)| {
        !matches!(
            (feed, divider.foot),
            (ScreenFeed::Common, Tap::Common) | (ScreenFeed::Reference, Tap::Reference)
        )
    });
    fields.choice(
        "Screen divider on",
        "Where the upper resistor comes from. On the bus its ripple gets to the screen; what it draws from the bus belongs to the \
         supply's own current. What it draws from the output goes through the pass tubes, and is counted.",
        &mut divider.fed_from,
        &feeds,
    );
    let resistor = Span::by_ratio(1e3, 10e6);
    fields.quantity(
        Field {
            name: "Screen upper R",
            hover: "Resistor from there to the control tube's screen. Read its bands. Less: more screen volts.",
            span: resistor,
        },
        &mut divider.upper,
    );
    fields.quantity(
        Field {
            name: "Screen lower R",
            hover: "Resistor from the control tube's screen to the foot of its divider. Read its bands. Less: fewer screen volts.",
            span: resistor,
        },
        &mut divider.lower,
    );
    let feet: Vec<(Tap, &str)> = taps
        .iter()
        .copied()
        .filter(|(tap, _)| match tap {
            Tap::Common => divider.fed_from != ScreenFeed::Common,
            Tap::Reference => {
                divider.fed_from != ScreenFeed::Reference && regulator.reference.is_some()
            }
            Tap::BiasReference(_) => true,
            Tap::BiasRail => regulator.bias_rail.is_some(),
        })
        .collect();
    fields.choice(
        "Screen foot on",
        "The lower end of the screen's divider, often the control tube's cathode or the output's negative terminal",
        &mut divider.foot,
        &feet,
    );
}

/// What the divider hung on and is gone gives place to what is nearest to it.
pub(super) fn keep_feed(regulator: &mut Regulator) {
    let has_clean_rail = matches!(regulator.plate_supply, PlateSupply::Clean(_));
    let has_reference = regulator.reference.is_some();
    if let Some(divider) = &mut regulator.screen_divider {
        let is_there = match divider.fed_from {
            ScreenFeed::CleanRail => has_clean_rail,
            ScreenFeed::Reference => has_reference,
            ScreenFeed::Common => divider.foot != Tap::Common,
            ScreenFeed::Bus | ScreenFeed::Output => true,
        };
        if !is_there {
            divider.fed_from = ScreenFeed::Output;
        }
    }
}
