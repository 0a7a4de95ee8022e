//! Where the dock stands: below the plot, or on a low window as a sheet over its lower part; and what its pages show.

use egui::{Frame, Margin, Panel, Rect, Stroke, Ui};

use crate::app::answers::Standing;
use crate::app::answers::below::{Below, Switched};
use crate::app::panels::dock::{self, EdgeAnswer, Fold, Head};
use crate::app::panels::how_sure;
use crate::app::panels::loads;
use crate::app::panels::networks;
use crate::app::panels::plan;
use crate::app::panels::readings;
use crate::app::panels::shown::{Commands, Shown};
use crate::app::panels::switching;
use crate::app::plots::below;
use crate::app::plots::switching::{SwitchingInput, switching_plot_ui};
use crate::app::theme;
use crate::app::window::App;
use crate::app::work::command::Command;
use crate::app::work::view::{Scene, Switch};
use crate::explain::inrush;
use crate::explain::odds;
use crate::explain::plot::CALCULATING;

/// Below this height of the window the dock is a sheet (points).
const LOW: f32 = 780.0;
/// The least height of the dock without its tabs (points).
const LEAST: f32 = 150.0;

/// How the dock stands in a window.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
enum Stand {
    /// Below the plot, which gets the rest.
    Below,
    /// Over the lower part of the plot, which keeps its size.
    Over,
}

/// The heights that the dock may have without its tabs (points).
#[derive(Debug, Clone, Copy, PartialEq)]
struct Heights {
    least: f32,
    usual: f32,
    most: f32,
}

impl Heights {
    /// In a column between bar and window edge that is so high (points): the plot stays the larger of the two.
    fn of(stand: Stand, column: f32) -> Self {
        let room = (column - dock::TABS).max(0.0);
        let share = match stand {
            Stand::Below => 0.34,
            Stand::Over => 0.42,
        };
        let most = (0.5 * room).floor();
        Self {
            least: LEAST.min(most),
            usual: (share * room).round().clamp(LEAST.min(most), most),
            most,
        }
    }

    /// The height that is drawn where this one was asked for, 0 for the usual one.
    fn chosen(self, asked: u16) -> f32 {
        match asked {
            0 => self.usual,
            asked => f32::from(asked).clamp(self.least, self.most),
        }
    }
}

impl App {
    /// Draws the tabs and, where it stands below the plot, the dock.
    pub(crate) fn dock_ui(&mut self, ui: &mut Ui, commands: &mut Commands) {
        let ctx = ui.ctx().clone();
        let stand = stand(&ctx);
        let column = ui.available_height();
        let shown = self.shown(&ctx);
        let fold = self.fold(stand);
        let frame = Frame::new().fill(shown.theme.ground).inner_margin(Margin {
            left: theme::MARGIN,
            right: theme::MARGIN,
            top: 2,
            bottom: 4,
        });
        Panel::bottom("tabs of the dock")
            .exact_size(dock::TABS)
            .resizable(false)
            .frame(frame)
            .show(ui, |ui| dock::tabs_ui(ui, shown, fold, commands));
        if (fold, stand) != (Fold::Unfolded, Stand::Below) {
            return;
        }
        let heights = Heights::of(stand, column);
        let height = heights.chosen(self.settings.dock_height);
        let frame = Frame::new().fill(shown.theme.ground).inner_margin(PAGE);
        let answer = Panel::bottom("dock")
            .exact_size(height)
            .resizable(false)
            .show_separator_line(true)
            .frame(frame)
            .show(ui, |ui| {
                let bottom = ui.max_rect().bottom();
                let answer = dock::edge_ui(ui, shown, bottom, height);
                page_ui(ui, shown, commands);
                answer
            });
        self.edge_moved(answer.inner, heights, &ctx);
    }

    /// Draws the sheet over the lower part of the plot, where the window is too low for more; `column` is the part of the
    /// window between bar and tabs that the plot has. Gives its height (points).
    pub(crate) fn sheet_ui(
        &mut self,
        ctx: &egui::Context,
        column: Rect,
        commands: &mut Commands,
    ) -> f32 {
        let stand = stand(ctx);
        if (self.fold(stand), stand) != (Fold::Unfolded, Stand::Over) {
            return 0.0;
        }
        let shown = self.shown(ctx);
        let heights = Heights::of(stand, column.height() + dock::TABS);
        let height = heights.chosen(self.settings.dock_height);
        let area = column.with_min_y(column.bottom() - height);
        let sheet = egui::Area::new(egui::Id::unique("sheet"))
            .order(egui::Order::Middle)
            .fixed_pos(area.min)
            .constrain(false)
            .movable(false)
            .show(ctx, |ui| {
                let frame = Frame::new()
                    .fill(shown.theme.panel)
                    .stroke(Stroke::new(1.0, shown.theme.line))
                    .inner_margin(PAGE);
                frame
                    .show(ui, |ui| {
                        let inner = area.size() - PAGE.sum() - egui::vec2(2.0, 2.0);
                        ui.set_min_size(inner);
                        ui.set_max_size(inner);
                        let answer = dock::edge_ui(ui, shown, area.bottom(), height);
                        page_ui(ui, shown, commands);
                        answer
                    })
                    .inner
            });
        self.edge_moved(sheet.inner, heights, ctx);
        height
    }

    fn fold(&self, stand: Stand) -> Fold {
        let dock = self.ledger.view().dock;
        if dock.unfolded.unwrap_or(stand == Stand::Below) {
            Fold::Unfolded
        } else {
            Fold::Folded
        }
    }

    /// Whether a press of its key folds the dock.
    pub(crate) fn dock_is_unfolded(&self, ctx: &egui::Context) -> bool {
        self.fold(stand(ctx)) == Fold::Unfolded
    }

    fn edge_moved(&mut self, answer: Option<EdgeAnswer>, heights: Heights, ctx: &egui::Context) {
        let asked = match answer {
            None => return,
            Some(EdgeAnswer::LetGo) => {
                if self.state.dock_drawn_to.take().is_some() {
                    self.keep_settings();
                }
                return;
            }
            Some(EdgeAnswer::Usual) => 0,
            #[expect(
                clippy::cast_possible_truncation,
                clippy::cast_sign_loss,
                reason = "a height in the window"
            )]
            Some(EdgeAnswer::Height(height)) => {
                height.clamp(heights.least, heights.most).round() as u16
            }
        };
        if self.settings.dock_height != asked {
            self.settings.dock_height = asked;
            self.state.dock_drawn_to = Some(asked);
            // A key is pressed once: the next frame shows what it did.
            ctx.request_repaint();
        }
    }
}

/// Around a page.
const PAGE: Margin = Margin {
    left: theme::MARGIN,
    right: theme::MARGIN,
    top: 0,
    bottom: 4,
};

fn stand(ctx: &egui::Context) -> Stand {
    if ctx.content_rect().height() < LOW {
        Stand::Over
    } else {
        Stand::Below
    }
}

/// Draws the page that is chosen, in all the room that `ui` has.
fn page_ui(ui: &mut Ui, shown: Shown<'_>, commands: &mut Commands) {
    match shown.view.dock.scene {
        Scene::Loads => {
            dock::head_ui(ui, shown, &Head::default(), commands);
            loads::loads_ui(ui, shown, commands);
        }
        Scene::Plan => {
            let titles = [
                "Plan: the steps of an evening".to_owned(),
                "Plan".to_owned(),
            ];
            let head = Head {
                titles: &titles,
                ..Head::default()
            };
            dock::head_ui(ui, shown, &head, commands);
            plan::plan_ui(ui, shown, commands);
        }
        Scene::Readings => {
            let titles = [
                "Readings beside what was expected at the mains that were read".to_owned(),
                "Readings beside what was expected".to_owned(),
                "Readings".to_owned(),
            ];
            let head = Head {
                titles: &titles,
                ..Head::default()
            };
            dock::head_ui(ui, shown, &head, commands);
            readings::readings_ui(ui, shown, commands);
        }
        Scene::Networks => networks::networks_ui(ui, shown, commands),
        Scene::Odds => odds_ui(ui, shown, commands),
        scene => stop_ui(ui, shown, scene, commands),
    }
}

/// How sure it is, as far as it is known.
fn odds_ui(ui: &mut Ui, shown: Shown<'_>, commands: &mut Commands) {
    let drawn = shown.how_sure.drawn();
    let titles = drawn.map_or_else(Vec::new, |drawn| odds::titles(&drawn.odds).to_vec());
    let head = Head {
        titles: &titles,
        words: &["tolerance"],
    };
    dock::head_ui(ui, shown, &head, commands);
    how_sure::how_sure_ui(ui, shown, commands);
}

/// One of the stops that are worked out for the point.
fn stop_ui(ui: &mut Ui, shown: Shown<'_>, scene: Scene, commands: &mut Commands) {
    let Some(picture) = &shown.answers.picture else {
        dock::head_ui(ui, shown, &Head::default(), commands);
        return;
    };
    let supply = &picture.supply;
    if matches!(
        shown.answers.standing,
        Standing::SupplyBefore | Standing::PointBefore
    ) && shown.answers.below_scene() != Some(scene)
    {
        // Another view that is on its way.
        dock::head_ui(ui, shown, &Head::default(), commands);
        dock::not_known_ui(ui, shown, CALCULATING);
        return;
    }
    match &shown.answers.below {
        Some(Ok(Below::SwitchingOn(switched))) => {
            switching_on_ui(ui, shown, switched, commands);
        }
        Some(Ok(known)) => {
            let head = Head {
                titles: &below::titles(known, supply),
                words: below::words(known),
            };
            dock::head_ui(ui, shown, &head, commands);
            below::below_ui(ui, known, supply, picture.point.as_ref());
        }
        Some(Err(missing)) => {
            dock::head_ui(ui, shown, &Head::default(), commands);
            dock::not_known_ui(ui, shown, &missing.sentence());
        }
        None => {}
    }
}

/// Switching on: its controls and its picture, in which the closing is drawn with the hand.
fn switching_on_ui(ui: &mut Ui, shown: Shown<'_>, switched: &Switched, commands: &mut Commands) {
    let supply = &shown.document.work.supply;
    let head = Head {
        titles: &inrush::titles(&switched.transient, supply),
        words: &inrush::WORDS,
    };
    dock::head_ui(ui, shown, &head, commands);
    switching::switching_ui(ui, shown, switched.most_residual, commands);
    let input = SwitchingInput {
        switched,
        all: switching::drawn(shown),
    };
    if let Some([degrees, residual]) = switching_plot_ui(ui, &input).dragged {
        let now = shown.view.switch;
        let most = switched.most_residual;
        commands.push(Command::Switch(Switch {
            degrees: (now.degrees + degrees).rem_euclid(360.0),
            residual: (now.residual + residual).clamp(-most, most),
            ..now
        }));
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_dock_is_never_higher_than_the_plot() {
        for column in [0.0, 200.0, 648.0, 728.0, 848.0, 1028.0, 2000.0] {
            for stand in [Stand::Below, Stand::Over] {
                let heights = Heights::of(stand, column);
                for asked in [0, 1, 300, u16::MAX] {
                    let height = heights.chosen(asked);
                    assert!(
                        (0.0..=0.5 * column).contains(&height),
                        "{stand:?} {column} {asked}: {height}"
                    );
                }
            }
        }
    }

    #[test]
    fn the_height_that_was_drawn_is_kept_within_its_bounds() {
        let heights = Heights::of(Stand::Below, 848.0);
        assert!((heights.chosen(300) - 300.0).abs() < 1e-6);
        assert!((heights.chosen(20) - LEAST).abs() < 1e-6);
    }
}
