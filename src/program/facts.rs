//! `facts.toml`: the one file that says what each figure is and where it comes from.
//!
//! A [`Fact`] here is what was written, not what it is worth: values are still text, with places, and
//! become held values in [`crate::understand`].

pub mod at_events;
pub mod given;
mod units;

use super::Written;
use at_events::AtEvent;

use super::form::{Form, Value};
use crate::finding::{Place, rules};
use crate::languages;
use crate::limits;
use crate::particulars::Kind;
use crate::quantity::{Limit, OwnUnits};
use jiff::civil::Date;

/// A fact as it was written. What it is worth is a [`FactValue`](crate::understand::FactValue).
#[derive(Clone, Debug)]
pub struct Fact {
    /// The table's name: `lead-length`.
    pub name: String,
    /// Where the name stands.
    pub place: Place,
    /// The name in the words of an edition: `largo de la cuerda`.
    pub title: Option<String>,
    pub stated: Stated,
    /// What its value is, where it is no quantity.
    pub kind: Option<Kind>,
    pub limit: Option<Limit>,
    /// Words that name it in prose.
    pub called: Vec<String>,
    pub wording: Option<Written>,
    /// In an edition, the wording of the main one: its figure is said where the edition has no wording.
    pub main_wording: Option<Written>,
    /// Where there are several, all of them.
    pub source: Option<Written>,
    pub sources: Vec<SourceSays>,
    /// Who read it a second time at its source.
    pub read_by: Option<ReadBy>,
    pub url: Option<String>,
    /// How the source was read, where it is one of the wider world.
    pub read: Option<SourceRead>,
    pub as_of: Option<Date>,
    pub review_by: Option<(Date, Place)>,
    pub safety: bool,
    pub note: Option<String>,
    /// The event that it holds for, by id, where local rules differ; `None`: everywhere else.
    pub at: Option<String>,
}

/// One of several sources of a fact.
#[derive(Clone, Debug)]
pub struct SourceSays {
    pub name: Written,
    pub says: Written,
    pub as_of: Option<Date>,
}

/// Whether a fact was read a second time.
#[derive(Clone, Debug)]
pub enum ReadBy {
    /// Asked for, and nobody has.
    Asked(Place),
    Person(Written),
}

/// All of `facts.toml`.
#[derive(Clone, Debug, Default)]
pub(super) struct FactsFile {
    /// In the order of the file.
    pub common: Vec<Fact>,
    pub units: OwnUnits,
    pub at_events: Vec<AtEvent>,
}

/// How the source of a fact was read: by whoever keeps the facts, in another's words, or not at all.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum SourceRead {
    /// `read = "at the source"`
    AtTheSource,
    /// `read = "as quoted by City of Becker"`
    AsQuotedBy(String),
    /// `read = "from memory"`
    FromMemory,
}

/// What the fact's figure is made from.
#[derive(Clone, Debug)]
pub enum Stated {
    /// `value = "10 ft"`
    Value(Written),
    /// `worked-from = "horses * manure-daily * 365 days"`
    WorkedFrom(Written),
    Series(Series),
}

/// Rows of numbers under headings with units.
#[derive(Clone, Debug)]
pub struct Series {
    /// Headings as written: `air temperature (°F)`.
    pub columns: Vec<Written>,
    /// Each cell as its decimal text, so that no precision is lost.
    pub rows: Vec<Vec<Written>>,
    /// Whether it may be read between its rows.
    pub linear: bool,
    pub draw: Draw,
}

/// How a series is drawn where a lesson shows it.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Default)]
pub enum Draw {
    #[default]
    Line,
    Bars,
}

const LIMITS: [(&str, Limit); 4] = [
    ("at most", Limit::AtMost),
    ("at least", Limit::AtLeast),
    ("about", Limit::About),
    ("exactly", Limit::Exactly),
];

const KINDS: [(&str, Kind); 6] = [
    ("phone", Kind::Phone),
    ("date", Kind::Date),
    ("time", Kind::Time),
    ("address", Kind::Address),
    ("ratio", Kind::Ratio),
    ("text", Kind::Text),
];

/// The key `limit`, in packstring's own words or in those of any language that it knows.
fn limit(table: &mut Form) -> Option<Limit> {
    let words = |of: fn(&'static languages::LimitWords) -> &'static [String], limit| {
        let all = languages::in_all(move |language| of(&language.limits));
        all.map(move |word| (word, limit))
    };
    let also: Vec<(&'static str, Limit)> = words(|words| &words.at_most, Limit::AtMost)
        .chain(words(|words| &words.at_least, Limit::AtLeast))
        .chain(words(|words| &words.about, Limit::About))
        .chain(words(|words| &words.exactly, Limit::Exactly))
        .collect();
    table.choice_also("limit", &LIMITS, &also)
}

/// Reads the facts in the order of the file; `at` and `units` are no facts' names.
pub(super) fn read(mut file: Form) -> FactsFile {
    let mut facts = Vec::new();
    let mut at = None;
    let mut own = OwnUnits::default();
    let fits = file.has_at_most(limits::FACTS, "facts in this file");
    let entries = file.take_all();
    for (name, value) in entries.into_iter().filter(|_| fits) {
        if name.text == "at" {
            at = Some(value);
            continue;
        }
        if name.text == "units" {
            own = units::read(value);
            continue;
        }
        if given::is_named_so(&name.text) {
            let message = format!(
                "“{}” cannot be the name of a fact: names that start with contact. or event. belong to program.toml.",
                name.text
            );
            let mend = format!("Take it out, and link to what program.toml says: {}.", given::FORM);
            file.tell(&rules::NAME_UNFIT, name.place.clone(), message, mend);
        } else {
            file.check_id(&name, "fact");
        }
        let should_be = "a table: a fact starts with its name in brackets, such as [rope-length]";
        if let Some(table) = value.form("fact", should_be) {
            facts.push(Fact::read(name, table));
        }
    }
    let at_events = at.map(|at| at_events::read(&file, at, &facts)).unwrap_or_default();
    FactsFile { common: facts, units: own, at_events }
}

impl Fact {
    fn read(name: Written, mut table: Form) -> Self {
        table.place = name.place.clone();
        let kind = table.choice("kind", &KINDS);
        if kind.is_some() {
            table.refuse(
                &["limit", "worked-from", "columns", "rows"],
                "The fact is of a kind that is no quantity",
            );
        }
        let sources = sources(&mut table);
        let fact = Self {
            kind,
            read_by: read_by(&mut table),
            stated: Stated::need(&mut table),
            limit: limit(&mut table),
            called: table.texts("called").into_iter().map(|word| word.text).collect(),
            wording: table.text("wording"),
            source: table.text("source").or_else(|| all_named(&sources)),
            sources,
            url: web_address(&mut table),
            read: SourceRead::take(&mut table),
            as_of: table.date("as-of").map(|(date, _)| date),
            review_by: table.date("review-by"),
            safety: table.flag("safety"),
            note: table.text("note").map(|note| note.text),
            at: None,
            title: table.text("name").map(|title| title.text),
            main_wording: None,
            name: name.text,
            place: name.place,
        };
        table.finish();
        fact
    }
}

impl Fact {
    /// What states something and says nothing else of itself.
    pub(crate) fn stating(name: String, place: Place, stated: Stated) -> Self {
        Self {
            name,
            place,
            title: None,
            stated,
            kind: None,
            limit: None,
            called: Vec::new(),
            wording: None,
            main_wording: None,
            source: None,
            sources: Vec::new(),
            read_by: None,
            url: None,
            read: None,
            as_of: None,
            review_by: None,
            safety: false,
            note: None,
            at: None,
        }
    }

    /// The name as words: the key `name`, of an edition its own; else `lead-length` → `lead length`.
    pub fn readable(&self) -> String {
        self.title.clone().unwrap_or_else(|| self.name.replace('-', " "))
    }

    /// Whether the figure is of the wider world, and no rule or count of the program's own: it names a page, or
    /// says how its source was read.
    pub fn is_from_outside(&self) -> bool {
        self.url.is_some() || self.read.is_some()
    }
}

/// `sources = [{ source = "…", says = "6 ft", as-of = 2026-03-01 }]`
fn sources(table: &mut Form) -> Vec<SourceSays> {
    let forms = table.forms("sources", "source").into_iter();
    let read = forms.map(|mut source| {
        let read = SourceSays {
            name: source.need_text("source", "Basin Open Lands rule 4.2"),
            says: source.need_text("says", "10 ft"),
            as_of: source.date("as-of").map(|(date, _)| date),
        };
        source.finish();
        read
    });
    read.collect()
}

/// The sources as one, for print.
fn all_named(sources: &[SourceSays]) -> Option<Written> {
    let place = sources.first()?.name.place.clone();
    let names: Vec<&str> = sources.iter().map(|source| source.name.text.as_str()).collect();
    Some(Written { text: names.join("; "), place })
}

/// `read-by = "Ines Calloway"`; with `second-reader = true` and no name it is asked for.
fn read_by(table: &mut Form) -> Option<ReadBy> {
    let is_asked = table.flag("second-reader");
    let asked = is_asked.then(|| ReadBy::Asked(table.place.clone()));
    table.text("read-by").map(ReadBy::Person).or(asked)
}

/// Where the source can be read. It becomes a link in print and on pages, so it may only open a page.
fn web_address(table: &mut Form) -> Option<String> {
    let url = table.text("url")?;
    let lower = url.text.to_ascii_lowercase();
    if !["https://", "http://"].iter().any(|scheme| lower.starts_with(scheme)) {
        let message = format!("“{}” is not the address of a web page.", url.text);
        let mend = "Write it in full, such as https://www.example.org/rules, or take the line out.";
        table.tell(&rules::VALUE_UNFIT, url.place, message, mend);
        return None;
    }
    Some(url.text)
}

impl SourceRead {
    const QUOTED: &str = "as quoted by ";

    /// As the facts file says it.
    pub fn words(&self) -> String {
        match self {
            Self::AtTheSource => "at the source".to_owned(),
            Self::AsQuotedBy(by) => format!("{}{by}", Self::QUOTED),
            Self::FromMemory => "from memory".to_owned(),
        }
    }

    pub(in crate::program) fn take(table: &mut Form) -> Option<Self> {
        let written = table.text("read")?;
        let said = Self::said(written.text.trim());
        if said.is_none() {
            let message = format!("“{}” does not say how the source was read.", written.text);
            let mend = "Write \"at the source\", \"as quoted by …\" with the name of who quotes it, or \
                        \"from memory\".";
            table.tell(&rules::VALUE_UNFIT, written.place, message, mend);
        }
        said
    }

    /// In packstring's own words, or in those of any language that it knows.
    fn said(text: &str) -> Option<Self> {
        let is = |own: &str, of: fn(&'static languages::ReadWords) -> &'static [String]| {
            text == own || languages::in_all(move |language| of(&language.reads)).any(|word| word == text)
        };
        if is("at the source", |words| &words.at_the_source) {
            return Some(Self::AtTheSource);
        }
        if is("from memory", |words| &words.from_memory) {
            return Some(Self::FromMemory);
        }
        let before = std::iter::once(Self::QUOTED.trim_end())
            .chain(languages::in_all(|language| &language.reads.as_quoted_by));
        let by = before.filter_map(|before| text.strip_prefix(before)?.strip_prefix(' ')).map(str::trim);
        by.filter(|by| !by.is_empty()).map(|by| Self::AsQuotedBy(by.to_owned())).next()
    }

    /// Whether both were read in the same way, whoever quotes them.
    pub(in crate::program) fn is_like(&self, other: &Self) -> bool {
        std::mem::discriminant(self) == std::mem::discriminant(other)
    }
}

impl Stated {
    fn need(table: &mut Form) -> Self {
        let stated = Self::KEYS.iter().any(|key| table.has(key));
        if !stated {
            table.miss("value", "Add value = \"10 ft\", worked-from = \"…\", or columns and rows.");
        }
        let nothing = Self::Value(Written { text: String::new(), place: table.place.clone() });
        Self::read(table, "The fact is not a series").unwrap_or(nothing)
    }

    const KEYS: [&str; 4] = ["value", "worked-from", "columns", "rows"];

    /// Takes what the table states, if it states anything; `no_series` is why a key of a series has no
    /// use without rows.
    pub(super) fn read(table: &mut Form, no_series: &str) -> Option<Self> {
        let is_series = table.has("rows") || table.has("columns");
        if [table.has("value"), table.has("worked-from"), is_series].into_iter().filter(|has| *has).count()
            > 1
        {
            let message = "The fact has more than one of value, worked-from and rows.";
            let mend = "Keep only the one that gives the figure.";
            table.tell(&rules::KEY_UNFIT, table.place.clone(), message, mend);
        }
        let value = table.text("value");
        let worked_from = table.text("worked-from");
        let series = is_series.then(|| Series::read(table));
        if !is_series {
            table.refuse(&["between", "draw"], no_series);
        }
        match (value, worked_from, series) {
            (Some(value), _, _) => Some(Self::Value(value)),
            (_, Some(worked_from), _) => Some(Self::WorkedFrom(worked_from)),
            (_, _, Some(series)) => Some(Self::Series(series)),
            _ => None,
        }
    }
}

impl Series {
    fn read(table: &mut Form) -> Self {
        if !table.has("columns") {
            table.miss(
                "columns",
                "Add a line such as: columns = [\"air temperature (°F)\", \"asphalt surface (°F)\"]",
            );
        }
        let columns = table.few(
            "columns",
            "texts, such as [\"one\", \"two\"]",
            (limits::SERIES_COLUMNS, "columns in this series"),
        );
        let columns: Vec<Written> = columns.into_iter().filter_map(Value::text).collect();
        if columns.len() == 1 {
            let message = "A series has two columns or more, and this one has one.";
            table.tell(
                &rules::VALUE_UNFIT,
                columns[0].place.clone(),
                message,
                "Add the heading of the second column.",
            );
        }
        if !table.has("rows") {
            table.miss("rows", "Add a line such as: rows = [[77, 125], [86, 135]]");
        }
        let of = "rows, such as [[77, 125], [86, 135]]";
        let rows = table.few("rows", of, (limits::SERIES_ROWS, "rows in this series"));
        Self {
            rows: rows.into_iter().map(|row| series_row(table, row, columns.len())).collect(),
            columns,
            linear: table.choice("between", &[("linear", ())]).is_some(),
            draw: table.choice("draw", &[("line", Draw::Line), ("bars", Draw::Bars)]).unwrap_or_default(),
        }
    }
}

fn series_row(table: &Form, row: Value, columns: usize) -> Vec<Written> {
    let place = row.place();
    let cells = row.list("numbers, one for each column");
    if cells.len() != columns && columns > 0 && !cells.is_empty() {
        let message = format!(
            "The series has {columns} columns, but the count of numbers in this row is {}.",
            cells.len()
        );
        table.tell(&rules::ROW_RAGGED, place, message, "Give each row one number for each column.");
    }
    cells.into_iter().filter_map(Value::decimal).collect()
}
