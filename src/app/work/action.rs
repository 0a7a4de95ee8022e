//! What has a key or a place in the menu: its text, its hint and its key come from one table, so they cannot disagree.

use egui::{Key, KeyboardShortcut, Modifiers};

use crate::app::work::view::Page;

const CTRL: Modifiers = Modifiers::COMMAND;
const CTRL_SHIFT: Modifiers = Modifiers::COMMAND.plus(Modifiers::SHIFT);

const NEW: [KeyboardShortcut; 1] = [KeyboardShortcut::new(CTRL, Key::N)];
const OPEN: [KeyboardShortcut; 1] = [KeyboardShortcut::new(CTRL, Key::O)];
const SAVE: [KeyboardShortcut; 1] = [KeyboardShortcut::new(CTRL, Key::S)];
const SAVE_AS: [KeyboardShortcut; 1] = [KeyboardShortcut::new(CTRL_SHIFT, Key::S)];
const UNDO: [KeyboardShortcut; 1] = [KeyboardShortcut::new(CTRL, Key::Z)];
const REDO: [KeyboardShortcut; 2] = [
    KeyboardShortcut::new(CTRL_SHIFT, Key::Z),
    KeyboardShortcut::new(CTRL, Key::Y),
];
const THEME: [KeyboardShortcut; 1] = [KeyboardShortcut::new(CTRL, Key::T)];
const FOCUS_PLOT: [KeyboardShortcut; 1] = [KeyboardShortcut::new(CTRL, Key::L)];
const NEXT_PANE: [KeyboardShortcut; 1] = [KeyboardShortcut::new(Modifiers::NONE, Key::F6)];
const PREVIOUS_PANE: [KeyboardShortcut; 1] = [KeyboardShortcut::new(Modifiers::SHIFT, Key::F6)];
const KEEP_GHOST: [KeyboardShortcut; 1] = [KeyboardShortcut::new(CTRL, Key::G)];
// The first is where people look for printing.
const PICTURE: [KeyboardShortcut; 2] = [
    KeyboardShortcut::new(CTRL, Key::P),
    KeyboardShortcut::new(CTRL, Key::E),
];
const TABLE: [KeyboardShortcut; 1] = [KeyboardShortcut::new(CTRL_SHIFT, Key::C)];
const SHORTCUTS: [KeyboardShortcut; 1] = [KeyboardShortcut::new(Modifiers::SHIFT, Key::F1)];
const GLOSSARY: [KeyboardShortcut; 1] = [KeyboardShortcut::new(Modifiers::NONE, Key::F1)];
const BENCH: [KeyboardShortcut; 1] = [KeyboardShortcut::new(CTRL, Key::Num1)];
const IN_TIME: [KeyboardShortcut; 1] = [KeyboardShortcut::new(CTRL, Key::Num2)];
const WORKINGS: [KeyboardShortcut; 1] = [KeyboardShortcut::new(CTRL, Key::Num3)];
const DOCK: [KeyboardShortcut; 1] = [KeyboardShortcut::new(CTRL, Key::D)];
const QUIT: [KeyboardShortcut; 1] = [KeyboardShortcut::new(CTRL, Key::Q)];

/// Moves the dummy load whose row has the keyboard one row up.
pub(crate) const LOAD_UP: KeyboardShortcut = KeyboardShortcut::new(Modifiers::ALT, Key::ArrowUp);
/// The same, one row down.
pub(crate) const LOAD_DOWN: KeyboardShortcut =
    KeyboardShortcut::new(Modifiers::ALT, Key::ArrowDown);
/// Removes it.
pub(crate) const LOAD_REMOVE: KeyboardShortcut =
    KeyboardShortcut::new(Modifiers::NONE, Key::Delete);

/// What the keys of one place do: in the row of a load, on the plot, on an edge.
pub(crate) const IN_PLACE: [(&str, &[KeyboardShortcut]); 5] = [
    (
        "Move the point, on the plot; with Shift in small steps.",
        &[
            KeyboardShortcut::new(Modifiers::NONE, Key::ArrowUp),
            KeyboardShortcut::new(Modifiers::NONE, Key::ArrowDown),
            KeyboardShortcut::new(Modifiers::NONE, Key::ArrowLeft),
            KeyboardShortcut::new(Modifiers::NONE, Key::ArrowRight),
        ],
    ),
    ("Move a load, in its row", &[LOAD_UP, LOAD_DOWN]),
    ("Remove a load, in its row", &[LOAD_REMOVE]),
    (
        "Draw the dock up or down, on its edge",
        &[
            KeyboardShortcut::new(Modifiers::NONE, Key::ArrowUp),
            KeyboardShortcut::new(Modifiers::NONE, Key::ArrowDown),
        ],
    ),
    (
        "Leave a field as it was; close a list, the glossary or a small window",
        &[KeyboardShortcut::new(Modifiers::NONE, Key::Escape)],
    ),
];

/// Something that is done with the whole document.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(crate) enum Action {
    /// Ask for what a new supply is made of.
    NewSupply,
    /// Open a file.
    Open,
    /// Save in its file.
    Save,
    /// Save in another file.
    SaveAs,
    /// Take the last change back.
    Undo,
    /// Bring it again.
    Redo,
    /// Next theme: system, dark, light.
    Theme,
    /// Put the keyboard on the plot, where arrows move the point.
    FocusPlot,
    /// Put the keyboard on the next pane of the window.
    NextPane,
    /// Put it on the one before.
    PreviousPane,
    /// Keep the supply as it is now as a ghost.
    KeepGhost,
    /// Ask what picture is wanted.
    ExportPicture,
    /// Ask where the curves are to go.
    ExportCurves,
    /// Ask where the worked page is to go.
    SavePage,
    /// Put the limits at the point on the clipboard.
    CopyTable,
    /// Show a page of the dock.
    Show(Page),
    /// Fold or unfold the dock.
    FoldDock,
    /// Open or close the glossary.
    Glossary,
    /// Begin the tour.
    Tour,
    /// Open or close the list of keys.
    Shortcuts,
    /// Leave the program.
    Quit,
}

impl Action {
    /// All of them, longest chord of a key first: Ctrl+Shift+S must be looked for before Ctrl+S.
    pub(crate) const ALL: [Self; 23] = [
        Self::SaveAs,
        Self::PreviousPane,
        Self::Shortcuts,
        Self::Redo,
        Self::NewSupply,
        Self::Open,
        Self::Save,
        Self::Undo,
        Self::FocusPlot,
        Self::NextPane,
        Self::ExportPicture,
        Self::ExportCurves,
        Self::SavePage,
        Self::CopyTable,
        Self::Show(Page::Bench),
        Self::Show(Page::InTime),
        Self::Show(Page::Workings),
        Self::FoldDock,
        Self::Glossary,
        Self::Tour,
        Self::Theme,
        Self::KeepGhost,
        Self::Quit,
    ];

    /// Those with a key, in the groups in which they are listed.
    pub(crate) const LISTED: [(&str, &[Self]); 4] = [
        (
            "Supply and file",
            &[
                Self::NewSupply,
                Self::Open,
                Self::Save,
                Self::SaveAs,
                Self::ExportPicture,
                Self::CopyTable,
                Self::Quit,
            ],
        ),
        ("Changes", &[Self::Undo, Self::Redo, Self::KeepGhost]),
        (
            "Window",
            &[
                Self::NextPane,
                Self::PreviousPane,
                Self::FocusPlot,
                Self::Show(Page::Bench),
                Self::Show(Page::InTime),
                Self::Show(Page::Workings),
                Self::FoldDock,
                Self::Theme,
            ],
        ),
        ("Help", &[Self::Glossary, Self::Shortcuts]),
    ];

    /// Its text on a button or in the menu.
    pub(crate) fn text(self) -> &'static str {
        match self {
            Self::NewSupply => "New supply…",
            Self::Open => "Open…",
            Self::Save => "Save",
            Self::SaveAs => "Save as…",
            Self::Undo => "Undo",
            Self::Redo => "Redo",
            Self::Theme => "Theme",
            Self::FocusPlot => "Go to the plot",
            Self::NextPane => "Next pane",
            Self::PreviousPane => "Previous pane",
            Self::KeepGhost => "Keep as ghost",
            Self::ExportPicture => "Export picture…",
            Self::ExportCurves => "Export curves…",
            Self::SavePage => "Save worked page…",
            Self::CopyTable => "Copy table",
            Self::Show(page) => page.text(),
            Self::FoldDock => "Fold the dock",
            Self::Glossary => "Glossary",
            Self::Tour => "Tour",
            Self::Shortcuts => "Keyboard shortcuts",
            Self::Quit => "Quit",
        }
    }

    /// What it does, for a hover text.
    pub(crate) fn hint(self) -> &'static str {
        match self {
            Self::NewSupply => "A page of nine questions; what you do not know may stay open.",
            Self::Open => "Opens the file of a supply",
            Self::Save => "Writes the supply to its file",
            Self::SaveAs => "Writes the supply to another file",
            Self::Undo => "Takes the last change back",
            Self::Redo => "Brings back what was undone",
            Self::Theme => "Follow the system, dark, or light",
            Self::FocusPlot => "Arrow keys then move the point; with Shift in small steps.",
            Self::NextPane | Self::PreviousPane => {
                "From bar to mains to output, plot, this point and dock"
            }
            Self::KeepGhost => {
                "Keeps the supply as it is now in outline, to compare what comes after with it"
            }
            Self::ExportPicture => "As PNG, SVG or PDF, or on the clipboard",
            Self::ExportCurves => "All curves as comma-separated values, for a spreadsheet",
            Self::SavePage => {
                "The calculation from the mains to every limit at the point, step by step with sources, as Markdown"
            }
            Self::CopyTable => {
                "Puts the limits at the point on the clipboard, to be pasted as a table"
            }
            Self::Show(Page::Bench) => {
                "The dummy loads, each with what it reaches and what stops it"
            }
            Self::Show(Page::InTime) => {
                "One mains cycle at the point: winding, bus and rectifier pulses"
            }
            Self::Show(Page::Workings) => {
                "Where the watts go, and how the output is held, at the point"
            }
            Self::FoldDock => "Leaves the tabs below the plot, or brings their pages back",
            Self::Glossary => "The words of the trade, to be looked up",
            Self::Tour => "Six short steps on the demo supply",
            Self::Shortcuts => "All keys on one page",
            Self::Quit => "Asks first if something is not saved",
        }
    }

    /// Its keys; the first is the one shown.
    pub(crate) fn keys(self) -> &'static [KeyboardShortcut] {
        match self {
            Self::NewSupply => &NEW,
            Self::Open => &OPEN,
            Self::Save => &SAVE,
            Self::SaveAs => &SAVE_AS,
            Self::Undo => &UNDO,
            Self::Redo => &REDO,
            Self::Theme => &THEME,
            Self::FocusPlot => &FOCUS_PLOT,
            Self::NextPane => &NEXT_PANE,
            Self::PreviousPane => &PREVIOUS_PANE,
            Self::KeepGhost => &KEEP_GHOST,
            Self::ExportPicture => &PICTURE,
            Self::ExportCurves | Self::SavePage | Self::Tour => &[],
            Self::Show(Page::Bench) => &BENCH,
            Self::Show(Page::InTime) => &IN_TIME,
            Self::Show(Page::Workings) => &WORKINGS,
            Self::FoldDock => &DOCK,
            Self::Glossary => &GLOSSARY,
            Self::Shortcuts => &SHORTCUTS,
            Self::CopyTable => &TABLE,
            Self::Quit => &QUIT,
        }
    }

    /// The key as text, for the menu.
    pub(crate) fn key_text(self, ctx: &egui::Context) -> String {
        self.keys()
            .first()
            .map(|key| ctx.format_shortcut(key))
            .unwrap_or_default()
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn every_key_is_listed_once_and_leads_to_one_action() {
        let listed = || Action::LISTED.iter().flat_map(|(_, all)| all.iter());
        for action in Action::ALL {
            let times = listed().filter(|one| **one == action).count();
            assert_eq!(times, usize::from(!action.keys().is_empty()), "{action:?}");
        }
        let keys: Vec<_> = (Action::ALL.iter())
            .flat_map(|action| action.keys().iter().map(move |key| (key, action)))
            .collect();
        for (place, (key, action)) in keys.iter().enumerate() {
            for (other_key, other) in keys.iter().skip(place + 1) {
                assert_ne!(key, other_key, "{action:?} {other:?}");
            }
        }
    }

    /// A chord with fewer modifiers would swallow the longer one.
    #[test]
    fn a_longer_chord_is_looked_for_first() {
        let place = |wanted: Action| Action::ALL.iter().position(|one| *one == wanted);
        for (longer, shorter) in [
            (Action::SaveAs, Action::Save),
            (Action::Redo, Action::Undo),
            (Action::PreviousPane, Action::NextPane),
            (Action::Shortcuts, Action::Glossary),
        ] {
            assert!(place(longer) < place(shorter), "{longer:?}");
        }
    }
}
