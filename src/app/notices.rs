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

/// How long a notice stands.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(crate) enum Stands {
    /// Until another supply is opened: it is about this one.
    WithTheSupply,
    /// Until it is put away.
    UntilPutAway,
    /// Until something else was done: it says what just was.
    UntilTheNext,
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
    /// How long it stands.
    pub(crate) stands: Stands,
}

impl Notice {
    /// Something went wrong with the supply that is open, or with the next one.
    pub(crate) fn fault(text: String) -> Self {
        Self {
            tone: Tone::Fault,
            text,
            offer: Offer::None,
            stands: Stands::WithTheSupply,
        }
    }

    /// Something is wrong whatever is open: settings, own types.
    pub(crate) fn standing_fault(text: String) -> Self {
        Self {
            stands: Stands::UntilPutAway,
            ..Self::fault(text)
        }
    }

    /// Something to know.
    pub(crate) fn remark(text: String) -> Self {
        Self {
            tone: Tone::Remark,
            ..Self::standing_fault(text)
        }
    }

    /// Something was done.
    pub(crate) fn done(text: String) -> Self {
        Self {
            stands: Stands::UntilTheNext,
            ..Self::remark(text)
        }
    }

    /// The caution of the first window.
    pub(crate) fn caution() -> Self {
        Self {
            tone: Tone::Caution,
            text: crate::explain::cautions::STANDING.join(". "),
            offer: Offer::CautionRead,
            stands: Stands::UntilPutAway,
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
                found.work.name
            ),
            offer: Offer::Restore(Box::new(found)),
            stands: Stands::UntilPutAway,
        }
    }
}
