//! Arguments → one call → printed report. Nothing else.

#[cfg(unix)]
mod accessioning;
mod collating;
mod depositing;
mod exchanging;
mod helping;
mod preparing;
mod publishing;
#[cfg(unix)]
mod sitting;
mod speaking;
mod terminal;

use clap::builder::PossibleValuesParser;
use clap::{Args, CommandFactory, FromArgMatches, Parser, Subcommand};
use counterpart::limits::Limits;
use counterpart::messages::Messages;
use counterpart::record::{Day, Findings, ObjectId, report};
use counterpart::store::Store;
use counterpart::survey::{Asked, Survey, survey_of};
use std::path::{Path, PathBuf};
use std::process::ExitCode;
use terminal::{Colour, Terminal};

/// Pages are made of many small pieces of text: a third of their time went into fetching and giving back memory
/// with the system's own allocator.
#[global_allocator]
static MEMORY: mimalloc::MiMalloc = mimalloc::MiMalloc;

/// Tells visitors truthfully how a replica stands to its original.
///
/// Reads a folder of notes, records, photographs and models, and writes a site that works
/// without a network. Run without a command it publishes ./content to ./display.
#[derive(Parser)]
#[command(
    version,
    after_help = "Example: counterpart publish content --to display\n\nExit codes: 0 done, 1 findings that must be mended first, 2 wrong usage, 3 failed."
)]
struct Cli {
    #[command(subcommand)]
    command: Option<Command>,
    /// When reports and findings are coloured; NO_COLOR turns colours off as well
    #[arg(
        long = "color",
        visible_alias = "colour",
        value_name = "WHEN",
        value_enum,
        default_value_t,
        global = true
    )]
    colour: Colour,
    /// The language of messages; that of the system's locale when left out
    #[arg(long, value_name = "TAG", value_parser = PossibleValuesParser::new(Messages::languages()), global = true)]
    language: Option<String>,
}

#[derive(Subcommand)]
enum Command {
    /// Check all records, words, rights and models, and list what must be mended
    #[command(after_help = "Example: counterpart survey content --json")]
    Survey(SurveyArgs),
    /// Write the site, whole or not at all
    #[command(after_help = "Example: counterpart publish content --to display")]
    Publish(PublishArgs),
    /// Compare the replica of one object with the original, and print what differs
    #[command(
        after_help = "Example: counterpart collate brackwater-mortar --csv differences.csv\n\nAngles at which things tip are estimates: a mount-maker or conservator must judge what stands in a public space."
    )]
    Collate(CollateArgs),
    /// Write all that is known of one object as a package that an archive can keep, or check one
    ///
    /// A bag (BagIt 1.0, RFC 8493): records, words, scans, pictures, measurements and pages, told in
    /// plain text. What rights do not permit is withheld, and said to be. Cut off, it goes on where it was.
    #[command(
        after_help = "Example: counterpart deposit brackwater-mortar --to archive\n         counterpart deposit --verify archive/brackwater-mortar\n\nExit codes: 0 done or valid, 1 findings, 2 wrong usage, 3 failed."
    )]
    Deposit(depositing::DepositArgs),
    /// Open a page on this machine in which everything is written, placed and published
    #[cfg(unix)]
    #[command(
        after_help = "Example: counterpart desk content\n\nThe page is for this machine alone. Everything it writes are the same plain files; what was typed and not yet written is kept in .counterpart/desk beside the content folder."
    )]
    Desk(DeskArgs),
    /// Write the records of objects for others: as LIDO, or as a table
    #[command(
        after_help = "Example: counterpart exchange content --as csv --to objects.csv\n\nRecords come in by: counterpart accession --from FILE"
    )]
    Exchange(exchanging::ExchangeArgs),
    /// Begin a new object: its folder, its record, a note for each language, and its scans
    ///
    /// Asks for what the flags do not say; every answer may be left for later.
    #[cfg(unix)]
    #[command(
        after_help = "Example: counterpart accession brackwater-mortar --title 'en=The mortar' --original mortar=scan.ply --unit mm\n\nScanners may flash and use lasers: follow their makers' warnings. Who handles an original is for its keeper and a conservator to decide."
    )]
    Accession(Box<accessioning::AccessionArgs>),
    /// Print what makes a shell complete commands and options
    #[command(
        after_help = "Example: counterpart completions bash\n\nBash reads it from ~/.local/share/bash-completion/completions/counterpart, fish from ~/.config/fish/completions/counterpart.fish, zsh from a file _counterpart in a folder of its fpath."
    )]
    Completions(helping::CompletionsArgs),
    /// Write manual pages: one for the program and one for each command
    #[command(
        after_help = "Example: counterpart manual --to man1\n\nThe folder man1 belongs into one in which man looks, for example ~/.local/share/man."
    )]
    Manual(helping::ManualArgs),
}

#[cfg(unix)]
#[derive(Args)]
struct DeskArgs {
    /// The content folder; begun when there is none
    #[arg(default_value = "content")]
    content: PathBuf,
    /// Where the site is published to; ‘display’ beside the content folder when left out
    #[arg(long, value_name = "DIR")]
    to: Option<PathBuf>,
    /// Port of the page; a free one when left out
    #[arg(long, value_name = "PORT", default_value_t = 0)]
    port: u16,
    /// Port on which the published site is shown; a free one when left out
    #[arg(long, value_name = "PORT", default_value_t = 0)]
    look: u16,
    /// Print what is said as JSON, one line each
    #[arg(long)]
    json: bool,
}

#[derive(Args)]
struct CollateArgs {
    /// The object, by the name of its folder
    object: ObjectId,
    /// The content folder
    #[arg(long, value_name = "DIR", default_value = "content")]
    content: PathBuf,
    /// Print everything as JSON
    #[arg(long)]
    json: bool,
    /// Also write the differences as a table
    #[arg(long, value_name = "FILE")]
    csv: Option<PathBuf>,
    /// Also write both bodies as PLY files with the signed distance of every vertex
    #[arg(long, value_name = "DIR")]
    ply: Option<PathBuf>,
}

#[derive(Args)]
struct SurveyArgs {
    /// The content folder
    #[arg(default_value = "content")]
    content: PathBuf,
    /// Print the findings as JSON
    #[arg(long)]
    json: bool,
    /// The day for which rights are judged, for example 2027-01-31; today when left out
    #[arg(long, value_name = "DAY")]
    on: Option<Day>,
}

#[derive(Args)]
struct PublishArgs {
    /// The content folder
    #[arg(default_value = "content")]
    content: PathBuf,
    /// Where the site goes: ‘display’, or with --carry ‘carry’; a folder that counterpart did not write
    /// is never replaced
    #[arg(long, value_name = "DIR")]
    to: Option<PathBuf>,
    /// Write a copy to be opened from a disk or a stick, without a server or a network
    #[arg(long)]
    carry: bool,
    /// Do only what is dear of one object, leave it in the store, and write no site: for many machines
    #[arg(long, value_name = "ID", conflicts_with_all = ["to", "carry", "json", "plan"])]
    only: Option<ObjectId>,
    /// Where what is dear is kept, for machines to share; ‘.counterpart’ beside the content folder when
    /// left out
    #[arg(long, value_name = "DIR")]
    store: Option<PathBuf>,
    /// Print the units of work for --only, with their files and a guess of their time, and do nothing
    #[arg(long, value_name = "FORM", conflicts_with_all = ["to", "carry", "json"])]
    plan: Option<preparing::PlanForm>,
    /// Say what was made anew, and why
    #[arg(long, conflicts_with_all = ["only", "plan"])]
    explain: bool,
    /// Print the report as JSON
    #[arg(long)]
    json: bool,
    /// The day for which rights are judged, for example 2027-01-31; today when left out
    #[arg(long, value_name = "DAY")]
    on: Option<Day>,
}

/// The work is done.
const DONE: u8 = 0;
/// Findings must be mended first.
const FINDINGS: u8 = 1;
/// The work failed.
const FAILED: u8 = 3;

fn main() -> ExitCode {
    let messages = speaking::messages();
    let command = speaking::in_language(Cli::command(), messages);
    let cli = Cli::from_arg_matches(&command.get_matches()).unwrap_or_else(|error| error.exit());
    let terminal = Terminal::new(cli.colour, messages);
    let content = match &cli.command {
        None => Some(Path::new("content")),
        Some(Command::Publish(args)) => Some(args.content.as_path()),
        Some(Command::Survey(args)) if !args.json => Some(args.content.as_path()),
        Some(Command::Collate(args)) => Some(args.content.as_path()),
        Some(_) => None,
    };
    if let Some(steps) = content.and_then(helping::first_steps) {
        terminal.note(&steps);
        return ExitCode::from(FINDINGS);
    }
    let command = cli.command.unwrap_or_else(|| {
        Command::Publish(PublishArgs {
            content: "content".into(),
            to: None,
            carry: false,
            only: None,
            store: None,
            plan: None,
            explain: false,
            json: false,
            on: None,
        })
    });
    let code = match command {
        Command::Survey(args) => run_survey(&args, &terminal),
        Command::Publish(args) => publishing::run(&args, &terminal),
        Command::Collate(args) => collating::run(&args, &terminal),
        Command::Deposit(args) => depositing::run(&args, &terminal),
        Command::Exchange(args) => exchanging::run(&args, &terminal),
        #[cfg(unix)]
        Command::Desk(args) => sitting::run(args, &terminal),
        #[cfg(unix)]
        Command::Accession(args) => accessioning::run(&args, &terminal),
        Command::Completions(args) => helping::completions(&args, &terminal),
        Command::Manual(args) => helping::manual(&args, &terminal),
    };
    ExitCode::from(code)
}

fn run_survey(args: &SurveyArgs, terminal: &Terminal) -> u8 {
    let found = look(&args.content, args.on, terminal);
    if args.json {
        terminal.report(&report::json(&found.findings, &found.measured()));
    } else {
        terminal.report_findings(&found.findings, &found.sources);
    }
    collating::draw_puzzles(&found, &args.content, terminal);
    if found.findings.refuse() {
        FINDINGS
    } else {
        DONE
    }
}

/// The findings of one object, which are printed.
fn noted(found: &Survey, object: &ObjectId, terminal: &Terminal) -> Findings {
    let folder = format!("{object}/");
    let mut own = Findings::none();
    for finding in found.findings.iter() {
        // Faults elsewhere do not touch this object, unless they stand in the way of it.
        if finding.place.file.starts_with(&folder) || found.catalogue.is_none() {
            own.push(finding.clone());
        }
    }
    if !own.is_empty() {
        terminal.note_findings(&own, &found.sources);
    }
    own
}

/// Surveys with what an earlier run has left in the store, if there is one.
fn look(content: &Path, on: Option<Day>, terminal: &Terminal) -> Survey {
    let store = match beside(content) {
        Some(folder) if folder.is_dir() => open_store(content, terminal),
        _ => Store::none(),
    };
    look_in(content, on, store, terminal)
}

fn look_in(content: &Path, on: Option<Day>, store: Store, terminal: &Terminal) -> Survey {
    let today = on.unwrap_or_else(Day::today);
    let asked = Asked {
        store,
        ..Asked::default()
    };
    survey_of(content, today, &Limits::default(), terminal, &asked)
}

/// The folder for what can be made again stands beside the content folder.
fn beside(content: &Path) -> Option<PathBuf> {
    let path = std::path::absolute(content).ok()?;
    Some(path.parent()?.join(".counterpart"))
}

/// The store of a publication.
fn store_of(args: &PublishArgs, terminal: &Terminal) -> Store {
    match &args.store {
        Some(folder) => opened(Some(folder.clone()), terminal),
        None => open_store(&args.content, terminal),
    }
}

/// The store beside the content folder.
fn open_store(content: &Path, terminal: &Terminal) -> Store {
    opened(beside(content), terminal)
}

/// Without a store the work only takes longer.
fn opened(folder: Option<PathBuf>, terminal: &Terminal) -> Store {
    match folder.map(|folder| Store::open(&folder)) {
        Some(Ok(store)) => store,
        Some(Err(error)) => {
            terminal.note(&format!(
                "The store cannot be used ({error}); everything is made anew."
            ));
            Store::none()
        }
        None => Store::none(),
    }
}
