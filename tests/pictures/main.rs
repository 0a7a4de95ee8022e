//! Pictures of the plot, compared with the ones kept beside this file (the README's is kept in `assets`).
//!
//! They are drawn by the program's own picture code: no display, no graphics library, the same bytes on every run.
//! To accept new ones: `UPDATE_SNAPSHOTS=1 cargo test --test pictures`, then look at them.

mod renderer;

use egui_kittest::SnapshotOptions;
use sagline::app::App;
use sagline::app::export::picture::{PictureOptions, PictureTheme, PictureWords, Subject, picture};
use sagline::app::settings::Folders;
use sagline::parts::Work;
use sagline::parts::catalogue::{Catalogue, presets};
use sagline::parts::file;
use sagline::physics::Model;
use sagline::physics::envelope::envelope;

/// A supply of `presets/`, by its file name.
fn preset(name: &str) -> Work {
    let (_, text) = presets()
        .iter()
        .find(|(file, _)| file.contains(name))
        .unwrap_or_else(|| panic!("no preset {name}"));
    file::read_work(text, &Catalogue::built_in()).unwrap_or_else(|e| panic!("{name}: {e}"))
}

/// A preset with a point on its first dummy load (if it has one), at a share of the highest volts that are set.
fn draw(work: &Work, share: f64, options: PictureOptions) -> image::RgbaImage {
    let supply = &work.supply;
    let model = Model::of(supply).unwrap_or_else(|e| panic!("presets can be computed: {e:?}"));
    let envelope = envelope(&model).unwrap_or_else(|e| panic!("presets have an envelope: {e:?}"));
    let volts = share * supply.output.set_high.0;
    let amps = work
        .dummies
        .first()
        .map_or(0.02, |d| volts / d.resistance.0);
    let point = envelope
        .point(&model, amps, volts)
        .unwrap_or_else(|e| panic!("the point can be judged: {e:?}"));
    let subject = Subject {
        band: None,
        switching: None,
        name: &work.name,
        model: &model,
        dummies: &work.dummies,
        envelope: &envelope,
        point: Some(&point),
        selected_load: (!work.dummies.is_empty()).then_some(0),
        against: &[],
        words: PictureWords::default(),
    };
    picture(subject, options).unwrap_or_else(|e| panic!("the picture can be drawn: {e}"))
}

fn check(image: &image::RgbaImage, folder: &str, name: &str) {
    // A few hundred pixels are a last digit in a label; a line that moved is more.
    let options = SnapshotOptions::new()
        .output_path(folder)
        .max_failed_pixels(300);
    egui_kittest::image_snapshot_options(image, name, &options);
}

/// Small: enough to see that nothing has moved.
const SMALL: PictureOptions = PictureOptions {
    width: 560,
    height: 380,
    scale: 1.0,
    theme: PictureTheme::Dark,
};

#[test]
fn the_readme_picture_is_the_one_that_the_program_draws() {
    let options = PictureOptions {
        width: 960,
        height: 640,
        theme: PictureTheme::Light,
        ..SMALL
    };
    check(
        &draw(&preset("school-laboratory"), 0.7, options),
        "assets",
        "envelope",
    );
}

#[test]
fn a_bridge_of_silicon_on_paper_white() {
    let options = PictureOptions {
        theme: PictureTheme::Light,
        ..SMALL
    };
    check(
        &draw(&preset("silicon-bridge"), 0.8, options),
        "tests/pictures",
        "silicon-bridge-light",
    );
}

#[test]
fn a_small_supply() {
    check(
        &draw(&preset("small-fixed-range"), 0.9, SMALL),
        "tests/pictures",
        "small-fixed-range-dark",
    );
}

#[test]
fn a_choke_input_with_more_than_it_can_give() {
    check(
        &draw(&preset("choke-input"), 1.3, SMALL),
        "tests/pictures",
        "choke-input-dark",
    );
}

/// Writes every preset at every size into the folder named by `SAGLINE_SHEETS`; without it, draws a small one of each.
#[test]
fn every_preset_can_be_drawn() {
    let folder = std::env::var_os("SAGLINE_SHEETS").map(std::path::PathBuf::from);
    for (file, _) in presets() {
        let work = preset(file);
        for theme in [PictureTheme::Dark, PictureTheme::Light] {
            for (width, height, scale) in [(640, 440, 1.0), (1000, 700, 1.0), (1400, 900, 1.0)] {
                if folder.is_none() && width > 640 {
                    continue;
                }
                let options = PictureOptions {
                    width,
                    height,
                    scale,
                    theme,
                };
                let image = draw(&work, 0.8, options);
                if let Some(folder) = &folder {
                    let name = format!("{}-{width}-{theme:?}.png", file.replace(['/', '.'], "-"));
                    image
                        .save(folder.join(name))
                        .unwrap_or_else(|e| panic!("the folder can be written: {e}"));
                }
            }
        }
    }
}

/// The window of this size and theme on the demo supply, drawn without a display.
fn window(size: [f32; 2], theme: egui::Theme) -> egui_kittest::Harness<'static, App> {
    let mut harness = egui_kittest::Harness::builder()
        .with_size(size)
        .with_theme(theme)
        .renderer(renderer::PlainRenderer::default())
        .build_eframe(|cc| {
            let app = App::open(None, Folders::default()).unwrap_or_else(|e| panic!("{e}"));
            app.dress(&cc.egui_ctx);
            cc.egui_ctx.set_theme(theme);
            app
        });
    harness.run_steps(4);
    harness
}

/// Draws the window; written under this name where `SAGLINE_SHEETS` says, to look at.
fn sheet(harness: &mut egui_kittest::Harness<'_, App>, name: &str) {
    let image = harness.render().unwrap_or_else(|e| panic!("{e}"));
    if let Some(folder) = std::env::var_os("SAGLINE_SHEETS").map(std::path::PathBuf::from) {
        image
            .save(folder.join(name))
            .unwrap_or_else(|e| panic!("the folder can be written: {e}"));
    }
}

/// The whole window, drawn by the same code; written where `SAGLINE_SHEETS` says, to look at.
#[test]
fn the_window_can_be_drawn() {
    for (width, height) in [(1024.0, 700.0), (1440.0, 900.0)] {
        for theme in [egui::Theme::Dark, egui::Theme::Light] {
            let mut harness = window([width, height], theme);
            sheet(&mut harness, &format!("window-{width}-{theme:?}.png"));
        }
    }
}

/// The pages of the dock; written where `SAGLINE_SHEETS` says, to look at.
#[test]
fn the_views_can_be_drawn() {
    use egui_kittest::kittest::Queryable as _;
    for (width, height) in [(1024.0, 700.0), (1920.0, 1080.0)] {
        for theme in [egui::Theme::Dark, egui::Theme::Light] {
            if std::env::var_os("SAGLINE_SHEETS").is_none() && width > 1024.0 {
                continue;
            }
            let mut harness = window([width, height], theme);
            harness.get_by_label("Understood").click();
            harness.run_steps(2);
            for (page, view) in [("In time", "cycle"), ("Workings", "energy")] {
                harness.get_by_role_and_label(egui::Role::Tab, page).click();
                harness.run_steps(4);
                sheet(&mut harness, &format!("{view}-{width}-{theme:?}.png"));
            }
            harness.get_by_label("Fold the dock").click();
            harness.run_steps(3);
            harness.get_by_label("Shade by margin").click();
            harness.run_steps(4);
            sheet(&mut harness, &format!("margin-{width}-{theme:?}.png"));
        }
    }
}

/// Tour, glossary and the question for a picture over the window; written where `SAGLINE_SHEETS` says, to look at.
#[test]
fn help_and_export_can_be_drawn() {
    use egui_kittest::kittest::Queryable as _;
    for (size, theme) in [
        ([1024.0, 700.0], egui::Theme::Dark),
        ([1920.0, 1080.0], egui::Theme::Light),
    ] {
        let mut harness = window(size, theme);
        harness.get_by_label("Understood").click();
        harness.run_steps(2);
        harness.get_by_label("Start the tour").click();
        harness.run_steps(2);
        harness.key_press(egui::Key::F1);
        harness.run_steps(4);
        sheet(&mut harness, &format!("guide-{}.png", size[0]));
        harness.key_press(egui::Key::F1);
        harness.run_steps(2);
        harness.key_press_modifiers(egui::Modifiers::COMMAND, egui::Key::E);
        harness.run_steps(4);
        sheet(&mut harness, &format!("export-{}.png", size[0]));
    }
}

/// The page for a new supply, empty and with a fault, and the marks in a card; written where `SAGLINE_SHEETS` says, to look at.
#[test]
fn the_page_for_a_new_supply_can_be_drawn() {
    use egui_kittest::kittest::Queryable as _;
    for (size, theme) in [
        ([1024.0, 700.0], egui::Theme::Dark),
        ([1440.0, 900.0], egui::Theme::Light),
    ] {
        let mut harness = window(size, theme);
        harness.get_by_label("Understood").click();
        harness.run_steps(2);
        sheet(&mut harness, &format!("new-offer-{}.png", size[0]));
        harness.key_press_modifiers(egui::Modifiers::COMMAND, egui::Key::N);
        harness.run_steps(6);
        sheet(&mut harness, &format!("new-empty-{}.png", size[0]));
        let field =
            harness.get_by_role_and_label(egui::Role::TextInput, "High-voltage winding: volts");
        field.focus();
        harness.run_steps(2);
        harness.event(egui::Event::Text("350-300".to_owned()));
        harness.run_steps(3);
        sheet(&mut harness, &format!("new-wrong-{}.png", size[0]));
        harness.get_by_label("Clear the page").click();
        harness.run_steps(3);
        harness.get_by_label("Make the supply").click();
        harness.run_steps(4);
        harness
            .get_by_role_and_label(egui::Role::Button, "Transformer")
            .click();
        harness.run_steps(4);
        sheet(&mut harness, &format!("new-made-{}.png", size[0]));
    }
}
