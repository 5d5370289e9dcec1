//! `--help`, set in the house's own way: what a command is for, how it is written, and what may stand behind it, each
//! with its words beneath. The argument parser knows the commands; here they are only put on the page.

use super::arguments::Arguments;
use super::report::{self, WIDTH};
use clap::builder::styling::Style;
use clap::{Arg, ArgAction, Command, CommandFactory};

/// The commands by what somebody comes for.
const ERRANDS: [(&str, &[&str]); 5] = [
    ("To begin", &["begin", "theme"]),
    ("To print", &["make", "certificates"]),
    ("To know that it is right", &["proofread", "figures", "backing", "restate", "since"]),
    ("At an event, and after it", &["front-desk", "score", "tally"]),
    ("To set up the computer", &["completions"]),
];

const BOLD: Style = Style::new().bold();

/// The command line with its pages of help.
pub fn command() -> Command {
    let command = Arguments::command();
    let page = front_page(&command);
    command.override_help(page).mut_subcommands(|command| with_page(command, "packstring", &[]))
}

/// A command and those below it with their pages. `shared`: what may stand behind any of them.
fn with_page(command: Command, above: &str, shared: &[Arg]) -> Command {
    let name = format!("{above} {}", command.get_name());
    let inherited: Vec<Arg> = shared.iter().cloned().chain(shared_by(&command)).collect();
    let page = page(&command, &name, shared);
    command.override_help(page).mut_subcommands(|command| with_page(command, &name, &inherited))
}

fn shared_by(command: &Command) -> impl Iterator<Item = Arg> {
    command.get_arguments().filter(|argument| argument.is_global_set()).cloned()
}

fn front_page(command: &Command) -> String {
    let mut page = Page::default();
    page.words(0, &format!("packstring t{}.", about(command).trim_start_matches('T')));
    for (errand, names) in ERRANDS {
        page.heading(errand);
        page.commands(names.iter().filter_map(|name| command.find_subcommand(name)));
    }
    page.gap();
    page.words(0, "“packstring make --help” says more of make, and so with every command. “packstring --version” says which packstring this is.");
    page.words(0, &command.get_after_help().map(ToString::to_string).unwrap_or_default());
    page.text
}

fn page(command: &Command, name: &str, shared: &[Arg]) -> String {
    let mut page = Page::default();
    page.text += &format!("{BOLD}{name}{BOLD:#}\n");
    page.words(2, &sentence(&about(command)));
    if let Some(more) = command.get_after_help() {
        page.words(2, &more.to_string());
    }
    let seen = |argument: &&Arg| !argument.is_hide_set();
    let (named, options): (Vec<&Arg>, Vec<&Arg>) =
        command.get_arguments().chain(shared).filter(seen).partition(|argument| argument.is_positional());
    page.heading("Write");
    let mut line = name.to_owned();
    named.iter().for_each(|argument| line += &format!(" {}", place(argument)));
    if command.has_subcommands() {
        line += " and one of:";
        page.words(2, &line);
        page.commands(command.get_subcommands());
    } else {
        page.words(2, &line);
    }
    named.iter().for_each(|argument| page.beneath(&place(argument), &explained(argument)));
    if !options.is_empty() {
        page.heading("And behind it, as needed");
        options.iter().for_each(|argument| page.beneath(&option(argument), &explained(argument)));
    }
    page.text
}

/// `NUMBER`, `[FILE]…`
fn place(argument: &Arg) -> String {
    let name = value_name(argument);
    let more = if argument.get_num_args().is_some_and(|count| count.max_values() > 1)
        || matches!(argument.get_action(), ArgAction::Append)
    {
        "…"
    } else {
        ""
    };
    if argument.is_required_set() { format!("{name}{more}") } else { format!("[{name}]{more}") }
}

/// `--paper SIZE`
fn option(argument: &Arg) -> String {
    let mut shown = format!("--{}", argument.get_long().unwrap_or_default());
    if argument.get_action().takes_values() {
        shown += &format!(" {}", value_name(argument));
    }
    shown
}

fn value_name(argument: &Arg) -> String {
    let names = argument.get_value_names().unwrap_or_default();
    let own = names.first().map_or_else(|| argument.get_id().as_str(), |name| name.as_str());
    own.to_uppercase().replace('_', "-")
}

/// What an argument is for, what it may be, and what holds without it.
fn explained(argument: &Arg) -> String {
    let help = argument.get_help().map(ToString::to_string).unwrap_or_default();
    let (help, without) = match help.trim_end_matches(']').split_once(" [default: ") {
        Some((help, without)) => (help.to_owned(), Some(without.replace('`', ""))),
        None => (help, None),
    };
    let mut words = sentence(&help);
    let choices: Vec<String> = match argument.get_action().takes_values() {
        true => argument.get_possible_values().iter().map(|value| value.get_name().to_owned()).collect(),
        false => Vec::new(),
    };
    if !choices.is_empty() {
        words += &format!(" It may be: {}.", choices.join(", "));
    }
    let default = argument.get_default_values().first().map(|value| value.to_string_lossy().into_owned());
    let is_switch = !argument.get_action().takes_values();
    if let Some(without) = without.or(default.filter(|_| !is_switch)) {
        words += &format!(" Without it: {without}.");
    }
    words
}

/// What a command is for.
fn about(command: &Command) -> String {
    command.get_about().map(ToString::to_string).unwrap_or_default()
}

fn sentence(words: &str) -> String {
    if words.is_empty() || words.ends_with(['.', '!', '?']) { words.to_owned() } else { format!("{words}.") }
}

#[derive(Default)]
struct Page {
    text: String,
}

impl Page {
    fn gap(&mut self) {
        self.text.push('\n');
    }

    fn heading(&mut self, words: &str) {
        self.gap();
        self.text += &format!("{BOLD}{words}{BOLD:#}\n");
    }

    fn words(&mut self, indent: usize, words: &str) {
        for line in report::wrapped(words, WIDTH - indent) {
            self.text += &format!("{:indent$}{line}\n", "");
        }
    }

    /// A term, and its words beneath it.
    fn beneath(&mut self, term: &str, words: &str) {
        self.text += &format!("  {term}\n");
        self.words(6, words);
    }

    fn commands<'c>(&mut self, commands: impl Iterator<Item = &'c Command>) {
        commands.for_each(|command| self.beside(command.get_name(), &about(command)));
    }

    /// A term, and its words in a column of their own.
    fn beside(&mut self, term: &str, words: &str) {
        const COLUMN: usize = 16;
        let lines = report::wrapped(words, WIDTH - COLUMN);
        for (at, line) in lines.iter().enumerate() {
            let term = if at == 0 { term } else { "" };
            self.text += &format!("  {term:width$}{line}\n", width = COLUMN - 2);
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use std::collections::BTreeSet;

    #[test]
    fn every_command_stands_on_the_front_page_once() {
        let listed: Vec<&str> = ERRANDS.iter().flat_map(|(_, names)| *names).copied().collect();
        let all: BTreeSet<String> =
            Arguments::command().get_subcommands().map(|command| command.get_name().to_owned()).collect();
        assert_eq!(listed.iter().map(|name| (*name).to_owned()).collect::<BTreeSet<_>>(), all);
        assert_eq!(listed.len(), all.len());
    }

    /// All pages, of commands below commands too.
    fn pages(command: &Command, all: &mut Vec<String>) {
        let mut command = command.clone();
        all.push(command.render_help().to_string());
        command.get_subcommands().for_each(|command| pages(command, all));
    }

    #[test]
    fn pages_are_the_houses_own_and_fit_a_narrow_window() {
        let mut all = Vec::new();
        pages(&command(), &mut all);
        assert!(all.len() > 15, "{}", all.len());
        for page in &all {
            assert!(
                !page.contains("Usage:") && !page.contains("Options:") && !page.contains("[default"),
                "{page}"
            );
            assert!(page.lines().all(|line| line.chars().count() <= WIDTH), "{page}");
        }
        let make = all.iter().find(|page| page.starts_with("packstring make")).unwrap();
        let words = make.split_whitespace().collect::<Vec<_>>().join(" ");
        for wanted in [
            "--program DIR The program folder.",
            "--ink INK Full color",
            "It may be: color, black. Without it: color.",
        ] {
            assert!(words.contains(wanted), "{wanted}: {make}");
        }
        let list = all.iter().find(|page| page.starts_with("packstring certificates list")).unwrap();
        assert!(list.contains("--program DIR"), "what is shared stands on each page: {list}");
    }

    #[test]
    fn the_parser_finds_no_fault_with_it() {
        command().debug_assert();
    }
}
