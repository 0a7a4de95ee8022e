//! What is open and looked at, and the one door through which it changes.

pub(crate) mod action;
pub(crate) mod command;
pub(crate) mod document;
pub(crate) mod history;
pub(crate) mod theme_choice;
pub(crate) mod view;
