//! Questions on a terminal. An empty answer means: later.

use counterpart::messages::Messages;
use counterpart::record::{Lang, Localised};
use std::io::{self, BufRead, IsTerminal, Write};

/// Asks, if somebody is there to answer.
pub(crate) struct Asker {
    messages: &'static Messages,
    live: bool,
    greeted: bool,
}

impl Asker {
    pub(crate) fn new(quiet: bool, messages: &'static Messages) -> Self {
        Self {
            messages,
            live: !quiet && io::stdin().is_terminal() && io::stderr().is_terminal(),
            greeted: false,
        }
    }

    /// One question; none when nobody answers it.
    pub(crate) fn ask(&mut self, question: &str) -> Option<String> {
        if !self.live {
            return None;
        }
        let mut out = io::stderr();
        if !std::mem::replace(&mut self.greeted, true) {
            let _ = writeln!(
                out,
                "{}",
                self.messages.say("An empty answer means: later.")
            );
        }
        let _ = write!(out, "{} ", self.messages.say(question));
        let _ = out.flush();
        let mut line = String::new();
        match io::stdin().lock().read_line(&mut line) {
            // The end of the answers: no more questions.
            Ok(0) | Err(_) => self.live = false,
            Ok(_) => {}
        }
        Some(line.trim().to_owned()).filter(|answer| !answer.is_empty())
    }

    /// The same question in every language that has no answer yet.
    pub(crate) fn in_each(&mut self, question: &str, languages: &[Lang], texts: &mut Localised) {
        for lang in languages {
            if !texts.0.contains_key(lang)
                && let Some(answer) = self.ask(&format!("{question}, in {lang}?"))
            {
                texts.0.insert(lang.clone(), answer);
            }
        }
    }

    /// The languages of a new site.
    pub(crate) fn languages(&mut self) -> Vec<Lang> {
        while let Some(answer) =
            self.ask("In which languages, the first one first? For example: en cy")
        {
            let tags = answer.split([' ', ',']).filter(|t| !t.is_empty());
            match tags.map(str::parse).collect::<Result<Vec<Lang>, String>>() {
                Ok(languages) => return languages,
                Err(why) => drop(writeln!(io::stderr(), "{}", self.messages.say(&why))),
            }
        }
        Vec::new()
    }
}
