//! The panels around the plot. Each draws from what it is shown and answers with commands; none knows another.

pub(crate) mod caution;
pub(crate) mod changes;
pub(crate) mod dock;
pub(crate) mod glossary;
pub(crate) mod how_sure;
pub(crate) mod layers;
pub(crate) mod loads;
pub(crate) mod networks;
pub(crate) mod new_supply;
pub(crate) mod notices;
pub(crate) mod picture_export;
pub(crate) mod plan;
pub(crate) mod pointed;
pub(crate) mod questions;
pub(crate) mod readings;
pub(crate) mod shortcut_list;
pub(crate) mod shown;
pub(crate) mod signal_path;
pub(crate) mod switching;
pub(crate) mod this_point;
pub(crate) mod top_bar;
pub(crate) mod tour;
pub(crate) mod tube_editor;
