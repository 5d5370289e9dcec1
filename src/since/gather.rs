//! The print record of a program as it is planned now, with the pages of what was laid out.
//!
//! A piece that was kept, because nothing of it changed, has the pages that an earlier record found.

use super::pages::{PageWords, Unprinted, unprinted};
use super::record::{
    EditionThen, FORMAT, FactThen, PieceThen, PrintRecord, QuestionThen, SaidThen, SentenceThen, SheetThen,
    TextThen,
};
use super::said::{self, Said};
use crate::digest::{absorb, hex};
use crate::job::{Imposed, Job, Make, Sheet};
use crate::people::scoring::key::{right_choices, right_of_several, words_with_limit};
use crate::program::questions::Kind;
use crate::understand::{Carrier, Passage, Understood, VersionQuestion, history};
use jiff::civil::Date;
use serde_json::Value;
use sha2::{Digest, Sha256};
use std::collections::{BTreeMap, BTreeSet, HashMap};

/// A job, and what is known of its file.
pub struct Planned<'j> {
    pub job: &'j Job,
    /// The piece's key.
    pub piece: &'static str,
    pub shelf: &'static str,
    /// Its edition's language.
    pub language: String,
    /// Whether it is made of people: then nothing of it is told but a mark.
    pub personal: bool,
    /// What it is made from, in one number.
    pub from: Option<String>,
    pub made: PieceMade,
}

/// The words of a file's pages.
#[derive(Clone, Debug, Default)]
pub enum PieceMade {
    /// It was made now: the words of its pages, and how many pages the file has as it is printed.
    Now { words: Vec<String>, sides: usize },
    /// It was kept, or is only planned: an earlier record may have its pages.
    #[default]
    Before,
}

/// The record of what is planned. What `earlier` knows of the same files it still knows; `picture` gives a picture's
/// bytes.
pub fn gather(
    understood: &Understood,
    planned: &[Planned],
    earlier: &[&PrintRecord],
    picture: &dyn Fn(&str) -> Vec<u8>,
) -> PrintRecord {
    let settings = &understood.content.settings;
    let mut pictures = Pictures { read: picture, known: BTreeMap::new() };
    let all = std::iter::once(understood).chain(&understood.editions);
    let editions = all.map(|edition| {
        let language = &edition.content.settings.language;
        let own = planned.iter().filter(|planned| !planned.personal && planned.language == *language);
        edition_of(understood, edition, own, earlier, &mut pictures)
    });
    PrintRecord {
        format: FORMAT,
        program: settings.name.clone(),
        agency: settings.agency.clone(),
        season: settings.season.clone(),
        facts: history::states(understood, Date::ZERO)
            .iter()
            .map(|(state, safety)| FactThen::from((state, *safety)))
            .collect(),
        editions: editions.collect(),
        private: private(planned),
    }
}

struct Pictures<'p> {
    read: &'p dyn Fn(&str) -> Vec<u8>,
    known: BTreeMap<String, String>,
}

impl Pictures<'_> {
    fn mark(&mut self, file: &str) -> String {
        let read = self.read;
        self.known.entry(file.to_owned()).or_insert_with(|| hex(&Sha256::digest(read(file))[..6])).clone()
    }
}

fn edition_of<'p>(
    main: &Understood,
    edition: &Understood,
    planned: impl Iterator<Item = &'p Planned<'p>>,
    earlier: &[&PrintRecord],
    pictures: &mut Pictures,
) -> EditionThen {
    let language = edition.content.settings.language.clone();
    let mut places: HashMap<SentenceThen, usize> = HashMap::new();
    let mut sentences = Vec::new();
    let mut pieces = Vec::new();
    for planned in planned {
        let said = said::of_job(planned.job);
        // What is not printed is told by the first that has the file, for it is compared with that; pages by one that
        // has it as it is.
        let mut all = earlier.iter().filter_map(|record| Known::of(record, &language, planned));
        let known = all.next();
        let same =
            known.as_ref().filter(|known| known.is_same).copied().or_else(|| all.find(|known| known.is_same));
        let pages = match &planned.made {
            PieceMade::Now { words, .. } => Some(PageWords::of(words)),
            PieceMade::Before => None,
        };
        let hidden = match (&pages, &known) {
            (Some(pages), _) => unprinted(&said, pages),
            (None, Some(known)) => known.unprinted(&said),
            (None, None) => Unprinted::default(),
        };
        let is_screen = planned.job.path.ends_with(".html");
        let pages_before: HashMap<&SentenceThen, &Vec<usize>> = match &same {
            Some(known) if pages.is_none() => known.pages(),
            _ => HashMap::new(),
        };
        let mut says: Vec<SaidThen> = Vec::new();
        let mut seen: HashMap<usize, usize> = HashMap::new();
        let mut left_out = BTreeSet::new();
        for (place, said) in said.iter().enumerate().filter(|(_, said)| !hidden.roles.contains(&said.role)) {
            let sentence = SentenceThen::from(said);
            let at = *places.entry(sentence).or_insert_with_key(|sentence| {
                sentences.push(sentence.clone());
                sentences.len() - 1
            });
            if hidden.others.contains(&place) {
                left_out.insert(at);
                continue;
            }
            seen.entry(at).or_insert_with(|| {
                let on = match &pages {
                    // A page for screens is one.
                    _ if is_screen => Vec::new(),
                    Some(pages) => pages.pages_of(&said.says).into_iter().collect(),
                    None => pages_before.get(&sentences[at]).map(|on| (*on).clone()).unwrap_or_default(),
                };
                says.push(SaidThen { at, on });
                says.len() - 1
            });
        }
        pieces.push(PieceThen {
            piece: planned.piece.to_owned(),
            shelf: planned.shelf.to_owned(),
            path: planned.job.path.clone(),
            from: planned.from.clone(),
            left_out: left_out.into_iter().filter(|at| !seen.contains_key(at)).collect(),
            pages: match planned.made {
                PieceMade::Now { sides, .. } => Some(sides).filter(|sides| *sides > 0),
                PieceMade::Before => same.and_then(|known| known.piece.pages),
            },
            unprinted: hidden.roles.into_iter().collect(),
            says,
            pictures: pictures_of(planned.job).map(|file| (file.clone(), pictures.mark(file))).collect(),
        });
    }
    EditionThen { sheets: sheets(edition), texts: texts(main, edition), language, sentences, pieces }
}

/// What an earlier record knows of a file.
#[derive(Clone, Copy)]
struct Known<'r> {
    edition: &'r EditionThen,
    piece: &'r PieceThen,
    /// Whether it was made from the same.
    is_same: bool,
}

impl<'r> Known<'r> {
    fn of(record: &'r PrintRecord, language: &str, planned: &Planned) -> Option<Self> {
        let edition = record.edition(language)?;
        let is_it = |piece: &&PieceThen| piece.path == planned.job.path && piece.shelf == planned.shelf;
        let piece = edition.pieces.iter().find(is_it)?;
        Some(Self { edition, piece, is_same: piece.from.is_some() && piece.from == planned.from })
    }

    /// What was not printed of it is not printed of what is the same.
    fn unprinted(&self, said: &[Said]) -> Unprinted {
        let left_out: BTreeSet<&SentenceThen> =
            self.piece.left_out.iter().map(|at| &self.edition.sentences[*at]).collect();
        let is_left_out = |said: &Said| left_out.contains(&SentenceThen::from(said));
        let others = (0..said.len()).filter(|at| is_left_out(&said[*at])).collect();
        Unprinted { roles: self.piece.unprinted.iter().cloned().collect(), others }
    }

    fn pages(&self) -> HashMap<&'r SentenceThen, &'r Vec<usize>> {
        self.piece.says.iter().map(|said| (&self.edition.sentences[said.at], &said.on)).collect()
    }
}

fn pictures_of(job: &Job) -> impl Iterator<Item = &String> {
    let sheet: Option<&Sheet> = match &job.make {
        Make::Sheet(sheet) | Make::Drawing(sheet) | Make::Imposed(Imposed { pages: sheet, .. }) => {
            Some(sheet)
        }
        Make::Run(_) | Make::Page { .. } | Make::Tables(_) | Make::Text(_) | Make::Copy { .. } => None,
    };
    sheet.into_iter().flat_map(|sheet| &sheet.pictures)
}

fn sheets(edition: &Understood) -> Vec<SheetThen> {
    if edition.content.questions.list.is_empty() {
        return Vec::new();
    }
    let versions = edition.versions().into_iter();
    let sheet = |version: crate::understand::Version| SheetThen {
        version: version.letter.to_string(),
        questions: version.questions.iter().map(|asked| question(edition, asked)).collect(),
    };
    versions.map(sheet).collect()
}

fn question(edition: &Understood, asked: &VersionQuestion) -> QuestionThen {
    let question = asked.question;
    let marked = |marks: Vec<bool>, choices: &[crate::program::Written]| -> Vec<String> {
        choices.iter().zip(marks).filter(|(_, right)| *right).map(|(choice, _)| choice.text.clone()).collect()
    };
    let in_order = |choices: &[crate::program::Written]| -> Vec<String> {
        asked.choices.iter().filter_map(|at| choices.get(*at)).map(|choice| choice.text.clone()).collect()
    };
    let (kind, choices, right) = match &question.kind {
        Kind::Choice { choices, right } => {
            ("choice", in_order(choices), marked(right_choices(edition, choices, right), choices))
        }
        Kind::Several { choices, right } => {
            ("several", in_order(choices), marked(right_of_several(choices, right), choices))
        }
        Kind::Figure { fact, unit } => {
            let right = words_with_limit(edition, &fact.text).into_iter().collect();
            ("figure", unit.iter().cloned().collect(), right)
        }
        Kind::NameSome { count, accept } => {
            let right = accept.iter().map(|words| words.join(" / ")).collect();
            ("name-some", vec![count.to_string()], right)
        }
        Kind::Open { .. } => ("open", Vec::new(), Vec::new()),
    };
    QuestionThen {
        id: question.id.clone(),
        asks: edition.text_of(&question.ask.inlines),
        kind: kind.to_owned(),
        choices,
        right,
    }
}

/// A mark of the words of each text that is translated as one, without its figures: these follow the facts in every
/// edition.
fn texts(main: &Understood, edition: &Understood) -> BTreeMap<String, TextThen> {
    let of_main = marks(main.passages.iter());
    // What it has from the main edition is no translation.
    let own = marks(edition.passages.iter().filter(|passage| {
        edition.content.language_of(&passage.place.file) == edition.content.settings.language
    }));
    let both = own.into_iter().filter_map(|(text, own)| Some((of_main.get(&text)?.clone(), own, text)));
    both.map(|(main, own, text)| (text, TextThen { main, own })).collect()
}

fn marks<'u>(passages: impl Iterator<Item = &'u Passage<'u>>) -> BTreeMap<String, String> {
    let mut hashes: BTreeMap<String, Sha256> = BTreeMap::new();
    for passage in passages {
        let text = match passage.carrier {
            Carrier::Lesson { lesson, .. } => format!("lessons/{lesson}"),
            Carrier::Question(id) => format!("questions/{id}"),
            Carrier::Kit(id) => format!("kits/{id}"),
            Carrier::Settings => continue,
        };
        absorb(hashes.entry(text).or_default(), without_figures(passage).as_bytes());
    }
    hashes.into_iter().map(|(text, hash)| (text, hex(&hash.finalize()[..6]))).collect()
}

fn without_figures(passage: &Passage) -> String {
    let mut spans: Vec<_> = passage.backed.iter().map(|(span, _)| span.clone()).collect();
    spans.extend(passage.figures.iter().map(|figure| figure.reach.clone()));
    spans.sort_by_key(|span| span.start);
    let (mut words, mut done) = (String::new(), 0);
    for span in spans {
        if span.start >= done {
            words.push_str(passage.text.get(done..span.start).unwrap_or_default());
            words.push('#');
        }
        done = done.max(span.end);
    }
    words.push_str(passage.text.get(done..).unwrap_or_default());
    words.split_whitespace().collect::<Vec<_>>().join(" ")
}

/// A mark for each sheet of the private shelf, by piece.
fn private(planned: &[Planned]) -> BTreeMap<String, Vec<String>> {
    let mut marks: BTreeMap<String, Vec<String>> = BTreeMap::new();
    for planned in planned.iter().filter(|planned| planned.personal) {
        marks.entry(planned.piece.to_owned()).or_default().extend(marks_of(&planned.job.make));
    }
    marks.values_mut().for_each(|marks| marks.sort());
    marks
}

fn marks_of(make: &Make) -> Vec<String> {
    let mark = |parts: &[&Value]| {
        let mut hash = Sha256::new();
        parts.iter().for_each(|part| absorb_value(&mut hash, part));
        hex(&hash.finalize()[..4])
    };
    match make {
        Make::Sheet(sheet) | Make::Drawing(sheet) | Make::Imposed(Imposed { pages: sheet, .. }) => {
            let parts: Vec<&Value> =
                std::iter::once(&sheet.data).chain(sheet.parts.iter().map(|(_, part)| part)).collect();
            vec![mark(&parts)]
        }
        Make::Run(run) => run.entries.iter().map(|entry| mark(&[&run.data, &entry.data])).collect(),
        Make::Tables(tables) => vec![mark(&[&Value::String(format!("{tables:?}"))])],
        Make::Text(text) => vec![mark(&[&Value::String(text.clone())])],
        Make::Page { data, .. } => vec![mark(&[data])],
        Make::Copy { .. } => Vec::new(),
    }
}

/// All of a value but the season's name, which makes no sheet another.
fn absorb_value(hash: &mut Sha256, value: &Value) {
    match value {
        Value::Object(node) => {
            for (key, value) in node.iter().filter(|(key, _)| *key != "season") {
                absorb(hash, key.as_bytes());
                absorb_value(hash, value);
            }
        }
        Value::Array(values) => {
            absorb(hash, &values.len().to_le_bytes());
            values.iter().for_each(|value| absorb_value(hash, value));
        }
        other => absorb(hash, other.to_string().as_bytes()),
    }
}
