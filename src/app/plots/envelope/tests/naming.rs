//! Every preset at every size of window, as it is and with ten dummy loads and four ghosts: all that is drawn is named, and no text
//! lies on another.

use super::*;
use crate::app::answers::solved::load_lines;
use crate::app::plots::geometry::{clip_polyline, segments};
use crate::bench::acceptance::taken_if_much;
use crate::bench::odds::{Band, dropout_line};
use crate::explain::{plot, samples};
use crate::parts::Dummy;
use crate::parts::catalogue::{Catalogue, presets};
use crate::parts::file::read_work;
use crate::physics::Model;
use crate::physics::envelope::envelope;
use egui::{Rect, Vec2};
use std::cell::RefCell;

/// What the plot has of windows of 1024×700, 1440×900 and 1920×1080 with all panels open.
const ROOMS: [[f32; 2]; 3] = [[456.0, 400.0], [800.0, 560.0], [1216.0, 700.0]];
/// A line shorter than this in the frame is none (points).
const SEEN: f32 = 6.0;

/// A text that was drawn, and where.
type Text = (String, Rect);

/// A supply with what is compared with it.
#[derive(Clone)]
struct Case {
    name: &'static str,
    model: Model,
    envelope: Envelope,
    point: Point,
    dummies: Vec<Dummy>,
    ghosts: Vec<Envelope>,
    band: Vec<BandAt>,
}

impl Case {
    fn of(name: &'static str, text: &str) -> Self {
        let work = read_work(text, &Catalogue::built_in()).unwrap();
        let model = Model::of(&work.supply).unwrap();
        let envelope = envelope(&model).unwrap();
        let volts = 0.8 * work.supply.output.set_high.0;
        let amps = 0.4 * envelope.reach.last().map_or(0.05, |r| r[0]);
        let point = envelope.point(&model, amps, volts).unwrap();
        Self {
            name,
            model,
            envelope,
            point,
            dummies: work.dummies,
            ghosts: Vec::new(),
            band: Vec::new(),
        }
    }

    /// With the band of its dropout line: an invented one, a twentieth either side.
    fn with_band(mut self) -> Self {
        let band = |[amps, volts]: &[f64; 2]| BandAt {
            amps: *amps,
            band: Band {
                low: 0.95 * volts,
                middle: 0.98 * volts,
                high: 1.05 * volts,
            },
        };
        self.band = dropout_line(&self.envelope).iter().map(band).collect();
        self
    }

    /// With ten dummy loads and four ghosts.
    fn crowded(mut self) -> Self {
        let end = self.envelope.reach.last().map_or(0.1, |r| r[0]);
        let middle = 0.5 * self.model.supply.output.set_high.0 / end;
        let factors = [0.4, 0.6, 0.9, 1.3, 1.8, 2.5, 4.0, 7.0, 12.0, 25.0];
        self.dummies = factors
            .map(|factor| samples::dummy((middle * factor).round(), 50.0))
            .to_vec();
        // Outlines near the present one, as those of like supplies are: working them out would take most of the test's time.
        let scales = [[1.0, 0.97], [0.95, 0.93], [1.04, 1.05], [0.9, 1.0]];
        self.ghosts = scales.map(|scale| scaled(&self.envelope, scale)).to_vec();
        self
    }

    fn with_input<T>(&self, then: impl FnOnce(&PlotInput<'_>) -> T) -> T {
        let sheet = PlotSheet::of(
            &self.model.supply,
            &self.envelope,
            &taken_if_much(&self.envelope),
            Some(&self.point),
            &self.dummies,
        );
        let lines = load_lines(&self.envelope, &self.dummies);
        let loads = sheet.loads(&lines);
        let ghosts: Vec<Ghost<'_>> = (self.ghosts.iter().zip('a'..))
            .map(|(envelope, letter)| Ghost {
                envelope,
                letter: Some(letter),
                label: "C1 10 µF",
                at_line: AtLine::Letter,
                stay: Stay::Kept,
            })
            .collect();
        let state = PlotState {
            ghosts: &ghosts,
            selected_load: Some(0),
            band: Some(ToleranceBand {
                at: &self.band,
                name: plot::TOLERANCE_BAND,
                age: Age::Fresh,
            })
            .filter(|band| !band.at.is_empty()),
            ..PlotState::default()
        };
        then(&sheet.input(&self.envelope, Some(&self.point), &loads, state))
    }
}

/// An envelope with amperes and volts so many times its own.
fn scaled(envelope: &Envelope, [amps, volts]: [f64; 2]) -> Envelope {
    let mut scaled = envelope.clone();
    for [a, low, high] in &mut scaled.region {
        *a *= amps;
        *low *= volts;
        *high *= volts;
    }
    for line in &mut scaled.limits {
        if let Curve::Ceiling(points) = &mut line.curve {
            for [a, v] in points {
                *a *= amps;
                *v *= volts;
            }
        }
    }
    scaled
}

/// Draws it, and gives the names that it wants and the texts that stand there.
fn drawn(input: &PlotInput<'_>, [width, height]: [f32; 2]) -> (Vec<String>, Vec<Text>) {
    let ctx = egui::Context::default();
    theme::install(&ctx);
    let wanted = RefCell::new(Vec::new());
    let mut texts = Vec::new();
    for frame in 0..3_u8 {
        let raw = egui::RawInput {
            screen_rect: Some(Rect::from_min_size(Pos2::ZERO, Vec2::new(width, height))),
            time: Some(f64::from(frame)),
            ..egui::RawInput::default()
        };
        let mut output = ctx.run_ui(raw, |ui| {
            let theme = Theme::of(ui.ctx());
            let room = axes::Wanted {
                range: range::shown_range(input),
                zoom: axes::Zoom::Keep,
                loads: input.loads.len(),
            };
            let axes = axes::axes_ui(ui, room, &theme);
            let mut canvas = canvas::Canvas::new(ui, &axes, theme);
            let scene = paint(&mut canvas, input);
            *wanted.borrow_mut() = names_wanted(&canvas, input, &scene);
        });
        output.textures_delta.clear();
        texts.clear();
        for shape in &output.shapes {
            take_texts(&shape.shape, &mut texts);
        }
    }
    (wanted.into_inner(), texts)
}

fn take_texts(shape: &egui::Shape, texts: &mut Vec<Text>) {
    match shape {
        egui::Shape::Vec(shapes) => shapes.iter().for_each(|one| take_texts(one, texts)),
        egui::Shape::Text(text) => {
            let area = text.galley.rect.translate(text.pos.to_vec2());
            texts.push((text.galley.text().to_owned(), area));
        }
        _ => {}
    }
}

/// What must be named: all lines that are seen.
fn names_wanted(
    canvas: &canvas::Canvas,
    input: &PlotInput<'_>,
    scene: &layers::Scene,
) -> Vec<String> {
    let is_seen = |points: &[Pos2]| {
        let pieces = clip_polyline(points, canvas.frame());
        let length = |piece: &Vec<Pos2>| segments(piece).map(|[a, b]| a.distance(b)).sum::<f32>();
        pieces.iter().map(length).sum::<f32>() >= SEEN
    };
    let name = |limit| {
        input
            .limits
            .iter()
            .find(|l| l.limit == limit)
            .unwrap()
            .name
            .clone()
    };
    let limits = scene.limits.iter().filter(|line| is_seen(&line.points));
    let published = scene.published.iter().filter(|(_, points)| is_seen(points));
    let mains = [&input.words.low_mains, &input.words.high_mains];
    let companions = scene.companions.iter().chain(&scene.floors);
    let companions = companions
        .zip(mains.into_iter().cycle())
        .filter(|(points, _)| points.as_ref().is_some_and(|points| is_seen(points)))
        .map(|(_, words)| words.clone());
    let band = (input.band.as_ref()).filter(|_| is_seen(&scene.band));
    let lost = is_seen(&scene.lost).then(|| plot::REGULATION_LOST.to_owned());
    let ghosts = (input.ghosts.iter())
        .filter(|ghost| is_seen(&names::ghost_line(canvas, ghost)))
        .filter_map(|ghost| Some(ghost.letter?.to_string()));
    let loads =
        (scene.rays.iter()).map(|ray| names::short(input.loads[ray.index].label).to_owned());
    (limits.map(|line| name(line.limit)))
        .chain(published.map(|(limit, _)| format!("{}, {}", name(*limit), input.words.by_the_book)))
        .chain(companions)
        .chain(band.map(|band| band.name.to_owned()))
        .chain(lost)
        .chain(ghosts)
        .chain(loads)
        .chain([plot::VOLTS_AXIS, axes::level_name(&canvas.transform)].map(str::to_owned))
        .collect()
}

/// What is wrong with a picture: names that are missing, texts that overlap, texts that leave the room.
fn faults(wanted: &[String], texts: &[Text], room: Rect) -> Vec<String> {
    let mut faults = Vec::new();
    let mut there: Vec<&str> = (texts.iter())
        // A load may have its watts behind its ohms.
        .map(|(text, _)| names::short(text))
        .collect();
    for name in wanted {
        match there.iter().position(|text| text == name) {
            Some(place) => {
                there.swap_remove(place);
            }
            None => faults.push(format!("no name: {name}")),
        }
    }
    // Air above and below the letters is no text.
    let letters = |area: Rect| area.shrink2(Vec2::new(0.5, 1.5));
    for (k, (text, area)) in texts.iter().enumerate() {
        if !room.contains_rect(letters(*area)) {
            faults.push(format!("outside: {text} at {area:?}"));
        }
        for (other, there) in texts.iter().skip(k + 1) {
            let both = letters(*area).intersect(letters(*there));
            if both.is_positive() {
                faults.push(format!("{text} on {other}: {both:?}"));
            }
        }
    }
    faults
}

#[test]
fn everything_drawn_is_named_and_no_text_lies_on_another_in_any_preset_at_any_size() {
    let folder = std::env::var_os("SAGLINE_SHEETS").map(std::path::PathBuf::from);
    let mut wrong = Vec::new();
    for (name, text) in presets() {
        let plain = Case::of(name, text);
        let crowded = plain.clone().crowded();
        let banded = plain.clone().with_band();
        for (crowd, case) in [
            ("plain", &plain),
            ("crowded", &crowded),
            ("with its band", &banded),
        ] {
            for room in ROOMS {
                let (wanted, texts) = case.with_input(|input| drawn(input, room));
                assert!(wanted.len() > 4, "{name}: {wanted:?}");
                let area = Rect::from_min_size(Pos2::ZERO, room.into());
                for fault in faults(&wanted, &texts, area) {
                    wrong.push(format!("{} {crowd} {room:?}: {fault}", case.name));
                }
                if let Some(folder) = &folder {
                    draw_into(
                        folder,
                        &format!("{name}-{crowd}-{}.png", room[0]),
                        case,
                        room,
                    );
                }
            }
        }
    }
    assert!(wrong.is_empty(), "{wrong:#?}");
}

#[expect(
    clippy::disallowed_methods,
    clippy::cast_possible_truncation,
    clippy::cast_sign_loss,
    reason = "scratch pictures to look at, of a size that is written above"
)]
fn draw_into(folder: &std::path::Path, file: &str, case: &Case, [width, height]: [f32; 2]) {
    let options = PictureOptions {
        width: width as u32,
        height: height as u32,
        scale: 1.0,
        theme: PictureTheme::Dark,
    };
    let mut view = PlotView::default();
    case.with_input(|input| {
        let picture = draw_without_display(options, |ui| {
            envelope_plot_ui(ui, input, &mut view);
        });
        let file = folder.join(file.replace(['/', ' '], "-"));
        std::fs::write(file, png(&picture.unwrap()).unwrap()).unwrap();
    });
}

#[test]
fn a_missing_name_an_overlap_and_a_text_outside_are_found() {
    let room = Rect::from_min_size(Pos2::ZERO, Vec2::new(200.0, 100.0));
    let at = |text: &str, x: f32, y: f32| {
        let area = Rect::from_min_size(Pos2::new(x, y), Vec2::new(40.0, 13.0));
        (text.to_owned(), area)
    };
    let wanted = ["dropout".to_owned(), "10 kΩ".to_owned()];
    let good = [at("dropout", 0.0, 0.0), at("10 kΩ · 25 W", 0.0, 20.0)];
    assert!(faults(&wanted, &good, room).is_empty());
    assert_eq!(faults(&wanted, &good[..1], room), ["no name: 10 kΩ"]);
    let twice = ["dropout".to_owned(), "dropout".to_owned()];
    assert_eq!(faults(&twice, &good, room), ["no name: dropout"]);
    let overlapping = [good[0].clone(), at("10 kΩ", 30.0, 5.0)];
    assert_eq!(faults(&wanted, &overlapping, room).len(), 1);
    let outside = [good[0].clone(), at("10 kΩ", 180.0, 50.0)];
    assert_eq!(faults(&wanted, &outside, room).len(), 1);
}
