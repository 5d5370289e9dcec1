//! `program.LANGUAGE.toml`: the short texts of an edition, laid over those of the main one.

use super::Lack;
use crate::finding::{Place, rules};
use crate::program::facts::{Fact, Series, SourceRead, Stated};
use crate::program::form::{Form, Value};
use crate::program::kits::Kit;
use crate::program::lesson::Prose;
use crate::program::mistakes::offer;
use crate::program::questions::{self, Kind, Question, RightChoice};
use crate::program::series_column;
use crate::program::settings::{KindWords, Letters, Settings, Term};
use crate::program::{Content, Written};

/// Puts the edition's own texts into its content, and notes each that is not there.
pub(super) fn lay_over(content: &mut Content, mut file: Form, lacks: &mut Vec<Lack>, lost: bool) {
    let mut over = Over { lacks, lost };
    over.settings(&mut content.settings, &mut file);
    let questions = content.questions.list.iter_mut().map(|question| (question.id.clone(), question));
    over.named(&mut file, "questions", "question", questions.collect(), Over::question);
    let kits = content.kits.iter_mut().map(|kit| (kit.id.clone(), kit)).collect();
    over.named(&mut file, "kits", "kit", kits, Over::kit);
    let facts = content.facts.iter_mut().map(|fact| (fact.name.clone(), fact)).collect();
    over.named(&mut file, "facts", "fact", facts, Over::fact);
    over.names_of_facts(content);
    if let Some(mut nouns) = file.form("nouns", "[nouns] table") {
        let pairs = nouns.take_all().into_iter();
        content.nouns = pairs.filter_map(|(own, main)| Some((own.text, main.text()?.text))).collect();
    }
    file.finish();
}

struct Over<'l> {
    lacks: &'l mut Vec<Lack>,
    /// A file of the main edition is broken, so that what is not there may only have been lost.
    lost: bool,
}

impl Over<'_> {
    fn lack(&mut self, place: &Place, what: impl Into<String>, key: impl Into<String>) {
        self.lacks.push(Lack { place: place.clone(), what: what.into(), key: key.into() });
    }

    /// A prose of the main edition with the edition's own in its place.
    fn prose(&mut self, held: &mut Option<Prose>, own: Option<Prose>, what: &str, key: &str) {
        match (held.as_ref(), own) {
            (_, Some(own)) => *held = Some(own),
            (Some(main), None) => {
                let place = main.place.clone();
                self.lack(&place, what, key);
            }
            (None, None) => {}
        }
    }

    /// Tables by the names of things of the main edition.
    fn named<T>(
        &mut self,
        file: &mut Form,
        key: &'static str,
        what: &'static str,
        mut things: Vec<(String, &mut T)>,
        lay: fn(&mut Self, &mut T, Option<Form>),
    ) {
        let should_be = format!("tables by name, each with a heading such as [{key}.NAME]");
        let tables = file.form(key, "list of tables").map(|mut tables| tables.take_all()).unwrap_or_default();
        let mut tables: Vec<(Written, Value)> = tables;
        for (name, thing) in &mut things {
            let own = tables.iter().position(|(own, _)| own.text == *name).map(|at| tables.remove(at).1);
            lay(self, thing, own.and_then(|own| own.form(what, &should_be)));
        }
        for (name, _) in tables.iter().filter(|_| !self.lost) {
            let message = format!("The main edition has no {what} “{}” to translate.", name.text);
            let known = things.iter().map(|(name, _)| name.as_str());
            let mend =
                offer(&name.text, known, "Use the name that the main edition uses, or remove the table.");
            file.tell(&rules::NAME_UNKNOWN, name.place.clone(), message, mend);
        }
    }

    fn settings(&mut self, settings: &mut Settings, file: &mut Form) {
        let mut table = file.form("program", "[program] table");
        if let Some(table) = &mut table {
            replace(&mut settings.name, table.text("name"));
            replace(&mut settings.agency, table.text("agency"));
            replace(&mut settings.season, table.text("season"));
        }
        let own = table.as_mut().and_then(|table| table.prose("summary"));
        self.prose(&mut settings.summary, own, "the summary", "[program] summary");
        table.into_iter().for_each(Form::finish);
        self.habits(settings, file);
        self.certificate(settings, file);
        self.letters(settings, file);
        let terms = settings.glossary.iter_mut().map(|term| (term.term.clone(), term)).collect();
        self.named(file, "glossary", "term of the glossary", terms, Self::term);
        let contacts = settings.contacts.iter_mut().map(|contact| (contact.name.clone(), contact)).collect();
        self.named(file, "contacts", "contact", contacts, |_, contact, own| {
            let Some(mut own) = own else { return };
            replace(&mut contact.name, own.text("name"));
            if let Some(purpose) = own.text("for") {
                (contact.purpose, contact.purpose_place) = (purpose.text, purpose.place);
            }
            if let Some(hours) = own.text("hours") {
                (contact.hours, contact.hours_place) = (Some(hours.text), Some(hours.place));
            }
            own.finish();
        });
        let signatures = settings.signatures.iter_mut().map(|it| (it.name.clone(), it)).collect();
        self.named(file, "signatures", "signature", signatures, |_, signature, own| {
            let Some(mut own) = own else { return };
            replace(&mut signature.title, own.text("title"));
            own.finish();
        });
        let events = settings
            .events
            .iter_mut()
            .chain(&mut settings.undated)
            .map(|event| (event.id.clone(), event))
            .collect();
        self.named(file, "events", "event", events, |_, event, own| {
            let Some(mut own) = own else { return };
            replace(&mut event.name, own.text("name"));
            replace(&mut event.venue, own.text("place"));
            own.finish();
        });
        if let Some(mut own) = file.form("site", "[site] table") {
            let name = own.text("time-zone-name").map(|written| written.text);
            settings.site.time_zone_name = name.or(settings.site.time_zone_name.take());
            own.finish();
        }
        who(settings, file);
    }

    fn term(&mut self, term: &mut Term, own: Option<Form>) {
        let key = format!("[glossary.\"{}\"]", term.term);
        let Some(mut own) = own else {
            let what = format!("the term “{}” of the glossary", term.term);
            return self.lack(&term.place, what, key);
        };
        replace(&mut term.term, own.text("term"));
        match own.prose("meaning") {
            Some(meaning) => term.meaning = meaning,
            None => self.lack(&term.place, format!("what the term “{}” means", term.term), key + " meaning"),
        }
        own.finish();
    }

    /// The habits have no names, so the edition has them all, in the same order, or none.
    fn habits(&mut self, settings: &mut Settings, file: &mut Form) {
        file.renamed("principles", "habits");
        let own = file.forms("habits", "habit");
        if own.is_empty() {
            if let Some(text) = settings.habits.iter().find_map(|habit| habit.text.as_ref()) {
                let place = text.place.clone();
                self.lack(&place, "the habits", "[[habits]]");
            }
            return;
        }
        if own.len() != settings.habits.len() {
            let message =
                format!("The main edition has {} habits and this one {}.", settings.habits.len(), own.len());
            file.tell(
                &rules::VALUE_UNFIT,
                own[0].place.clone(),
                message,
                "Give each habit of program.toml one here, in the same order.",
            );
        }
        for (habit, mut own) in settings.habits.iter_mut().zip(own) {
            habit.words = own.need_text("words", "Planee en la mesa").text;
            let text = own.prose("text");
            self.prose(&mut habit.text, text, "the text of a habit", "[[habits]] text");
            own.finish();
        }
    }

    fn certificate(&mut self, settings: &mut Settings, file: &mut Form) {
        let words = &mut settings.certificate;
        let mut own = file.form("certificate", "[certificate] table");
        let title = own.as_mut().and_then(|own| own.text("title")).map(|title| title.text);
        let text = own.as_mut().and_then(|own| own.prose("text"));
        // A title in another language would stand over words of this one; the theme has one in each.
        words.title = title;
        self.prose(&mut words.text, text, "the words of the certificate", "[certificate] text");
        let kinds: [(&'static str, &mut KindWords); 2] =
            [("companion", &mut words.companion), ("award", &mut words.award)];
        for (key, kind) in kinds {
            let mut own = own.as_mut().and_then(|own| own.form(key, "table of a kind of certificate"));
            kind.title = own.as_mut().and_then(|own| own.text("title")).map(|title| title.text);
            let text = own.as_mut().and_then(|own| own.prose("text"));
            let what = format!("the words of the certificate ({key})");
            self.prose(&mut kind.text, text, &what, &format!("[certificate.{key}] text"));
            own.into_iter().for_each(Form::finish);
        }
        own.into_iter().for_each(Form::finish);
    }

    /// Words in another language would stand in a letter of this one; the theme has its own in each.
    fn letters(&mut self, settings: &mut Settings, file: &mut Form) {
        let mut own = file.form("letters", "[letters] table");
        let (subject, text, award) = own.as_mut().map(Letters::words).unwrap_or_default();
        if let Some(letters) = &mut settings.letters {
            if letters.text.is_some() && text.is_none() {
                let place = letters.place.clone();
                self.lack(&place, "the text of the letters", "[letters] text");
            }
            (letters.subject, letters.text, letters.award) = (subject, text, award);
        }
        own.into_iter().for_each(Form::finish);
    }

    fn question(&mut self, question: &mut Question, own: Option<Form>) {
        let (id, place) = (question.id.clone(), question.place.clone());
        let key = |key: &str| format!("[questions.{id}] {key}");
        let Some(mut own) = own else {
            return self.lack(&place, format!("the question “{id}”"), key("ask"));
        };
        match own.prose("ask") {
            Some(ask) => question.ask = ask,
            None => self.lack(&place, format!("what the question “{id}” asks"), key("ask")),
        }
        let because = own.prose("because");
        let what = format!("the reason of the question “{id}”");
        self.prose(&mut question.because, because, &what, &key("because"));
        match &mut question.kind {
            Kind::Choice { choices, right } => {
                let before = self.choices(choices, &mut own, &id);
                if let RightChoice::Words(right) = right {
                    follow(right, &before, choices);
                }
            }
            Kind::Several { choices, right } => {
                let before = self.choices(choices, &mut own, &id);
                right.iter_mut().for_each(|right| follow(right, &before, choices));
            }
            Kind::NameSome { accept, .. } => {
                let words = questions::accepted(&mut own);
                let what = format!("the answers of the question “{id}”");
                self.list(accept, words, &place, what, key("accept"));
            }
            Kind::Open { look_for } => {
                let words = own.texts("look-for").into_iter().map(|point| point.text).collect();
                let what = format!("what to look for in the question “{id}”");
                self.list(look_for, words, &place, what, key("look-for"));
            }
            Kind::Figure { .. } => {}
        }
        own.finish();
    }

    /// Puts the edition's own list in place of the main one's. It may have more or fewer entries.
    fn list<T>(&mut self, held: &mut Vec<T>, own: Vec<T>, place: &Place, what: String, key: String) {
        if own.is_empty() {
            return self.lack(place, what, key);
        }
        *held = own;
    }

    /// Puts the edition's choices in place of the main one's, and gives those.
    fn choices(&mut self, choices: &mut Vec<Written>, own: &mut Form, id: &str) -> Vec<Written> {
        let words = own.texts("choices");
        let before = choices.clone();
        if words.len() == before.len() {
            *choices = words;
        } else if let Some(first) = words.first() {
            let message =
                format!("The question “{id}” has {} choices and not {}.", before.len(), words.len());
            let mend = "Give each choice of questions.toml one here, in the same order.";
            own.tell(&rules::VALUE_UNFIT, first.place.clone(), message, mend);
        } else if let Some(first) = before.first() {
            let key = format!("[questions.{id}] choices");
            self.lack(&first.place, format!("the choices of the question “{id}”"), key);
        }
        before
    }

    fn kit(&mut self, kit: &mut Kit, own: Option<Form>) {
        let (id, place) = (kit.id.clone(), kit.place.clone());
        let Some(mut own) = own else {
            return self.lack(&place, format!("the kit “{id}”"), format!("[kits.{id}] name"));
        };
        replace(&mut kit.name, own.text("name"));
        let purpose = own.prose("for");
        let what = format!("what the kit “{id}” is for");
        self.prose(&mut kit.purpose, purpose, &what, &format!("[kits.{id}] for"));
        let items = own.forms("items", "kit item");
        if items.len() != kit.items.len() {
            let what = format!(
                "{} of the {} things of the kit “{id}”",
                kit.items.len().abs_diff(items.len()),
                kit.items.len()
            );
            self.lack(&place, what, format!("[[kits.{id}.items]]"));
        }
        for (item, mut own) in kit.items.iter_mut().zip(items) {
            item.item = own.need_prose("item", "Limpiacascos");
            let note = own.prose("note");
            let what = format!("the note of a thing of the kit “{id}”");
            self.prose(&mut item.note, note, &what, &format!("[[kits.{id}.items]] note"));
            own.finish();
        }
        own.finish();
    }

    /// The headings of a series. Its units are values, and stay those of the facts file.
    fn columns(&mut self, fact: &str, series: &mut Series, names: Vec<Written>, file: Option<&Form>) {
        if names.is_empty() {
            if let Some(first) = series.columns.first() {
                let key = format!("[facts.{fact}] columns");
                self.lack(&first.place, format!("the headings of the series “{fact}”"), key);
            }
            return;
        }
        let tell = |place: &Place, message: String, mend: String| {
            if let Some(file) = file {
                file.tell(&rules::VALUE_UNFIT, place.clone(), message, mend);
            }
        };
        if names.len() != series.columns.len() {
            let message =
                format!("The series “{fact}” has {} columns and not {}.", series.columns.len(), names.len());
            let mend = "Give each heading of facts.toml one here, in the same order.";
            return tell(&names[0].place, message, mend.to_owned());
        }
        for (column, own) in series.columns.iter_mut().zip(names) {
            let ((_, unit), (name, own_unit)) = (series_column(&column.text), series_column(&own.text));
            if !own_unit.is_empty() && own_unit != unit {
                let message = format!("The column is in “{unit}” in facts.toml, and in “{own_unit}” here.");
                tell(&own.place, message, format!("Write “{name}” alone: the unit is added."));
            }
            column.text = if unit.is_empty() { name } else { format!("{name} ({unit})") };
        }
    }

    fn fact(&mut self, fact: &mut Fact, own: Option<Form>) {
        let mut own = own;
        let called = own.as_mut().map(|own| own.texts("called")).unwrap_or_default();
        // Words of another language name nothing in this one.
        fact.called = called.into_iter().map(|word| word.text).collect();
        let wording = own.as_mut().and_then(|own| own.text("wording"));
        fact.main_wording = std::mem::replace(&mut fact.wording, wording);
        fact.title = own.as_mut().and_then(|own| own.text("name")).map(|name| name.text);
        if let Some(source) = own.as_mut().and_then(|own| own.text("source")) {
            fact.source = Some(source);
        }
        self.read(fact, own.as_mut());
        if let Stated::Series(series) = &mut fact.stated {
            let names = own.as_mut().map(|own| own.texts("columns")).unwrap_or_default();
            self.columns(&fact.name, series, names, own.as_ref());
        }
        own.into_iter().for_each(Form::finish);
    }

    /// Who quotes the source, in words of the edition's own. How it was read is no matter of language.
    fn read(&self, fact: &mut Fact, own: Option<&mut Form>) {
        let Some(own) = own.filter(|own| own.has("read")) else { return };
        let place = own.place.clone();
        let Some(read) = SourceRead::take(own) else { return };
        if fact.read.as_ref().is_some_and(|main| main.is_like(&read)) {
            fact.read = Some(read);
            return;
        }
        let message = match &fact.read {
            Some(main) => format!(
                "This “read” says another thing than facts.toml, which has “{}” for the fact “{}”.",
                main.words(),
                fact.name
            ),
            None => format!("facts.toml does not say how the source of the fact “{}” was read.", fact.name),
        };
        own.tell(&rules::VALUE_UNFIT, place, message, "Change facts.toml, or remove the line here.");
    }
}

impl Over<'_> {
    /// Where some facts have a name in the edition's words, those that have none are told.
    fn names_of_facts(&mut self, content: &mut Content) {
        if content.facts.iter().any(|fact| fact.title.is_some()) {
            for fact in content.facts.iter().filter(|fact| fact.title.is_none()) {
                let key = format!("[facts.{}] name", fact.name);
                self.lack(&fact.place, format!("the name of the fact “{}”", fact.name), key);
            }
        }
        // At an event a fact goes by the same name, and by the same words where its value is the same.
        for other in content.at_events.iter_mut().flat_map(|at| &mut at.facts) {
            let common = content.facts.iter().find(|fact| fact.name == other.name);
            other.title = common.and_then(|fact| fact.title.clone());
            other.main_wording = other.wording.take();
            let place = |wording: &Option<Written>| wording.as_ref().map(|wording| wording.place.clone());
            let same = common.filter(|fact| place(&fact.main_wording) == place(&other.main_wording));
            other.wording =
                same.filter(|_| other.main_wording.is_some()).and_then(|fact| fact.wording.clone());
        }
    }
}

/// Who presents: words and not names, so each word stands once, however many lessons it has.
fn who(settings: &mut Settings, file: &mut Form) {
    let Some(mut table) = file.form("who", "[who] table") else { return };
    let mut words: Vec<(Written, Option<Written>)> =
        table.take_all().into_iter().map(|(main, own)| (main, own.text())).collect();
    let known: Vec<String> = settings.syllabus.iter().filter_map(|entry| entry.who.clone()).collect();
    for who in settings.syllabus.iter_mut().filter_map(|entry| entry.who.as_mut()) {
        let own = words.iter().find(|(main, _)| main.text == *who);
        if let Some((_, Some(own))) = own {
            who.clone_from(&own.text);
        }
    }
    words.retain(|(main, _)| !known.contains(&main.text));
    for (main, _) in &words {
        let message = format!("The syllabus says nowhere that “{}” presents.", main.text);
        let known = known.iter().map(String::as_str);
        let mend = offer(&main.text, known, "Write it as “who” does in program.toml, or take the line out.");
        file.tell(&rules::NAME_UNKNOWN, main.place.clone(), message, mend);
    }
}

fn replace(held: &mut String, own: Option<Written>) {
    if let Some(own) = own {
        *held = own.text;
    }
}

/// The right answer in the edition's words: that of the same place among the choices.
fn follow(right: &mut Written, before: &[Written], choices: &[Written]) {
    if let Some(at) = before.iter().position(|choice| choice.text == right.text) {
        right.text.clone_from(&choices[at].text);
    }
}
