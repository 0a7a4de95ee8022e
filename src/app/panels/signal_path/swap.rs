//! Swapping a type: a list that shows what each entry would do before one is chosen.

use crate::app::panels::shown::Shown;
use crate::app::widgets::fields::Fields;
use crate::app::widgets::part_picker::{Entry, Mark, Picking, part_picker};
use crate::app::work::view;
use crate::app::work::view::Trying;
use crate::explain::change;
use crate::parts::Supply;

/// A type as it stands in the list.
pub(super) struct Candidate<'c> {
    /// Its designation.
    pub(super) name: &'c str,
    /// A few words.
    pub(super) about: &'c str,
    /// Under which heading it stands; empty where there are none.
    pub(super) kind: &'c str,
    /// True for a type of the user's own.
    pub(super) own: bool,
    /// The supply as it would be.
    pub(super) supply: Supply,
}

/// A list and what stands in its box.
#[derive(Debug, Clone, Copy)]
pub(super) struct List<'l> {
    /// Its accessible name.
    pub(super) name: &'l str,
    /// The designation in use.
    pub(super) in_use: &'l str,
    /// How the box shows it.
    pub(super) shown_as: &'l str,
}

impl<'l> List<'l> {
    /// A list whose box shows the designation itself.
    pub(super) fn of(name: &'l str, in_use: &'l str) -> Self {
        Self {
            name,
            in_use,
            shown_as: in_use,
        }
    }
}

/// Draws the list of this name; the place of what was picked.
pub(super) fn swap_ui(
    fields: &mut Fields<'_>,
    shown: Shown<'_>,
    list: List<'_>,
    candidates: Vec<Candidate<'_>>,
) -> Option<usize> {
    let entries: Vec<Entry<'_>> = candidates
        .iter()
        .map(|candidate| Entry {
            name: candidate.name,
            about: candidate.about,
            kind: candidate.kind,
            own: candidate.own,
            in_use: candidate.name == list.in_use,
            mark: mark(shown, &candidate.supply),
        })
        .collect();
    let Picking {
        open,
        looked_at,
        picked,
    } = part_picker(fields.ui(), list.name, list.shown_as, &entries);
    fields.mark(list.name);
    // A card may have several lists; one of them hangs open.
    if open && picked.is_none() {
        let candidates = candidates
            .into_iter()
            .map(|candidate| view::Candidate {
                name: candidate.name.to_owned(),
                supply: candidate.supply,
            })
            .collect();
        fields.is_trying(Trying {
            candidates,
            looked_at,
        });
    }
    picked
}

fn mark(shown: Shown<'_>, supply: &Supply) -> Option<Mark> {
    let variants = &shown.answers.variants;
    let finding = if variants.cannot_be(supply) {
        change::no_candidate()
    } else {
        let now = shown
            .answers
            .picture
            .as_ref()
            .and_then(|p| p.point.as_ref());
        change::candidate(variants.picture(supply)?.point.as_ref()?, supply, now)
    };
    Some(Mark {
        severity: finding.severity,
        words: finding.sentence,
    })
}
