//! The terminal: what the arguments ask for, without a window where none is needed.
//!
//! Answers go to standard output, complaints to standard error with exit code 2.

mod explain;
mod input;
mod numbers;
mod paper;
mod request;

use std::ffi::OsString;
use std::io::Write as _;
use std::path::PathBuf;
use std::process::ExitCode;

use clap::{Parser, Subcommand, ValueEnum};

use crate::app::terminal::input::Complaint;
use crate::app::terminal::request::{AmpsList, OutputPoint};

/// Exit code of every complaint.
const COMPLAINT: u8 = 2;

const CAUTION: &str = "\
Caution: lethal voltages, and capacitors stay charged after switch-off. Mains plug out, discharge through
a resistor, measure the bus dead, then touch. Fuse and protective-earth questions are for someone qualified;
local codes and licensed practice come first. Results are estimates from typical tubes.";

/// Works out the operating envelope of a high-voltage bench supply with a vacuum-tube series regulator.
#[derive(Debug, Parser)]
#[command(name = "sagline", version, after_help = CAUTION, args_conflicts_with_subcommands = true)]
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
    /// The envelope, its margin map, a comparison, one mains cycle, the flow of watts, or how the output is held; all but the
    /// first two need --at
    #[arg(long, value_enum, default_value_t = View::Envelope)]
    view: View,
    /// An earlier variant for the comparison, drawn in outline; may be given several times
    #[arg(long, value_name = "OTHER.ron")]
    with: Vec<PathBuf>,
    /// The point to show, as in `--at 80mA,120V`
    #[arg(long, value_name = "AMPS,VOLTS")]
    at: Option<OutputPoint>,
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
enum View {
    Envelope,
    Margins,
    Comparison,
    Cycle,
    Energy,
    Regulation,
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
        Ok(asked) => finish(answer(asked)),
        // Help and version count as errors for clap, which knows where each belongs.
        Err(shown) => {
            let printed = shown.print();
            if shown.use_stderr() || printed.is_err() {
                ExitCode::from(COMPLAINT)
            } else {
                ExitCode::SUCCESS
            }
        }
    }
}

fn answer(asked: Arguments) -> Result<String, Complaint> {
    match asked.task {
        Some(Task::Numbers(wanted)) => {
            let work = input::work(&wanted.file)?;
            numbers::print(&wanted.file, &work, wanted.amps.as_ref(), &wanted.at)
        }
        Some(Task::Explain(wanted)) => {
            let work = input::work(&wanted.file)?;
            explain::print(&wanted, &work)
        }
        Some(Task::Picture(wanted)) => {
            let work = input::work(&wanted.file)?;
            paper::draw(&work, &wanted).map(|()| String::new())
        }
        Some(Task::Curves(wanted)) => {
            let work = input::work(&wanted.file)?;
            paper::curves(&work.supply, &wanted)
        }
        None => crate::app::run_window(asked.file)
            .map(|()| String::new())
            .map_err(|error| Complaint(error.to_string())),
    }
}

fn finish(answer: Result<String, Complaint>) -> ExitCode {
    let (written, code) = match answer {
        Ok(text) => (
            std::io::stdout().lock().write_all(text.as_bytes()),
            ExitCode::SUCCESS,
        ),
        Err(complaint) => (
            writeln!(std::io::stderr().lock(), "sagline: {complaint}"),
            ExitCode::from(COMPLAINT),
        ),
    };
    match written {
        Ok(()) => code,
        // Whoever reads has seen enough (`sagline numbers … | head`).
        Err(error) if error.kind() == std::io::ErrorKind::BrokenPipe => code,
        Err(_full_or_closed) => ExitCode::from(COMPLAINT),
    }
}
