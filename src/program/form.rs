//! Forms: taking known keys out of a TOML table and telling what is missing, unfit or unknown.
//!
//! A reader asks a [`Form`] for each key that its table may have, then calls [`Form::finish`], which
//! tells the keys that nobody asked for. What is missing or unfit is told, and stands in as an empty
//! value (see [`super::mistakes`]).

use super::Written;
use super::bounds;
use super::files::Page;
use super::lesson::Prose;
use super::markdown;
use super::mistakes::{Mistakes, offer};
use super::share::Share;
use super::source_map::{SourceMap, of_toml_string};
use super::syntax::{self, Broken};
use crate::finding::{Place, Rule, rules};
use crate::languages;
use crate::limits;
use crate::nearest::nearest;
use crate::particulars::{self, Day, Says};
use jiff::civil::{Date, Time};
use std::ops::Range;
use std::rc::Rc;
use toml::Spanned;
use toml::de::{DeTable, DeValue};

/// A file that is being read.
#[derive(Clone, Copy)]
pub(super) struct FormContext<'p> {
    pub page: &'p Page,
    pub mistakes: &'p Mistakes,
    pub broken: &'p Broken,
}

impl FormContext<'_> {
    /// Tells a mistake, except where the page is not TOML at all, which was told already.
    fn tell(&self, rule: &'static Rule, place: Place, message: impl Into<String>, mend: impl Into<String>) {
        if !self.broken.holds(place.range.start.saturating_sub(self.page.mark)) {
            self.mistakes.tell(rule, place, message, mend);
        }
    }
}

/// A table whose keys are being taken.
pub(super) struct Form<'p> {
    context: FormContext<'p>,
    /// What the table is, for messages: `syllabus entry`.
    what: &'static str,
    /// Where it starts.
    pub place: Place,
    entries: Vec<Entry<'p>>,
    asked: Vec<&'static str>,
}

struct Entry<'p> {
    key: String,
    key_place: Place,
    value: Value<'p>,
}

/// A value and where it stands.
pub(super) struct Value<'p> {
    context: FormContext<'p>,
    /// What it is, at the start of a message: `“minutes”`, `An entry of “rows”`.
    title: Rc<str>,
    value: DeValue<'p>,
    /// In [`Page::text`].
    range: Range<usize>,
}

impl<'p> Form<'p> {
    /// The table of a whole file.
    pub fn of_file(context: FormContext<'p>, table: DeTable<'p>, what: &'static str) -> Self {
        Self::new(context, table, what, Place::whole(&context.page.file))
    }

    fn new(context: FormContext<'p>, table: DeTable<'p>, what: &'static str, place: Place) -> Self {
        let mut entries: Vec<Entry> = table
            .into_iter()
            .map(|(key, value)| {
                let key_place = context.page.place(key.span());
                let key = key.into_inner().into_owned();
                let (title, range) = (format!("“{key}”").into(), value.span());
                Entry { key_place, key, value: Value { context, title, range, value: value.into_inner() } }
            })
            .collect();
        entries.sort_by_key(|entry| entry.key_place.range.start);
        Self { context, what, place, entries, asked: Vec::new() }
    }

    fn take(&mut self, key: &'static str) -> Option<Value<'p>> {
        self.asked.push(key);
        let at = self.entries.iter().position(|entry| entry.key == key)?;
        Some(self.entries.remove(at).value)
    }

    /// Every entry that is left, in the order of the file: name, its place, the value.
    pub fn take_all(&mut self) -> Vec<(Written, Value<'p>)> {
        self.entries
            .drain(..)
            .map(|entry| (Written { text: entry.key, place: entry.key_place }, entry.value))
            .collect()
    }

    /// Whether there are no more entries left than packstring takes; else it is told.
    pub fn has_at_most(&self, most: usize, of_what: &str) -> bool {
        bounds::check_count(&self.place, self.entries.len(), of_what, most, self.context.mistakes)
    }

    pub fn has(&self, key: &str) -> bool {
        self.entries.iter().any(|entry| entry.key == key)
    }

    /// Takes a key that is there with an empty text; gives whether it was.
    pub fn take_blank(&mut self, key: &'static str) -> bool {
        let is_empty = |value: &DeValue| matches!(value, DeValue::String(text) if text.trim().is_empty());
        let is_blank = self.entries.iter().any(|entry| entry.key == key && is_empty(&entry.value.value));
        is_blank && self.take(key).is_some()
    }

    pub fn tell(
        &self,
        rule: &'static Rule,
        place: Place,
        message: impl Into<String>,
        mend: impl Into<String>,
    ) {
        self.context.tell(rule, place, message, mend);
    }

    /// Tells that a key must be there.
    pub fn miss(&self, key: &str, mend: impl Into<String>) {
        if !self.context.broken.is_empty() {
            return;
        }
        let wrong = self.entries.iter().find(|entry| nearest(&entry.key, [key]).is_some());
        if wrong.is_none() {
            let message = format!("The {} has no “{key}”.", self.what);
            self.tell(&rules::KEY_MISSING, self.place.clone(), message, mend);
        }
    }

    fn needed<T>(&mut self, key: &'static str, value: Option<Option<T>>, example: &str) -> Option<T> {
        if value.is_none() {
            self.miss(key, format!("Add a line such as: {key} = {example}"));
        }
        value.flatten()
    }

    pub fn text(&mut self, key: &'static str) -> Option<Written> {
        self.take(key)?.text()
    }

    pub fn need_text(&mut self, key: &'static str, example: &str) -> Written {
        let value = self.take(key).map(Value::text);
        let place = self.place.clone();
        self.needed(key, value, &format!("\"{example}\"")).unwrap_or(Written { text: String::new(), place })
    }

    /// Inline CommonMark.
    pub fn prose(&mut self, key: &'static str) -> Option<Prose> {
        self.take(key)?.prose()
    }

    pub fn need_prose(&mut self, key: &'static str, example: &str) -> Prose {
        let value = self.take(key).map(Value::prose);
        let place = self.place.clone();
        self.needed(key, value, &format!("\"{example}\"")).unwrap_or(Prose { inlines: Vec::new(), place })
    }

    /// A name that is used in addresses and file names: lower case, digits and hyphens.
    pub fn need_id(&mut self, key: &'static str, example: &str) -> Written {
        let id = self.need_text(key, example);
        self.check_id(&id, self.what);
        id
    }

    /// A name of its own, where there is one.
    pub fn id(&mut self, key: &'static str) -> Option<Written> {
        let id = self.text(key)?;
        self.check_id(&id, self.what);
        Some(id)
    }

    /// One of a few words.
    pub fn choice<T: Copy>(&mut self, key: &'static str, choices: &[(&'static str, T)]) -> Option<T> {
        self.take(key)?.choice(choices)
    }

    /// One of a few words, or of the same words in other languages.
    pub fn choice_also<T: Copy>(
        &mut self,
        key: &'static str,
        choices: &[(&'static str, T)],
        also: &[(&'static str, T)],
    ) -> Option<T> {
        self.take(key)?.choice_also(choices, also)
    }

    pub fn need_choice<T: Copy>(&mut self, key: &'static str, choices: &[(&'static str, T)]) -> Option<T> {
        let value = self.take(key).map(|value| value.choice(choices));
        let first = choices.first().map_or("", |(word, _)| word);
        self.needed(key, value, &format!("\"{first}\""))
    }

    /// A whole number from 1.
    pub fn count(&mut self, key: &'static str) -> Option<u32> {
        self.take(key)?.count()
    }

    /// A whole number from 1, or a text such as `10 %`.
    pub fn share(&mut self, key: &'static str) -> Option<Share> {
        self.take(key)?.share()
    }

    /// A whole number from 1, and where it stands.
    pub fn count_placed(&mut self, key: &'static str) -> Option<(u32, Place)> {
        let value = self.take(key)?;
        let place = value.place();
        Some((value.count()?, place))
    }

    pub fn need_count(&mut self, key: &'static str, example: &str) -> u32 {
        let value = self.take(key).map(Value::count);
        self.needed(key, value, example).unwrap_or(1)
    }

    /// The decimal text of a number: `1.5`, `-0.8`.
    pub fn decimal(&mut self, key: &'static str) -> Option<Written> {
        self.take(key)?.decimal()
    }

    pub fn flag(&mut self, key: &'static str) -> bool {
        let Some(value) = self.take(key) else { return false };
        match value.value {
            DeValue::Boolean(flag) => flag,
            _ => {
                value.unfit_word("true or false, without quotation marks", |text| {
                    matches!(text, "true" | "false").then(|| text.to_owned())
                });
                false
            }
        }
    }

    pub fn date(&mut self, key: &'static str) -> Option<(Date, Place)> {
        self.take(key)?.date()
    }

    pub fn need_date(&mut self, key: &'static str, example: &str) -> Date {
        let value = self.take(key).map(Value::date);
        self.needed(key, value, example).map_or(Date::default(), |(date, _)| date)
    }

    pub fn need_time(&mut self, key: &'static str, example: &str) -> Time {
        let value = self.take(key).map(Value::time);
        self.needed(key, value, example).unwrap_or_default()
    }

    /// A list of at most so many values; empty where the key is not there or holds more, which is told.
    pub fn few(&mut self, key: &'static str, of: &str, (most, of_what): (usize, &str)) -> Vec<Value<'p>> {
        let value = self.take(key).filter(|value| value.has_at_most(most, of_what));
        value.map(|value| value.list(of)).unwrap_or_default()
    }

    /// A list of values; empty where the key is not there.
    pub fn list(&mut self, key: &'static str, of: &str) -> Vec<Value<'p>> {
        self.take(key).map(|value| value.list(of)).unwrap_or_default()
    }

    pub fn texts(&mut self, key: &'static str) -> Vec<Written> {
        let of = "texts, such as [\"one\", \"two\"]";
        self.list(key, of).into_iter().filter_map(Value::text).collect()
    }

    /// A text, or a list of them.
    pub fn one_or_more(&mut self, key: &'static str) -> Vec<Written> {
        let of = "a text, or a list of texts";
        match self.take(key) {
            Some(value) if value.is_list() => value.list(of).into_iter().filter_map(Value::text).collect(),
            Some(value) => value.text().into_iter().collect(),
            None => Vec::new(),
        }
    }

    pub fn need_texts(&mut self, key: &'static str, example: &str) -> Vec<Written> {
        if !self.has(key) {
            self.miss(key, format!("Add a line such as: {key} = {example}"));
        }
        self.texts(key)
    }

    /// A table; `what` is its heading and the word: `[program] table`.
    pub fn form(&mut self, key: &'static str, what: &'static str) -> Option<Form<'p>> {
        let heading = what.trim_end_matches(" table");
        self.take(key)?.form(what, &format!("a table with the heading {heading}"))
    }

    /// The tables `[[key]]`.
    pub fn forms(&mut self, key: &'static str, what: &'static str) -> Vec<Form<'p>> {
        let kind = format!("tables, each with a heading [[{key}]]");
        self.list(key, &kind).into_iter().filter_map(|value| value.form(what, &kind)).collect()
    }

    /// Tells a key that is called otherwise now, and takes what stands there under its new name.
    pub fn renamed(&mut self, old: &'static str, new: &'static str) {
        if self.has(new) {
            return;
        }
        let Some(entry) = self.entries.iter_mut().find(|entry| entry.key == old) else { return };
        entry.key = new.into();
        let place = entry.key_place.clone();
        let message = format!("What was “{old}” is called “{new}” now.");
        self.tell(&rules::KEY_UNKNOWN, place, message, format!("Write “{new}” in the place of “{old}”."));
    }

    /// Tells those of `keys` that are there; `reason` is a sentence without its full stop.
    pub fn refuse(&mut self, keys: &[&'static str], reason: &str) {
        for key in keys {
            let found = self.entries.iter().position(|entry| entry.key == *key);
            if let Some(at) = found {
                let entry = self.entries.remove(at);
                let message = format!("{reason}, so the key “{key}” does nothing here.");
                self.tell(&rules::KEY_UNFIT, entry.key_place, message, "Take the line out.");
            }
        }
    }

    /// Tells a name that could not stand in an address or a file name.
    pub fn check_id(&self, id: &Written, what: &str) {
        let fits = id.text.chars().all(|letter| matches!(letter, 'a'..='z' | '0'..='9' | '-'));
        let fits = fits && !id.text.starts_with('-') && !id.text.ends_with('-');
        if !fits {
            self.tell(
                &rules::NAME_UNFIT,
                id.place.clone(),
                format!("The name of this {what} may hold only lower case letters, digits and hyphens."),
                match slug(&id.text) {
                    slug if slug.is_empty() => "Give it such a name.".to_owned(),
                    slug => format!("Write “{slug}”."),
                },
            );
        }
    }

    /// Tells every key that was not asked for.
    pub fn finish(self) {
        for entry in &self.entries {
            let message = format!("The {} has a key that packstring does not know.", self.what);
            let all = format!("It may have: {}.", self.asked.join(", "));
            let mend = offer(&entry.key, self.asked.iter().copied(), &all);
            self.tell(&rules::KEY_UNKNOWN, entry.key_place.clone(), message, mend);
        }
    }
}

/// A day as people write it in a sentence: `May 16, 2026`.
fn day_in_words(text: &str) -> Option<Date> {
    languages::all().iter().find_map(|language| {
        let read = particulars::read_one(particulars::Kind::Date, text, &language.particulars).ok()?;
        match (read.says, read.or) {
            (Says::Days(days), None) => match days[..] {
                [Day { year: Some(year), month, day: Some(day), .. }] => Date::new(year, month, day).ok(),
                _ => None,
            },
            _ => None,
        }
    })
}

/// Words as a name: `Basin Dispatch` → `basin-dispatch`.
pub fn slug(text: &str) -> String {
    let lower = text.to_lowercase();
    let parts = lower.split(|letter: char| !letter.is_ascii_alphanumeric()).filter(|part| !part.is_empty());
    parts.collect::<Vec<_>>().join("-")
}

impl<'p> Value<'p> {
    pub fn place(&self) -> Place {
        self.context.page.place(self.range.clone())
    }

    /// Tells that the value is not what it should be.
    pub fn unfit(&self, should_be: &str) {
        let is = match &self.value {
            DeValue::String(_) => "text",
            DeValue::Integer(_) | DeValue::Float(_) => "a number",
            DeValue::Boolean(_) => "true or false",
            DeValue::Datetime(_) => "a date or time",
            DeValue::Array(_) => "a list",
            DeValue::Table(_) => "a table",
        };
        let message = format!("{} is {is}, which is the wrong kind of value.", self.title);
        self.context.tell(&rules::VALUE_UNFIT, self.place(), message, format!("It must be {should_be}."));
    }

    /// The same, of what has no quotation marks: where the text within them would do, it is said just as it is to stand.
    fn unfit_word(&self, should_be: &str, bare: impl Fn(&str) -> Option<String>) {
        let inner = match &self.value {
            DeValue::String(text) => bare(text.trim()),
            _ => None,
        };
        let Some(inner) = inner else { return self.unfit(should_be) };
        let message = format!("{} must not be in quotation marks.", self.title);
        self.context.tell(&rules::VALUE_UNFIT, self.place(), message, format!("Write {inner}."));
    }

    fn string(self) -> Option<(Written, SourceMap)> {
        let DeValue::String(text) = &self.value else {
            self.unfit("text in quotation marks");
            return None;
        };
        let page = self.context.page;
        if !bounds::check_count(
            &self.place(),
            text.len(),
            "bytes in this text",
            limits::TEXT_BYTES,
            self.context.mistakes,
        ) {
            return None;
        }
        let source = page.text().get(self.range.clone()).unwrap_or("");
        let (offsets, inner) = of_toml_string(source, self.range.start + page.mark, text);
        if text.trim().is_empty() {
            let message = format!("{} is empty.", self.title);
            let mend = "Write the text, or remove the line.";
            self.context.tell(&rules::VALUE_EMPTY, self.place(), message, mend);
            return None;
        }
        Some((Written { text: text.to_string(), place: Place::new(&page.file, inner) }, offsets))
    }

    pub fn text(self) -> Option<Written> {
        Some(self.string()?.0)
    }

    pub fn prose(self) -> Option<Prose> {
        let (page, mistakes) = (self.context.page, self.context.mistakes);
        let (written, offsets) = self.string()?;
        Some(markdown::prose(page, &written, offsets, mistakes))
    }

    /// One of a few words.
    pub fn choice<T: Copy>(self, choices: &[(&'static str, T)]) -> Option<T> {
        self.choice_also(choices, &[])
    }

    /// The same; words of `also` are taken too, and not offered.
    pub fn choice_also<T: Copy>(
        self,
        choices: &[(&'static str, T)],
        also: &[(&'static str, T)],
    ) -> Option<T> {
        let (context, title) = (self.context, self.title.clone());
        if !matches!(self.value, DeValue::String(_)) {
            let words: Vec<String> = choices.iter().map(|(word, _)| format!("\"{word}\"")).collect();
            self.unfit(&format!("one of these, with the quotation marks: {}", words.join(", ")));
            return None;
        }
        let written = self.text()?;
        let known = choices.iter().chain(also).find(|(word, _)| *word == written.text);
        if known.is_none() {
            let words: Vec<&str> = choices.iter().map(|(word, _)| *word).collect();
            let message = format!("{title} cannot be “{}”.", written.text);
            let all = format!("It may be: {}.", words.join(", "));
            let all_known = || choices.iter().chain(also).map(|(word, _)| *word);
            // “máximo” for “como máximo”
            let wanted = written.text.trim().to_lowercase();
            let part = all_known().find(|word| word.split(' ').any(|part| part == wanted));
            let mend = match part {
                Some(whole) => format!("Did you mean “{whole}”?"),
                None => offer(&written.text, all_known(), &all),
            };
            context.tell(&rules::VALUE_UNFIT, written.place, message, mend);
        }
        known.map(|(_, value)| *value)
    }

    fn count(self) -> Option<u32> {
        let count = match &self.value {
            DeValue::Integer(whole) if whole.radix() == 10 => {
                whole.as_str().parse().ok().filter(|count| *count > 0)
            }
            _ => None,
        };
        if count.is_none() {
            self.unfit("a whole number, 1 or more, without quotation marks");
        }
        count
    }

    fn share(self) -> Option<Share> {
        let text = match &self.value {
            DeValue::String(text) => text.trim().strip_suffix('%').map(str::trim),
            _ => return self.count().map(Share::Count),
        };
        let percent = text.and_then(|text| text.parse().ok()).filter(|percent| *percent > 0);
        if percent.is_none() {
            self.unfit("a whole number from 1, or a share such as \"10 %\"");
        }
        percent.map(Share::Percent)
    }

    /// The decimal text of a number: `77`, `0.6`.
    pub fn decimal(self) -> Option<Written> {
        let text = match &self.value {
            DeValue::Integer(whole) if whole.radix() == 10 => whole.as_str(),
            DeValue::Float(number) => number.as_str(),
            _ => "",
        };
        let text = text.strip_prefix('+').unwrap_or(text).to_owned();
        let is_decimal = text.chars().all(|letter| matches!(letter, '0'..='9' | '.' | '-'));
        if text.is_empty() || !is_decimal {
            self.unfit("a number in digits, without quotation marks");
            return None;
        }
        Some(Written { text, place: self.place() })
    }

    pub fn date(self) -> Option<(Date, Place)> {
        let date = match &self.value {
            DeValue::Datetime(toml::value::Datetime { date: Some(date), time: None, offset: None }) => {
                Date::new(date.year as i16, date.month as i8, date.day as i8).ok()
            }
            _ => None,
        };
        if date.is_none() {
            self.unfit_word("a date such as 2026-05-16, without quotation marks", |text| {
                let date = text.parse::<Date>().ok().or_else(|| day_in_words(text));
                date.map(|date| date.to_string())
            });
        }
        Some((date?, self.place()))
    }

    fn time(self) -> Option<Time> {
        let time = match &self.value {
            DeValue::Datetime(toml::value::Datetime { date: None, time: Some(time), offset: None }) => {
                Time::new(time.hour as i8, time.minute as i8, time.second.unwrap_or(0) as i8, 0).ok()
            }
            _ => None,
        };
        if time.is_none() {
            self.unfit_word("a time such as 09:00, without quotation marks", |text| {
                let time = text.parse::<Time>().ok().or_else(|| syntax::newcomer::time(text));
                time.map(|time| time.strftime("%H:%M").to_string())
            });
        }
        time
    }

    /// Whether a list has no more entries than packstring takes; what has is told.
    pub fn has_at_most(&self, most: usize, of_what: &str) -> bool {
        let count = match &self.value {
            DeValue::Array(items) => items.len(),
            _ => 0,
        };
        bounds::check_count(&self.place(), count, of_what, most, self.context.mistakes)
    }

    /// The values of a list of one or more.
    pub fn list(self, of: &str) -> Vec<Value<'p>> {
        let (context, title) = (self.context, self.title.clone());
        match self.value {
            DeValue::Array(items) if !items.is_empty() => {
                let title = match title.starts_with('“') {
                    true => format!("An entry of {title}").into(),
                    false => title,
                };
                let entry = |item: Spanned<DeValue<'p>>| Value {
                    context,
                    title: Rc::clone(&title),
                    range: item.span(),
                    value: item.into_inner(),
                };
                items.into_iter().map(entry).collect()
            }
            DeValue::Array(_) => {
                let message = format!("{title} is an empty list.");
                context.tell(
                    &rules::VALUE_EMPTY,
                    context.page.place(self.range),
                    message,
                    "Fill it, or take the line out.",
                );
                Vec::new()
            }
            _ => {
                self.unfit(&format!("a list of {of}"));
                Vec::new()
            }
        }
    }

    pub fn is_list(&self) -> bool {
        matches!(self.value, DeValue::Array(_))
    }

    pub fn form(self, what: &'static str, should_be: &str) -> Option<Form<'p>> {
        let place = self.place();
        match self.value {
            DeValue::Table(table) => Some(Form::new(self.context, table, what, place)),
            _ => {
                self.unfit(should_be);
                None
            }
        }
    }
}
