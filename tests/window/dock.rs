//! The dock below the plot: three pages, an edge to draw, a sheet on low windows; the loads as a table; the keys of all that.

use egui::{Key, Modifiers};
use egui_kittest::Harness;
use egui_kittest::kittest::{NodeT as _, Queryable as _};
use sagline::app::App;
use sagline::app::settings::Folders;
use sagline::parts::{Ohms, Watts};

use crate::keyboard::focused;
use crate::{click, show, type_in, undo_label, window, window_of, words};

fn plot(h: &Harness<'_, App>) -> egui::Rect {
    h.get_by_role_and_label(egui::Role::GraphicsObject, "Operating envelope")
        .rect()
}

fn ohms(h: &Harness<'_, App>) -> Vec<f64> {
    let dummies = &h.state().work().dummies;
    dummies.iter().map(|dummy| dummy.resistance.0).collect()
}

fn folded(h: &Harness<'_, App>) -> bool {
    h.query_by_role_and_label(egui::Role::Button, "Unfold the dock")
        .is_some()
}

fn press(h: &mut Harness<'_, App>, modifiers: Modifiers, key: Key) {
    h.key_press_modifiers(modifiers, key);
    h.run();
}

#[test]
fn there_are_three_pages_and_each_has_its_key() {
    let mut h = window();
    let tabs: Vec<String> = h
        .get_all_by_role(egui::Role::Tab)
        .filter_map(|tab| tab.accesskit_node().label())
        .collect();
    assert_eq!(tabs, ["Bench", "In time", "Workings"]);
    for (key, page) in [
        (Key::Num2, "In time"),
        (Key::Num3, "Workings"),
        (Key::Num1, "Bench"),
    ] {
        press(&mut h, Modifiers::COMMAND, key);
        let chosen: Vec<String> = h
            .get_all_by_role(egui::Role::Tab)
            .filter(|tab| tab.accesskit_node().toggled() == Some(egui::accesskit::Toggled::True))
            .filter_map(|tab| tab.accesskit_node().label())
            .collect();
        assert_eq!(chosen, [page]);
    }
}

#[test]
fn the_tab_of_the_workings_leads_back_to_the_stop_that_was_looked_at() {
    let mut h = window();
    show(&mut h, "Workings", Some("how the output is held"));
    show(&mut h, "Bench", None);
    show(&mut h, "Workings", None);
    h.get_by_role_and_label(egui::Role::GraphicsObject, "How the output is held");
}

#[test]
fn folding_gives_its_room_to_the_plot_and_no_tab_moves() {
    let mut h = window();
    click(&mut h, "Understood");
    let tab = |h: &Harness<'_, App>| h.get_by_role_and_label(egui::Role::Tab, "Bench").rect();
    let (before, at) = (plot(&h), tab(&h));
    click(&mut h, "Fold the dock");
    assert!(folded(&h) && plot(&h).height() > before.height() + 100.0);
    assert_eq!(tab(&h), at);
    press(&mut h, Modifiers::COMMAND, Key::D);
    assert!(!folded(&h));
    assert_eq!((plot(&h), tab(&h)), (before, at));
    press(&mut h, Modifiers::COMMAND, Key::D);
    // A page that is asked for is shown.
    show(&mut h, "In time", None);
    h.get_by_role_and_label(egui::Role::GraphicsObject, "One mains cycle");
}

#[test]
fn the_edge_is_drawn_by_pointer_and_by_keys_within_bounds_and_is_remembered() {
    let folder = tempfile::tempdir().expect("a folder");
    let folders = Folders {
        config: Some(folder.path().join("config")),
        recovery: None,
    };
    let size = [1440.0, 900.0];
    let mut h = window_of(None, folders.clone(), size);
    click(&mut h, "Understood");
    let edge = |h: &Harness<'_, App>| {
        h.get_by_role_and_label(egui::Role::Splitter, "Height of the dock")
            .rect()
    };
    let before = plot(&h);
    let from = edge(&h).center();
    h.drag_at(from);
    h.run();
    for to in [from - egui::vec2(0.0, 30.0), from - egui::vec2(0.0, 60.0)] {
        h.hover_at(to);
        h.run();
    }
    h.drop_at(from - egui::vec2(0.0, 60.0));
    h.run();
    let drawn = plot(&h);
    let less = before.height() - drawn.height();
    assert!((less - 60.0).abs() < 8.0, "{less}");
    let again = window_of(None, folders, size);
    assert!(
        (plot(&again).height() - drawn.height()).abs() < 1.0,
        "{:?}",
        plot(&again)
    );
    // Never higher than the plot, whatever is pressed.
    h.get_by_role_and_label(egui::Role::Splitter, "Height of the dock")
        .focus();
    h.run();
    for _ in 0..60 {
        h.key_press(Key::ArrowUp);
        h.step();
    }
    h.run();
    let dock = size[1] - edge(&h).top();
    let most = edge(&h).top() - 52.0;
    assert!(most > dock - 40.0, "plot {most}, dock {dock}");
    for _ in 0..60 {
        h.key_press(Key::ArrowDown);
        h.step();
    }
    h.run();
    assert!(size[1] - edge(&h).top() > 150.0, "{:?}", edge(&h));
    assert_eq!(focused(&h), "Height of the dock");
    press(&mut h, Modifiers::NONE, Key::Home);
    assert!((plot(&h).height() - before.height()).abs() < 1.0);
}

#[test]
fn on_a_low_window_the_dock_is_a_sheet_and_the_plot_does_not_move() {
    let mut h = window_of(None, Folders::default(), [1024.0, 700.0]);
    click(&mut h, "Understood");
    assert!(folded(&h), "the plot comes first");
    let before = plot(&h);
    for page in ["Bench", "In time", "Workings"] {
        show(&mut h, page, None);
        assert_eq!(plot(&h), before, "{page}");
        let edge = h
            .get_by_role_and_label(egui::Role::Splitter, "Height of the dock")
            .rect();
        assert!(
            edge.top() > before.top() + 0.4 * before.height(),
            "{edge:?}"
        );
        assert!(
            edge.top() < before.bottom(),
            "it lies over the plot: {edge:?}"
        );
    }
    click(&mut h, "Fold the dock");
    assert!(folded(&h));
    assert_eq!(plot(&h), before);
}

/// A window with ten loads.
fn with_ten(size: [f32; 2]) -> (Harness<'static, App>, tempfile::TempDir) {
    let folder = tempfile::tempdir().expect("a folder");
    let path = folder.path().join("ten.ron");
    let mut work = window().state().work().clone();
    let one = work.dummies[0].clone();
    work.dummies = (1..=10)
        .map(|count| {
            let mut dummy = one.clone();
            dummy.resistance = Ohms(1e3 * f64::from(count));
            dummy.name = format!("a rather long name of a resistor, number {count}");
            dummy
        })
        .collect();
    let text =
        sagline::parts::file::write(&work, &sagline::parts::catalogue::Catalogue::built_in());
    std::fs::write(&path, text).expect("written");
    (window_of(Some(path), Folders::default(), size), folder)
}

#[test]
fn ten_loads_are_ten_rows_that_do_not_overlap() {
    for size in [[1024.0, 700.0], [1440.0, 900.0], [1920.0, 1080.0]] {
        let (mut h, _folder) = with_ten(size);
        click(&mut h, "Understood");
        show(&mut h, "Bench", None);
        let rows: Vec<egui::Rect> = h
            .get_all_by_role(egui::Role::Button)
            .filter(|node| {
                let label = node.accesskit_node().label().unwrap_or_default();
                label.contains("a rather long name")
            })
            .map(|node| node.rect())
            .collect();
        assert_eq!(rows.len(), 10, "{size:?}");
        for pair in rows.windows(2) {
            assert!(pair[0].bottom() <= pair[1].top() + 0.1, "{size:?} {pair:?}");
            assert!((pair[0].left() - pair[1].left()).abs() < 0.1, "{pair:?}");
        }
    }
}

#[test]
fn a_load_is_moved_by_keys_and_undone_by_name() {
    let mut h = window();
    let before = ohms(&h);
    h.get_by_role_and_label(egui::Role::Button, "1 kΩ 100 W sliding rheostat")
        .focus();
    h.run();
    press(&mut h, Modifiers::NONE, Key::Enter);
    press(&mut h, Modifiers::ALT, Key::ArrowUp);
    assert_eq!(ohms(&h), [before[0], before[2], before[1]]);
    assert_eq!(undo_label(&h), "Dummy 1 kΩ moved up");
    // The keyboard and the selection go with it.
    assert_eq!(focused(&h), "1 kΩ 100 W sliding rheostat");
    press(&mut h, Modifiers::ALT, Key::ArrowUp);
    assert_eq!(ohms(&h), [before[2], before[0], before[1]]);
    press(&mut h, Modifiers::ALT, Key::ArrowUp);
    assert_eq!(
        ohms(&h),
        [before[2], before[0], before[1]],
        "it is the first"
    );
    type_in(&mut h, "Power", "200 W", Key::Enter);
    assert_eq!(h.state().work().dummies[0].power, Some(Watts(200.0)));
    press(&mut h, Modifiers::COMMAND, Key::Z);
    press(&mut h, Modifiers::COMMAND, Key::Z);
    press(&mut h, Modifiers::COMMAND, Key::Z);
    assert_eq!(ohms(&h), before);
}

#[test]
fn a_load_is_carried_to_another_row() {
    let mut h = window();
    click(&mut h, "Understood");
    let before = ohms(&h);
    let row =
        |h: &Harness<'_, App>, name: &str| h.get_by_role_and_label(egui::Role::Button, name).rect();
    let first = row(&h, "10 kΩ 25 W wire-wound");
    let last = row(&h, "1 kΩ 100 W sliding rheostat");
    let grip = egui::pos2(first.left() + 13.0, first.center().y);
    let to = egui::pos2(grip.x, last.bottom() + 4.0);
    h.drag_at(grip);
    h.run();
    for share in [0.3, 0.6, 1.0] {
        h.hover_at(grip + share * (to - grip));
        h.run();
    }
    assert_eq!(ohms(&h), before, "not before it is let go of");
    h.drop_at(to);
    h.run();
    assert_eq!(ohms(&h), [before[1], before[2], before[0]]);
    assert_eq!(undo_label(&h), "Dummy 10 kΩ moved down");
}

#[test]
fn a_load_is_typed_removed_and_proposed_for_the_point() {
    let mut h = window();
    let before = ohms(&h);
    type_in(&mut h, "Resistance of load 2", "4k7", Key::Enter);
    assert_eq!(ohms(&h)[1], 4700.0);
    assert_eq!(undo_label(&h), "Dummy, resistance 4.7 kΩ");
    press(&mut h, Modifiers::COMMAND, Key::Z);
    // 250 V at 66 mA: 3.79 kΩ, of the E12 series 3.9 kΩ, 16 W.
    type_in(&mut h, "Output volts", "250 V", Key::Enter);
    type_in(&mut h, "Output current", "66 mA", Key::Enter);
    click(&mut h, "Add a dummy load");
    let added = h.state().work().dummies.last().expect("added").clone();
    assert_eq!(
        (added.resistance, added.power),
        (Ohms(3900.0), Some(Watts(25.0)))
    );
    assert_eq!(undo_label(&h), "Dummy 3.9 kΩ added");
    click(&mut h, "Remove load 1");
    assert_eq!(ohms(&h), [before[1], before[2], 3900.0]);
    h.get_by_role_and_label(egui::Role::Button, "3.9 kΩ 25 W")
        .focus();
    h.run();
    press(&mut h, Modifiers::NONE, Key::Delete);
    assert_eq!(ohms(&h), [before[1], before[2]]);
}

/// What one is about to click next stands where it was.
#[test]
fn selecting_a_load_moves_no_row() {
    let mut h = window();
    click(&mut h, "Understood");
    let rows = |h: &Harness<'_, App>| -> Vec<egui::Rect> {
        [
            "10 kΩ 25 W wire-wound",
            "2.2 kΩ 50 W aluminium-clad",
            "1 kΩ 100 W sliding rheostat",
        ]
        .map(|name| h.get_by_role_and_label(egui::Role::Button, name).rect())
        .to_vec()
    };
    let before = rows(&h);
    click(&mut h, "2.2 kΩ 50 W aluminium-clad");
    assert_eq!(rows(&h), before);
    assert!(words(&h).contains("Derating"), "{}", words(&h));
}

#[test]
fn a_notice_moves_nothing() {
    let mut h = window();
    let places = |h: &Harness<'_, App>| {
        let card = h.get_by_role_and_label(egui::Role::Button, "Filter").rect();
        let tab = h.get_by_role_and_label(egui::Role::Tab, "Bench").rect();
        (card, tab, plot(h))
    };
    assert!(
        words(&h).contains("Lethal") || words(&h).contains("ethal"),
        "{}",
        words(&h)
    );
    let before = places(&h);
    click(&mut h, "Understood");
    click(&mut h, "No, thank you");
    assert_eq!(places(&h), before);
}

#[test]
fn one_key_goes_from_pane_to_pane_and_back() {
    for size in [[1440.0, 900.0], [1024.0, 700.0]] {
        let mut h = window_of(None, Folders::default(), size);
        click(&mut h, "Understood");
        click(&mut h, "No, thank you");
        let on = |h: &mut Harness<'_, App>| {
            press(h, Modifiers::NONE, Key::F6);
            focused(h)
        };
        h.get_by_role_and_label(egui::Role::Button, "Menu").focus();
        h.run();
        let mut panes = Vec::new();
        for _ in 0..5 {
            panes.push(on(&mut h));
        }
        assert_eq!(panes[1], "Operating envelope", "{size:?} {panes:?}");
        assert_eq!(panes[3], "Bench", "{size:?} {panes:?}");
        assert_eq!(
            panes[4], "Menu",
            "{size:?}: it goes back to what had the keyboard"
        );
        assert!(panes.iter().all(|pane| !pane.is_empty()), "{panes:?}");
        press(&mut h, Modifiers::SHIFT, Key::F6);
        assert_eq!(focused(&h), "Bench", "{size:?}");
    }
}

#[test]
fn the_list_of_keys_has_them_all_and_gives_the_keyboard_back() {
    let mut h = window();
    h.get_by_role_and_label(egui::Role::Button, "Filter")
        .focus();
    h.run();
    press(&mut h, Modifiers::SHIFT, Key::F1);
    let said = words(&h);
    for part in [
        "F6",
        "Next pane",
        "Go to the plot",
        "Move a load, in its row",
        "Export picture",
    ] {
        assert!(said.contains(part), "no {part} in {said}");
    }
    press(&mut h, Modifiers::NONE, Key::Escape);
    assert!(!words(&h).contains("Next pane"));
    assert_eq!(focused(&h), "Filter");
    click(&mut h, "Menu");
    click(&mut h, "Help");
    click(&mut h, "Keyboard shortcuts");
    assert!(words(&h).contains("Next pane"));
}

#[test]
fn the_theme_is_chosen_in_the_settings() {
    let mut h = window();
    for (choice, dark) in [("Light theme", false), ("Dark theme", true)] {
        click(&mut h, "Menu");
        click(&mut h, "Settings");
        h.get_by_role_and_label(egui::Role::RadioButton, choice)
            .click();
        h.run();
        assert_eq!(h.ctx.global_style().visuals.dark_mode, dark, "{choice}");
    }
}
