//! What takes too long for a frame: a named thread works out what moves a limit, and ends.
//!
//! At most one runs. While it does, the previous answer stays shown; when it is done and another question stands,
//! the next one starts. With nothing asked there is no thread.

use std::sync::mpsc::{Receiver, TryRecvError, channel};

use crate::bench::sensitivity::{Sensitivity, sensitivity};
use crate::parts::Supply;
use crate::parts::catalogue::Catalogue;
use crate::physics::Model;
use crate::physics::limit::Limit;

/// What is asked.
#[derive(Debug, Clone, PartialEq)]
pub(crate) struct Question {
    /// Of this supply.
    pub(crate) supply: Supply,
    /// What moves this limit.
    pub(crate) limit: Limit,
    /// At this point (A, V).
    pub(crate) at: [f64; 2],
}

/// The question that was answered last, and the one in work.
#[derive(Debug, Default)]
pub(crate) struct Worker {
    answered: Option<(Question, Option<Sensitivity>)>,
    running: Option<(Question, Receiver<Option<Sensitivity>>)>,
}

impl Worker {
    /// Takes in what is done, and starts on the question if it is a new one. Wakes the window at the end.
    pub(crate) fn seek(&mut self, question: Question, catalogue: &Catalogue, ctx: &egui::Context) {
        self.collect();
        let known = self.answered.as_ref().is_some_and(|(q, _)| *q == question);
        if known || self.running.is_some() {
            return;
        }
        let (send, answer) = channel();
        let (ctx, catalogue, asked) = (ctx.clone(), catalogue.clone(), question.clone());
        let started = std::thread::Builder::new()
            .name("what moves it".to_owned())
            .spawn(move || {
                let ready = Model::of(&asked.supply);
                let found = ready
                    .and_then(|model| sensitivity(&model, asked.limit, asked.at, &catalogue))
                    .ok();
                // The window may be gone by then; nobody waits for the answer any more.
                let _nobody_waits = send.send(found);
                ctx.request_repaint();
            });
        // Without a thread the sender is dropped at once, which reads as "no answer".
        drop(started);
        self.running = Some((question, answer));
    }

    fn collect(&mut self) {
        let Some((question, answer)) = self.running.take() else {
            return;
        };
        match answer.try_recv() {
            Ok(found) => self.answered = Some((question, found)),
            // It stopped without an answer: the rest of the window is still valid.
            Err(TryRecvError::Disconnected) => self.answered = Some((question, None)),
            Err(TryRecvError::Empty) => self.running = Some((question, answer)),
        }
    }

    /// The last answer with its question; the answer is `None` if it could not be worked out.
    pub(crate) fn answered(&self) -> Option<(&Question, Option<&Sensitivity>)> {
        self.answered
            .as_ref()
            .map(|(question, found)| (question, found.as_ref()))
    }
}
