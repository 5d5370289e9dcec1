//! The words of the command line.

use super::certificates::ListAs;
use super::report::As;
use super::since::SinceAs;
use super::tally::TellAs;
use crate::imposition::Paper;
use crate::job::{Part, Piece};
use crate::people::scope::Scope;
use crate::pieces::{Ink, Selection};
use clap::builder::{EnumValueParser, PossibleValue, TypedValueParser};
use clap::error::ErrorKind;
use clap::{Args, CommandFactory, FromArgMatches, Parser, Subcommand, ValueEnum};
use std::ffi::{OsStr, OsString};
use std::path::{Path, PathBuf};

/// Turns a program's lessons, its facts file and its roster into everything that it prints and
/// shows, and proves that every figure in print agrees with the facts file.
#[derive(Debug, Parser)]
#[command(name = "packstring", version, disable_help_subcommand = true)]
#[command(after_help = "Start with `packstring begin DIR`. Exit codes: 0 nothing is wrong, 1 an \
error was found, 2 the command could not do its work. A warning fails only with --for-press, a note never.")]
pub struct Arguments {
    /// None: what to do next is asked.
    #[command(subcommand)]
    pub command: Option<Command>,
}

#[derive(Debug, Subcommand)]
pub enum Command {
    /// Lay out a new program folder: a short working example with comments
    Begin {
        /// The folder to lay out; it must be empty or not exist yet
        #[arg(value_name = "DIR")]
        folder: PathBuf,
        /// The language of the example: en, or es, also with a country, such as es-MX
        #[arg(long, value_name = "LANGUAGE", default_value = "en", conflicts_with = "from")]
        language: String,
        /// Instead of the example: begin the next season of the program in this folder, and show what is left to do
        #[arg(long, value_name = "OLD")]
        from: Option<PathBuf>,
        /// With --from: the name of the new season, if it is not just a year later
        #[arg(long, value_name = "NAME", requires = "from")]
        season: Option<String>,
    },
    /// Copy the built-in theme, so that you can change its looks
    #[command(
        after_help = "Exit codes: 0 done, 2 the command could not do its work. It never overwrites a file."
    )]
    Theme {
        /// The folder to copy it to, in the program folder: themes/ours
        #[arg(value_name = "DIR")]
        folder: PathBuf,
        /// Copy only these files or folders, separated by commas: sheets/certificate.typ,inks.toml
        #[arg(long, value_delimiter = ',', value_name = "FILES")]
        only: Vec<String>,
    },
    /// Make the pieces: handbook, deck, certificates and the rest
    Make(MakeArguments),
    /// Work with the certificate register: list, check, replace, withdraw
    Certificates(CertificatesAsked),
    /// Read everything as an editor would, and report what is wrong
    Proofread {
        #[command(flatten)]
        program: ProgramFolder,
        /// The format of the findings
        #[arg(long = "as", value_enum, default_value_t = As::Text, value_name = "FORM")]
        tell_as: As,
        /// Use before printing: warnings fail too
        #[arg(long)]
        for_press: bool,
        /// Skip checks that need the layout: slides and sheets that do not fit, letters that no font has
        #[arg(long, conflicts_with_all = ["roster", "reading"])]
        no_layout: bool,
        /// Show how each row of the roster was read, and what could not be read
        #[arg(long)]
        roster: bool,
        /// With --roster: show every row of a long roster, even rows with nothing to report
        #[arg(long, requires = "roster")]
        every_row: bool,
        /// With --roster: fix in the file what is beyond doubt, and change nothing else in it
        #[arg(long, requires = "roster")]
        save: bool,
        /// Only show each lesson's reading level, the words on its slides and the minutes to read it aloud
        #[arg(long, conflicts_with_all = ["for_press", "roster"])]
        reading: bool,
    },
    /// Add up hours, report who earned which award and what to order, and make the season's lists
    #[command(
        after_help = "Makes the tally, the orders, the welcome list, the attendance and the season report. Exit \
codes: 0 nothing is wrong, 1 something about the hours is wrong, 2 the command could not do its work."
    )]
    Tally(TallyArguments),
    /// Score people's answers, and report who passes
    #[command(
        after_help = "Makes private/scores.csv and private/scoring-sheet.pdf. Write right or wrong into the \
column “decision” of scores.csv: it wins, and is kept on the next run. Exit codes: 0 nothing wrong, \
1 something about the answers or decisions is wrong, 2 the command could not do its work."
    )]
    Score(ScoreArguments),
    /// List every figure in a text, with its value, unit and place
    Figures {
        /// The texts to read; - means standard input
        #[arg(value_name = "FILE", required_unless_present = "jsonl", conflicts_with = "jsonl")]
        files: Vec<PathBuf>,
        /// Read {"id","text"} lines from standard input, and write {"id","figures"} lines
        #[arg(long)]
        jsonl: bool,
        /// The language of the texts, as a tag such as es-US or fr
        #[arg(long, value_name = "TAG", default_value = "en")]
        language: String,
    },
    /// Show where a fact comes from, what is worked out from it, and every sentence and piece that quotes it
    Backing {
        #[command(flatten)]
        program: ProgramFolder,
        /// The fact's name in facts.toml
        #[arg(value_name = "FACT", required_unless_present = "due")]
        fact: Option<String>,
        /// List the facts to check against their sources again, soonest first
        #[arg(long)]
        due: bool,
        /// With --due: write the list to an iCalendar file (.ics) instead, with a whole-day entry for each fact
        #[arg(long, value_name = "FILE", requires = "due")]
        calendar: Option<PathBuf>,
    },
    /// Open a page in the browser on this computer: who came, names to mend, sheets to print
    #[command(
        after_help = "The page is for this computer alone. Each change goes to the roster's own file at once and can \
be undone. Close the desk with Ctrl-C."
    )]
    FrontDesk {
        #[command(flatten)]
        program: ProgramFolder,
        /// Where the pieces are [default: `out` in the program folder]
        #[arg(long, value_name = "DIR")]
        into: Option<PathBuf>,
        /// Only print the link, and open no browser
        #[arg(long)]
        no_browser: bool,
    },
    /// Show what changed since an earlier making: which printed pieces are out of date, safety first
    #[command(
        after_help = "OLD is an earlier out folder, its made.json, or the name of a record that `packstring make \
--keep-record NAME` kept. Nothing is made and nothing is changed. Exit codes: 0 all is still good, 1 something is out of \
date, 2 the command could not do its work."
    )]
    Since(SinceArguments),
    /// Show each quoted figure that must change to match the facts file, before and after
    #[command(after_help = "Without --save nothing is changed. With it, only the words of the figures are \
changed, in the form in which they were written: words stay words, digits stay digits.")]
    Restate {
        #[command(flatten)]
        program: ProgramFolder,
        /// Change the figures in the files, and nothing else in them
        #[arg(long)]
        save: bool,
        /// Instead, link each figure to the fact that its sentence names, if the two agree
        #[arg(long)]
        back: bool,
        /// Write the words into every open link […], also where its fact is what it was
        #[arg(long, conflicts_with = "back")]
        fill: bool,
        /// Take back what was saved last; files that were changed since are left alone
        #[arg(long, conflicts_with_all = ["save", "back", "fill"])]
        undo: bool,
    },
    /// Let your shell complete packstring's commands, or write the manual's pages
    #[command(
        after_help = "The shell's own guide says where its completions belong: for bash, for example, packstring \
completions bash > ~/.local/share/bash-completion/completions/packstring"
    )]
    Completions {
        /// The shell
        #[arg(value_enum, required_unless_present = "manual")]
        shell: Option<clap_complete::Shell>,
        /// Instead, write the manual, a page for each command, into this folder
        #[arg(long, value_name = "DIR", conflicts_with = "shell")]
        manual: Option<PathBuf>,
    },
}

#[derive(Debug, Args)]
pub struct ProgramFolder {
    /// The program folder [default: the current folder, or the nearest one above it with program.toml]
    #[arg(long = "program", value_name = "DIR", global = true)]
    pub folder: Option<PathBuf>,
}

#[derive(Debug, Args)]
pub struct CertificatesAsked {
    #[command(subcommand)]
    pub command: CertificatesCommand,
    #[command(flatten)]
    pub program: ProgramFolder,
}

#[derive(Debug, Subcommand)]
pub enum CertificatesCommand {
    /// List the certificates that were given, and say whether each counts
    List {
        /// Only certificates for this event, by its id
        #[arg(long, value_name = "NAME")]
        event: Option<String>,
        /// Only certificates with this name
        #[arg(long, value_name = "NAME")]
        participant: Option<String>,
        /// Only certificates that are valid now and end before this day: the people to ask to renew
        #[arg(long, value_name = "DAY")]
        ends_before: Option<jiff::civil::Date>,
        /// The format of the list
        #[arg(long = "as", value_enum, default_value_t = ListAs::Text, value_name = "FORM")]
        tell_as: ListAs,
    },
    /// Check whether a certificate is genuine and counts; needs no network
    #[command(
        after_help = "Exit codes: 0 all are genuine and count, 1 at least one does not, 2 the command could not do its work."
    )]
    Check {
        /// A number, a certificate's file (.json), the text that a scanner read from the code, or - for standard input
        #[arg(value_name = "WHAT", required = true)]
        what: Vec<String>,
    },
    /// Give a new certificate with a corrected name; it points to the first one
    Replace {
        /// The certificate's number, as printed: K7M3-P2QX
        #[arg(required_unless_present = "event")]
        number: Option<String>,
        /// Instead, replace all certificates of this event (by its id) that differ from program.toml
        #[arg(long, value_name = "NAME", conflicts_with_all = ["number", "name", "companion"])]
        event: Option<String>,
        /// The person's name as it should be printed [default: as the roster now has it]
        #[arg(long, value_name = "NAME")]
        name: Option<String>,
        /// The companion's name; "" means none
        #[arg(long, value_name = "NAME")]
        companion: Option<String>,
    },
    /// Record that a certificate no longer counts, and why
    Withdraw {
        /// The certificate's number, as printed: K7M3-P2QX
        number: String,
        /// The reason; it stays in the register
        #[arg(long, value_name = "WHY")]
        because: String,
    },
    /// Copy the register, its head and the public keys into one file, to store elsewhere
    Keep {
        /// The file of the copy
        #[arg(value_name = "FILE")]
        file: PathBuf,
        /// Instead, restore the program's records from the file
        #[arg(long)]
        restore: bool,
    },
    /// Make the program's signing key, or show its public half
    Key {
        /// Make another key; certificates signed with the first one stay valid
        #[arg(long)]
        new: bool,
        /// With --new: the earlier key is lost and cannot sign the new one
        #[arg(long, requires = "new")]
        lost: bool,
    },
}

/// How pieces are printed, and where they go.
#[derive(Debug, Args)]
pub struct Printing {
    /// Where to put the pieces [default: `out` in the program folder]
    #[arg(long, value_name = "DIR")]
    pub into: Option<PathBuf>,
    /// The paper [default: as in program.toml]
    #[arg(long, value_enum)]
    pub paper: Option<Paper>,
    /// Full color, or black to save ink
    #[arg(long, value_enum, default_value_t = Ink::Color)]
    pub ink: Ink,
}

#[derive(Debug, Args)]
pub struct MakeArguments {
    #[command(flatten)]
    pub program: ProgramFolder,
    /// Only these pieces, separated by commas
    #[arg(long, value_parser = PieceParser, value_delimiter = ',', value_name = "PIECES")]
    pub pieces: Vec<Piece>,
    /// Only pieces for this event, by its id
    #[arg(long, value_name = "NAME")]
    pub event: Option<String>,
    /// Only this person's pieces, by the name on the roster
    #[arg(long, value_name = "NAME")]
    pub participant: Option<String>,
    #[command(flatten)]
    pub printing: Printing,
    /// With --pieces errata: the earlier making that is put right; an out folder, its made.json, or a kept record
    #[arg(long, value_name = "OLD", requires = "pieces")]
    pub since: Option<String>,
    /// The first free label on a half-used sheet, counted along the rows from the top left
    #[arg(long, value_name = "N", value_parser = clap::value_parser!(u32).range(1..))]
    pub start_label: Option<u32>,
    /// Only show what would be made and who would be credited; write nothing
    #[arg(long)]
    pub dry_run: bool,
    /// Also keep a record of what is printed, in records/editions/NAME.json, to compare with later
    #[arg(long, value_name = "NAME", conflicts_with_all = [
        "part", "credit_only", "gather", "specimen", "dry_run", "event", "participant", "pieces",
    ])]
    pub keep_record: Option<String>,
    /// Make only this part of the private shelf; 3/16 is the third of 16 runs
    #[arg(long, value_name = "N/M", conflicts_with_all = ["participant", "specimen"])]
    pub part: Option<Part>,
    /// Only credit people in the register; run this once, before the parts
    #[arg(long, conflicts_with_all = ["part", "pieces", "specimen", "start_label"])]
    pub credit_only: bool,
    /// Bring together the parts in these folders, and report what is missing or doubled
    #[arg(long, value_name = "PARTS", num_args = 1.., conflicts_with_all = [
        "part", "credit_only", "pieces", "event", "participant", "specimen", "start_label", "dry_run", "paper", "ink",
    ])]
    pub gather: Vec<PathBuf>,
    /// Make sample certificates, with "specimen" across them and no number; nobody is credited
    #[arg(long, conflicts_with = "pieces")]
    pub specimen: bool,
}

/// Reads the name of a piece, also with spaces around it, as lists are written: "handbook, deck".
#[derive(Clone)]
struct PieceParser;

impl TypedValueParser for PieceParser {
    type Value = Piece;

    fn parse_ref(
        &self,
        command: &clap::Command,
        argument: Option<&clap::Arg>,
        value: &OsStr,
    ) -> Result<Piece, clap::Error> {
        let trimmed = value.to_str().map_or(value, |value| OsStr::new(value.trim()));
        EnumValueParser::<Piece>::new().parse_ref(command, argument, trimmed)
    }

    fn possible_values(&self) -> Option<Box<dyn Iterator<Item = PossibleValue> + '_>> {
        let names: Vec<_> = Piece::value_variants().iter().filter_map(Piece::to_possible_value).collect();
        Some(Box::new(names.into_iter()))
    }
}

#[derive(Debug, Args)]
pub struct SinceArguments {
    /// What to compare with: an earlier out folder, its made.json, or the name of a record that was kept
    #[arg(value_name = "OLD")]
    pub old: String,
    #[command(flatten)]
    pub program: ProgramFolder,
    /// The format of the report
    #[arg(long = "as", value_enum, default_value_t = SinceAs::Text, value_name = "FORM")]
    pub tell_as: SinceAs,
    /// Write the report to a file too: .xlsx for a spreadsheet, .pdf to print
    #[arg(long, value_name = "FILE")]
    pub to: Vec<PathBuf>,
}

#[derive(Debug, Args)]
pub struct TallyArguments {
    #[command(flatten)]
    pub program: ProgramFolder,
    /// The format of the tally
    #[arg(long = "as", value_enum, default_value_t = TellAs::Text, value_name = "FORM")]
    pub tell_as: TellAs,
    #[command(flatten)]
    pub printing: Printing,
}

#[derive(Debug, Args)]
pub struct ScoreArguments {
    #[command(flatten)]
    pub program: ProgramFolder,
    /// The format of the scores
    #[arg(long = "as", value_enum, default_value_t = TellAs::Text, value_name = "FORM")]
    pub tell_as: TellAs,
    /// Only people who answered at this event, by its id
    #[arg(long, value_name = "NAME")]
    pub event: Option<String>,
    /// Only this person's answers, by the name on the roster
    #[arg(long, value_name = "NAME")]
    pub participant: Option<String>,
    #[command(flatten)]
    pub printing: Printing,
}

impl Arguments {
    /// What stands on the command line of this process. A folder alone, as it comes when one is dropped on the program,
    /// asks for the front desk of it.
    ///
    /// # Errors
    /// A slip, or that help or the version is asked for.
    pub fn from_command_line() -> Result<Self, clap::Error> {
        Self::of_line(std::env::args_os().collect())
    }

    fn of_line(line: Vec<OsString>) -> Result<Self, clap::Error> {
        let command = Self::command();
        if let [_, alone] = line.as_slice()
            && command.get_subcommands().all(|known| alone != known.get_name())
            && Path::new(alone).is_dir()
        {
            let (program, into) = (ProgramFolder { folder: Some(alone.into()) }, None);
            return Ok(Self { command: Some(Command::FrontDesk { program, into, no_browser: false }) });
        }
        let matches = command.try_get_matches_from(&line).or_else(|error| match error.kind() {
            // The pages are set only for who asks for one.
            ErrorKind::DisplayHelp => super::help::command().try_get_matches_from(&line),
            _ => Err(error),
        });
        Self::from_arg_matches(&matches?)
    }
}

impl ScoreArguments {
    pub fn selection(&self) -> Selection {
        Selection {
            pieces: vec![Piece::Scores],
            scope: Scope { event: self.event.clone(), participant: self.participant.clone() },
            paper: self.printing.paper,
            ink: self.printing.ink,
            ..Selection::default()
        }
    }
}

impl MakeArguments {
    pub fn selection(&self) -> Selection {
        Selection {
            pieces: if self.specimen { vec![Piece::Certificates] } else { self.pieces.clone() },
            scope: Scope { event: self.event.clone(), participant: self.participant.clone() },
            paper: self.printing.paper,
            ink: self.printing.ink,
            start_label: self.start_label,
            trial: self.dry_run,
            specimen: self.specimen,
            ..Selection::default()
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_folder_dropped_on_the_program_opens_its_front_desk() {
        let place = tempfile::tempdir().unwrap();
        let dropped = |path: &Path| Arguments::of_line(vec!["packstring".into(), path.into()]);
        let asked = dropped(place.path()).unwrap().command;
        let Some(Command::FrontDesk { program, no_browser, .. }) = asked else { panic!("{asked:?}") };
        assert_eq!((program.folder.as_deref(), no_browser), (Some(place.path()), false));
        assert!(dropped(&place.path().join("gone")).is_err());
        assert!(matches!(dropped(Path::new("theme")), Err(error) if error.to_string().contains("DIR")));
    }
}
