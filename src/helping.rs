//! `counterpart completions` and `counterpart manual`: both are made from the declared commands, so that
//! neither can say what the program does not do. What to do first stands here, too.

use crate::terminal::Terminal;
use crate::{Cli, DONE, FAILED};
use clap::{Args, CommandFactory};
use clap_complete::Shell;
use clap_mangen::Man;
use std::fs::{self, File};
use std::io::{self, Write};
use std::path::{Path, PathBuf};

/// The day that manual pages bear: when what commands say of themselves was last changed. No page asks the
/// clock, so that the same program writes the same pages.
const WRITTEN: &str = "2026-11-27";

#[derive(Args)]
pub(crate) struct CompletionsArgs {
    /// The shell that is to complete
    shell: Shell,
}

#[derive(Args)]
pub(crate) struct ManualArgs {
    /// The folder in which the pages are put; it is made when it is missing
    #[arg(long, value_name = "DIR")]
    to: PathBuf,
}

pub(crate) fn completions(args: &CompletionsArgs, terminal: &Terminal) -> u8 {
    let mut script = Vec::new();
    clap_complete::generate(args.shell, &mut Cli::command(), "counterpart", &mut script);
    let mut script = String::from_utf8_lossy(&script).into_owned();
    if args.shell == Shell::PowerShell {
        // ‘ and ’ end a text there as ' does, and two of them stand for one (PowerShell Language Specification 3.0,
        // 2.3.5.2). Only the second is doubled already.
        script = script.replace("'’", "''").replace('‘', "''");
    }
    terminal.report(&script);
    DONE
}

pub(crate) fn manual(args: &ManualArgs, terminal: &Terminal) -> u8 {
    match pages(&args.to) {
        Ok(pages) => {
            terminal.say(&format!(
                "Wrote {} pages to {}. Read one: man -l {}",
                pages.len(),
                args.to.display(),
                args.to.join("counterpart.1").display()
            ));
            DONE
        }
        Err(error) => {
            terminal.note(&format!(
                "The pages could not be written to {}: {error}. Name another folder with --to.",
                args.to.display()
            ));
            FAILED
        }
    }
}

/// One page for the program and one for each command; gives their names.
fn pages(folder: &Path) -> io::Result<Vec<String>> {
    fs::create_dir_all(folder)?;
    let mut program = Cli::command().disable_help_subcommand(true);
    program.build();
    let mut written = Vec::new();
    for command in std::iter::once(&program).chain(program.get_subcommands()) {
        let man = Man::new(command.clone())
            .manual("Counterpart")
            .date(WRITTEN);
        let mut page = Vec::new();
        man.render(&mut page)?;
        // An empty line is a break of its own, beside which others are a fault.
        let page = String::from_utf8_lossy(&page).replace("\n.br\n\n.br\n", "\n.br\n");
        let name = man.get_filename();
        put(&folder.join(&name), page.as_bytes())?;
        written.push(name);
    }
    Ok(written)
}

/// Beside its place, synced, and then into it.
fn put(file: &Path, page: &[u8]) -> io::Result<()> {
    let beside = file.with_extension(format!("{}.part", std::process::id()));
    let placed = File::create_new(&beside)
        .and_then(|mut f| f.write_all(page).and_then(|()| f.sync_all()))
        .and_then(|()| fs::rename(&beside, file));
    if placed.is_err() {
        let _ = fs::remove_file(&beside);
    }
    placed
}

/// What to do when there is no content folder yet, in three lines; nothing when there is one.
pub(crate) fn first_steps(content: &Path) -> Option<String> {
    let missing = content
        .metadata()
        .is_err_and(|e| e.kind() == io::ErrorKind::NotFound);
    let name = content.display();
    let (folder, place) = match content == Path::new("content") {
        true => (String::new(), String::new()),
        false => (format!(" --content {name}"), format!(" {name}")),
    };
    missing.then(|| {
        format!(
            "There is no folder {name} here. If it lies elsewhere, name it: counterpart publish FOLDER\n\
             To begin one with its first object, write: counterpart accession chalice{folder}\n\
             Or do all of it in a browser: counterpart desk{place}"
        )
    })
}

#[cfg(test)]
mod tests {
    use super::*;

    fn sentence(command: &str, what: &str, help: Option<&clap::builder::StyledStr>) {
        let help = help.map(ToString::to_string).unwrap_or_default();
        assert!(
            help.split_whitespace().count() >= 3,
            "{command} {what} is not explained: ‘{help}’"
        );
    }

    #[test]
    fn every_command_and_option_is_explained_and_has_an_example() {
        let mut program = Cli::command();
        program.build();
        program.clone().debug_assert();
        let commands: Vec<_> = program
            .get_subcommands()
            .filter(|c| c.get_name() != "help")
            .collect();
        assert!(commands.len() >= 9);
        for command in commands {
            let name = command.get_name();
            sentence(name, "itself", command.get_about());
            let after = command.get_after_help().map(ToString::to_string);
            let after = after.unwrap_or_default();
            assert!(
                after.contains(&format!("Example: counterpart {name} ")),
                "{name} has no example: ‘{after}’"
            );
            for arg in command.get_arguments() {
                if !["help", "version"].contains(&arg.get_id().as_str()) {
                    sentence(name, arg.get_id().as_str(), arg.get_help());
                }
            }
        }
    }
}
