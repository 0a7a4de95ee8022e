//! What has a key or a place in the menu: its text, its hint and its key come from one table, so they cannot disagree.

use egui::{Key, KeyboardShortcut, Modifiers};

use crate::app::work::view::Scene;

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
const FOCUS_PLOT: [KeyboardShortcut; 1] = [KeyboardShortcut::new(CTRL, Key::P)];
const KEEP_GHOST: [KeyboardShortcut; 1] = [KeyboardShortcut::new(CTRL, Key::G)];
const PICTURE: [KeyboardShortcut; 1] = [KeyboardShortcut::new(CTRL, Key::E)];
const TABLE: [KeyboardShortcut; 1] = [KeyboardShortcut::new(CTRL_SHIFT, Key::C)];
const GLOSSARY: [KeyboardShortcut; 1] = [KeyboardShortcut::new(Modifiers::NONE, Key::F1)];
const ENVELOPE: [KeyboardShortcut; 1] = [KeyboardShortcut::new(CTRL, Key::Num1)];
const CYCLE: [KeyboardShortcut; 1] = [KeyboardShortcut::new(CTRL, Key::Num2)];
const ENERGY: [KeyboardShortcut; 1] = [KeyboardShortcut::new(CTRL, Key::Num3)];
const REGULATION: [KeyboardShortcut; 1] = [KeyboardShortcut::new(CTRL, Key::Num4)];
const QUIT: [KeyboardShortcut; 1] = [KeyboardShortcut::new(CTRL, Key::Q)];

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
    /// Show a view below the envelope.
    Show(Scene),
    /// Open or close the glossary.
    Glossary,
    /// Begin the tour.
    Tour,
    /// Leave the program.
    Quit,
}

impl Action {
    /// All of them, longest chord of a key first: Ctrl+Shift+S must be looked for before Ctrl+S.
    pub(crate) const ALL: [Self; 20] = [
        Self::SaveAs,
        Self::Redo,
        Self::NewSupply,
        Self::Open,
        Self::Save,
        Self::Undo,
        Self::FocusPlot,
        Self::ExportPicture,
        Self::ExportCurves,
        Self::SavePage,
        Self::CopyTable,
        Self::Show(Scene::Envelope),
        Self::Show(Scene::Cycle),
        Self::Show(Scene::Energy),
        Self::Show(Scene::Regulation),
        Self::Glossary,
        Self::Tour,
        Self::Theme,
        Self::KeepGhost,
        Self::Quit,
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
            Self::KeepGhost => "Keep as ghost",
            Self::ExportPicture => "Export picture…",
            Self::ExportCurves => "Export curves…",
            Self::SavePage => "Save worked page…",
            Self::CopyTable => "Copy table",
            Self::Show(Scene::Envelope) => "Show envelope",
            Self::Show(Scene::Cycle) => "Show cycle",
            Self::Show(Scene::Energy) => "Show energy",
            Self::Show(Scene::Regulation) => "Show regulation",
            Self::Glossary => "Glossary",
            Self::Tour => "Tour",
            Self::Quit => "Quit",
        }
    }

    /// What it does, for a hover text.
    pub(crate) fn hint(self) -> &'static str {
        match self {
            Self::NewSupply => "A page of nine questions; what you do not know may stay open",
            Self::Open => "Opens the file of a supply",
            Self::Save => "Writes the supply to its file",
            Self::SaveAs => "Writes the supply to another file",
            Self::Undo => "Takes the last change back",
            Self::Redo => "Brings back what was undone",
            Self::Theme => "Follow the system, dark, or light",
            Self::FocusPlot => "Arrow keys then move the point; with Shift in small steps",
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
            Self::Show(Scene::Envelope) => "The envelope with the dummy loads below it",
            Self::Show(Scene::Cycle) => {
                "One mains cycle at the point: winding, bus and rectifier pulses"
            }
            Self::Show(Scene::Energy) => {
                "Where the watts go at the point, from the mains to the load"
            }
            Self::Show(Scene::Regulation) => {
                "How the output is held at the point: loop, hum, reference, negative rail, zero setting"
            }
            Self::Glossary => "The words of the trade, to be looked up",
            Self::Tour => "Six short steps on the demo supply",
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
            Self::KeepGhost => &KEEP_GHOST,
            Self::ExportPicture => &PICTURE,
            Self::ExportCurves | Self::SavePage | Self::Tour => &[],
            Self::Show(Scene::Envelope) => &ENVELOPE,
            Self::Show(Scene::Cycle) => &CYCLE,
            Self::Show(Scene::Energy) => &ENERGY,
            Self::Show(Scene::Regulation) => &REGULATION,
            Self::Glossary => &GLOSSARY,
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
