//! In which language the program speaks, and its help in that language.

use clap::{Arg, ArgAction, Command};
use counterpart::messages::{Messages, by_locale};
use std::env;

/// The messages that are asked for: by `--language`, or else by the locale of the system. They are wanted before the
/// command line is read, since its help is told in them; an unknown language is refused when it is read.
pub(crate) fn messages() -> &'static Messages {
    let mut words = env::args_os().filter_map(|word| word.into_string().ok());
    let mut asked = None;
    while let Some(word) = words.next() {
        match word.strip_prefix("--language") {
            Some("") => asked = words.next(),
            Some(tag) => asked = tag.strip_prefix('=').map(str::to_owned),
            None => {}
        }
    }
    let locale = || by_locale(|name| env::var(name).ok()).to_owned();
    Messages::of(&asked.unwrap_or_else(locale)).unwrap_or_else(Messages::english)
}

/// The declared commands with their help in another language. What the parser itself says (why a command line
/// cannot be read, defaults and possible values) stays English.
pub(crate) fn in_language(command: Command, messages: &Messages) -> Command {
    if messages.are_english() {
        return command;
    }
    told(command.disable_help_subcommand(true), messages, true)
}

fn told(command: Command, messages: &Messages, first: bool) -> Command {
    let say = |english: &str| messages.say(english).into_owned();
    let texts = [
        command.get_about(),
        command.get_long_about(),
        command.get_after_help(),
    ];
    let [about, long, after] = texts.map(|text| text.map(|t| say(&t.to_string())));
    let print = |id: &'static str, short, action, english| {
        let arg = Arg::new(id).short(short).long(id).action(action);
        arg.help(say(english)).help_heading(say("Options"))
    };
    let mut command = command
        .mut_args(|arg| argument(arg, messages))
        .mut_subcommands(|command| told(command, messages, false))
        .subcommand_help_heading(say("Commands"))
        .help_template(format!(
            "{{before-help}}{{about-with-newline}}\n{}: {{usage}}\n\n{{all-args}}{{after-help}}",
            say("Usage")
        ))
        .disable_help_flag(true)
        .arg(print("help", 'h', ArgAction::Help, "Print help"));
    if first {
        command = command.disable_version_flag(true).arg(print(
            "version",
            'V',
            ArgAction::Version,
            "Print version",
        ));
    }
    if let Some(text) = about {
        command = command.about(text);
    }
    if let Some(text) = long {
        command = command.long_about(text);
    }
    if let Some(text) = after {
        command = command.after_help(text);
    }
    command
}

fn argument(arg: Arg, messages: &Messages) -> Arg {
    let heading = if arg.is_positional() {
        "Arguments"
    } else {
        "Options"
    };
    let help = arg
        .get_help()
        .map(|text| messages.say(&text.to_string()).into_owned());
    let long = arg
        .get_long_help()
        .map(|text| messages.say(&text.to_string()).into_owned());
    let mut arg = arg.help_heading(messages.say(heading).into_owned());
    if let Some(text) = help {
        arg = arg.help(text);
    }
    if let Some(text) = long {
        arg = arg.long_help(text);
    }
    arg
}
