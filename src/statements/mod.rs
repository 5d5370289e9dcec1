//! The print: the program laid out for proofreading, with every stated figure held against its fact.
//!
//! What several rules ask is worked out here once. The heart is [`Statement`]: a figure that is
//! printed, the fact it was held against, and the one [`Judgement`] that came of it.

mod accounted;
mod alike;
pub(crate) mod called;
pub(crate) mod judgement;
pub(crate) mod mentions;
pub(crate) mod series;

use crate::finding::Place;
use crate::languages::{self, HandedOut, Vocabulary};
use crate::particulars::{self, Kind, Particular, Says, Verdict};
use crate::program::Fact;
use crate::program::facts::Stated;
use crate::program::lesson::{Backed, Picture, SeriesView};
use crate::program::walk::{self, Met};
use crate::quantity::{self, Agreement, Amount, Exact, Figure, Held, Limit, Quantity, Unit};
use crate::understand::{Passage, Understood};
use alike::Alike;
use called::{Phrases, Sentences, Words};
use jiff::civil::Date;
use judgement::{Judgement, overlap};
use mentions::Mention;
use num_traits::One;
use std::cell::{OnceCell, RefCell};
use std::collections::{BTreeMap, HashMap};
use std::ops::Range;

/// Everything that a rule may ask.
pub struct PrintContext<'u> {
    pub understood: &'u Understood<'u>,
    pub today: Date,
    pub statements: Vec<Statement<'u>>,
    /// The facts, by their places in the list, by the words that name them; in each language that prose is in.
    named: HashMap<&'static str, Phrases>,
    mentions: OnceCell<Vec<Mention<'u>>>,
    days: OnceCell<Vec<Vec<Particular>>>,
    alike: Alike,
}

/// A passage as figures without a link are looked at in it: what is asked for each of them is worked out once.
struct Prose<'u> {
    passage: &'u Passage<'u>,
    sentences: Sentences,
    words: Words,
    language: &'static Vocabulary,
    /// By the sentence's start and the fact's place in the list: the figures of the sentence that agree with it.
    agreeing: RefCell<HashMap<(usize, usize), Vec<usize>>>,
}

impl<'u> Prose<'u> {
    fn of(passage: &'u Passage<'u>, language: &'static Vocabulary) -> Self {
        Self {
            passage,
            sentences: Sentences::of(&passage.text),
            words: Words::of(&passage.text, language),
            language,
            agreeing: RefCell::default(),
        }
    }

    /// The figures of a sentence that say what a fact does, by their places in the passage.
    fn agreeing(&self, sentence: &Range<usize>, fact: usize, held: &Held) -> Vec<usize> {
        let key = (sentence.start, fact);
        if let Some(known) = self.agreeing.borrow().get(&key) {
            return known.clone();
        }
        // both stand in the order of the text
        let all = &self.passage.figures;
        let first = all.partition_point(|figure| figure.span.end <= sentence.start);
        let figures = (first..).zip(&all[first..]).take_while(|(_, figure)| figure.span.start < sentence.end);
        let inside = figures.filter(|(_, figure)| overlap(&figure.span, sentence));
        let agree = inside.filter(|(_, figure)| quantity::agree(figure, held) == Agreement::Agrees);
        // one more than this tells nothing that these do not
        let found: Vec<usize> = agree.map(|(at, _)| at).take(MOST_AGREEING).collect();
        self.agreeing.borrow_mut().insert(key, found.clone());
        found
    }
}

/// So many figures of a sentence that say what a fact does are looked at.
const MOST_AGREEING: usize = 8;

/// A figure that stands in print, and what came of holding it against the facts.
pub struct Statement<'u> {
    pub place: Place,
    /// The words of the figure, with those around it that loosen or bind it.
    pub words: String,
    /// The link, if it is backed.
    pub backed: Option<&'u Backed>,
    /// The fact it was held against: the one that backs it, or the one that its sentence names.
    pub fact: Option<&'u Fact>,
    /// The unit in which it is stated, for telling what a computed fact comes to.
    pub unit: Option<Unit>,
    pub judgement: Judgement,
    /// Whether it stands where a link can back it: not with a picture.
    pub can_be_backed: bool,
    /// What [`Statement::words`] would have to be, where that can be worded by rule.
    pub anew: Option<String>,
    /// Whether it says, or its text does, what the fact is per.
    pub says_rate: bool,
    /// What would have to stand at [`Statement::place`], where other words there are all that it takes.
    pub instead: Option<String>,
}

impl<'u> PrintContext<'u> {
    pub fn lay_out(understood: &'u Understood<'u>, today: Date) -> Self {
        Self::lay_out_of(understood, today, &|_| true)
    }

    /// The same of those passages alone that are wanted.
    pub fn lay_out_of(
        understood: &'u Understood<'u>,
        today: Date,
        is_wanted: &dyn Fn(&Passage) -> bool,
    ) -> Self {
        let mut print = Self {
            understood,
            today,
            statements: Vec::new(),
            named: HashMap::new(),
            mentions: OnceCell::new(),
            days: OnceCell::new(),
            alike: Alike::default(),
        };
        for passage in understood.passages.iter().filter(|passage| is_wanted(passage)) {
            let backed = passage.backed.iter().map(|(range, backed)| print.backed(passage, range, backed));
            let mut statements: Vec<_> = backed.collect();
            let mut linked = passage.backed.iter().map(|(range, _)| range).peekable();
            let phones = phones_in(passage, print.words_for(passage));
            let loose: Vec<&Figure> = passage
                .figures
                .iter()
                .filter(|figure| {
                    // both stand in the order of the text
                    while linked.next_if(|range| range.end <= figure.span.start).is_some() {}
                    linked.peek().is_none_or(|range| !overlap(range, &figure.span))
                        && !phones.iter().any(|phone| overlap(phone, &figure.span))
                })
                .collect();
            if !loose.is_empty() {
                let language = print.words_for(passage);
                print.named.entry(language.tag).or_insert_with(|| phrases(understood, language));
                let prose = Prose::of(passage, language);
                statements.extend(loose.into_iter().map(|figure| print.unbacked(&prose, figure)));
            }
            print.statements.append(&mut statements);
        }
        print
    }

    pub fn fact(&self, name: &str) -> Option<&'u Fact> {
        self.understood.fact(name)
    }

    /// Every picture that lessons and prose show.
    pub fn pictures(&self) -> impl Iterator<Item = &'u Picture> {
        let content = self.understood.content;
        walk::lessons(content).chain(walk::settings(content)).filter_map(Met::picture)
    }

    /// Every place where a series is to be drawn.
    pub fn series_views(&self) -> impl Iterator<Item = &'u SeriesView> {
        walk::lessons(self.understood.content).filter_map(Met::series)
    }

    /// What stands at a place of an input file.
    pub fn source_words(&self, place: &Place) -> &'u str {
        self.understood.root.sources.words(place).trim()
    }

    /// A fact as it is quoted to the editor: `at most 10 ft (lead-length)`, `10 ft (lead-length at
    /// sand-creek)`.
    pub fn quote(&self, fact: &Fact) -> String {
        quote(self.understood, fact, None)
    }

    /// The fact that a statement was held against, as it is quoted to the editor: what is worked out is
    /// told in the unit of the statement.
    pub fn quote_for(&self, statement: &Statement, fact: &Fact) -> String {
        quote(self.understood, fact, statement.unit.as_ref())
    }

    fn backed(&self, passage: &'u Passage<'u>, range: &Range<usize>, backed: &'u Backed) -> Statement<'u> {
        let fact = self.fact(&backed.fact);
        let judgement = match fact {
            None => Judgement::UnknownFact,
            Some(fact) if backed.is_open() => self.filled_in(passage, range, fact),
            Some(fact) if fact.kind.is_some() => match self.changed(passage, range, false) {
                Some(changed) => changed,
                None => self.of_kind(passage, range, fact),
            },
            Some(fact) => match (&fact.stated, self.understood.held(&fact.name)) {
                (Stated::Series(series), _) => {
                    judgement::in_series(passage, range, series, self.understood.language())
                }
                (_, Some(held)) => self.linked(passage, range, fact, held),
                (_, None) => Judgement::Exempt,
            },
        };
        let wide = with_reach(passage, range);
        let wrong = fact.filter(|_| judgement.is_off()).and_then(|fact| self.understood.held(&fact.name));
        let says = fact.filter(|_| judgement.is_off()).and_then(|fact| self.understood.says(&fact.name));
        let right = |range: &Range<usize>| match (wrong, says, fact) {
            (Some(held), ..) => judgement::put_right(passage, range, held).ok(),
            (None, Some(_), Some(fact)) => put_right_of_kind(self.understood, passage, range, fact).ok(),
            _ => None,
        };
        let is_plain = || self.source_words(&backed.words_place) == &passage.text[range.clone()];
        let before = &passage.text[..range.start];
        let fits = |words: &String| {
            let other = passage.language.is_english() && quantity::other_article(before, words).is_some();
            let reread = passage.language.to_reread(&passage.text, range, words).is_some();
            is_plain() && !words.contains(MARKUP) && !other && !reread
        };
        Statement {
            place: backed.words_place.clone(),
            anew: right(&wide),
            instead: right(range).filter(fits),
            words: passage.text[wide].to_owned(),
            backed: Some(backed),
            can_be_backed: true,
            says_rate: true,
            fact,
            unit: passage
                .figures
                .iter()
                .find(|figure| overlap(range, &figure.span))
                .map(|figure| figure.quantity.unit.clone()),
            judgement: judgement.put_into(&passage.language),
        }
    }

    /// Holds the sentence around an open link against its fact, as it is printed. What is wrong with the words by
    /// themselves is told at the fact.
    fn filled_in(&self, passage: &Passage, range: &Range<usize>, fact: &Fact) -> Judgement {
        let Some(held) = self.understood.held(&fact.name).filter(|_| fact.kind.is_none()) else {
            return self.changed(passage, range, false).unwrap_or(Judgement::Exempt);
        };
        if let Some(changed) = self.changed(passage, range, true) {
            return changed;
        }
        match judgement::against_its_fact(passage, range, held) {
            Judgement::LimitTurned => Judgement::LimitTurned,
            judgement @ (Judgement::Off { .. } | Judgement::DualApart)
                if judgement::says_by_itself(passage, range, held) =>
            {
                judgement
            }
            _ => Judgement::Exempt,
        }
    }

    /// Whether what stands right beside a link makes another figure of it.
    fn changed(&self, passage: &Passage, range: &Range<usize>, is_figure: bool) -> Option<Judgement> {
        let words = accounted::changed_by(passage, range, self.words_for(passage))?;
        let is_digits = words.chars().all(|letter| letter.is_ascii_digit());
        let mut figures = passage.figures.iter().filter(|figure| overlap(&figure.number, range));
        let has_number = figures.any(|figure| range.start <= figure.number.start);
        (is_digits || is_figure && has_number).then_some(Judgement::Changed { words })
    }

    /// Holds the words of a link against its fact: rate, number, unit and bound, and that they say no more.
    fn linked(&self, passage: &Passage, range: &Range<usize>, fact: &Fact, held: &Held) -> Judgement {
        let language = self.words_for(passage);
        let mut around = passage.figures.iter().filter(|figure| overlap(range, &figure.span));
        if around.any(|figure| accounted::leaves_out_rate(passage, figure, held, language)) {
            return Judgement::OtherUnit;
        }
        if let Some(changed) = self.changed(passage, range, true) {
            return changed;
        }
        match judgement::against_its_fact(passage, range, held) {
            Judgement::Agrees => {
                let mut around = passage.figures.iter().filter(|figure| overlap(range, &figure.span));
                let mut led = passage.figures.iter().filter(|figure| overlap(range, &figure.span));
                if led.any(|figure| is_turned_by_lead(passage, figure, held)) {
                    return Judgement::LimitTurned;
                }
                if around.any(|figure| binds_unsaid(passage, figure, held)) {
                    return Judgement::BindsUnsaid;
                }
                let main = self.understood.root.content.facts.iter().find(|main| main.name == fact.name);
                let main = main.filter(|main| !std::ptr::eq(*main, fact));
                let facts: Vec<&Fact> = main.into_iter().chain([fact]).collect();
                if let Some(thing) = accounted::leaves_out_thing(passage, range, held, language) {
                    return Judgement::LeavesOut { thing };
                }
                accounted::beyond(passage, range, &facts, held, language).unwrap_or(Judgement::Agrees)
            }
            other => other,
        }
    }

    /// Whether words that are to become a link would say there what the fact does, and no more.
    pub fn holds_as_link(&self, passage: &Passage, range: &Range<usize>, fact: &Fact) -> bool {
        let held = self.understood.held(&fact.name);
        held.is_none_or(|held| self.linked(passage, range, fact, held) == Judgement::Agrees)
    }

    /// Holds the words of a link against a fact that is no quantity: exactly, whatever their writing.
    fn of_kind(&self, passage: &Passage, range: &Range<usize>, fact: &Fact) -> Judgement {
        let Some((kind, says)) = fact.kind.zip(self.understood.says(&fact.name)) else {
            return Judgement::Exempt;
        };
        let language = self.words_for(passage);
        let text = &passage.text[range.clone()];
        let own = self.understood.own_words(&fact.name);
        if own.as_deref() == Some(text) {
            return Judgement::Agrees;
        }
        let Ok(read) = particulars::read_one(kind, text, &language.particulars) else {
            return Judgement::NoFigure;
        };
        let usual = || particulars::say(says, &language.particulars).or(own.clone()).unwrap_or_default();
        match particulars::agree(&read, says, false) {
            Verdict::Off => Judgement::Off { expected: usual() },
            Verdict::Unsure => {
                let other = if read.says == *says { read.or.as_ref() } else { Some(&read.says) };
                let other = other.filter(|other| *other != says).or(read.or.as_ref()).unwrap_or(&read.says);
                let or = particulars::say(other, &language.particulars).unwrap_or_default();
                Judgement::Unclear { or, clear: usual() }
            }
            Verdict::Agrees => {
                if let Some(expected) = self.goes_on(passage, range, (kind, says), language) {
                    return Judgement::Off { expected };
                }
                let span = read.span.start + range.start..read.span.end + range.start;
                accounted::beyond_span(passage, range, &span, fact, language).unwrap_or(Judgement::Agrees)
            }
        }
    }

    /// What a particular would have to be that goes on behind its link and says something else there: "[October 15]
    /// 2027".
    fn goes_on(
        &self,
        passage: &Passage,
        range: &Range<usize>,
        (kind, says): (Kind, &Says),
        language: &Vocabulary,
    ) -> Option<String> {
        let found = particulars::find(kind, &passage.text, &language.particulars);
        let mut around = found.into_iter().filter(|found| overlap(&found.span, range));
        let wider = around.find(|found| found.span.start < range.start || range.end < found.span.end)?;
        let is_alike = match (&wider.says, says) {
            (Says::Days(stated), Says::Days(fact)) => stated.len() == fact.len(),
            (Says::Times(stated), Says::Times(fact)) => stated.len() == fact.len(),
            _ => false,
        };
        let is_off = is_alike && particulars::agree(&wider, says, false) == Verdict::Off;
        is_off.then(|| particulars::say(says, &language.particulars).unwrap_or_default())
    }

    /// Each particular without a link that is wrong, worked out once.
    pub fn mentions(&self) -> &[Mention<'u>] {
        self.mentions.get_or_init(|| mentions::wrong(self.understood, || self.days()))
    }

    /// The days that stand in each passage, linked or not, in the order of the passages; read once.
    pub fn days(&self) -> &[Vec<Particular>] {
        let of = |passage: &Passage| {
            particulars::find(Kind::Date, &passage.text, &self.words_for(passage).particulars)
        };
        self.days.get_or_init(|| self.understood.passages.iter().map(of).collect())
    }

    fn unbacked(&self, prose: &Prose<'u>, figure: &Figure) -> Statement<'u> {
        let (passage, words) = (prose.passage, prose.language);
        let (fact, judgement) = if !quantity::halves_agree(figure) {
            (None, Judgement::DualApart)
        } else {
            match self.nearest_led(prose, figure).unwrap_or_else(|| self.nearest_fact(prose, figure)) {
                // what needs no fact may still be a fact wrongly stated
                (_, Judgement::Unbacked | Judgement::Agrees) if self.is_exempt(passage, &figure.span) => {
                    (None, Judgement::Exempt)
                }
                (None, Judgement::Unbacked) if is_one_for_each(&passage.text, figure, words) => {
                    (None, Judgement::Exempt)
                }
                // nothing could be done about it
                (_, Judgement::Unbacked | Judgement::Agrees) if passage.with_picture => {
                    (None, Judgement::Exempt)
                }
                judged => judged,
            }
        };
        let mut span = with_bracket(&passage.text, &figure.reach);
        if figure.quantity.unit.is_none() {
            span.end += for_each(&passage.text[span.end..], words);
        }
        let held = fact.and_then(|fact| self.understood.held(&fact.name));
        let says_rate = held.is_none_or(|held| !accounted::leaves_out_rate(passage, figure, held, words));
        let wrong = held.filter(|_| judgement.is_off());
        let right = wrong.and_then(|held| judgement::put_right(passage, &span, held).ok());
        Statement {
            place: passage.place_of(&span),
            anew: right,
            instead: None,
            words: passage.text[span].to_owned(),
            backed: None,
            can_be_backed: !passage.with_picture,
            says_rate,
            fact,
            unit: Some(figure.quantity.unit.clone()),
            judgement: judgement.put_into(&passage.language),
        }
    }

    /// The words of the language that a passage is in.
    pub fn words_for(&self, passage: &Passage) -> &'static Vocabulary {
        words_for(self.understood, passage)
    }

    /// Whether one of the program's exempt words stands in the figure or right beside it.
    fn is_exempt(&self, passage: &Passage, figure: &Range<usize>) -> bool {
        let (text, language) = (&passage.text, self.words_for(passage));
        let start = text[..figure.start].trim_end().rfind(char::is_whitespace).map_or(0, |at| at + 1);
        let after = &text[figure.end..];
        let word_start = after.len() - after.trim_start().len();
        let word_end =
            after[word_start..].find(char::is_whitespace).map_or(after.len(), |at| word_start + at);
        let around = &text[floor(text, start)..figure.end + word_end];
        self.understood
            .content
            .settings
            .proofread
            .exempt
            .iter()
            .any(|words| called::find(around, words, language).is_some())
    }

    /// What is wrong with a figure of a table, of a fact that is named in the first cell of its row or in the heading of
    /// its column; not where another figure of the row is the fact's.
    fn nearest_led(&self, prose: &Prose<'_>, figure: &Figure) -> Option<(Option<&'u Fact>, Judgement)> {
        let passage = prose.passage;
        let row = passage.row.as_ref()?;
        let of_row = passage.language.read(row);
        passage.leads.iter().find_map(|lead| {
            let (led, at) = led_by(passage, lead);
            let there = led.figures.iter().find(|there| there.span.start == figure.span.start + at)?;
            let prose = Prose::of(&led, prose.language);
            let (fact, judgement) = self.nearest_fact(&prose, there);
            let held = self.understood.held(&fact?.name)?;
            let is_said = of_row.iter().any(|other| quantity::agree(other, held) == Agreement::Agrees);
            (judgement.is_off() && (!is_said || judgement == Judgement::LimitTurned))
                .then_some((fact, judgement))
        })
    }

    /// Of the facts that the figure's sentence names and that have a unit of its kind, the one that
    /// it agrees with, or else the one that is named nearest to it; failing these, one that has the
    /// figure's number with a unit of another kind.
    fn nearest_fact(&self, prose: &Prose<'_>, figure: &Figure) -> (Option<&'u Fact>, Judgement) {
        let passage = prose.passage;
        let sentence = prose.sentences.around(&figure.span);
        let Some(phrases) = self.named.get(prose.language.tag) else { return (None, Judgement::Unbacked) };
        // by their places, so that they come in the order of the facts file
        let mut nearest: BTreeMap<usize, usize> = BTreeMap::new();
        for (at, facts) in phrases.within(&prose.words, &sentence) {
            let away = called::distance(&at, &figure.span);
            for fact in &*self.alike.nearest(facts, figure, self.understood) {
                nearest.entry(*fact).and_modify(|least| *least = away.min(*least)).or_insert(away);
            }
        }
        let mut named: Vec<(u8, usize, &'u Fact, Judgement)> = Vec::new();
        for (place, away) in nearest {
            let fact = self.understood.facts[place];
            let Some(held) = self.understood.held(&fact.name) else { continue };
            let agreement = judgement::agree_where_it_stands(passage, &figure.span, figure, held);
            let judgement = Judgement::from(agreement);
            if judgement == Judgement::Agrees && says_otherwise(passage, figure, held, prose.language) {
                continue;
            }
            let off = judgement != Judgement::Agrees;
            let other_unit = judgement == Judgement::OtherUnit;
            if (other_unit && !is_number_of(figure, held))
                || (off && is_another_matter(prose, &sentence, figure, (place, held)))
            {
                continue;
            }
            named.push((u8::from(off) + u8::from(other_unit), away, fact, judgement));
        }
        // Stable, so that of equals the first in the facts file is taken.
        named.sort_by_key(|(off, away, ..)| (*off, *away));
        match named.into_iter().next() {
            Some((_, _, fact, judgement)) => (Some(fact), judgement),
            None => (None, Judgement::Unbacked),
        }
    }
}

/// Whether a figure that has the number and unit of a fact is of something else: of other things in a rate, or so many
/// times as much.
fn says_otherwise(passage: &Passage, figure: &Figure, held: &Held, language: &Vocabulary) -> bool {
    let (unit, own) = (&figure.quantity.unit, &held.quantity.unit);
    let is_rate = unit.per_time().is_some() || unit.per_things().next().is_some();
    let other_thing = matches!((unit.thing(), own.thing()), (Some(a), Some(b)) if a != b);
    let (mut per, mut own_per) = (unit.per_things(), own.per_things());
    let other_per = own_per.next().zip(per.next()).is_some_and(|(own, stated)| own != stated);
    is_rate && (other_thing || other_per)
        || accounted::multiplied_by(&passage.text[..figure.reach.start], language).is_some()
}

/// The words of the language that a passage is in.
fn words_for(understood: &Understood, passage: &Passage) -> &'static Vocabulary {
    languages::of_or_english(understood.content.language_of(&passage.place.file))
}

/// Where telephone numbers stand, whose digits are no figures: "(555) 0100".
fn phones_in(passage: &Passage, language: &Vocabulary) -> Vec<Range<usize>> {
    if passage.figures.is_empty() {
        return Vec::new();
    }
    let found = particulars::find(Kind::Phone, &passage.text, &language.particulars);
    found.into_iter().map(|phone| phone.span).collect()
}

/// The words of the language that an edition is in.
fn vocabulary(understood: &Understood) -> &'static Vocabulary {
    languages::of_or_english(&understood.content.settings.language)
}

/// What the words of a link have to be so that they say what a fact says that is no quantity, in their own writing.
///
/// # Errors
/// A sentence that says why there are none by rule.
pub fn put_right_of_kind(
    understood: &Understood,
    passage: &Passage,
    range: &Range<usize>,
    fact: &Fact,
) -> Result<String, String> {
    let Some((kind, says)) = fact.kind.zip(understood.says(&fact.name)) else {
        return Err("The fact cannot be read.".to_owned());
    };
    let words = &languages::of_or_english(understood.content.language_of(&passage.place.file)).particulars;
    let text = &passage.text[range.clone()];
    let stated = particulars::read_one(kind, text, words)?;
    let value = understood.own_words(&fact.name).unwrap_or_default();
    if particulars::agree(&stated, says, false) == Verdict::Agrees {
        return Ok(text.to_owned());
    }
    let now = particulars::restate(text, &stated, says, &value, words)?;
    let now = format!("{}{now}{}", &text[..stated.span.start], &text[stated.span.end..]);
    // a number to be called from abroad keeps its country
    let country =
        |text: &str| text.split_once('+').map(|(_, rest)| rest.split(' ').next().map(str::to_owned));
    if country(text) != country(&now) {
        return Err("The number has a country code, which no rule can keep.".to_owned());
    }
    let read = particulars::read_one(kind, &now, words)?;
    match particulars::agree(&read, says, false) {
        Verdict::Agrees => Ok(now),
        _ => Err("No writing of this form says what the fact says.".to_owned()),
    }
}

/// Whether a figure that is not what a fact says is about something else: another figure of the
/// sentence is the fact's, or one of the two is a range and the other is not, unless the one goes beyond the other.
fn is_another_matter(
    prose: &Prose,
    sentence: &Range<usize>,
    figure: &Figure,
    (place, held): (usize, &Held),
) -> bool {
    let passage = prose.passage;
    let between = |a: &Figure, b: &Figure| passage.text.get(a.span.end..b.reach.start);
    // "95 °F (25 °C)", "95 °F, which is 25 °C": the same once more in another unit, and perhaps wrong.
    let restated = |other: &Figure| {
        let gap = between(other, figure).or(between(figure, other));
        other.quantity.unit != figure.quantity.unit
            && gap.is_some_and(|gap| gap.split_whitespace().filter(|word| word.len() > 1).count() <= 3)
    };
    let agreeing = || prose.agreeing(sentence, place, held).into_iter().map(|at| &passage.figures[at]);
    is_range(&figure.quantity) != is_range(&held.quantity) && !goes_beyond(figure, held)
        || agreeing().any(|other| other != figure && !restated(other))
}

/// A passage read behind what leads it, and where it begins then.
fn led_by<'p>(passage: &Passage<'p>, lead: &str) -> (Passage<'p>, usize) {
    let (mut led, _) = passage.with_words(&(0..0), &format!("{lead}: "));
    led.backed.clear();
    (led, lead.len() + 2)
}

/// Whether a heading or the sentence before a list turns a figure round that itself says nothing of how it binds.
fn is_turned_by_lead(passage: &Passage, figure: &Figure, held: &Held) -> bool {
    let is_plain = figure.limit.is_none() && figure.hedge.is_none();
    is_plain
        && passage.leads.iter().any(|lead| {
            let (led, at) = led_by(passage, lead);
            let mut there = led.figures.iter().filter(|there| there.span.start == figure.span.start + at);
            there.any(|there| quantity::agree(there, held) == Agreement::LimitTurned)
        })
}

/// Whether a figure binds, where its fact, of one value, does not say that it does. What leads its sentence before a
/// comma is the case in which the rest holds: "Up to 6,500 feet, boil it for a minute".
fn binds_unsaid(passage: &Passage, figure: &Figure, held: &Held) -> bool {
    let (before, after) = (&passage.text[..figure.reach.start], &passage.text[figure.reach.end..]);
    let begins = before.trim_end().is_empty() || before.trim_end().ends_with(['.', '!', '?', ':', ';']);
    let ends = after.starts_with(',') || after.is_empty() && passage.row.is_some();
    let is_case = begins && ends && figure.reach.start < figure.span.start;
    let binds = matches!(figure.limit, Some(Limit::AtMost | Limit::AtLeast));
    // "over 5 to 10 gallons": of a range both ends are said already
    let is_bent =
        is_range(&figure.quantity) && (binds || figure.hedge.is_some_and(|hedge| hedge.limit().is_some()));
    held.limit.is_none()
        && !is_case
        && match held.quantity.amount {
            Amount::One(_) => binds,
            Amount::Range(..) => is_bent,
        }
}

/// Whether a range reaches past a fact that binds: "3–4 m" of a lead of at most six feet.
fn goes_beyond(figure: &Figure, held: &Held) -> bool {
    let (unit, own) = (&figure.quantity.unit, &held.quantity.unit);
    let (Amount::Range(low, high), Amount::One(fact)) = (&figure.quantity.amount, &held.quantity.amount)
    else {
        return false;
    };
    let end = match held.limit {
        Some(Limit::AtMost) => high,
        Some(Limit::AtLeast) => low,
        _ => return false,
    };
    !unit.is_count() && unit.convert(end, own).is_some_and(|value| quantity::passes(&value, fact, held.limit))
}

/// The facts by the words that name them, as the words of a language are compared.
fn phrases(understood: &Understood, language: &'static Vocabulary) -> Phrases {
    let mut phrases = Phrases::default();
    for (place, fact) in understood.facts.iter().enumerate() {
        fact.called.iter().for_each(|phrase| phrases.add(phrase, place, language));
    }
    phrases
}

/// What words in Markdown or in a string of a TOML file may not hold as they are.
const MARKUP: [char; 10] = ['\\', '"', '[', ']', '*', '_', '`', '<', '&', '|'];

/// How much of `after` tells for whom a bare number is: ` for each child`.
fn for_each(after: &str, language: &Vocabulary) -> usize {
    let is_end = |letter: char| !letter.is_alphanumeric() && letter != '-';
    let Some(said) = after.strip_prefix(' ') else { return 0 };
    let HandedOut { for_each, each } = &language.handed_out;
    if let Some(rest) = for_each.iter().find_map(|words| said.strip_prefix(&**words)?.strip_prefix(' ')) {
        return after.len() - rest.len() + rest.find(is_end).unwrap_or(rest.len());
    }
    let mut rests = each.iter().filter_map(|words| said.strip_prefix(&**words));
    let rest = rests.find(|rest| rest.chars().next().is_none_or(is_end));
    rest.map_or(0, |rest| after.len() - rest.len())
}

/// "A whistle, one for each child": the word stands for the thing, and no number can go out of date.
/// Two for each child are a quantity, and so is a one in digits.
fn is_one_for_each(text: &str, figure: &Figure, language: &Vocabulary) -> bool {
    let number = &text[figure.number.clone()];
    figure.quantity.unit.is_none()
        && figure.quantity.amount == Amount::One(Exact::one())
        && number.chars().all(char::is_alphabetic)
        && for_each(&text[figure.reach.end..], language) > 0
}

/// Whether a figure has the number of a fact, but a unit of measure that is not the fact's. What is
/// counted does not tell: "four horses" may well stand at a rail for four hours.
fn is_number_of(figure: &Figure, held: &Held) -> bool {
    let unit = &figure.quantity.unit;
    if unit.is_none() || unit.counted().is_some() {
        return false;
    }
    let mut in_its_unit = figure.clone();
    in_its_unit.quantity.unit = held.quantity.unit.clone();
    in_its_unit.dual = None;
    quantity::agree(&in_its_unit, held) == Agreement::Agrees
}

fn is_range(quantity: &Quantity) -> bool {
    matches!(quantity.amount, Amount::Range(..))
}

/// A fact as it is quoted to the editor ([`PrintContext::quote`]); what is worked out, in a unit that fits.
pub fn quote(understood: &Understood, fact: &Fact, unit: Option<&Unit>) -> String {
    let at = fact.at.as_ref().map(|event| format!(" at {event}")).unwrap_or_default();
    let words = match &fact.stated {
        Stated::Value(value) => with_limit(&value.text, fact.limit),
        Stated::WorkedFrom(expression) => {
            let held = understood.held(&fact.name);
            let unit = unit.filter(|unit| !unit.is_count());
            let say = |held| quantity::say(held, unit).or_else(|_| quantity::say(held, None));
            match held.and_then(|held| say(held).ok()) {
                Some(words) => format!("{words}, worked from {}", expression.text),
                None => format!("worked from {}", expression.text),
            }
        }
        Stated::Series(series) => format!("a series of {} rows", series.rows.len()),
    };
    format!("{words} ({}{at})", fact.name)
}

/// `at most 10 ft`, unless the words already begin so.
fn with_limit(words: &str, limit: Option<Limit>) -> String {
    let limit = match limit {
        Some(Limit::AtMost) => "at most",
        Some(Limit::AtLeast) => "at least",
        Some(Limit::About) => "about",
        Some(Limit::Exactly) => "exactly",
        None => return words.to_owned(),
    };
    if words.to_lowercase().starts_with(limit) { words.to_owned() } else { format!("{limit} {words}") }
}

/// A link's words with those around it that its figures take in: `at least [six feet](…)`.
fn with_reach(passage: &Passage, range: &Range<usize>) -> Range<usize> {
    let figures = passage.figures.iter().filter(|figure| overlap(range, &figure.span));
    let wide = figures.fold(range.clone(), |wide, figure| {
        wide.start.min(figure.reach.start)..wide.end.max(figure.reach.end)
    });
    with_bracket(&passage.text, &wide)
}

/// A span with the bracket that closes the second half of a dual statement.
fn with_bracket(text: &str, span: &Range<usize>) -> Range<usize> {
    let open = text[span.clone()].matches('(').count() > text[span.clone()].matches(')').count();
    let end = if open && text[span.end..].starts_with(')') { span.end + 1 } else { span.end };
    span.start..end
}

fn floor(text: &str, mut at: usize) -> usize {
    while !text.is_char_boundary(at) {
        at -= 1;
    }
    at
}
