//! Faulty texts.
