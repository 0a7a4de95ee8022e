//! The terminal: what the arguments ask for, without a window where none is needed.
//!
//! Answers go to standard output, complaints to standard error with exit code 2.

mod diagnose;
mod discharge;
mod explain;
mod input;
mod inrush;
mod networks;
mod numbers;
mod odds;
mod paper;
mod plan;
mod record;
mod request;

use std::ffi::OsString;
use std::io::{ErrorKind, Write as _};
use std::path::{Path, PathBuf};
use std::process::ExitCode;

use clap::error::{ContextKind, ContextValue};
use clap::{Parser, Subcommand, ValueEnum};

use crate::app::answers::jobs::on_all_cores;
use crate::app::disk::files::{self, STANDARD_INPUT};
use crate::app::terminal::input::Complaint;
use crate::app::terminal::request::{AmpsList, MOST_PLACES, OutputPoint, Time};
use crate::bench::fuses;
use crate::bench::odds::{FEWEST, MOST, USUAL};
use crate::explain::failure;
use crate::parts::escape::{escaped, shortened};
use crate::parts::{Amps, Ohms, Volts, Work};

/// Exit code of every complaint.
const COMPLAINT: u8 = 2;

const CAUTION: &str = "\
Caution: lethal voltages, and capacitors stay charged after switch-off. Mains plug out, discharge through \
a resistor, measure the bus dead, then touch. Fuse and protective-earth questions are for someone qualified; \
local codes and licensed practice come first. Results are estimates from typical tubes.";

/// Works out the operating envelope of a high-voltage bench supply with a vacuum-tube series regulator.
#[derive(Debug, Parser)]
#[command(name = "sagline", version, after_help = CAUTION, disable_help_subcommand = true, args_conflicts_with_subcommands = true)]
struct Arguments {
    /// Supply file to open in the window; without it, what was open last or the demo supply
    #[arg(value_name = "FILE")]
    file: Option<PathBuf>,
    #[command(subcommand)]
    task: Option<Task>,
}

#[derive(Debug, Subcommand)]
enum Task {
    /// Print the figures of a supply file as JSON
    Numbers(NumbersArguments),
    /// Say in words why a point is allowed or not, what is met first and what would move it
    Explain(ExplainArguments),
    /// Say how sure it is: bands, odds, the worst corner, what to measure next
    Odds(OddsArguments),
    /// Say what the capacitors keep after switch-off, and for how long
    Discharge(DischargeArguments),
    /// Say which resistors of the drawer make a load
    Networks(NetworksArguments),
    /// Suggest the steps of an evening at the bench, with what each would show
    Plan(PlanArguments),
    /// Say what the readings in a supply file tell, and what to read next
    Diagnose(DiagnoseArguments),
    /// Write one document of an evening, as Markdown with a picture beside it
    Record(RecordArguments),
    /// Say what switching on draws, which fuse bears it, and what it protects
    Inrush(InrushArguments),
    /// Draw the envelope of a supply file as a PNG, SVG or PDF picture; needs no display
    Picture(PictureArguments),
    /// Write all curves of a supply file as comma-separated values
    Curves(CurvesArguments),
}

#[derive(Debug, clap::Args)]
struct NumbersArguments {
    /// Supply file, or `-` for standard input
    #[arg(value_name = "FILE")]
    file: PathBuf,
    /// Judge every limit at an output point, as in `--at 80mA,120V`; may be given several times
    #[arg(long, value_name = "AMPS,VOLTS")]
    at: Vec<OutputPoint>,
    /// Output currents instead of the program's own grid, as in `--amps 0,20mA,0.05`
    #[arg(long, value_name = "LIST")]
    amps: Option<AmpsList>,
}

#[derive(Debug, clap::Args)]
struct ExplainArguments {
    /// Supply file, or `-` for standard input
    #[arg(value_name = "FILE")]
    file: PathBuf,
    /// The output point, as in `--at 80mA,120V`
    #[arg(long, value_name = "AMPS,VOLTS")]
    at: OutputPoint,
    /// The whole calculation from the mains to the limits instead, as Markdown
    #[arg(long)]
    worked: bool,
    /// On that page also how sure it is: bands and odds over the spreads of the parts
    #[arg(long, requires = "worked")]
    odds: bool,
    /// How many supplies are drawn for it, 50 to 20000
    #[arg(long, default_value_t = USUAL, requires = "odds", value_parser = clap::value_parser!(u32).range(i64::from(FEWEST)..=i64::from(MOST)))]
    samples: u32,
}

#[derive(Debug, clap::Args)]
struct OddsArguments {
    /// Supply file, or `-` for standard input
    #[arg(value_name = "FILE")]
    file: PathBuf,
    /// The output point, as in `--at 80mA,120V`; without it, the middle of what is allowed
    #[arg(long, value_name = "AMPS,VOLTS")]
    at: Option<OutputPoint>,
    /// How many supplies are drawn, 50 to 20000
    #[arg(long, default_value_t = USUAL, value_parser = clap::value_parser!(u32).range(i64::from(FEWEST)..=i64::from(MOST)))]
    samples: u32,
    /// Which ones are drawn: the same number gives the same answer
    #[arg(long, default_value_t = 1, allow_negative_numbers = true)]
    seed: u32,
    /// Print the figures as JSON instead of words
    #[arg(long)]
    json: bool,
    /// List every spread with its source
    #[arg(long)]
    spreads: bool,
}

#[derive(Debug, clap::Args)]
struct DischargeArguments {
    /// Supply file, or `-` for standard input
    #[arg(value_name = "FILE")]
    file: PathBuf,
    /// The output point before switching off, as in `--at 80mA,120V`; without it, the middle of what is allowed
    #[arg(long, value_name = "AMPS,VOLTS")]
    at: Option<OutputPoint>,
    /// Choose a bleeder that brings the bus below 60 V within this time, as in `--bleed-in 10s`
    #[arg(long, value_name = "TIME")]
    bleed_in: Option<Time>,
    /// What one capacitor of a stack was measured to leak at its working volts, as in `--leakage 0.5mA`
    #[arg(long, value_name = "AMPS")]
    leakage: Option<Amps>,
    /// Print the figures as JSON instead of words
    #[arg(long)]
    json: bool,
}

#[derive(Debug, clap::Args)]
struct NetworksArguments {
    /// Supply file, or `-` for standard input
    #[arg(value_name = "FILE")]
    file: PathBuf,
    /// A load for this output point, as in `--at 80mA,120V`; without it and --ohms, the few loads that show the envelope
    #[arg(long, value_name = "AMPS,VOLTS", conflicts_with_all = ["ohms", "volts"])]
    at: Option<OutputPoint>,
    /// A load of so many ohms, as in `--ohms 4k7`
    #[arg(long, value_name = "OHMS")]
    ohms: Option<Ohms>,
    /// The volts across it
    #[arg(long, value_name = "VOLTS", requires = "ohms")]
    volts: Option<Volts>,
    /// Another drawer than one's own: a drawer file, a table with headings, or lines such as `4 x 10k 25W wire-wound`
    #[arg(long, value_name = "FILE")]
    drawer: Option<PathBuf>,
    /// Print the figures as JSON instead of words
    #[arg(long)]
    json: bool,
}

#[derive(Debug, clap::Args)]
struct PlanArguments {
    /// Supply file, or `-` for standard input
    #[arg(value_name = "FILE")]
    file: PathBuf,
    /// Write the bench card, one sheet for the bench with blank columns, to this file; its end, .png, .svg or .pdf, says the kind
    #[arg(long, value_name = "CARD.pdf")]
    card: Option<PathBuf>,
    /// The paper of the card
    #[arg(long, value_enum, default_value_t = PaperSize::A4)]
    paper: PaperSize,
    /// Print the figures as JSON instead of words
    #[arg(long)]
    json: bool,
}

#[derive(Debug, clap::Args)]
struct DiagnoseArguments {
    /// Supply file with readings, or `-` for standard input
    #[arg(value_name = "FILE")]
    file: PathBuf,
    /// The set of readings, by its name; without it, the latest that is not a log of the unit while it was well
    #[arg(long, value_name = "NAME")]
    set: Option<String>,
    /// Print the figures as JSON instead of words
    #[arg(long)]
    json: bool,
    /// List every cause with its weight beforehand and its range
    #[arg(long)]
    causes: bool,
}

#[derive(Debug, clap::Args)]
struct RecordArguments {
    /// Supply file, or `-` for standard input
    #[arg(value_name = "FILE")]
    file: PathBuf,
    /// File to write; the picture goes beside it
    #[arg(short, long, alias = "out", value_name = "OUT.md")]
    output: PathBuf,
}

#[derive(Debug, clap::Args)]
struct InrushArguments {
    /// Supply file, or `-` for standard input
    #[arg(value_name = "FILE")]
    file: PathBuf,
    /// How many switch-ons are drawn, 100 to 50000
    #[arg(long, default_value_t = fuses::USUAL, value_parser = clap::value_parser!(u32).range(i64::from(fuses::FEWEST)..=i64::from(fuses::MOST)))]
    samples: u32,
    /// Which ones are drawn: the same number gives the same answer
    #[arg(long, default_value_t = 1, allow_negative_numbers = true)]
    seed: u32,
    /// Switched on again at once: tubes, thermistor and rectifier hot, capacitors nearly full
    #[arg(long)]
    hot: bool,
    /// Print the figures as JSON instead of words
    #[arg(long)]
    json: bool,
}

#[derive(Debug, clap::Args)]
struct PictureArguments {
    /// Supply file, or `-` for standard input
    #[arg(value_name = "FILE")]
    file: PathBuf,
    /// File to write; its end, .png, .svg or .pdf, says the kind
    #[arg(short, long, value_name = "OUT.png")]
    output: PathBuf,
    /// Width in points
    #[arg(long, default_value_t = 1000, value_parser = clap::value_parser!(u32).range(300..=8000))]
    width: u32,
    /// Height in points
    #[arg(long, default_value_t = 700, value_parser = clap::value_parser!(u32).range(200..=8000))]
    height: u32,
    /// Pixels per point of a PNG picture, 0.5 to 4
    #[arg(long, default_value_t = 1.0)]
    scale: f32,
    /// Paper-white, near-black, or white with dark ink for printing
    #[arg(long, value_enum, default_value_t = Paper::Light)]
    theme: Paper,
    /// The envelope, its margin map, a comparison, one mains cycle, volts after switch-off, where the watts go, how the output is
    /// held, or switching on at its worst; all but the first two and the last need --at
    #[arg(long, value_enum, default_value_t = View::Envelope)]
    view: View,
    /// An earlier variant for the comparison, drawn in outline; may be given several times
    #[arg(long, value_name = "OTHER.ron")]
    with: Vec<PathBuf>,
    /// The point to show, as in `--at 80mA,120V`
    #[arg(long, value_name = "AMPS,VOLTS")]
    at: Option<OutputPoint>,
    /// Draw the band in which the dropout line of nine in ten such units lies, over the spreads of the parts
    #[arg(long)]
    band: bool,
    /// How many supplies are drawn for it, 50 to 20000
    #[arg(long, default_value_t = USUAL, requires = "band", value_parser = clap::value_parser!(u32).range(i64::from(FEWEST)..=i64::from(MOST)))]
    samples: u32,
    /// A line of your own under the plot
    #[arg(long, value_name = "TEXT")]
    caption: Option<String>,
    /// A second, smaller line: how to read the picture
    #[arg(long, value_name = "TEXT")]
    legend: Option<String>,
}

#[derive(Debug, clap::Args)]
struct CurvesArguments {
    /// Supply file, or `-` for standard input
    #[arg(value_name = "FILE")]
    file: PathBuf,
    /// File to write; without it, standard output
    #[arg(short, long, value_name = "OUT.csv")]
    output: Option<PathBuf>,
}

#[derive(Debug, Clone, Copy, PartialEq, Eq, ValueEnum)]
enum PaperSize {
    A4,
    Letter,
}

#[derive(Debug, Clone, Copy, PartialEq, Eq, ValueEnum)]
enum View {
    Envelope,
    Margins,
    Comparison,
    Cycle,
    Discharge,
    Energy,
    Regulation,
    SwitchingOn,
}

#[derive(Debug, Clone, Copy, PartialEq, Eq, ValueEnum)]
enum Paper {
    Light,
    Dark,
    Print,
}

/// Does what the arguments ask for. The first of them is the program's own name.
pub fn run(arguments: impl IntoIterator<Item = OsString>) -> ExitCode {
    match Arguments::try_parse_from(arguments) {
        Ok(asked) => finish(on_all_cores(|| answer(asked))),
        // Help and version count as errors for clap, which knows where each belongs.
        Err(shown) if shown.use_stderr() => {
            say(&without_unseen(shown).render().to_string());
            ExitCode::from(COMPLAINT)
        }
        Err(shown) => finish(Ok(shown.render().to_string())),
    }
}

/// What is wrong with the arguments, without what a terminal would obey, and with long values cut.
fn without_unseen(mut error: clap::Error) -> clap::Error {
    let clean = |text: &str| escaped(&shortened(text));
    let values: Vec<(ContextKind, ContextValue)> = (error.context())
        .filter_map(|(kind, value)| {
            let value = match value {
                ContextValue::String(text) => ContextValue::String(clean(text)),
                ContextValue::Strings(all) => {
                    ContextValue::Strings(all.iter().map(|text| clean(text)).collect())
                }
                _ => return None,
            };
            // The names of our own arguments, of which none has such a letter, may be longer.
            let is_typed = matches!(
                kind,
                ContextKind::InvalidValue
                    | ContextKind::InvalidArg
                    | ContextKind::InvalidSubcommand
            );
            is_typed.then_some((kind, value))
        })
        .collect();
    for (kind, value) in values {
        if error
            .insert(kind, value.clone())
            .is_some_and(|typed| typed != value)
        {
            // How to pass it as a value repeats it as it was typed.
            error.remove(ContextKind::Suggested);
        }
    }
    error
}

fn answer(asked: Arguments) -> Result<String, Complaint> {
    match asked.task {
        Some(Task::Numbers(wanted)) => {
            let NumbersArguments { file, at, amps } = &wanted;
            if at.len() > MOST_PLACES {
                return Err(Complaint(format!(
                    "--at: found {} points, expected at most {MOST_PLACES}",
                    at.len()
                )));
            }
            let opened = input::opened(file)?;
            numbers::print(file, &opened.work, amps.as_ref(), at)
                .map_err(|failure| opened.fails(&failure))
        }
        Some(Task::Explain(wanted)) => {
            let opened = input::opened(&wanted.file)?;
            explain::print(&wanted, &opened)
        }
        Some(Task::Odds(wanted)) => {
            let opened = input::opened(&wanted.file)?;
            odds::print(&wanted, &opened)
        }
        Some(Task::Discharge(wanted)) => {
            if let Some(amps) = wanted.leakage.filter(|amps| !(0.0..=1.0).contains(&amps.0)) {
                return Err(Complaint(format!(
                    "--leakage: found {amps}, expected 0 A to 1 A"
                )));
            }
            let opened = input::opened(&wanted.file)?;
            discharge::print(&wanted, &opened)
        }
        Some(Task::Networks(wanted)) => {
            let opened = input::opened(&wanted.file)?;
            networks::print(&wanted, &opened)
        }
        Some(Task::Plan(wanted)) => {
            let opened = input::opened(&wanted.file)?;
            plan::print(&wanted, &opened)
        }
        Some(Task::Diagnose(wanted)) => {
            let opened = input::opened(&wanted.file)?;
            diagnose::print(&wanted, &opened)
        }
        Some(Task::Record(wanted)) => {
            let opened = input::opened(&wanted.file)?;
            record::write(&wanted, &opened)
        }
        Some(Task::Inrush(wanted)) => {
            let opened = input::opened(&wanted.file)?;
            inrush::print(&wanted, &opened)
        }
        Some(Task::Picture(wanted)) => {
            let opened = input::opened(&wanted.file)?;
            paper::draw(&opened, &wanted).map(|()| String::new())
        }
        Some(Task::Curves(wanted)) => {
            let opened = input::opened(&wanted.file)?;
            paper::curves(&opened, &wanted)
        }
        None => crate::app::run_window(asked.file)
            .map(|()| String::new())
            .map_err(|error| Complaint(error.to_string())),
    }
}

/// The figures of a supply as `sagline numbers` prints them, judged at these points (A, V) too.
///
/// # Errors
/// Why there are none, in a sentence.
pub fn figures(work: &Work, at: &[[f64; 2]]) -> Result<String, String> {
    let points: Vec<OutputPoint> = (at.iter())
        .map(|&[amps, volts]| OutputPoint {
            amps: Amps(amps),
            volts: Volts(volts),
        })
        .collect();
    let file = Path::new(STANDARD_INPUT);
    numbers::print(file, work, None, &points).map_err(|failure| failure::sentence(&failure))
}

fn finish(answer: Result<String, Complaint>) -> ExitCode {
    let text = match answer {
        Ok(text) => text,
        Err(complaint) => {
            say(&format!("sagline: {complaint}\n"));
            return ExitCode::from(COMPLAINT);
        }
    };
    let mut output = std::io::stdout().lock();
    // What is left in the buffer is written before the end of the program, which would say nothing.
    let written = output
        .write_all(text.as_bytes())
        .and_then(|()| output.flush());
    match written {
        Ok(()) => ExitCode::SUCCESS,
        // Whoever reads has seen enough (`sagline numbers … | head`).
        Err(error) if error.kind() == ErrorKind::BrokenPipe => ExitCode::SUCCESS,
        Err(error) => {
            say(&format!(
                "sagline: standard output: {}\n",
                files::refused(&error)
            ));
            ExitCode::from(COMPLAINT)
        }
    }
}

fn say(text: &str) {
    // With standard error closed there is nobody to tell.
    let _closed = std::io::stderr().lock().write_all(text.as_bytes());
}
