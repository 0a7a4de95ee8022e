//! What the window has to say at the top: faults of files, work left behind, the caution of the first window.

use crate::app::recovery::LeftBehind;

/// How loud a notice is.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(crate) enum Tone {
    /// Something to know.
    Remark,
    /// Something to heed.
    Caution,
    /// Something went wrong.
    Fault,
}

/// What can be done about a notice, besides putting it away.
#[derive(Debug, Clone, PartialEq)]
pub(crate) enum Offer {
    /// Nothing.
    None,
    /// The caution of the first window: once read it does not come again.
    CautionRead,
    /// The tour, once.
    Tour,
    /// Unsaved work of a program that did not end well.
    Restore(Box<LeftBehind>),
}

/// One notice.
#[derive(Debug, Clone, PartialEq)]
pub(crate) struct Notice {
    /// How loud.
    pub(crate) tone: Tone,
    /// What it says.
    pub(crate) text: String,
    /// What can be done.
    pub(crate) offer: Offer,
}

impl Notice {
    /// Something went wrong.
    pub(crate) fn fault(text: String) -> Self {
        Self {
            tone: Tone::Fault,
            text,
            offer: Offer::None,
        }
    }

    /// The caution of the first window.
    pub(crate) fn caution() -> Self {
        Self {
            tone: Tone::Caution,
            text: crate::explain::cautions::STANDING.join(". "),
            offer: Offer::CautionRead,
        }
    }

    /// Work left behind.
    pub(crate) fn left_behind(found: LeftBehind) -> Self {
        let of_file = found
            .path
            .as_ref()
            .map_or_else(String::new, |p| format!(" ({})", p.display()));
        Self {
            tone: Tone::Remark,
            text: format!(
                "Unsaved work on “{}”{of_file} was left behind by a program that did not end well",
                found.supply.name
            ),
            offer: Offer::Restore(Box::new(found)),
        }
    }
}
