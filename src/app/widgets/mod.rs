//! Controls that know the toolkit and quantities, but not the document.

pub(crate) mod choice;
pub(crate) mod fields;
pub(crate) mod hanging_list;
pub(crate) mod landmark;
pub(crate) mod network;
pub(crate) mod part_picker;
pub(crate) mod quantity_field;
pub(crate) mod spread_field;
pub(crate) mod term;
pub(crate) mod text_field;
pub(crate) mod use_bar;
