//! What differs between what was printed and what would be printed now, the dangerous first.
//!
//! Piece by piece the sentences of both are brought together ([`super::pairs`]). One that is another now is as
//! dangerous as what changed in it: a safety fact, another figure, or words. One that is the same may be wrong all the
//! same: its fact changed, and nobody restated it. The season's name, the days of events and pages are told apart.

use super::facts::{Changed, Facts};
use super::pairs::{Pair, Side, pairs};
use super::record::{EditionThen, PieceThen, PrintRecord, QuestionThen, SentenceThen};
use super::said::Quoted;
use super::told::{
    AnswersChange, Change, Comparison, FORMAT, Level, OnShelf, PieceNow, QuestionChange, Stands,
    TranslateAgain, Verdict,
};
use crate::job::file_name;
use crate::quantity::{Limit, Quantity};
use crate::understand::Understood;
use std::collections::{BTreeMap, BTreeSet, HashMap};

/// Compares an old record with that of the program as it is planned now; `title` names a piece by its key.
pub fn compare(
    old: &PrintRecord,
    now: &PrintRecord,
    understood: &Understood,
    title: &dyn Fn(&str) -> String,
) -> Comparison {
    let facts = Facts::of(old, understood);
    let mut comparer = Comparer {
        old,
        now,
        facts: &facts,
        title,
        changes: Vec::new(),
        places: HashMap::new(),
        pieces: Vec::new(),
        only_season: 0,
        only_page: 0,
        understood,
    };
    let all = std::iter::once(understood).chain(&understood.editions);
    for edition in all {
        comparer.edition(edition);
    }
    comparer.editions_gone();
    let Comparer { mut changes, mut pieces, only_season, only_page, .. } = comparer;
    changes.sort_by_key(|change| (change.level, change.signal.is_none(), change.file.is_none()));
    pieces.sort_by_key(|piece| (piece.verdict, piece.on_screen));
    Comparison {
        format: FORMAT,
        season_was: old.season.clone(),
        season_now: now.season.clone(),
        only_season,
        only_page,
        facts: facts.told(),
        changes,
        pieces,
        answers: answers(old, now),
        translate_again: translate_again(old, now),
        private: private(old, now, title),
    }
}

struct Comparer<'c> {
    old: &'c PrintRecord,
    now: &'c PrintRecord,
    understood: &'c Understood<'c>,
    facts: &'c Facts<'c>,
    title: &'c dyn Fn(&str) -> String,
    changes: Vec<Change>,
    /// Where each change stands among them.
    places: HashMap<Key, usize>,
    pieces: Vec<PieceNow>,
    only_season: usize,
    only_page: usize,
}

/// Changes that are told once, wherever they stand.
type Key = (Level, String, Option<String>, Option<String>, Option<String>, Vec<String>, bool);

/// A piece's file in both records.
struct Both<'b> {
    edition: &'b Understood<'b>,
    old: &'b EditionThen,
    now: &'b EditionThen,
    was: &'b PieceThen,
    is: &'b PieceThen,
    /// The event whose own file it is.
    event: Option<&'b str>,
}

impl Comparer<'_> {
    fn edition(&mut self, edition: &Understood) {
        let language = &edition.content.settings.language;
        let (old, now) = (self.old.edition(language), self.now.edition(language));
        let Some(now) = now else { return };
        let none = Vec::new();
        let olds = old.map_or(&none, |old| &old.pieces);
        let by_path: BTreeMap<(&str, &str), &PieceThen> =
            olds.iter().map(|piece| ((&*piece.shelf, &*piece.path), piece)).collect();
        let mut seen = BTreeSet::new();
        for is in &now.pieces {
            let which = (&*is.shelf, &*is.path);
            match (old, by_path.get(&which)) {
                (Some(old), Some(was)) => {
                    seen.insert(which);
                    let event = self.event_of(&is.path);
                    let both = Both { edition, old, now, was, is, event: event.as_deref() };
                    self.piece(&both);
                }
                _ => self.told(language, is, Verdict::New, 0, Vec::new()),
            }
        }
        for was in olds.iter().filter(|was| !seen.contains(&(&*was.shelf, &*was.path))) {
            self.told(language, was, Verdict::Gone, 0, Vec::new());
        }
    }

    /// Editions of which the program has none any more.
    fn editions_gone(&mut self) {
        for edition in &self.old.editions {
            if self.now.edition(&edition.language).is_none() {
                for was in &edition.pieces {
                    self.told(&edition.language, was, Verdict::Gone, 0, Vec::new());
                }
            }
        }
    }

    fn event_of(&self, path: &str) -> Option<String> {
        let mut parts = path.split('/').map(|part| part.rsplit_once('.').map_or(part, |(stem, _)| stem));
        let events = &self.understood.content.settings.events;
        parts
            .find_map(|part| events.iter().find(|event| file_name::of_id(&event.id) == part))
            .map(|it| it.id.clone())
    }

    fn told(
        &mut self,
        language: &str,
        piece: &PieceThen,
        verdict: Verdict,
        changes: usize,
        pictures: Vec<String>,
    ) {
        self.pieces.push(PieceNow {
            verdict,
            edition: language.to_owned(),
            piece: (self.title)(&piece.piece),
            key: piece.piece.clone(),
            shelf: piece.shelf.clone(),
            path: piece.path.clone(),
            on_screen: is_on_screen(&piece.path),
            pages: piece.pages,
            changes,
            pictures,
        });
    }

    fn piece(&mut self, both: &Both) {
        // What pages left out is brought together too, so that it is not taken for new.
        let with_left_out = |piece: &PieceThen| -> Vec<(usize, Vec<usize>)> {
            let left_out = piece.left_out.iter().map(|at| (*at, Vec::new()));
            piece.says.iter().map(|said| (said.at, said.on.clone())).chain(left_out).collect()
        };
        let (olds, news) = (with_left_out(both.was), with_left_out(both.is));
        let is_left_out = |from: usize| from >= both.was.says.len();
        let old: Vec<&SentenceThen> = olds.iter().map(|(at, _)| &both.old.sentences[*at]).collect();
        let new: Vec<&SentenceThen> = news.iter().map(|(at, _)| &both.now.sentences[*at]).collect();
        let plain = |sentence: &SentenceThen, side: Side| self.plain(sentence, side);
        let paired = pairs(&old, &new, &plain);
        let mut found: BTreeSet<usize> = BTreeSet::new();
        let mut worst = None;
        for pair in paired {
            let (was, is, pages) = match pair {
                Pair::Same(from, _) | Pair::Reworded(from, _) | Pair::Gone(from) if is_left_out(from) => {
                    continue;
                }
                Pair::Same(from, to) => {
                    self.same((old[from], new[to]), (&olds[from].1, &news[to].1));
                    (Some(old[from]), Some(new[to]), olds[from].1.clone())
                }
                Pair::Reworded(from, to) => (Some(old[from]), Some(new[to]), olds[from].1.clone()),
                Pair::Gone(from) => (Some(old[from]), None, olds[from].1.clone()),
                Pair::New(to) => (None, Some(new[to]), Vec::new()),
            };
            let weighed = match (pair, was) {
                (Pair::Same(..), Some(was)) => not_restated(self.facts, both, was),
                _ => Some(weigh(self.facts, both, was, is)),
            };
            if let Some(weighed) = weighed {
                worst = worst.into_iter().chain([weighed.level]).min();
                found.insert(self.note(both, was, is, weighed, pages));
            }
        }
        let pictures: Vec<String> = both
            .is
            .pictures
            .iter()
            .filter(|(file, mark)| both.was.pictures.get(*file).is_none_or(|was| was != *mark))
            .map(|(file, _)| file.clone())
            .collect();
        let verdict = match worst {
            Some(Level::Safety) => Verdict::ReprintSafety,
            Some(Level::Figure) => Verdict::Reprint,
            Some(Level::Words) => Verdict::Words,
            None | Some(Level::Date) if !pictures.is_empty() => Verdict::Words,
            None | Some(Level::Date) => Verdict::Good,
        };
        let mut piece = both.is.clone();
        piece.pages = both.was.pages;
        self.told(&both.edition.content.settings.language, &piece, verdict, found.len(), pictures);
    }

    /// Counts what is told apart.
    fn same(&mut self, (was, is): (&SentenceThen, &SentenceThen), (before, after): (&[usize], &[usize])) {
        if was.says != is.says {
            self.only_season += 1;
        } else if !before.is_empty() && !after.is_empty() && before != after {
            self.only_page += 1;
        }
    }

    /// Words without the season's name, by which sentences of two seasons are the same.
    fn plain(&self, sentence: &SentenceThen, side: Side) -> String {
        let season = match side {
            Side::Old => &self.old.season,
            Side::New => &self.now.season,
        };
        match season.trim() {
            "" => sentence.says.clone(),
            season => sentence.says.replace(season, "\u{fffc}"),
        }
    }

    fn note(
        &mut self,
        both: &Both,
        was: Option<&SentenceThen>,
        is: Option<&SentenceThen>,
        weighed: Weighed,
        pages: Vec<usize>,
    ) -> usize {
        let stands = Stands {
            piece: (self.title)(&both.is.piece),
            key: both.is.piece.clone(),
            path: both.is.path.clone(),
            on_screen: is_on_screen(&both.is.path),
            pages,
        };
        let at = is.or(was);
        let language = both.edition.content.settings.language.clone();
        let says = |sentence: Option<&SentenceThen>| sentence.map(|sentence| sentence.says.clone());
        let lesson = at.and_then(|at| at.lesson.as_deref());
        let lesson = lesson.and_then(|id| both.edition.lesson(id)).map(|lesson| lesson.file.to_string());
        let Weighed { level, facts, not_restated } = weighed;
        let key = (level, language.clone(), says(was), says(is), lesson.clone(), facts.clone(), not_restated);
        let place = *self.places.entry(key).or_insert(self.changes.len());
        if place == self.changes.len() {
            self.changes.push(Change {
                level,
                edition: language,
                was: says(was),
                now: says(is),
                file: lesson,
                section: at.and_then(|at| at.section.clone()),
                signal: None,
                facts,
                not_restated,
                stands: Vec::new(),
            });
        }
        let change = &mut self.changes[place];
        change.signal = change.signal.take().or_else(|| at.and_then(|at| at.signal.clone()));
        match change.stands.iter_mut().find(|known| known.path == stands.path) {
            Some(known) => {
                known.pages.extend(stands.pages);
                known.pages.sort_unstable();
                known.pages.dedup();
            }
            None => change.stands.push(stands),
        }
        place
    }
}

/// Whether a file is for screens: what is printed is a PDF or a list.
fn is_on_screen(path: &str) -> bool {
    ![".pdf", ".csv", ".xlsx"].iter().any(|ending| path.ends_with(ending))
}

/// How dangerous a change is, and by which facts.
struct Weighed {
    level: Level,
    facts: Vec<String>,
    not_restated: bool,
}

/// A sentence that is printed as it was, and that its fact no longer says.
fn not_restated(facts: &Facts, both: &Both, was: &SentenceThen) -> Option<Weighed> {
    let mut wrong = BTreeSet::new();
    let mut level = Level::Date;
    for Quoted { fact, words } in &was.quotes {
        if let Some(changed) = facts.changed(fact, both.event)
            && !facts.still_says(fact, words, both.event, both.edition)
        {
            level = level.min(level_of(changed));
            wrong.insert(fact.clone());
        }
    }
    let facts: Vec<String> = wrong.into_iter().collect();
    (!facts.is_empty()).then_some(Weighed { level, facts, not_restated: true })
}

fn level_of(changed: &Changed) -> Level {
    match changed {
        Changed { safety: true, .. } => Level::Safety,
        changed if changed.is_day_of_event() => Level::Date,
        _ => Level::Figure,
    }
}

/// A sentence that is another, new, or gone.
fn weigh(facts: &Facts, both: &Both, was: Option<&SentenceThen>, is: Option<&SentenceThen>) -> Weighed {
    let language = both.edition.language();
    let says =
        |sentence: Option<&SentenceThen>| sentence.map_or("", |sentence| sentence.says.as_str()).to_owned();
    let (old, new) = (says(was), says(is));
    let mut found: BTreeMap<String, Level> = BTreeMap::new();
    let quotes =
        |sentence: Option<&SentenceThen>| sentence.map_or_else(Vec::new, |sentence| sentence.quotes.clone());
    let (quoted, quotes_now) = (quotes(was), quotes(is));
    for Quoted { fact, words } in &quoted {
        match facts.changed(fact, both.event) {
            Some(changed) => {
                found.insert(fact.clone(), level_of(changed));
            }
            // The same fact in other words: put right, or made wrong.
            None => {
                let mut others = quotes_now.iter().filter(|it| it.fact == *fact).map(|it| &it.words);
                let is_other = others.clone().next().is_some()
                    && others.all(|now| now != words && figures(both, now) != figures(both, words));
                if is_other && !words.contains(super::said::GAP) {
                    let safety = facts.is_safety(fact, both.event);
                    found.insert(fact.clone(), if safety { Level::Safety } else { Level::Figure });
                }
            }
        }
    }
    // What no link ties to its fact: a contact's number, a cell of a table, the answer to a question.
    for changed in facts.all_changed().filter(|changed| is_other_at(changed, both.event)) {
        let name = &changed.then.name;
        let stood = !found.contains_key(name) && was.is_some() && changed.stood_in(&old, language);
        if stood && (is.is_none() || (changed.stands_in(&new, language) && !changed.stood_in(&new, language)))
        {
            let is_words = changed.kind == Some(crate::particulars::Kind::Text) && !changed.safety;
            found.insert(name.clone(), if is_words { Level::Words } else { level_of(changed) });
        }
    }
    // A new sentence takes the words of a fact that changed: what is printed has none of it.
    let words_level = || {
        let is_reworded = was.is_some() && is.is_some();
        if is_reworded && without_days(&old) == without_days(&new) {
            Level::Date
        } else if is_reworded && figures(both, &old) != figures(both, &new) {
            Level::Figure
        } else {
            Level::Words
        }
    };
    let level = match found.values().min() {
        // The day of an event, and something else beside.
        Some(Level::Date) if without_words(&old, &quoted) != without_words(&new, &quotes_now) => {
            let plain = (
                without_days(&without_words(&old, &quoted)),
                without_days(&without_words(&new, &quotes_now)),
            );
            if plain.0 == plain.1 { Level::Date } else { words_level().min(Level::Words) }
        }
        Some(level) => *level,
        None => words_level(),
    };
    Weighed { level, facts: found.into_keys().collect(), not_restated: false }
}

/// Whether a fact that changed may stand in a file: one of another event does not.
fn is_other_at(changed: &Changed, event: Option<&str>) -> bool {
    changed.then.at.is_none() || changed.then.at.as_deref() == event
}

/// What is stated in a text, however it is written.
fn figures(both: &Both, text: &str) -> Vec<(Quantity, Option<Limit>)> {
    let figures = both.edition.language().read(text);
    figures.iter().map(|figure| (figure.quantity.clone(), figure.limit)).collect()
}

/// A text without its days: 2026-05-16.
fn without_days(text: &str) -> String {
    let is_day = |word: &[u8]| {
        word.len() == 10
            && word
                .iter()
                .enumerate()
                .all(|(at, it)| if [4, 7].contains(&at) { *it == b'-' } else { it.is_ascii_digit() })
    };
    let bytes = text.as_bytes();
    let (mut plain, mut at) = (Vec::with_capacity(bytes.len()), 0);
    while at < bytes.len() {
        if bytes.get(at..at + 10).is_some_and(is_day) {
            plain.push(b'#');
            at += 10;
        } else {
            plain.push(bytes[at]);
            at += 1;
        }
    }
    String::from_utf8_lossy(&plain).into_owned()
}

/// A text without the words that it quotes.
fn without_words(text: &str, quotes: &[Quoted]) -> String {
    quotes.iter().fold(text.to_owned(), |text, quoted| text.replacen(quoted.words.as_str(), "#", 1))
}

fn answers(old: &PrintRecord, now: &PrintRecord) -> Vec<AnswersChange> {
    let mut told = Vec::new();
    for edition in &now.editions {
        let Some(before) = old.edition(&edition.language) else { continue };
        for sheet in &edition.sheets {
            let Some(was) = before.sheets.iter().find(|was| was.version == sheet.version) else { continue };
            let mut tell = |question: &str, change, was: Option<String>, now: Option<String>| {
                told.push(AnswersChange {
                    edition: edition.language.clone(),
                    version: sheet.version.clone(),
                    question: question.to_owned(),
                    change,
                    was,
                    now,
                });
            };
            let place = |list: &[QuestionThen], id: &str| list.iter().position(|question| question.id == id);
            for (at, then) in was.questions.iter().enumerate() {
                let Some(to) = place(&sheet.questions, &then.id) else {
                    tell(&then.id, QuestionChange::Gone, Some(then.asks.clone()), None);
                    continue;
                };
                let is = &sheet.questions[to];
                if then.right != is.right {
                    tell(
                        &then.id,
                        QuestionChange::Key,
                        Some(then.right.join("; ")),
                        Some(is.right.join("; ")),
                    );
                }
                if (&then.kind, &then.choices) != (&is.kind, &is.choices) {
                    let (was, now) = (then.choices.join("; "), is.choices.join("; "));
                    tell(&then.id, QuestionChange::Choices, Some(was), Some(now));
                }
                if at != to {
                    let number = |at: usize| Some((at + 1).to_string());
                    tell(&then.id, QuestionChange::Number, number(at), number(to));
                }
            }
            for is in sheet.questions.iter().filter(|is| place(&was.questions, &is.id).is_none()) {
                tell(&is.id, QuestionChange::New, None, Some(is.asks.clone()));
            }
        }
    }
    told.sort_by_key(|it| it.change);
    told
}

fn translate_again(old: &PrintRecord, now: &PrintRecord) -> Vec<TranslateAgain> {
    let mut told = Vec::new();
    for edition in now.editions.iter().skip(1) {
        let Some(before) = old.edition(&edition.language) else { continue };
        for (text, is) in &edition.texts {
            if before.texts.get(text).is_some_and(|was| was.main != is.main && was.own == is.own) {
                told.push(TranslateAgain { edition: edition.language.clone(), text: text.clone() });
            }
        }
    }
    told
}

fn private(old: &PrintRecord, now: &PrintRecord, title: &dyn Fn(&str) -> String) -> Vec<OnShelf> {
    let pieces: BTreeSet<&String> = old.private.keys().chain(now.private.keys()).collect();
    let none = Vec::new();
    let told = pieces.into_iter().map(|piece| {
        let (was, is) = (old.private.get(piece).unwrap_or(&none), now.private.get(piece).unwrap_or(&none));
        let mut left: HashMap<&String, usize> = HashMap::new();
        was.iter().for_each(|mark| *left.entry(mark).or_default() += 1);
        let same = is.iter().filter(|mark| match left.get_mut(mark) {
            Some(count) if *count > 0 => {
                *count -= 1;
                true
            }
            _ => false,
        });
        OnShelf { piece: title(piece), was: was.len(), now: is.len(), same: same.count() }
    });
    told.filter(|told| told.was + told.now > 0).collect()
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn days_are_left_out_and_nothing_else() {
        assert_eq!(without_days("Spring | 2026-05-16 | Café 12-34"), "Spring | # | Café 12-34");
    }
}
