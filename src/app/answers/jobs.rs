//! What takes longer than a frame: jobs in threads of their own, which leave the window a core.
//!
//! A job is asked for by a [`Request`]. Of one kind the latest wins: an older one is stopped where it next asks whether it
//! may go on, and what it still sends is dropped. Until the end the previous answer stays. A job that panics becomes a
//! [`Report`]; the rest of the window is still valid. With nothing asked there is no thread.
//!
//! What goes to the disk beside the frame is an [`Errands`]: a thread of its own, for a job may hold all of the others.

use std::panic::{AssertUnwindSafe, catch_unwind};
use std::sync::Arc;
use std::sync::atomic::{AtomicBool, AtomicU64, Ordering};
use std::sync::mpsc::{Receiver, RecvTimeoutError, SendError, Sender, channel};
use std::thread::available_parallelism;
use std::time::{Duration, Instant};

use rayon::{ThreadPool, ThreadPoolBuilder};

use crate::parts::Supply;
use crate::physics::watch::{Follow, Watch};

/// What is asked for, with all that the answer depends on.
pub(crate) trait Request: Clone + PartialEq + Send + 'static {
    /// What comes of it.
    type Answer: Clone + Send + 'static;

    /// Works it out, asking now and then whether it may go on; a job that was stopped may answer anything.
    fn work_out(&self, progress: &Progress<Self::Answer>) -> Self::Answer;

    /// The supply that it is about, for a report.
    fn supply(&self) -> &Supply;
}

/// Threads for jobs; they start with the first one.
#[derive(Debug)]
pub(crate) struct JobPool {
    threads: Option<ThreadPool>,
    many: usize,
    begin: fn(),
}

impl JobPool {
    /// Threads that leave the window a core and give way to it.
    pub(crate) fn behind_the_frame() -> Self {
        Self {
            threads: None,
            many: beside_the_window(),
            begin: step_back,
        }
    }

    /// All cores, for that which a frame waits for; never one alone, lest a job given up hold up the next.
    pub(crate) fn for_the_frame() -> Self {
        Self {
            threads: None,
            many: cores().max(2),
            begin: || {},
        }
    }

    /// The same for that which no frame waits for.
    pub(crate) fn beside_the_frame() -> Self {
        Self {
            begin: step_back,
            ..Self::for_the_frame()
        }
    }

    /// Takes the job up when a thread is free. What it does in parallel stays in these threads.
    fn spawn(&mut self, job: impl FnOnce() + Send + 'static) {
        if self.threads.is_none() {
            let begin = self.begin;
            self.threads = ThreadPoolBuilder::new()
                .num_threads(self.many)
                .thread_name(|place| format!("job {place}"))
                .start_handler(move |_place| begin())
                .build()
                .ok();
        }
        // Without threads the job is dropped, and its sender with it: that reads as "no answer".
        if let Some(pool) = &self.threads {
            pool.spawn(job);
        }
    }
}

/// Does this with what physics does in parallel on all cores. Where no thread can be had, by a limit of the user or of the machine,
/// all of it is done in this one, later but just so.
pub(crate) fn on_all_cores<T>(work: impl FnOnce() -> T) -> T {
    // Its threads are asked for now: asked for by the first sum, they would end the program where there are none.
    if ThreadPoolBuilder::new().build_global().is_err() {
        let alone = ThreadPoolBuilder::new().num_threads(1).use_current_thread();
        // It takes no thread, and so cannot fail for want of one.
        let _stays_for_good = alone.build();
    }
    work()
}

/// True if the system gives a thread beside this one.
pub(crate) fn can_have_threads() -> bool {
    std::thread::Builder::new().spawn(|| ()).is_ok()
}

/// All cores but the one on which frames are drawn; at least one.
fn beside_the_window() -> usize {
    cores().saturating_sub(1).max(1)
}

fn cores() -> usize {
    available_parallelism().map_or(1, usize::from)
}

/// Frames go before jobs where both want a core.
#[cfg(target_os = "linux")]
fn step_back() {
    // A system that refuses gives both the same share of a core.
    let _as_it_is = rustix::process::nice(10);
}

#[cfg(not(target_os = "linux"))]
fn step_back() {}

/// What a job is given: says whether it may go on, passes on how far it is and what it found so far.
pub(crate) struct Progress<A> {
    generation: u64,
    latest: Arc<AtomicU64>,
    /// The share that is done, as bits.
    done: Arc<AtomicU64>,
    messages: Sender<Message<A>>,
    /// False while a frame waits for the end and need not be woken.
    wakes: Arc<AtomicBool>,
    /// True once a part was passed on.
    has_told: AtomicBool,
    ctx: egui::Context,
}

impl<A> Watch for Progress<A> {
    fn may_go_on(&self, done: f64) -> bool {
        self.done.store(done.to_bits(), Ordering::Relaxed);
        self.latest.load(Ordering::Relaxed) == self.generation
    }
}

impl<A: Clone> Follow<A> for Progress<A> {
    fn so_far(&self, part: &A) {
        self.send(Message::SoFar(part.clone()));
        if self.has_told.swap(true, Ordering::Relaxed) {
            // Nobody reads faster than a few lines a second.
            self.ctx.request_repaint_after(Duration::from_millis(150));
        } else {
            self.ctx.request_repaint();
        }
    }
}

impl<A> Progress<A> {
    /// Waits as long as this is true and the answer is wanted.
    pub(crate) fn wait_while(&self, hold: &AtomicBool) {
        while hold.load(Ordering::Relaxed) && self.may_go_on(0.0) {
            std::thread::sleep(Duration::from_millis(1));
        }
    }

    fn send(&self, message: Message<A>) {
        // The window may be gone, or ask for something else by then; nobody waits for the answer any more.
        let _nobody_waits = self.messages.send(message);
    }
}

enum Message<A> {
    SoFar(A),
    Done(A),
    Panicked(String),
}

/// A job that did not come to an end.
#[derive(Debug, Clone, PartialEq)]
pub(crate) struct Report {
    /// The supply that it was about.
    pub(crate) supply: Supply,
    /// What the program said.
    pub(crate) said: String,
}

struct Running<R: Request> {
    request: R,
    done: Arc<AtomicU64>,
    wakes: Arc<AtomicBool>,
    so_far: Option<R::Answer>,
    messages: Receiver<Message<R::Answer>>,
}

/// The requests of one kind: the one in work, and the answer to the last that came to an end.
pub(crate) struct Jobs<R: Request> {
    latest: Arc<AtomicU64>,
    running: Option<Running<R>>,
    answered: Option<(R, Option<R::Answer>)>,
    report: Option<Report>,
}

impl<R: Request> Default for Jobs<R> {
    fn default() -> Self {
        Self {
            latest: Arc::default(),
            running: None,
            answered: None,
            report: None,
        }
    }
}

impl<R: Request> Drop for Jobs<R> {
    fn drop(&mut self) {
        self.stop();
    }
}

impl<R: Request> std::fmt::Debug for Jobs<R> {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        f.debug_struct("Jobs")
            .field("latest", &self.latest)
            .finish_non_exhaustive()
    }
}

impl<R: Request> Jobs<R> {
    /// Takes in what came, and starts on the request if it is a new one, in place of an older one. Wakes the window at
    /// the end.
    pub(crate) fn ask(&mut self, request: R, pool: &mut JobPool, ctx: &egui::Context) {
        self.collect();
        if self.running.as_ref().is_some_and(|r| r.request == request) {
            return;
        }
        self.stop();
        if self.answered.as_ref().is_some_and(|(r, _)| *r == request) {
            return;
        }
        self.begin(request, pool, ctx, Duration::ZERO);
    }

    /// Starts on the request in place of the one in work, whatever is known, and waits so long for its end.
    pub(crate) fn begin(
        &mut self,
        request: R,
        pool: &mut JobPool,
        ctx: &egui::Context,
        longest: Duration,
    ) {
        self.stop();
        let (messages, receiver) = channel();
        let done = Arc::default();
        let wakes = Arc::new(AtomicBool::new(longest.is_zero()));
        let progress = Progress {
            generation: self.latest.load(Ordering::Relaxed),
            latest: Arc::clone(&self.latest),
            done: Arc::clone(&done),
            wakes: Arc::clone(&wakes),
            has_told: AtomicBool::new(false),
            messages,
            ctx: ctx.clone(),
        };
        self.running = Some(Running {
            request: request.clone(),
            done,
            wakes,
            so_far: None,
            messages: receiver,
        });
        pool.spawn(move || {
            // Nothing of what the job held is looked at again after a panic.
            let answer = catch_unwind(AssertUnwindSafe(|| request.work_out(&progress)));
            progress.send(match answer {
                Ok(answer) => Message::Done(answer),
                Err(panic) => Message::Panicked(said(panic.as_ref())),
            });
            if progress.wakes.load(Ordering::SeqCst) {
                progress.ctx.request_repaint();
            }
        });
        self.wait(longest);
    }

    /// Takes in what came, waiting so long for the end of the job in work; an end within that time wakes nobody.
    pub(crate) fn wait(&mut self, longest: Duration) {
        let wakes = self.running.as_ref().map(|r| Arc::clone(&r.wakes));
        if let Some(wakes) = wakes.filter(|_| !longest.is_zero()) {
            wakes.store(false, Ordering::SeqCst);
            self.collect_within(longest);
            wakes.store(true, Ordering::SeqCst);
        }
        // What came to its end just before that woke nobody.
        self.collect();
    }

    /// The request in work.
    pub(crate) fn request(&self) -> Option<&R> {
        self.running.as_ref().map(|r| &r.request)
    }

    /// Gives away the last answer with its request, as [`Self::answered`].
    pub(crate) fn take_answered(&mut self) -> Option<(R, Option<R::Answer>)> {
        self.answered.take()
    }

    /// Lets the job in work stop where it next asks; nothing more is taken from it.
    pub(crate) fn stop(&mut self) {
        self.latest.fetch_add(1, Ordering::Relaxed);
        self.running = None;
    }

    fn collect(&mut self) {
        self.collect_within(Duration::ZERO);
    }

    fn collect_within(&mut self, longest: Duration) {
        let Some(mut running) = self.running.take() else {
            return;
        };
        let since = Instant::now();
        let answer = loop {
            let left = longest.saturating_sub(since.elapsed());
            match running.messages.recv_timeout(left) {
                Ok(Message::SoFar(part)) => running.so_far = Some(part),
                Ok(Message::Done(answer)) => break Some(answer),
                Ok(Message::Panicked(said)) => {
                    let supply = running.request.supply().clone();
                    self.report = Some(Report { supply, said });
                    break None;
                }
                Err(RecvTimeoutError::Timeout) => {
                    self.running = Some(running);
                    return;
                }
                Err(RecvTimeoutError::Disconnected) => break None,
            }
        };
        self.answered = Some((running.request, answer));
    }

    /// The last answer with its request; the answer is `None` if the job did not come to an end.
    pub(crate) fn answered(&self) -> Option<(&R, Option<&R::Answer>)> {
        let (request, answer) = self.answered.as_ref()?;
        Some((request, answer.as_ref()))
    }

    /// How much of the request in work is done (0 to 1), and what it found so far.
    pub(crate) fn in_work(&self) -> Option<(&R, f64, Option<&R::Answer>)> {
        let running = self.running.as_ref()?;
        let done = f64::from_bits(running.done.load(Ordering::Relaxed));
        Some((&running.request, done, running.so_far.as_ref()))
    }

    /// What went wrong since this was asked last.
    pub(crate) fn take_report(&mut self) -> Option<Report> {
        self.report.take()
    }
}

/// Something to be done beside the frame; what went wrong is said in words.
pub(crate) type Errand = Box<dyn FnOnce() -> Result<(), String> + Send>;

/// Longest that the end of the program waits for what is still being done.
const AT_THE_END: Duration = Duration::from_secs(5);

/// What is done about one and the same thing, one errand after the other: of those that wait the latest alone is done, and
/// an older one never comes after a newer.
#[derive(Debug, Default)]
pub(crate) struct Errands(Option<Hand>);

#[derive(Debug)]
struct Hand {
    give: Sender<Errand>,
    faults: Receiver<String>,
}

impl Errands {
    /// Has it done as soon as the one before is. Wakes the window if something went wrong.
    pub(crate) fn give(&mut self, errand: Errand, ctx: &egui::Context) {
        let hand = self.0.get_or_insert_with(|| hand(ctx.clone()));
        // Without a thread it is done here, late as the frame may be.
        if let Err(SendError(errand)) = hand.give.send(errand)
            && let Err(fault) = errand()
        {
            ctx.request_repaint();
            *hand = told(fault);
        }
    }

    /// What went wrong since this was asked last.
    pub(crate) fn faults(&self) -> Vec<String> {
        self.0.iter().flat_map(|h| h.faults.try_iter()).collect()
    }

    /// Waits until all is done, some seconds at most.
    pub(crate) fn finish(&mut self) {
        let Some(Hand { give, faults }) = self.0.take() else {
            return;
        };
        drop(give);
        // The thread lets go of its end when it has nothing more to do.
        let since = Instant::now();
        while let Some(left) = AT_THE_END.checked_sub(since.elapsed()) {
            if faults.recv_timeout(left) == Err(RecvTimeoutError::Disconnected) {
                return;
            }
        }
    }
}

impl Drop for Errands {
    fn drop(&mut self) {
        self.finish();
    }
}

fn hand(ctx: egui::Context) -> Hand {
    let (give, errands) = channel::<Errand>();
    let (tell, faults) = channel();
    let started = std::thread::Builder::new()
        .name("errands".to_owned())
        .spawn(move || {
            while let Ok(mut errand) = errands.recv() {
                while let Ok(newer) = errands.try_recv() {
                    errand = newer;
                }
                if let Err(fault) = errand() {
                    // The window may be gone by then.
                    let _nobody_waits = tell.send(fault);
                    ctx.request_repaint();
                }
            }
        });
    // Without a thread nobody receives, and the giver does it.
    drop(started);
    Hand { give, faults }
}

/// Nobody at work, and this to be said.
fn told(fault: String) -> Hand {
    let (give, _nobody) = channel();
    let (tell, faults) = channel();
    let _received_below = tell.send(fault);
    Hand { give, faults }
}

/// The words of a panic.
fn said(panic: &(dyn std::any::Any + Send)) -> String {
    let text = panic.downcast_ref::<&str>().copied().map(str::to_owned);
    text.or_else(|| panic.downcast_ref::<String>().cloned())
        .unwrap_or_else(|| "no words".to_owned())
}

#[cfg(test)]
mod tests {
    use std::sync::Mutex;

    use super::*;
    use crate::parts::catalogue::{Catalogue, presets};
    use crate::parts::file::read;

    #[derive(Debug, Clone, PartialEq)]
    enum Task {
        /// Finds 1, and then goes on until it is stopped.
        Endless,
        /// Which thread works, and how many work with it.
        WhoWorks,
        Fails,
    }

    #[derive(Debug, Clone, PartialEq)]
    struct Asked(Task, Supply);

    impl Asked {
        fn of(task: Task) -> Self {
            let demo = read(presets()[0].1, &Catalogue::built_in()).expect("the demo supply");
            Self(task, demo)
        }
    }

    impl Request for Asked {
        type Answer = String;

        fn work_out(&self, progress: &Progress<String>) -> String {
            match self.0 {
                Task::Endless => {
                    progress.so_far(&"begun".to_owned());
                    while progress.may_go_on(0.25) {
                        std::thread::yield_now();
                    }
                    "stopped".to_owned()
                }
                Task::WhoWorks => {
                    // Both halves of what is done in parallel, as the physics does it.
                    let who = || {
                        let thread = std::thread::current();
                        let name = thread.name().unwrap_or_default().to_owned();
                        assert!(name.starts_with("job "), "{name}");
                    };
                    rayon::join(who, who);
                    rayon::current_num_threads().to_string()
                }
                Task::Fails => panic!("a planted fault"),
            }
        }

        fn supply(&self) -> &Supply {
            &self.1
        }
    }

    /// Asks until it holds.
    fn wait(jobs: &mut Jobs<Asked>, holds: impl Fn(&mut Jobs<Asked>) -> bool) {
        let since = Instant::now();
        while !holds(jobs) {
            assert!(since.elapsed() < Duration::from_mins(1), "it never comes");
            std::thread::sleep(Duration::from_millis(1));
            jobs.collect();
        }
    }

    #[test]
    fn the_latest_wins_and_the_older_one_is_stopped() {
        let (mut jobs, mut pool) = (Jobs::default(), JobPool::behind_the_frame());
        let ctx = egui::Context::default();
        jobs.ask(Asked::of(Task::Endless), &mut pool, &ctx);
        wait(&mut jobs, |jobs| {
            let part = jobs.in_work().map(|(_, done, part)| (done, part.cloned()));
            part == Some((0.25, Some("begun".to_owned())))
        });
        // With as few threads as this needs, the second comes to its turn only when the first has stopped.
        for _ in 0..beside_the_window() {
            jobs.ask(Asked::of(Task::Endless), &mut pool, &ctx);
            jobs.ask(Asked::of(Task::WhoWorks), &mut pool, &ctx);
        }
        wait(&mut jobs, |jobs| jobs.in_work().is_none());
        let (request, answer) = jobs.answered().expect("an answer");
        assert_eq!(request.0, Task::WhoWorks);
        assert_eq!(answer, Some(&beside_the_window().to_string()));
        assert!(jobs.take_report().is_none());
    }

    #[test]
    fn a_panic_is_a_report_and_the_next_job_runs() {
        let (mut jobs, mut pool) = (Jobs::default(), JobPool::behind_the_frame());
        let ctx = egui::Context::default();
        jobs.ask(Asked::of(Task::Fails), &mut pool, &ctx);
        wait(&mut jobs, |jobs| jobs.in_work().is_none());
        assert_eq!(jobs.answered().map(|(_, answer)| answer), Some(None));
        let report = jobs.take_report().expect("a report");
        assert_eq!(report.said, "a planted fault");
        assert_eq!(report.supply, Asked::of(Task::Fails).1);
        jobs.ask(Asked::of(Task::WhoWorks), &mut pool, &ctx);
        wait(&mut jobs, |jobs| jobs.in_work().is_none());
        assert!(jobs.answered().is_some_and(|(_, answer)| answer.is_some()));
    }

    #[test]
    fn errands_are_done_in_order_and_the_latest_of_those_that_wait_alone() {
        let ctx = egui::Context::default();
        let mut errands = Errands::default();
        let done = Arc::new(Mutex::new(Vec::new()));
        let (go_on, may_go_on) = channel::<()>();
        let (begin, begun) = channel::<()>();
        let first = Arc::clone(&done);
        errands.give(
            Box::new(move || {
                begin.send(()).expect("waited for");
                may_go_on.recv().expect("told so");
                first.lock().expect("whole").push(0);
                Err("a planted fault".to_owned())
            }),
            &ctx,
        );
        begun.recv().expect("begun");
        for n in 1..5 {
            let done = Arc::clone(&done);
            errands.give(
                Box::new(move || {
                    done.lock().expect("whole").push(n);
                    Ok(())
                }),
                &ctx,
            );
        }
        go_on.send(()).expect("waited for");
        let since = Instant::now();
        let said = loop {
            let said = errands.faults();
            if !said.is_empty() || since.elapsed() > Duration::from_mins(1) {
                break said;
            }
            std::thread::yield_now();
        };
        assert_eq!(said, ["a planted fault"]);
        errands.finish();
        assert_eq!(*done.lock().expect("whole"), [0, 4]);
    }
}
