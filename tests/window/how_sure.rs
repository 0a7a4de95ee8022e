//! How sure it is: bands and odds drawn behind the frames, spreads typed beside the values, the age of the parts.

use std::sync::atomic::Ordering;
use std::time::{Duration, Instant};

use egui::{Key, Modifiers, Role};
use egui_kittest::Harness;
use egui_kittest::kittest::Queryable as _;
use sagline::app::App;
use sagline::app::settings::Folders;
use sagline::parts::spread::{Condition, Electrolytics, Tubes};
use sagline::parts::{SecondaryVolts, Volts};

use crate::{click, follow, text_in, type_in, undo_label, window_of, window_on, words};

const BEFORE: &str = "from a moment ago";
const WINDING: &str = "transformer.winding";
const OFF: &str = "How sure is it?";

/// A window on the demo supply that draws few units: what is tested is what is said of them.
#[expect(
    clippy::large_stack_frames,
    reason = "a window is built on the stack, and here handed on twice"
)]
fn window() -> Harness<'static, App> {
    let open = || {
        let app = App::open(None, Folders::default()).expect("the demo supply");
        app.with_patience(Duration::from_mins(5)).with_units(64)
    };
    window_on(open, [1440.0, 900.0])
}

/// Draws frames until this is so.
fn until(h: &mut Harness<'_, App>, is_so: impl Fn(&str) -> bool) -> String {
    let since = Instant::now();
    loop {
        h.run();
        let said = words(h).replace('\u{a0}', " ");
        if is_so(&said) {
            return said;
        }
        assert!(since.elapsed() < Duration::from_mins(5), "{said}");
        std::thread::sleep(Duration::from_millis(200));
    }
}

/// What is said in how many units the point is inside.
fn verdict(said: &str) -> Option<&str> {
    said.lines().find(|line| line.starts_with("Inside in "))
}

fn is_known(said: &str) -> bool {
    verdict(said).is_some() && !said.contains(BEFORE) && !said.contains("so far ")
}

fn plot_value(h: &Harness<'_, App>) -> String {
    h.get_by_role_and_label(Role::GraphicsObject, "Operating envelope")
        .value()
        .unwrap_or_default()
}

fn switch(h: &mut Harness<'_, App>) {
    h.get_by_role_and_label(Role::CheckBox, "Show the tolerance band")
        .click();
    h.run();
}

#[test]
fn nothing_is_drawn_until_it_is_asked_for_and_then_all_is_said() {
    let mut h = window();
    let said = words(&h);
    assert!(!said.contains("such units") && !h.ctx.has_requested_repaint());
    follow(&mut h, OFF);
    let said = until(&mut h, |said| {
        is_known(said) && said.contains("would narrow dropout")
    });
    for part in [
        "such units at ",
        "What a meter would show, 9 units in 10",
        "Bus, mean",
        "Worst corner",
        "with every value at its worst end",
        "hardly one is as bad",
        "What to measure next",
        "Not covered: ",
    ] {
        assert!(said.contains(part), "no {part:?} in\n{said}");
    }
    let value = plot_value(&h);
    assert!(value.contains("dropout of 9 units in 10"), "{value}");
    // And then the window sleeps.
    std::thread::sleep(Duration::from_millis(200));
    h.run();
    assert!(!h.ctx.has_requested_repaint());
    // Switched off and looked away from, nothing of it is left.
    switch(&mut h);
    assert!(!plot_value(&h).contains("9 units in 10"));
    crate::show(&mut h, "Bench", None);
    let said = words(&h);
    assert!(verdict(&said).is_none(), "{said}");
    assert!(h.query_by_role_and_label(Role::Link, OFF).is_some());
}

#[test]
fn the_layer_alone_shows_band_and_odds_and_rows_that_may_be_exceeded_say_so() {
    let mut h = window();
    switch(&mut h);
    let inside = until(&mut h, is_known);
    assert!(!inside.contains("Worst corner"), "{inside}");
    // Just below the dropout line: about every other unit.
    type_in(&mut h, "Output volts", "250", Key::Enter);
    type_in(&mut h, "Output current", "105 mA", Key::Enter);
    let said = until(&mut h, |said| {
        is_known(said) && verdict(said) != verdict(&inside)
    });
    assert!(said.contains("over in "), "{said}");
    let row = h
        .get_by_role_and_label(Role::Button, "About dropout")
        .rect();
    h.hover_at(row.center());
    for _ in 0..40 {
        h.step();
    }
    let hover = words(&h);
    assert!(hover.contains("Of such units: over in "), "{hover}");
}

#[test]
fn what_is_of_before_says_so_and_the_last_that_was_asked_for_comes() {
    let open = || {
        let app = App::open(None, Folders::default()).expect("the demo supply");
        app.with_patience(Duration::ZERO).with_units(64)
    };
    let mut h = window_on(open, [1440.0, 900.0]);
    switch(&mut h);
    until(&mut h, is_known);
    let mains_to = |h: &Harness<'_, App>, volts: f64| {
        h.get_by_role_and_label(Role::Slider, "Mains now")
            .set_value_accesskit(volts);
    };
    h.state().hold().store(true, Ordering::Relaxed);
    for volts in [118.0, 122.0, 124.0] {
        mains_to(&h, volts);
        h.run();
        let said = words(&h);
        assert!(verdict(&said).is_some(), "what was known stays: {said}");
        assert!(said.contains(BEFORE), "{said}");
        let value = plot_value(&h);
        assert!(
            value.contains("9 units in 10, from a moment ago"),
            "{value}"
        );
    }
    h.state().hold().store(false, Ordering::Relaxed);
    let said = until(&mut h, is_known);
    assert!(!plot_value(&h).contains("from a moment ago"));
    let mut straight = window();
    mains_to(&straight, 124.0);
    straight.run();
    switch(&mut straight);
    let want = until(&mut straight, is_known);
    assert_eq!(verdict(&said), verdict(&want));
    assert_eq!(h.state().supply().mains.present, Volts(124.0));
}

#[test]
fn the_age_of_the_parts_is_one_choice_and_is_undone_by_name() {
    let mut h = window();
    follow(&mut h, OFF);
    let fresh = until(&mut h, is_known);
    let choose = |h: &mut Harness<'_, App>, name: &str| {
        h.get_by_role_and_label(Role::RadioButton, name).click();
        h.run();
    };
    choose(&mut h, "Tubes tired");
    choose(&mut h, "Electrolytics dried out");
    let worn = Condition {
        tubes: Tubes::Tired,
        electrolytics: Electrolytics::Dried,
    };
    assert_eq!(h.state().work().condition, worn);
    assert_eq!(
        undo_label(&h),
        "Taken as tired tubes, dried out electrolytics"
    );
    let bus = |said: &str| {
        let mut lines = said.lines().skip_while(|line| *line != "Bus, mean");
        lines.nth(1).map(str::to_owned)
    };
    let tired = until(&mut h, |said| is_known(said) && said != fresh);
    assert_ne!(bus(&tired), bus(&fresh), "{tired}");
    click(&mut h, "Undo");
    click(&mut h, "Undo");
    assert_eq!(h.state().work().condition, Condition::default());
    let again = until(&mut h, is_known);
    assert_eq!(verdict(&again), verdict(&fresh));
}

/// What stands in the file beside this field.
fn stated(h: &Harness<'_, App>, field: &str) -> Option<String> {
    let mut all = h.state().work().spreads.iter();
    let one = all.find(|stated| stated.field == field)?;
    Some(one.spread.to_string())
}

#[test]
fn a_spread_is_typed_behind_its_value_changed_below_it_and_undone_by_name() {
    let mut h = window();
    click(&mut h, "Transformer");
    let small = "Winding volts, spread";
    assert!(h.query_by_role_and_label(Role::TextInput, small).is_none());
    type_in(&mut h, "Winding volts", "360 V ± 3 %", Key::Enter);
    let volts = h.state().supply().transformer.secondary_volts();
    assert_eq!(volts, SecondaryVolts::One(Volts(360.0)));
    assert_eq!(stated(&h, WINDING).as_deref(), Some("3 %"));
    assert_eq!(text_in(&h, "Winding volts"), "360 V");
    assert_eq!(text_in(&h, small), "±3 %");
    assert_eq!(undo_label(&h), "Transformer, winding volts 360 V ±3 %");
    type_in(&mut h, small, "2 % of 500 V", Key::Enter);
    assert_eq!(stated(&h, WINDING).as_deref(), Some("2 % of 500 V"));
    assert_eq!(undo_label(&h), "Transformer, winding volts ±2 % of 500 V");
    type_in(&mut h, "Winding ohms", "58 ± 1", Key::Enter);
    let ohms = "transformer.secondary_resistance";
    assert_eq!(stated(&h, ohms).as_deref(), Some("±1 Ω"));
    click(&mut h, "Undo");
    assert_eq!(stated(&h, ohms), None, "one step for value and spread");
    type_in(&mut h, small, " ", Key::Enter);
    assert_eq!(stated(&h, WINDING), None);
    assert_eq!(undo_label(&h), "Transformer, winding volts spread as usual");
    // Measured once more, and the range alone keeps the value.
    click(&mut h, "Transformer");
    click(&mut h, "Filter");
    let unit = h.state().supply().filter.input_capacitor.clone();
    type_in(&mut h, "C1 unit", "60 to 80 µF", Key::Enter);
    assert_eq!(h.state().supply().filter.input_capacitor, unit);
    assert_eq!(text_in(&h, "C1 unit, spread"), "60 µF to 80 µF");
}

#[test]
fn a_spread_that_cannot_be_stays_in_its_field_with_what_would_do() {
    let mut h = window();
    click(&mut h, "Transformer");
    let before = h.state().work().clone();
    for (typed, would_do) in [
        ("360 V ± -3 %", "from 0 % to 90 %"),
        ("360 V ± 400 %", "from 0 % to 90 %"),
        ("360 V ± 2 Ω", "in the unit of the value, 360 V"),
        ("360 V ± a lot", "such as"),
        ("380 to 340 V", "lower to its higher"),
        ("360 V ± 2 % of 100 V", "at least the value"),
    ] {
        type_in(&mut h, "Winding volts", typed, Key::Enter);
        let said = words(&h).replace('\u{a0}', " ");
        assert!(said.contains(would_do), "{typed}: {said}");
        assert_eq!(text_in(&h, "Winding volts"), typed);
        assert_eq!(h.state().work(), &before, "{typed}");
    }
    type_in(&mut h, "Winding volts", "", Key::Escape);
    click(&mut h, "Transformer");
    click(&mut h, "Rectifier");
    let small = "Rectifier type, spread";
    for (typed, would_do) in [
        ("±5 mA", "per cent"),
        ("95 %", "0 % to 90 %"),
        ("old", "such as"),
    ] {
        type_in(&mut h, small, typed, Key::Enter);
        let said = words(&h).replace('\u{a0}', " ");
        assert!(said.contains(would_do), "{typed}: {said}");
        assert_eq!(text_in(&h, small), typed);
        assert_eq!(h.state().work(), &before, "{typed}");
    }
    type_in(&mut h, small, "15 %", Key::Enter);
    assert_eq!(stated(&h, "rectifier.kind").as_deref(), Some("15 %"));
    assert_eq!(undo_label(&h), "Rectifier, rectifier type ±15 %");
}

#[test]
fn spreads_and_age_are_kept_in_the_file() {
    let folder = tempfile::tempdir().expect("a folder");
    let path = folder.path().join("mine.ron");
    let text = include_str!("../../presets/school-laboratory.ron");
    std::fs::write(&path, text).expect("written");
    let mut h = window_of(Some(path.clone()), Folders::default(), [1440.0, 900.0]);
    click(&mut h, "Transformer");
    type_in(&mut h, "Primary ohms", "3 Ω ± 5 %", Key::Enter);
    h.key_press_modifiers(Modifiers::COMMAND, Key::S);
    h.run();
    let saved = std::fs::read_to_string(&path).expect("saved");
    assert!(saved.contains("transformer.primary_resistance"), "{saved}");
    let h = window_of(Some(path), Folders::default(), [1440.0, 900.0]);
    let field = "transformer.primary_resistance";
    assert_eq!(stated(&h, field).as_deref(), Some("5 %"));
}

#[test]
fn picture_and_page_say_how_sure_it_is_while_it_is_shown() {
    let folder = tempfile::tempdir().expect("a folder");
    let mut h = window();
    switch(&mut h);
    until(&mut h, is_known);
    let path = folder.path().join("a.svg");
    click(&mut h, "Menu");
    click(&mut h, "Export");
    click(&mut h, "Export picture…");
    type_in(&mut h, "Picture file", &path.to_string_lossy(), Key::Tab);
    click(&mut h, "Write the file");
    let svg = std::fs::read_to_string(&path).expect("written");
    for part in [
        "dropout of 9 units in 10",
        "Band: the dropout line of 9 in 10",
    ] {
        assert!(svg.contains(part), "no {part:?}");
    }
    follow(&mut h, "Why, and what moves it");
    h.get_by_role_and_label(Role::Link, "Copy worked page")
        .click();
    h.step();
    let commands = h.output().platform_output.commands.clone();
    let page = commands.into_iter().find_map(|command| match command {
        egui::OutputCommand::CopyText(text) => Some(text),
        _ => None,
    });
    let page = page.expect("a page");
    let place = |words: &str| page.find(words);
    let order = [
        place("## Limits"),
        place("## How sure it is"),
        place("64 such units drawn"),
        place("## Before you touch it"),
    ];
    assert!(
        order.iter().all(Option::is_some) && order.is_sorted(),
        "{order:?}\n{page}"
    );
}
