//! The right panel: what stays in sight, what is folded, and where a row unfolds.

use egui::{Key, Rect};
use egui_kittest::Harness;
use egui_kittest::kittest::{By, NodeT as _, Queryable as _};
use sagline::app::App;
use sagline::app::settings::Folders;

use crate::keyboard::{press, tab_to};
use crate::{click, text_in, type_in, window, window_of, words};

/// Where a label that begins so stands, if it is drawn.
fn label_that_begins(h: &Harness<'_, App>, begin: &str) -> Option<Rect> {
    let begin = begin.to_owned();
    h.query_all(By::new().predicate(move |node| {
        let text = node.value().or(node.label()).unwrap_or_default();
        node.role() == egui::Role::Label && text.replace('\u{a0}', " ").starts_with(&begin)
    }))
    .next()
    .map(|node| node.rect())
}

/// The rows of limits, from top to bottom: name and place.
fn rows(h: &Harness<'_, App>) -> Vec<(String, Rect)> {
    let all = h.query_all_by_role(egui::Role::Button);
    let mut rows: Vec<(String, Rect)> = all
        .filter_map(|node| {
            let name = node.accesskit_node().label()?;
            name.starts_with("About ").then(|| (name, node.rect()))
        })
        .collect();
    rows.sort_by(|a, b| a.1.top().total_cmp(&b.1.top()));
    rows
}

fn row(h: &Harness<'_, App>, name: &str) -> Rect {
    h.get_by_role_and_label(egui::Role::Button, name).rect()
}

#[test]
fn figures_verdict_and_caution_stay_in_sight_while_the_list_scrolls() {
    for size in [[1024.0, 700.0], [1440.0, 900.0], [1920.0, 1080.0]] {
        let screen = Rect::from_min_size(egui::Pos2::ZERO, size.into());
        let mut h = window_of(None, Folders::default(), size);
        click(&mut h, "Understood");
        click(&mut h, "No, thank you");
        type_in(&mut h, "Output volts", "340", Key::Enter);
        type_in(&mut h, "Output current", "120mA", Key::Enter);
        let pinned = |h: &Harness<'_, App>| {
            ["Out of reach", "Back inside"].map(|begin| {
                label_that_begins(h, begin).unwrap_or_else(|| panic!("{begin}: {}", words(h)))
            })
        };
        let caution = |h: &Harness<'_, App>| {
            let bus = label_that_begins(h, "Bus ").or_else(|| label_that_begins(h, "Lethal: bus"));
            bus.unwrap_or_else(|| panic!("no caution: {}", words(h)))
        };
        let before = (pinned(&h), caution(&h));
        assert!(screen.contains_rect(before.1), "{size:?}: {:?}", before.1);
        assert!(before.1.height() < 40.0, "{size:?}: {:?}", before.1);
        for part in before.0 {
            assert!(screen.contains_rect(part), "{size:?}: {part:?}");
        }
        let (name, last) = rows(&h).pop().expect("rows");
        h.get_by_role_and_label(egui::Role::Button, &name)
            .scroll_to_me();
        h.run();
        click(&mut h, &name);
        let now = row(&h, &name);
        assert!(screen.contains_rect(now), "{size:?}: {now:?}");
        assert!(
            size[1] > 700.0 || now.top() < last.top(),
            "nothing scrolled: {last:?} {now:?}"
        );
        assert_eq!((pinned(&h), caution(&h)), before, "{size:?}");
    }
}

#[test]
fn a_row_unfolds_below_itself_and_stays_where_it_was_clicked() {
    let mut h = window();
    let all = rows(&h);
    let [(first, _), (second, before), (third, third_before)] = &all[..3] else {
        panic!("{all:?}");
    };
    click(&mut h, second);
    let unfolded = label_that_begins(&h, "Copy worked page").is_none();
    assert!(unfolded, "a link is no label");
    let link = |h: &Harness<'_, App>| {
        h.query_by_role_and_label(egui::Role::Link, "Copy worked page")
            .map(|node| node.rect())
    };
    let inside = link(&h).expect("unfolded");
    assert_eq!(row(&h, second), *before);
    assert!(inside.top() > before.bottom(), "{inside:?} {before:?}");
    let pushed = row(&h, third);
    assert!(inside.bottom() < pushed.top() && pushed.top() > third_before.top());
    // The point moves: the same row stays unfolded, wherever it is sorted to.
    let volts = text_in(&h, "Output volts");
    type_in(&mut h, "Output volts", "100", Key::Enter);
    assert_ne!(text_in(&h, "Output volts"), volts);
    let inside = link(&h).expect("still unfolded");
    assert!(inside.top() > row(&h, second).bottom());
    // Another one is unfolded in place of it, and that one folds by itself.
    type_in(&mut h, "Output volts", &volts, Key::Enter);
    click(&mut h, first);
    let inside = link(&h).expect("unfolded");
    assert!(inside.top() > row(&h, first).bottom() && inside.bottom() < row(&h, second).top());
    click(&mut h, first);
    assert_eq!(link(&h), None);
}

#[test]
fn a_row_stays_under_the_pointer_when_one_above_it_folds() {
    let mut h = window_of(None, Folders::default(), [1024.0, 700.0]);
    click(&mut h, "Understood");
    click(&mut h, "No, thank you");
    let all = rows(&h);
    let (first, later) = (all[0].0.clone(), all[7].0.clone());
    click(&mut h, &first);
    h.get_by_role_and_label(egui::Role::Button, &later)
        .scroll_to_me();
    h.run();
    let before = row(&h, &later);
    h.get_by_role_and_label(egui::Role::Button, &later).click();
    h.run();
    let now = row(&h, &later);
    assert!(
        now.top() <= before.top() + 0.5,
        "it may go up to show what it unfolds, never down: {before:?} {now:?}"
    );
    let link = h.get_by_role_and_label(egui::Role::Link, "Copy worked page");
    assert!(link.rect().top() > now.bottom());
    assert!(link.rect().bottom() < 700.0, "{:?}", link.rect());
}

#[test]
fn the_rest_of_a_group_is_folded_and_opens_by_the_keyboard() {
    let mut h = window();
    let folds = |h: &Harness<'_, App>| -> Vec<String> {
        let all = h.query_all(By::new().predicate(|node| {
            let label = node.label().unwrap_or_default();
            label.contains(" more, no") && label.contains(" above ")
        }));
        all.filter_map(|node| node.accesskit_node().label())
            .collect()
    };
    let before = rows(&h).len();
    let [moving, always] = &folds(&h)[..] else {
        panic!("{:?}", folds(&h));
    };
    assert_eq!(before, 12, "six of each: {:?}", rows(&h));
    let count = |text: &str| -> usize {
        let number = text.split(' ').next().expect("a number");
        number.parse().expect("a number")
    };
    tab_to(&mut h, moving);
    press(&mut h, Key::Enter);
    let now = rows(&h).len();
    assert_eq!(now, before + count(moving), "{always}");
    // What is unfolded is in sight, however little it is used.
    let all = rows(&h);
    let (least, _) = all
        .iter()
        .rfind(|(_, place)| {
            label_that_begins(&h, "Always there").is_some_and(|always| place.top() < always.top())
        })
        .expect("a row");
    click(&mut h, least);
    tab_to(&mut h, least);
    assert_eq!(rows(&h).len(), now);
}

#[test]
fn whether_one_change_is_enough_is_said_of_a_point_outside() {
    let mut h = window();
    type_in(&mut h, "Output volts", "345", Key::Enter);
    type_in(&mut h, "Output current", "110mA", Key::Enter);
    click(&mut h, "About dropout");
    let since = std::time::Instant::now();
    let said = |h: &Harness<'_, App>| {
        let words = words(h).replace('\u{a0}', " ");
        words.contains("alone is enough")
            || words.contains("are each enough")
            || words.contains("None of these alone reaches 345 V.")
    };
    while !said(&h) && since.elapsed() < std::time::Duration::from_mins(1) {
        std::thread::sleep(std::time::Duration::from_millis(50));
        h.run();
    }
    assert!(said(&h), "{}", words(&h));
}
