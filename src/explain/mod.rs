//! Results in words.
