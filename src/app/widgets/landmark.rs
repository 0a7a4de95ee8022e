//! Things that the tour points at: where they were drawn last.

use egui::{Context, Id, Rect};

/// Something on the window that has one place.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub(crate) enum Landmark {
    /// The ring of the point in the plane.
    Ring,
    /// What the right panel says of the point.
    ThisPoint,
    /// The slider of the mains.
    Mains,
    /// The filter's card.
    Filter,
    /// The dock below the plane.
    Dock,
}

impl Landmark {
    fn id(self) -> Id {
        Id::unique(("landmark", self))
    }

    /// Takes down where it stands.
    pub(crate) fn stands_at(self, ctx: &Context, place: Rect) {
        ctx.data_mut(|data| data.insert_temp(self.id(), place));
    }

    /// Where it was drawn last, if it was.
    pub(crate) fn place(self, ctx: &Context) -> Option<Rect> {
        ctx.data(|data| data.get_temp(self.id()))
    }
}
