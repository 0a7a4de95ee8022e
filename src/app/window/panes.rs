//! From pane to pane with one key.

use egui::{Id, Rect};

use crate::app::panels::dock::TABS;
use crate::app::window::App;

/// A pane of the window, in the order in which the key goes through them.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(crate) enum Pane {
    /// The bar at the top.
    Bar,
    /// The column of parts.
    Path,
    /// The plane, with what stands above it.
    Plot,
    /// The panel about the point.
    Point,
    /// The dock; its tabs are always there.
    Dock,
}

impl Pane {
    const ALL: [Self; 5] = [Self::Bar, Self::Path, Self::Plot, Self::Point, Self::Dock];
}

/// Which way one goes.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(crate) enum Way {
    /// To the next.
    On,
    /// To the one before.
    Back,
}

/// Where the panes stand, and what in them has or had the keyboard.
#[derive(Debug, Default)]
pub(crate) struct Panes {
    areas: [Option<Rect>; 5],
    /// What had the keyboard last in each.
    last: [Option<Id>; 5],
    /// The one that has it, or had it last.
    now: Option<usize>,
}

impl Panes {
    /// A pane was drawn there.
    pub(crate) fn stands(&mut self, pane: Pane, area: Rect) {
        if let Some(kept) = self.areas.get_mut(pane as usize) {
            *kept = Some(area);
        }
    }

    /// Notes which pane has the keyboard.
    pub(crate) fn note(&mut self, ctx: &egui::Context) {
        let Some(id) = ctx.memory(egui::Memory::focused) else {
            return;
        };
        let Some(centre) = ctx.read_response(id).map(|response| response.rect.center()) else {
            return;
        };
        // The dock first: as a sheet it stands over the plot.
        let holds = |place: &usize| {
            let area = self.areas.get(*place).copied().flatten();
            area.is_some_and(|area| area.contains(centre))
        };
        let Some(place) = (0..Pane::ALL.len()).rev().find(holds) else {
            return;
        };
        self.now = Some(place);
        if let Some(last) = self.last.get_mut(place) {
            *last = Some(id);
        }
    }

    /// The next pane that way.
    fn beside(&self, way: Way) -> Option<Pane> {
        let count = Pane::ALL.len();
        let place = match (self.now, way) {
            (None, Way::On) => 0,
            (None, Way::Back) => count - 1,
            (Some(now), Way::On) => (now + 1) % count,
            (Some(now), Way::Back) => (now + count - 1) % count,
        };
        Pane::ALL.get(place).copied()
    }

    /// What in a pane is to get the keyboard: what had it last, else the first that takes it.
    fn target(&self, pane: Pane, ctx: &egui::Context) -> Option<Id> {
        let place = pane as usize;
        let area = self.areas.get(place).copied().flatten()?;
        let last = self.last.get(place).copied().flatten();
        // One comes to the dock by its tabs: the rest may be a sheet, with the plot below it.
        let door = match pane {
            Pane::Dock => area.with_min_y(area.bottom() - TABS),
            _ => area,
        };
        ctx.viewport(|viewport| {
            let widgets = &viewport.prev_pass.widgets;
            let takes_it = |id: Id, within: Rect| {
                widgets.get(id).is_some_and(|widget| {
                    let at = widget.rect.center();
                    widget.enabled && widget.sense.is_focusable() && within.contains(at)
                })
            };
            last.filter(|id| takes_it(*id, area)).or_else(|| {
                let layer = egui::LayerId::background();
                let mut all = widgets.get_layer(layer).map(|widget| widget.id);
                all.find(|id| takes_it(*id, door))
            })
        })
    }
}

impl App {
    /// Puts the keyboard on the next pane that way.
    pub(crate) fn go_to_pane(&mut self, way: Way, ctx: &egui::Context) {
        let Some(pane) = self.state.panes.beside(way) else {
            return;
        };
        self.state.panes.now = Some(pane as usize);
        if pane == Pane::Plot {
            self.state.focus_plot = true;
        } else if let Some(id) = self.state.panes.target(pane, ctx) {
            ctx.memory_mut(|memory| memory.request_focus(id));
        }
    }
}
