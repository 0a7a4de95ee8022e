//! One frame: what is drawn, in which order, and when commands are carried out in between.

use std::borrow::Cow;

use egui::{CentralPanel, Frame, Margin, Panel, Rect, Ui};

use crate::app::answers::Standing;
use crate::app::answers::ghosts::{Variants, selected};
use crate::app::answers::how_sure::HowSure;
use crate::app::panels::shown::Commands;
use crate::app::panels::{
    caution, changes, layers, notices as notices_panel, pointed, signal_path, this_point, top_bar,
};
use crate::app::plots::envelope::{
    Age, AtLine, Cross, Ghost, MainsLines, PlotSheet, PlotState, Stay, ToleranceBand,
    envelope_plot_ui,
};
use crate::app::theme::{self, Theme};
use crate::app::widgets::landmark::Landmark;
use crate::app::window::App;
use crate::app::window::panes::Pane;
use crate::app::work::command::Command;
use crate::app::work::view::{Scene, Trying, View};
use crate::bench::diagnosis::errors::place_of;
use crate::explain::change::IN_BETWEEN;
use crate::explain::plot::{CALCULATING, TOLERANCE_BAND, TOLERANCE_BAND_BEFORE};
use crate::parts::Supply;
use crate::parts::escape::escaped;
use crate::physics::envelope::Point;

/// Why a pass is thrown away.
const CHANGED: &str = "the document changed";

impl eframe::App for App {
    fn logic(&mut self, ctx: &egui::Context, _frame: &mut eframe::Frame) {
        self.collect_dialog(ctx);
        self.take_dropped(ctx);
        self.guard_close(ctx);
        self.keep_recovery(ctx);
        self.calculation.how_sure.take_in();
        self.keep_drafts(ctx);
        let title = match self.ledger.document().work.name.trim() {
            "" => "Sagline".to_owned(),
            name => format!("{} – Sagline", escaped(name)),
        };
        if self.state.title != title {
            ctx.send_viewport_cmd(egui::ViewportCommand::Title(title.clone()));
            self.state.title = title;
        }
    }

    fn ui(&mut self, ui: &mut Ui, _frame: &mut eframe::Frame) {
        let ctx = ui.ctx().clone();
        let colours = Theme::of(&ctx);
        let keys = self.keys(&ctx);
        let mut changed = self.carry_out(keys, &ctx);

        let side = |margin: Margin| Frame::new().fill(colours.panel).inner_margin(margin);
        let mut commands = Commands::new();
        let shown = self.shown(&ctx);
        let bar = Panel::top("bar")
            .exact_size(top_bar::HEIGHT)
            .frame(side(Margin::symmetric(theme::MARGIN, 0)))
            .show(ui, |ui| top_bar::top_bar_ui(ui, shown, &mut commands));
        self.state.panes.stands(Pane::Bar, bar.response.rect);
        commands.extend(self.tour_ui(ui));
        let share = 0.215 * ui.available_width();
        let wide = |least, most| share.clamp(least, most);
        let path = fixed(Panel::left("signal path"), wide(282.0, 352.0))
            .frame(side(Margin {
                left: theme::MARGIN,
                right: 8,
                top: 12,
                bottom: 0,
            }))
            .show(ui, |ui| {
                self.glossary_ui(ui);
                signal_path::signal_path_ui(ui, self.shown(&ctx), &mut commands);
            });
        self.state.panes.stands(Pane::Path, path.response.rect);
        changed |= self.carry_out(commands, &ctx);
        let mut commands = Commands::new();
        let shown = self.shown(&ctx);
        let point = fixed(Panel::right("this point"), wide(254.0, 340.0))
            .frame(side(Margin {
                left: theme::MARGIN,
                right: 12,
                top: 12,
                bottom: 8,
            }))
            .show(ui, |ui| {
                caution::caution_ui(ui, shown);
                if selected(shown.view).is_some() {
                    changes::changes_ui(ui, shown, &mut commands);
                } else {
                    this_point::this_point_ui(ui, shown, &mut commands);
                }
            });
        self.state.panes.stands(Pane::Point, point.response.rect);
        Landmark::ThisPoint.stands_at(&ctx, point.response.rect);
        let middle = ui.available_rect_before_wrap();
        self.dock_ui(ui, &mut commands);
        changed |= self.carry_out(commands, &ctx);
        if changed {
            ctx.request_discard(CHANGED);
        }

        let mut commands = Commands::new();
        let mut plot = ui.available_rect_before_wrap();
        self.state.panes.stands(Pane::Plot, plot);
        CentralPanel::default()
            .frame(Frame::new().fill(colours.ground).inner_margin(Margin {
                left: 8,
                right: 8,
                top: 2,
                bottom: 8,
            }))
            .show(ui, |ui| {
                layers::layers_ui(ui, self.shown(&ctx), &mut commands);
                self.plot_ui(ui, &mut commands);
            });
        plot.max.y -= self.sheet_ui(&ctx, plot, &mut commands);
        let dock = middle.with_min_y(plot.bottom());
        self.state.panes.stands(Pane::Dock, dock);
        Landmark::Dock.stands_at(&ctx, dock);
        self.notices_ui(&ctx, plot, &mut commands);
        changed |= self.carry_out(commands, &ctx);

        self.work_beside(&ctx);
        if ctx.input(|input| !input.raw.hovered_files.is_empty()) {
            notices_panel::drop_hint_ui(&ctx);
        }
        self.shortcuts_ui(&ctx);
        let tubes = self.tubes_ui(&ctx);
        changed |= self.carry_out(tubes, &ctx);
        self.point_out(&ctx);
        self.questions(&ctx);
        self.state.panes.note(&ctx);
        if !ctx.input(|input| input.pointer.any_down()) {
            self.ledger.let_go();
        }
        if changed {
            // Panels drawn before a command show what was before it: draw once more, in this same frame.
            ctx.request_discard(CHANGED);
            if !ctx.will_discard() {
                ctx.request_repaint();
            }
        }
    }

    fn on_exit(&mut self, _gl: Option<&eframe::glow::Context>) {
        if self.state.dock_drawn_to.is_some() {
            self.keep_settings();
        }
        self.leave_drafts();
        self.leave_recovery();
    }

    fn persist_egui_memory(&self) -> bool {
        false
    }
}

impl App {
    /// Has worked out what the picture does not wait for.
    fn work_beside(&mut self, ctx: &egui::Context) {
        // A point that moves is asked about when it stands still.
        if self.ledger.view().about.is_some() && !ctx.input(|input| input.pointer.any_down()) {
            self.calculation
                .seek_moves(&self.answers, &self.catalogue, ctx);
        }
        self.seek_networks(ctx);
        self.calculation.seek_how_sure(
            &self.answers,
            self.ledger.document(),
            self.ledger.view(),
            ctx,
        );
        let view = self.ledger.view();
        let looks_at_bench = matches!(view.scene(), Scene::Plan | Scene::Readings)
            || (view.layers.readings && !self.work().bench.sets.is_empty());
        if looks_at_bench && self.answers.standing == Standing::Now {
            let set = (!self.work().bench.sets.is_empty()).then_some(view.set);
            self.calculation
                .seek_bench(self.ledger.document(), set, ctx);
        }
        self.calculation.seek_surges(
            &self.answers,
            self.ledger.document(),
            self.ledger.view(),
            ctx,
        );
        if let Some(report) = self.calculation.take_report() {
            self.tell_report(report);
            ctx.request_repaint();
        }
        let considered = self.calculation.consider_one(
            &mut self.answers,
            self.ledger.document(),
            self.ledger.view(),
            ctx,
        );
        if considered {
            // One entry of an open list a frame: the window stays quick while the list fills.
            ctx.request_repaint();
        }
    }

    fn plot_ui(&mut self, ui: &mut Ui, commands: &mut Commands) {
        let Some(picture) = &self.answers.picture else {
            ui.centered_and_justified(|ui| {
                ui.weak(match self.answers.standing {
                    Standing::SupplyBefore => CALCULATING,
                    _ => "No picture yet: the notice says what is missing.",
                })
            });
            return;
        };
        let at = self.ledger.view().point;
        let standing = self.answers.standing;
        let is_before = matches!(standing, Standing::SupplyBefore | Standing::PointBefore);
        // The handle stays under the hand; only what is known about it comes later.
        let moved = (picture.point.as_ref()).map(|point| {
            if is_before {
                Cow::Owned(Point {
                    amps: at[0],
                    volts: at[1],
                    ..point.clone()
                })
            } else {
                Cow::Borrowed(point)
            }
        });
        let point = moved.as_deref();
        let mut sheet = PlotSheet::of(
            &picture.supply,
            &picture.envelope,
            &picture.taken,
            point,
            &picture.dummies,
        );
        if is_before {
            sheet = sheet.with_point_to_come(at);
        }
        if standing == Standing::SupplyBefore {
            sheet = sheet.of_supply_before();
        }
        let loads = sheet.loads(&picture.load_lines);
        let crosses = self.crosses();
        let outlines = outlines(&self.answers.variants, self.ledger.view());
        let state = PlotState {
            ghosts: &outlines,
            readings: &crosses,
            selected_load: self.ledger.view().dummy.filter(|d| *d < loads.len()),
            age: if self.answers.is_older() {
                Age::Older
            } else {
                Age::Fresh
            },
            mains_lines: if self.ledger.view().layers.mains {
                MainsLines::Shown
            } else {
                MainsLines::LeftOut
            },
            map: (picture.map.as_ref()).filter(|_| self.ledger.view().layers.margins),
            band: band(&self.calculation.how_sure, self.ledger.view()),
        };
        let input = sheet.input(&picture.envelope, point, &loads, state);
        let answer = envelope_plot_ui(ui, &input, &mut self.state.plot);
        if std::mem::take(&mut self.state.focus_plot) {
            answer.response.request_focus();
        }
        let dropping = ui.input(|input| !input.raw.hovered_files.is_empty());
        let rests_at = answer
            .rests_at
            .filter(|_| !self.answers.is_older() && !dropping);
        if rests_at != self.ledger.view().pointed {
            commands.push(Command::PointAt(rests_at));
        } else if let (Some([amps, volts]), Some(pointed)) = (rests_at, &self.answers.pointed)
            && pointed.amps.to_bits() == amps.max(0.0).to_bits()
            && pointed.volts.to_bits() == volts.to_bits()
        {
            pointed::pointed_ui(ui, answer.free_line, pointed, &picture.supply);
        }
        if let Some(load) = answer.clicked_load {
            commands.push(Command::SelectDummy(Some(load)));
        }
        if let Some(moved) = answer.moved {
            commands.push(Command::MovePoint(moved.to));
            if moved.along.is_some() {
                commands.push(Command::SelectDummy(moved.along));
            }
        }
    }
}

impl App {
    /// The readings of the set that is looked at, as crosses in the plane.
    fn crosses(&self) -> Vec<Cross> {
        let view = self.ledger.view();
        let bench = &self.work().bench;
        let set = bench.sets.get(view.set).filter(|_| view.layers.readings);
        let all = set.into_iter().flat_map(|set| &set.readings);
        all.filter_map(|one| {
            let at = place_of(bench, one)?;
            Some(Cross {
                at: at.map(|(value, _)| value),
                error: at.map(|(_, error)| error),
                label: String::new(),
            })
        })
        .collect()
    }

    /// The notices, over the lower edge of what is to be seen of the plot.
    fn notices_ui(&self, ctx: &egui::Context, plot: Rect, commands: &mut Commands) {
        let shown = self.shown(ctx);
        if !notices_panel::has_any(shown, &self.notices) {
            return;
        }
        let width = (plot.width() - 2.0 * theme::GAP).max(0.0);
        egui::Area::new(egui::Id::unique("notices"))
            .order(egui::Order::Middle)
            .pivot(egui::Align2::LEFT_BOTTOM)
            .fixed_pos(plot.left_bottom() + egui::vec2(theme::GAP, -theme::GAP))
            .constrain(false)
            .movable(false)
            .show(ctx, |ui| {
                ui.set_width(width);
                notices_panel::notices_ui(ui, shown, &self.notices, commands);
            });
    }
}

/// The band of the dropout line, where it is shown and known.
fn band<'a>(how_sure: &'a HowSure, view: &View) -> Option<ToleranceBand<'a>> {
    let drawn = how_sure.drawn().filter(|_| view.layers.tolerance)?;
    // Where the point is does not move it.
    let (name, age) = match how_sure.standing() {
        Standing::Now | Standing::PointBefore => (TOLERANCE_BAND, Age::Fresh),
        Standing::SupplyBefore | Standing::GivenUp => (TOLERANCE_BAND_BEFORE, Age::Older),
    };
    Some(ToleranceBand {
        at: &drawn.band,
        name,
        age,
    })
}

/// Everything that stands on the plot in outline.
fn outlines<'a>(variants: &'a Variants, view: &'a View) -> Vec<Ghost<'a>> {
    let looked_at = view.trying.as_ref().and_then(Trying::candidate);
    let between = variants.between.as_ref().map(|between| Ghost {
        envelope: &between.envelope,
        letter: None,
        label: IN_BETWEEN,
        at_line: AtLine::Name,
        stay: Stay::Passing,
    });
    let outline = |supply: &Supply, label: &'a str, letter: Option<char>| {
        let picture = variants.picture(supply)?;
        Some(Ghost {
            envelope: &picture.envelope,
            letter,
            label,
            at_line: if letter.is_some() {
                AtLine::Letter
            } else {
                AtLine::Name
            },
            stay: if letter.is_some() {
                Stay::Kept
            } else {
                Stay::Passing
            },
        })
    };
    (view.ghosts.iter())
        .filter(|kept| kept.shown)
        .filter_map(|kept| outline(&kept.work.supply, &kept.name, Some(kept.letter)))
        .chain(looked_at.and_then(|one| outline(&one.supply, &one.name, None)))
        .chain(between)
        .collect()
}

/// A panel of one size: an edge to be moved would be a place to which Tab goes and where nothing can be done.
fn fixed(panel: Panel, size: f32) -> Panel {
    panel.exact_size(size).resizable(false)
}
