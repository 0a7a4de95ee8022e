//! The point under pointer and keys.

use super::*;
use egui_kittest::Harness;
use egui_kittest::kittest::Queryable as _;

/// A plot whose point follows what the user does, as the window makes it.
struct Bench {
    sheet: Sheet,
    view: PlotView,
    moves: Vec<Moved>,
    clicked: Vec<usize>,
}

fn bench() -> Harness<'static, Bench> {
    let state = Bench {
        sheet: sheet(),
        view: PlotView::default(),
        moves: Vec::new(),
        clicked: Vec::new(),
    };
    Harness::builder()
        .with_size([900.0, 600.0])
        .with_step_dt(1.0 / 60.0)
        .build_ui_state(
            |ui, bench: &mut Bench| {
                if !ui.ctx().fonts(|f| f.families().contains(&strong())) {
                    return theme::install(ui.ctx());
                }
                let shown = bench.sheet.show(ui, &mut bench.view);
                bench.clicked.extend(shown.clicked_load);
                if let Some(index) = shown.clicked_load {
                    bench.sheet.selected = Some(index);
                }
                if let Some(moved) = shown.moved {
                    [bench.sheet.point.amps, bench.sheet.point.volts] = moved.to;
                    bench.sheet.selected = moved.along;
                    bench.moves.push(moved);
                }
            },
            state,
        )
}

fn strong() -> egui::FontFamily {
    theme::strong_font(1.0).family
}

fn handle_of(bench: &Harness<'_, Bench>) -> Pos2 {
    on_screen(bench, place(bench))
}

#[expect(clippy::cast_possible_truncation, reason = "a place on the screen")]
fn narrow(value: f64) -> f32 {
    value as f32
}

fn place(bench: &Harness<'_, Bench>) -> [f64; 2] {
    let point = &bench.state().sheet.point;
    [point.amps, point.volts]
}

#[test]
fn the_handle_goes_along_the_selected_load_line() {
    let mut bench = bench();
    bench.run();
    let handle = handle_of(&bench);
    bench.drag_at(handle);
    bench.step();
    bench.hover_at(handle + egui::vec2(40.0, -60.0));
    bench.step();
    bench.drop_at(handle + egui::vec2(40.0, -60.0));
    bench.run();
    let [amps, volts] = place(&bench);
    assert!(volts > 310.0, "{volts}");
    assert!((volts / amps - 10e3).abs() < 1e-6, "{amps} A, {volts} V");
    assert!(bench.state().moves.iter().all(|m| m.along == Some(0)));
}

#[test]
fn without_a_selected_load_the_handle_goes_anywhere_but_not_below_zero() {
    let mut bench = bench();
    bench.state_mut().sheet.selected = None;
    bench.run();
    let handle = handle_of(&bench);
    bench.drag_at(handle);
    bench.step();
    let there = handle + egui::vec2(100.0, -40.0);
    bench.hover_at(there);
    bench.step();
    bench.drop_at(there);
    bench.run();
    assert!(
        handle_of(&bench).distance(there) < 1.5,
        "{:?}",
        handle_of(&bench)
    );
    let corner = egui::pos2(1.0, 599.0);
    bench.drag_at(there);
    bench.step();
    bench.hover_at(corner);
    bench.step();
    bench.drop_at(corner);
    bench.run();
    let [amps, volts] = place(&bench);
    assert!(amps.abs() < 1e-12 && volts.abs() < 1e-9, "{amps} {volts}");
}

#[test]
fn pressing_a_load_line_takes_it_and_the_point_comes_to_it() {
    let mut bench = bench();
    bench.run();
    // 4.7 kΩ at 200 V, from the handle (30 mA, 300 V) and the origin of the axes.
    let picture = bench.state().sheet.loads[1].0.ohms;
    let at = on_screen(&bench, [200.0 / picture, 200.0]);
    bench.drag_at(at);
    bench.step();
    bench.drop_at(at);
    bench.run();
    assert_eq!(bench.state().clicked, vec![1]);
    let [amps, volts] = place(&bench);
    assert!((volts - 200.0).abs() <= 2.0 && (volts / amps - picture).abs() < 1e-6);
}

/// Where a place of the plane is on the screen, told from the frame that the plot itself reports.
fn on_screen(bench: &Harness<'_, Bench>, [amps, volts]: [f64; 2]) -> Pos2 {
    let frame = bench.get_by_label("Operating envelope").rect();
    let range = bench.state().sheet.with_input(range::shown_range);
    let x = egui::lerp(
        f64::from(frame.left())..=f64::from(frame.right()),
        amps / range.amps,
    );
    let y = egui::lerp(
        f64::from(frame.bottom())..=f64::from(frame.top()),
        volts / range.volts,
    );
    egui::pos2(narrow(x), narrow(y))
}

#[test]
fn a_tap_that_is_over_within_one_frame_moves_the_point() {
    let mut bench = bench();
    bench.state_mut().sheet.selected = None;
    bench.run();
    let to = [0.1, 100.0];
    let pos = on_screen(&bench, to);
    bench.event(egui::Event::PointerMoved(pos));
    bench.run();
    for pressed in [true, false] {
        bench.event(egui::Event::PointerButton {
            pos,
            button: egui::PointerButton::Primary,
            pressed,
            modifiers: egui::Modifiers::NONE,
        });
    }
    bench.run();
    let [amps, volts] = place(&bench);
    assert!(
        (amps - to[0]).abs() < 0.002 && (volts - to[1]).abs() < 5.0,
        "{amps} {volts}"
    );
}

#[test]
fn a_double_click_leaves_the_point_where_it_was() {
    let mut bench = bench();
    bench.run();
    let before = place(&bench);
    let at = bench.get_by_label("Operating envelope").rect().center() + egui::vec2(150.0, 100.0);
    for _ in 0..2 {
        bench.drag_at(at);
        bench.step();
        bench.drop_at(at);
        bench.step();
    }
    bench.run();
    assert!(!bench.state().moves.is_empty());
    let after = place(&bench);
    assert!(
        (before[0] - after[0]).abs() < 1e-12 && (before[1] - after[1]).abs() < 1e-9,
        "{after:?}"
    );
}

#[test]
fn arrows_move_the_point_and_shift_makes_them_fine() {
    let mut bench = bench();
    bench.state_mut().sheet.selected = None;
    bench.run();
    bench.get_by_label("Operating envelope").focus();
    bench.run();
    let start = place(&bench);
    bench.key_press(egui::Key::ArrowUp);
    bench.run();
    let coarse = place(&bench)[1] - start[1];
    bench.key_press_modifiers(egui::Modifiers::SHIFT, egui::Key::ArrowUp);
    bench.run();
    let fine = place(&bench)[1] - start[1] - coarse;
    assert!(coarse > 2.0 * fine && fine > 0.0, "{coarse} {fine}");
    bench.key_press(egui::Key::ArrowRight);
    bench.run();
    assert!(place(&bench)[0] > start[0]);
    assert!((place(&bench)[1] - start[1] - coarse - fine).abs() < 1e-9);
}

#[test]
fn the_plot_tells_its_name_and_the_point() {
    let mut bench = bench();
    bench.run();
    let node = bench.get_by_label("Operating envelope");
    assert_eq!(node.value().as_deref(), Some("300 V, 30 mA, inside"));
}
