//! Whoever waits for a long calculation: asked now and then whether it may go on, and told how far it is.

/// Someone who waits for an answer.
pub trait Watch {
    /// False if nobody wants the answer any more. `done` is the share of the work that is behind (0 to 1).
    fn may_go_on(&self, done: f64) -> bool;
}

/// Someone who also looks at what was found so far.
pub trait Follow<T>: Watch {
    /// This much is known by now.
    fn so_far(&self, part: &T);
}

/// Waits for the end, whatever it takes.
#[derive(Debug, Clone, Copy, Default)]
pub struct Unwatched;

impl Watch for Unwatched {
    fn may_go_on(&self, _done: f64) -> bool {
        true
    }
}

impl<T> Follow<T> for Unwatched {
    fn so_far(&self, _part: &T) {}
}
