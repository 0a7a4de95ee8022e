//! The keyboard in a list that hangs from its box: it begins at the entry in use and comes back to the box.
//!
//! The toolkit leaves it on the box when the list opens, and takes it from everything when Escape closes the list: without
//! this a way by Tab would begin anew at the top of the window.

use egui::{Align, Id, Response, Ui};

/// Frames after opening in which the list is still being laid out.
const LAID_OUT: u8 = 3;

/// A list, from the moment before it is drawn until after its box.
pub(crate) struct HangingList {
    key: Id,
    before: Hanging,
    now: Hanging,
    /// Top of its first entry (points).
    top: f32,
    /// Height of what stands over the entries at the top of the list (points).
    covered: f32,
}

/// What is remembered of it from frame to frame.
#[derive(Debug, Clone, Copy, PartialEq, Default)]
struct Hanging {
    /// Frames for which it hangs open; 0 while it is closed.
    frames: u8,
    /// Whether it was opened by the keyboard.
    by_keys: bool,
    /// The entry that has the keyboard.
    entry: Option<Id>,
    /// From the top of the first entry to the bottom of the one that has to be seen (points).
    reach: f32,
}

impl HangingList {
    /// The list of this name in `ui`.
    pub(crate) fn of(ui: &Ui, name: &str) -> Self {
        let key = ui.scope_id().with(("hanging list", name));
        Self {
            key,
            before: ui.data(|data| data.get_temp(key)).unwrap_or_default(),
            now: Hanging::default(),
            top: 0.0,
            covered: 0.0,
        }
    }

    /// The same list with its first points covered: an entry is seen below them.
    pub(crate) fn covered(self, height: f32) -> Self {
        Self {
            covered: height,
            ..self
        }
    }

    /// Scrolls an entry into view.
    fn bring_in(&self, entry: &Response) {
        let mut seen = entry.clone();
        seen.rect.min.y -= self.covered;
        seen.scroll_to_me(None);
    }

    /// An entry was drawn.
    pub(crate) fn entry(&mut self, entry: &Response) {
        if self.now.frames == 0 {
            let by_pointer = entry
                .ctx
                .input(|input| input.pointer.any_pressed() || input.pointer.any_released());
            self.now = Hanging {
                frames: self.before.frames.saturating_add(1),
                by_keys: if self.before.frames == 0 {
                    !by_pointer
                } else {
                    self.before.by_keys
                },
                entry: None,
                reach: 0.0,
            };
            self.top = entry.rect.top();
        }
        if entry.has_focus() {
            self.now.entry = Some(entry.id);
            // The arrow keys go on beyond what can be seen, from the last entry to the first too.
            let pushed = self.is_pushed(entry);
            if pushed || self.before.entry != Some(entry.id) {
                self.bring_in(entry);
            }
        }
    }

    /// True if the entry that has to be seen was pushed down by words that came later. Who scrolls by hand is left alone.
    fn is_pushed(&mut self, entry: &Response) -> bool {
        self.now.reach = entry.rect.bottom() - self.top;
        let by_hand = entry.ctx.input(egui::InputState::is_scrolling);
        (self.now.reach - self.before.reach).abs() > 0.5 && !by_hand
    }

    /// The entry in use was drawn: where the list begins.
    pub(crate) fn entry_in_use(&mut self, entry: &Response) {
        self.entry(entry);
        if self.before.frames < LAID_OUT {
            entry.scroll_to_me(Some(Align::Center));
            if self.now.by_keys {
                entry.request_focus();
                self.now.entry = Some(entry.id);
            }
        } else if self.now.entry.is_none() && self.before.entry.is_none() && self.is_pushed(entry) {
            self.bring_in(entry);
        }
    }

    /// The box was drawn.
    pub(crate) fn end(self, its_box: &Response) {
        let ctx = &its_box.ctx;
        if self.before.frames > 0 && self.now.frames == 0 && self.before.by_keys {
            let focused = ctx.memory(egui::Memory::focused);
            if focused.is_none() || focused == self.before.entry {
                its_box.request_focus();
            }
        }
        if self.now != self.before {
            ctx.data_mut(|data| data.insert_temp(self.key, self.now));
        }
    }
}
