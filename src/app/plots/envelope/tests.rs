//! The plot under a pointer and under keys, on an invented envelope; and sheets to look at.

mod hand;
mod naming;

use super::*;
use crate::app::export::picture::{PictureOptions, PictureTheme, draw_without_display, png};
use crate::app::theme;
use crate::bench::load_line::{End, Stretch};
use crate::parts::RatingSystem;
use crate::physics::envelope::{Column, Curve, LimitCurve};
use crate::physics::limit::{Judged, Measure, Use};
use crate::physics::needs::Needs;
use crate::physics::operation::{Bus, Case, NoLoad, Operation};
use egui::Pos2;

/// Everything that a `PlotInput` borrows.
struct Sheet {
    envelope: Envelope,
    point: Point,
    loads: Vec<(LoadLine, String)>,
    selected: Option<usize>,
    labels: Vec<LimitLabel>,
    zone: Option<StressZone>,
    ghosts: Vec<(Envelope, String)>,
    readings: Vec<Cross>,
    age: Age,
    words: PlotWords,
}

impl Sheet {
    fn show(&self, ui: &mut Ui, view: &mut PlotView) -> PlotResponse {
        self.with_input(|input| envelope_plot_ui(ui, input, view))
    }

    fn with_input<T>(&self, then: impl FnOnce(&PlotInput<'_>) -> T) -> T {
        let loads: Vec<PlotLoad<'_>> = self
            .loads
            .iter()
            .map(|(line, label)| PlotLoad { line, label })
            .collect();
        let ghosts: Vec<Ghost<'_>> = self
            .ghosts
            .iter()
            .map(|(envelope, label)| Ghost {
                envelope,
                letter: Some('a'),
                label,
                at_line: AtLine::Letter,
                stay: Stay::Kept,
            })
            .collect();
        then(&PlotInput {
            envelope: &self.envelope,
            point: Some(&self.point),
            loads: &loads,
            selected_load: self.selected,
            limits: &self.labels,
            zone: self.zone.as_ref(),
            ghosts: &ghosts,
            readings: &self.readings,
            mains_lines: MainsLines::Shown,
            map: None,
            band: None,
            age: self.age,
            words: &self.words,
        })
    }
}

fn operation(amps: f64, mains: f64, bus0: f64, ohms: f64) -> Operation {
    let mean = bus0 * mains - ohms * amps - 250.0 * amps.sqrt() * 0.25;
    Operation {
        output_amps: amps,
        bus: Bus {
            mean_volts: mean,
            trough_volts: mean - 80.0 * amps,
            crest_volts: mean + 80.0 * amps,
            ripple_rms_volts: 20.0 * amps,
        },
        ..Operation::default()
    }
}

/// An invented supply with `bus0` volts that can give `end` amperes.
fn invented(bus0: f64, end: f64, walls: &[(Limit, f64)]) -> Envelope {
    let amps: Vec<f64> = (0..=60).map(|k| end * 1.4 * f64::from(k) / 60.0).collect();
    let scale = 0.15 / end;
    let column = |case, volts, mains: f64| Column {
        case,
        mains_volts: volts,
        operations: amps
            .iter()
            .map(|&a| operation(a * scale, mains, bus0, 600.0))
            .map(|mut o| {
                o.output_amps /= scale;
                o
            })
            .collect(),
        tail: Vec::new(),
        no_load: NoLoad {
            operation: operation(0.0, mains, bus0, 600.0),
            ..NoLoad::default()
        },
        starts: Vec::new(),
    };
    let columns = vec![
        column(Case::Low, 114.0, 0.95),
        column(Case::Present, 120.0, 1.0),
        column(Case::High, 126.0, 1.05),
    ];
    let dropout_volts = |o: &Operation| o.bus.trough_volts - 10.0 - 300.0 * scale * o.output_amps;
    let dropout = |k: usize| {
        Curve::Ceiling(
            columns[k]
                .operations
                .iter()
                .map(|o| [o.output_amps, dropout_volts(o)])
                .collect(),
        )
    };
    let set_high = bus0 * 0.7;
    let watts = bus0 * end * 0.45;
    let floor: Vec<[f64; 2]> = columns[1]
        .operations
        .iter()
        .skip(1)
        .map(|o| [o.output_amps, o.bus.mean_volts - watts / o.output_amps])
        .filter(|p| p[1] >= 0.0)
        .collect();
    let line = |limit: Limit, curve: Curve| LimitCurve {
        limit,
        system: limit.is_rating().then_some(RatingSystem::DesignCentre),
        case: Case::Present,
        at_low_present_high: [curve.clone(), curve.clone(), curve.clone()],
        published: None,
        curve,
    };
    let mut limits = vec![
        LimitCurve {
            at_low_present_high: [dropout(0), dropout(1), dropout(2)],
            published: None,
            ..line(Limit::Dropout, dropout(1))
        },
        line(
            Limit::SetRangeHigh,
            Curve::Ceiling(amps.iter().map(|&a| [a, set_high]).collect()),
        ),
        line(Limit::PlateDissipation, Curve::Floor(floor.clone())),
        line(Limit::PlateVolts, Curve::OutOfReach),
        line(Limit::CapacitorRipple(0), Curve::NotKnown(Needs::Rating)),
        line(Limit::EnvelopeDissipation, Curve::NotKnown(Needs::Rating)),
    ];
    limits.extend(
        walls
            .iter()
            .map(|&(limit, amps)| line(limit, Curve::Wall(amps))),
    );
    let wall = walls.iter().map(|w| w.1).fold(f64::INFINITY, f64::min);
    let region = columns[1]
        .operations
        .iter()
        .filter(|o| o.output_amps <= wall)
        .map(|o| {
            let low = floor
                .iter()
                .find(|p| (p[0] - o.output_amps).abs() < 1e-9)
                .map_or(0.0, |p| p[1]);
            [o.output_amps, low, set_high.min(dropout_volts(o))]
        });
    let mut region: Vec<[f64; 3]> = region.filter(|r| r[1] < r[2]).collect();
    if let (Some(last), true) = (region.last().copied(), wall.is_finite()) {
        region.push([wall, last[1], last[2]]);
    }
    Envelope {
        region,
        amps,
        columns,
        limits,
        reach: Vec::new(),
        lost_regulation: Vec::new(),
        broken_everywhere: Vec::new(),
        kept: None,
    }
}

fn used(limit: Limit, ratio: f64) -> Use {
    let judged = Judged {
        ratio,
        actual: ratio,
        allowed: 1.0,
        measure: Measure::Watts,
        case: Case::Present,
        mains_volts: 120.0,
        actual_now: None,
        at_low_present_high: [ratio; 3],
    };
    Use {
        limit,
        system: None,
        confidence: None,
        published: None,
        judged: Ok(judged),
    }
}

fn load(ohms: f64, to_volts: f64, own_volts: f64, label: &str) -> (LoadLine, String) {
    let on = |v: f64| [v / ohms, v];
    let end = to_volts.min(own_volts);
    let stretch = |to| {
        vec![Stretch {
            from: [0.0, 0.0],
            from_end: End::Origin,
            to: on(to),
            to_end: End::OwnPower,
        }]
    };
    let line = LoadLine {
        reach: Vec::new(),
        ohms,
        between_ohms: [ohms, ohms],
        stretches: stretch(end),
        supply_stretches: stretch(to_volts),
        own_end: Some((on(own_volts), End::OwnPower)),
        broken_everywhere: Vec::new(),
    };
    (line, label.to_owned())
}

fn name(limit: Limit) -> (&'static str, &'static str) {
    match limit {
        Limit::Dropout => ("dropout", ""),
        Limit::SetRangeHigh => ("output range 350 V", ""),
        Limit::PlateDissipation => ("plate dissipation", "13 W, worst section"),
        Limit::EnvelopeDissipation => ("envelope dissipation", ""),
        Limit::PlateCurrent => ("plate current", "125 mA, worst section"),
        Limit::RectifierDc => ("rectifier output current 225 mA", ""),
        Limit::RectifierPeak => ("rectifier peak", "1 A a plate"),
        Limit::WindingRms => ("winding rms", "183 mA"),
        Limit::ChokeCurrent(_) => ("choke L1", "150 mA"),
        Limit::CapacitorRipple(_) => ("ripple current C1", ""),
        _ => ("other", ""),
    }
}

fn sheet() -> Sheet {
    let envelope = invented(
        510.0,
        0.15,
        &[
            (Limit::WindingRms, 0.15),
            (Limit::RectifierDc, 0.171),
            (Limit::PlateCurrent, 0.25),
        ],
    );
    with_labels(Sheet {
        point: Point {
            amps: 0.03,
            volts: 300.0,
            operation: Some(operation(0.03, 1.0, 510.0, 600.0)),
            uses: vec![used(Limit::SetRangeHigh, 0.86)],
        },
        loads: vec![
            load(10e3, 350.0, 500.0, "10 kΩ · 25 W"),
            load(4.7e3, 350.0, 485.0, "4.7 kΩ · 50 W"),
            load(2.2e3, 330.0, 148.0, "2.2 kΩ · 10 W"),
        ],
        selected: Some(0),
        labels: Vec::new(),
        zone: Some(StressZone {
            near_volts: 540.0,
            over_volts: 600.0,
            bus_volts: 556.0,
            near_words: "filter stress zone, 90–100 % of 600 V".to_owned(),
            over_words: "filter over its rating".to_owned(),
            bus_words: "556 V bus, no load, 126 V mains".to_owned(),
        }),
        ghosts: Vec::new(),
        readings: vec![
            Cross {
                at: [0.0148, 150.0],
                error: [0.001, 4.0],
                label: String::new(),
            },
            Cross {
                at: [0.0201, 203.0],
                error: [0.001, 4.0],
                label: String::new(),
            },
        ],
        age: Age::Fresh,
        words: PlotWords {
            name: "Operating envelope".to_owned(),
            value: "300 V, 30 mA, inside".to_owned(),
            point_volts: "300 V".to_owned(),
            point_amps: "30 mA".to_owned(),
            low_mains: "114 V".to_owned(),
            high_mains: "126 V".to_owned(),
            nothing_allowed: String::new(),
            over_a_rating: Default::default(),
            by_the_book: String::new(),
            not_known: "not known".to_owned(),
            older: "From before the error".to_owned(),
        },
        envelope,
    })
}

fn with_labels(mut sheet: Sheet) -> Sheet {
    sheet.labels = sheet
        .envelope
        .limits
        .iter()
        .map(|l| {
            let (name, detail) = name(l.limit);
            LimitLabel {
                limit: l.limit,
                name: name.to_owned(),
                detail: detail.to_owned(),
            }
        })
        .collect();
    sheet
}

fn hard_sheets() -> Vec<(&'static str, Sheet)> {
    let mut walls = sheet();
    walls.envelope = invented(
        510.0,
        0.15,
        &[
            (Limit::WindingRms, 0.15),
            (Limit::RectifierDc, 0.152),
            (Limit::PlateCurrent, 0.154),
            (Limit::RectifierPeak, 0.157),
            (Limit::ChokeCurrent(0), 0.16),
            (Limit::CapacitorRipple(1), 0.149),
        ],
    );
    walls.point.uses = vec![used(Limit::WindingRms, 0.95)];
    let mut ten = sheet();
    ten.loads = [1.0, 1.5, 2.2, 3.3, 4.7, 6.8, 10.0, 15.0, 22.0, 47.0]
        .iter()
        .map(|k| {
            load(
                k * 1e3,
                350.0_f64.min(150.0 * k),
                400.0,
                &format!("{k} kΩ · 25 W"),
            )
        })
        .collect();
    ten.selected = Some(4);
    let mut small = sheet();
    small.envelope = invented(280.0, 0.04, &[(Limit::PlateCurrent, 0.04)]);
    small.point = Point {
        amps: 0.02,
        volts: 170.0,
        ..small.point
    };
    small.loads = vec![load(8.2e3, 190.0, 300.0, "8.2 kΩ · 10 W")];
    small.readings.clear();
    small.zone = Some(StressZone {
        near_volts: 405.0,
        over_volts: 450.0,
        bus_volts: 294.0,
        bus_words: "294 V bus, no load, 126 V mains".to_owned(),
        near_words: "filter stress zone, 90–100 % of 450 V".to_owned(),
        ..small.zone.unwrap()
    });
    let mut empty = sheet();
    empty.envelope.region.clear();
    empty.words.nothing_allowed = "Over before anything is connected: C1 volts".to_owned();
    empty.point.uses = vec![used(Limit::CapacitorVolts(0), 1.08)];
    let mut bare = sheet();
    bare.envelope
        .limits
        .iter_mut()
        .for_each(|l| l.curve = Curve::NotKnown(Needs::Regulator));
    bare.zone = None;
    bare.loads.clear();
    bare.age = Age::Older;
    let mut over = sheet();
    over.point = Point {
        amps: 0.16,
        volts: 100.0,
        operation: over.point.operation,
        uses: vec![used(Limit::PlateDissipation, 1.4)],
    };
    over.selected = None;
    over.ghosts = vec![(
        invented(470.0, 0.14, &[(Limit::WindingRms, 0.14)]),
        "C1 2 × 47 µF".to_owned(),
    )];
    let (walls, ten, small, empty, bare, over) = (
        with_labels(walls),
        with_labels(ten),
        with_labels(small),
        with_labels(empty),
        with_labels(bare),
        with_labels(over),
    );
    vec![
        ("plain", sheet()),
        ("walls", walls),
        ("ten", ten),
        ("small", small),
        ("empty", empty),
        ("bare", bare),
        ("over", over),
    ]
}

/// Writes all sheets as pictures into the folder named by `SAGLINE_SHEETS`, if it is set.
#[test]
fn every_sheet_can_be_drawn_at_every_size() {
    let folder = std::env::var_os("SAGLINE_SHEETS").map(std::path::PathBuf::from);
    for (name, sheet) in hard_sheets() {
        for (width, height, scale) in [
            (640, 420, 1.0),
            (420, 300, 1.0),
            (1400, 900, 1.0),
            (700, 480, 2.0),
        ] {
            if name != "plain" && width != 640 {
                continue;
            }
            for theme in [PictureTheme::Dark, PictureTheme::Light] {
                if name != "plain" && theme == PictureTheme::Light && folder.is_none() {
                    continue;
                }
                let options = PictureOptions {
                    width,
                    height,
                    scale,
                    theme,
                };
                let mut view = PlotView::default();
                let picture = draw_without_display(options, |ui| {
                    sheet.show(ui, &mut view);
                })
                .unwrap();
                if let Some(folder) = &folder {
                    let file = format!("{name}-{width}-{scale}-{theme:?}.png");
                    #[expect(clippy::disallowed_methods, reason = "scratch pictures to look at")]
                    std::fs::write(folder.join(file), png(&picture).unwrap()).unwrap();
                }
            }
        }
    }
}

#[test]
fn the_axes_show_a_kept_ghost_whole_and_stand_still_for_a_passing_one() {
    let sheet = sheet();
    let larger = invented(470.0, 0.31, &[(Limit::WindingRms, 0.31)]);
    let before = sheet.with_input(range::shown_range);
    let with = |stay| {
        sheet.with_input(|input| {
            let ghosts = [Ghost {
                envelope: &larger,
                letter: None,
                label: "larger",
                at_line: AtLine::Name,
                stay,
            }];
            let input = PlotInput {
                ghosts: &ghosts,
                ..*input
            };
            range::shown_range(&input)
        })
    };
    assert!(before.amps < 0.31 && with(Stay::Kept).amps > 0.31);
    assert_eq!(with(Stay::Passing), before);
}
