//! The comparison in lines, for reading: first what endangers people, then the rest, then every piece.

use crate::commands::report::{counted, labelled, plain};
use crate::since::{Change, Comparison, FactChange, Level, PieceNow, QuestionChange, Stands, Verdict};
use clap::builder::styling::Style;
use std::io::{self, Write};

pub(super) fn write(told: &Comparison, bold: bool, out: &mut dyn Write) -> io::Result<()> {
    let mut teller = Teller { told, bold, out };
    teller.facts()?;
    teller.changes()?;
    teller.answers()?;
    teller.translations()?;
    teller.pieces()?;
    teller.private()?;
    teller.closing()
}

struct Teller<'t> {
    told: &'t Comparison,
    bold: bool,
    out: &'t mut dyn Write,
}

/// The heads under which changes are told.
pub(super) fn head(level: Level) -> &'static str {
    match level {
        Level::Safety => "Reprint, safety: a safety fact changed",
        Level::Figure => "Reprint: another figure changed",
        Level::Words => "Words only",
        Level::Date => "Dates only: these make no piece out of date",
    }
}

/// What a verdict says of a piece.
pub(super) fn verdict(verdict: Verdict) -> &'static str {
    match verdict {
        Verdict::ReprintSafety => "Reprint, safety",
        Verdict::Reprint => "Reprint",
        Verdict::Words => "Words only",
        Verdict::New => "New",
        Verdict::Gone => "Gone",
        Verdict::Good => "Still good",
    }
}

/// What became of a question.
pub(super) fn question(change: QuestionChange) -> &'static str {
    match change {
        QuestionChange::Key => "another answer is right",
        QuestionChange::Choices => "the choices changed",
        QuestionChange::Number => "it has another number",
        QuestionChange::New => "the question is new",
        QuestionChange::Gone => "the question is gone",
    }
}

/// `pages 4 and 31`
fn pages(pages: &[usize]) -> String {
    let pages: Vec<String> = pages.iter().map(usize::to_string).collect();
    match pages.as_slice() {
        [] => String::new(),
        [page] => format!(", page {page}"),
        [first @ .., last] => format!(", pages {} and {last}", first.join(", ")),
    }
}

/// `Handbook (handbook.pdf), page 4`; pages of the site are only counted.
fn places(stands: &[Stands]) -> Vec<String> {
    let on_paper = stands.iter().filter(|stands| !stands.on_screen);
    let mut places: Vec<String> = on_paper
        .map(|stands| format!("{} ({}){}", stands.piece, stands.path, pages(&stands.pages)))
        .collect();
    let screens = stands.iter().filter(|stands| stands.on_screen).count();
    if screens > 0 {
        places.push(format!("{} of the site", counted(screens, "page")));
    }
    places
}

/// Whether a sentence stands on paper at all.
fn is_on_paper(change: &&Change) -> bool {
    change.stands.iter().any(|stands| !stands.on_screen)
}

impl Teller<'_> {
    fn head(&mut self, words: &str) -> io::Result<()> {
        let style = if self.bold { Style::new().bold() } else { Style::new() };
        writeln!(self.out, "{style}{words}{style:#}\n")
    }

    fn line(&mut self, label: &str, words: &str) -> io::Result<()> {
        labelled(self.out, self.bold, label, &plain(words))
    }

    fn facts(&mut self) -> io::Result<()> {
        let asked: Vec<&FactChange> = self.told.facts.iter().filter(|fact| fact.asked).collect();
        if asked.is_empty() {
            return Ok(());
        }
        self.head("Is this right? The value changed, but its source and the day it was checked did not")?;
        for fact in asked {
            self.line("Fact", &name(fact))?;
            self.line("Was", &fact.was)?;
            self.line("Now", fact.now.as_deref().unwrap_or("(gone)"))?;
            self.line("Source", fact.source.as_deref().unwrap_or("none"))?;
            writeln!(self.out)?;
        }
        Ok(())
    }

    fn changes(&mut self) -> io::Result<()> {
        let mut last = None;
        for change in self.told.changes.iter().filter(is_on_paper) {
            if last != Some(change.level) {
                self.head(head(change.level))?;
                last = Some(change.level);
            }
            self.change(change)?;
            writeln!(self.out)?;
        }
        let screens = self.told.changes.len() - self.told.changes.iter().filter(is_on_paper).count();
        if screens > 0 {
            let more = counted(screens, "more change");
            writeln!(self.out, "{more} on the site alone; `--as json` and a workbook list them.\n")?;
        }
        Ok(())
    }

    fn change(&mut self, change: &Change) -> io::Result<()> {
        if let Some(file) = &change.file {
            let section = change.section.as_ref().map_or_else(String::new, |section| format!("#{section}"));
            let signal =
                change.signal.as_ref().map_or_else(String::new, |signal| format!(", in a {signal} box"));
            self.line("Lesson", &format!("{file}{section}{signal}"))?;
        }
        if change.not_restated {
            self.line("Says still", change.was.as_deref().unwrap_or_default())?;
        } else {
            self.line("Was", change.was.as_deref().unwrap_or("(nothing: this is new)"))?;
            self.line("Now", change.now.as_deref().unwrap_or("(nothing: this is gone)"))?;
        }
        for name in &change.facts {
            let facts: Vec<String> =
                self.told.facts.iter().filter(|fact| fact.name == *name).map(was_now).collect();
            match facts.as_slice() {
                [] => self.line("Fact", name)?,
                facts => facts.iter().try_for_each(|fact| self.line("Fact", fact))?,
            }
        }
        if self.told.pieces.iter().any(|piece| piece.edition != self.told.pieces[0].edition) {
            self.line("Edition", &change.edition)?;
        }
        for (at, place) in places(&change.stands).iter().enumerate() {
            self.line(if at == 0 { "In" } else { "" }, place)?;
        }
        if change.not_restated {
            self.line("Mend", "`packstring restate --save` writes the new figure")?;
        }
        Ok(())
    }

    fn answers(&mut self) -> io::Result<()> {
        if self.told.answers.is_empty() {
            return Ok(());
        }
        self.head("Answer keys: old question sheets no longer fit the new key")?;
        for answer in &self.told.answers {
            let version = format!("version {}, {}", answer.version, answer.edition);
            self.line("Question", &format!("{} ({version}): {}", answer.question, question(answer.change)))?;
            let none = |words: &str| {
                if words.is_empty() { "(no choice agrees)".to_owned() } else { words.to_owned() }
            };
            if let Some(was) = &answer.was {
                self.line("Was", &none(was))?;
            }
            if let Some(now) = &answer.now {
                self.line("Now", &none(now))?;
            }
            writeln!(self.out)?;
        }
        Ok(())
    }

    fn translations(&mut self) -> io::Result<()> {
        if self.told.translate_again.is_empty() {
            return Ok(());
        }
        self.head("Translate again: the main text changed, its translation did not")?;
        for text in &self.told.translate_again {
            writeln!(self.out, "  {}  {}", text.edition, text.text)?;
        }
        writeln!(self.out)
    }

    fn pieces(&mut self) -> io::Result<()> {
        self.head("Pieces")?;
        let list: Vec<&PieceNow> =
            self.told.pieces.iter().filter(|piece| piece.verdict != Verdict::Good).collect();
        let paper = list.iter().filter(|piece| !piece.on_screen);
        for piece in paper {
            let changes = match piece.verdict {
                Verdict::New | Verdict::Gone => String::new(),
                _ => format!(": {}", counted(piece.changes + piece.pictures.len(), "change")),
            };
            writeln!(
                self.out,
                "  {:16} {} ({}/{}){changes}",
                verdict(piece.verdict),
                piece.piece,
                piece.shelf,
                plain(&piece.path)
            )?;
            for picture in &piece.pictures {
                writeln!(self.out, "  {:16}   another picture: {}", "", plain(picture))?;
            }
        }
        let screens = list.iter().filter(|piece| piece.on_screen).count();
        if screens > 0 {
            let files = counted(screens, "page");
            writeln!(
                self.out,
                "  {:16} {files} of the site: make again, and put the site on its server",
                "On screens"
            )?;
        }
        let good = self.told.pieces.iter().filter(|it| it.verdict == Verdict::Good && !it.on_screen).count();
        if good > 0 {
            writeln!(self.out, "  {:16} {}", verdict(Verdict::Good), counted(good, "other printed file"))?;
        }
        writeln!(self.out)
    }

    fn private(&mut self) -> io::Result<()> {
        let others: Vec<_> =
            self.told.private.iter().filter(|it| it.same < it.now || it.same < it.was).collect();
        if others.is_empty() {
            return Ok(());
        }
        self.head("Private shelf: sheets that would differ")?;
        for it in others {
            writeln!(
                self.out,
                "  {:20} {} of {} (there were {})",
                it.piece,
                it.now - it.same,
                it.now,
                it.was
            )?;
        }
        writeln!(self.out)
    }

    fn closing(&mut self) -> io::Result<()> {
        let told = self.told;
        if told.season_was != told.season_now {
            writeln!(
                self.out,
                "The season was {} and is {}: {} differ in that alone.",
                plain(&told.season_was),
                plain(&told.season_now),
                counted(told.only_season, "sentence")
            )?;
        }
        if told.only_page > 0 {
            writeln!(
                self.out,
                "{} moved to another page and did not change.",
                counted(told.only_page, "sentence")
            )?;
        }
        let count = |verdict: Verdict| {
            told.pieces.iter().filter(|piece| piece.verdict == verdict && !piece.on_screen).count()
        };
        let files = |verdict| counted(count(verdict), "printed file");
        if told.is_clear() {
            return writeln!(self.out, "All printed pieces are still good.");
        }
        writeln!(
            self.out,
            "{} out of date for safety, {} for another figure, {} for words; {} new, {} gone, {} still good.",
            files(Verdict::ReprintSafety),
            count(Verdict::Reprint),
            count(Verdict::Words),
            count(Verdict::New),
            count(Verdict::Gone),
            count(Verdict::Good)
        )
    }
}

fn name(fact: &FactChange) -> String {
    match &fact.at {
        Some(event) => format!("{} at {event}", fact.name),
        None => fact.name.clone(),
    }
}

/// `lead-length: was at most 6 ft, now at most 8 ft`
fn was_now(fact: &FactChange) -> String {
    match &fact.now {
        // All of a table would hide what changed in it.
        Some(_) if fact.was.contains(" | ") => format!("{}: its table changed", name(fact)),
        Some(now) => format!("{}: was {}, now {now}", name(fact), fact.was),
        None => format!("{}: was {}, now gone", name(fact), fact.was),
    }
}
