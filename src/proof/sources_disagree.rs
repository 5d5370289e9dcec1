//! Of the sources that a fact names, one says something else than the fact.
//!
//! For a bound the stricter of what they say is proposed: nobody comes to harm by the smaller load or the larger
//! distance.

use super::{Check, Find};
use crate::finding::{Finding, Level, Rule, Settable};
use crate::particulars::{self, Verdict};
use crate::program::Fact;
use crate::program::facts::{SourceSays, Stated};
use crate::quantity::{self, Agreement, Amount, Exact, Held, Limit};
use crate::statements::PrintContext;

pub static RULE: Rule = Rule {
    name: "sources-disagree",
    level: Level::Warning,
    settable: Settable::Yes,
    summary: "One of a fact's sources says something else than the fact.",
};

pub const CHECK: Check = Check { rule: &RULE, find: Find::Print(find) };

fn find(print: &PrintContext) -> Vec<Finding> {
    let facts = print.understood.facts.iter().filter(|fact| !fact.sources.is_empty());
    facts.flat_map(|fact| apart(print, fact)).collect()
}

/// What one source says otherwise.
enum Otherwise {
    Unread(String),
    Turned,
    Says,
}

/// Whether two bind, each the other way.
fn is_turned(said: &Held, own: &Held) -> bool {
    let both = [said.limit, own.limit];
    both.contains(&Some(Limit::AtMost)) && both.contains(&Some(Limit::AtLeast))
}

fn apart(print: &PrintContext, fact: &Fact) -> Vec<Finding> {
    let stricter = stricter(print, fact);
    let mut findings = Vec::new();
    for source in &fact.sources {
        let Some(otherwise) = otherwise(print, fact, source) else { continue };
        let day = source.as_of.map(|day| format!(", as of {day}")).unwrap_or_default();
        let is_turned = matches!(otherwise, Otherwise::Turned);
        let told = match otherwise {
            Otherwise::Unread(why) => {
                format!("What “{}” says of the fact “{}” cannot be read: {why}", source.name.text, fact.name)
            }
            Otherwise::Turned => format!(
                "“{}” says “{}”{day}, which reverses the limit of the fact “{}”.",
                source.name.text, source.says.text, fact.name
            ),
            Otherwise::Says => format!(
                "“{}” says “{}”{day}, which is not what the fact “{}” says.",
                source.name.text, source.says.text, fact.name
            ),
        };
        let mend = match &stricter {
            _ if is_turned => {
                "Find out whether it is “at most” or “at least”. One of the two is the wrong way around, so do not rely on either until then."
                    .to_owned()
            }
            Some(Strict::Of(source)) => format!(
                "Until this is settled, the stricter limit counts: make the value “{}”, as “{}” has it.",
                source.says.text, source.name.text
            ),
            Some(Strict::Own) => {
                "The fact has the stricter limit, which counts until this is settled.".to_owned()
            }
            None => "Find out which of them holds, and correct the value or take the other out.".to_owned(),
        };
        let finding = Finding::of(&RULE, &source.says.place, told).says(&*source.says.text);
        let is_settled = matches!(stricter, Some(Strict::Own)) && !is_turned;
        let level = if is_settled { Level::Note } else { RULE.level };
        findings.push(finding.fact_says(print.quote(fact)).mend(mend).weighs(level));
    }
    findings
}

fn held_of(print: &PrintContext, fact: &Fact, source: &SourceSays) -> Result<Held, String> {
    let language = print.understood.language_for(&fact.place.file);
    // a source that binds by its own words keeps them: "at most 4 inches" of a fact of at least 10 cm is turned
    language.read_one(&source.says.text).map(|figure| {
        let own = figure.limit.or(figure.hedge.and_then(quantity::Hedge::limit));
        Held::stated(&figure, own.or(fact.limit))
    })
}

fn otherwise(print: &PrintContext, fact: &Fact, source: &SourceSays) -> Option<Otherwise> {
    if let Some(kind) = fact.kind {
        let words = &print.understood.vocabulary_of_values().particulars;
        let says = print.understood.says(&fact.name)?;
        return match particulars::read_one(kind, &source.says.text, words) {
            Err(why) => Some(Otherwise::Unread(why)),
            Ok(read) => {
                (particulars::agree(&read, says, false) != Verdict::Agrees).then_some(Otherwise::Says)
            }
        };
    }
    if matches!(fact.stated, Stated::Series(_)) {
        return None;
    }
    let held = print.understood.held(&fact.name)?;
    match held_of(print, fact, source) {
        Err(why) => Some(Otherwise::Unread(why)),
        Ok(said) if is_turned(&said, held) => Some(Otherwise::Turned),
        Ok(said) => {
            let agrees =
                |a: &Held, b: &Held| quantity::agree(&quantity::Figure::stating(a), b) == Agreement::Agrees;
            (!agrees(&said, held) || !agrees(held, &said)).then_some(Otherwise::Says)
        }
    }
}

/// Who has the strictest of a bound.
enum Strict<'f> {
    Own,
    Of(&'f SourceSays),
}

fn stricter<'f>(print: &PrintContext, fact: &'f Fact) -> Option<Strict<'f>> {
    let own = print.understood.held(&fact.name)?;
    let unit = &own.quantity.unit;
    let end = |held: &Held| -> Option<Exact> {
        let end = match (&held.quantity.amount, own.limit?) {
            (Amount::One(value) | Amount::Range(_, value), Limit::AtMost) => value,
            (Amount::One(value) | Amount::Range(value, _), Limit::AtLeast) => value,
            _ => return None,
        };
        held.quantity.unit.convert(end, unit)
    };
    let mut best = (end(own)?, Strict::Own);
    for source in &fact.sources {
        let said = held_of(print, fact, source).ok().filter(|said| !is_turned(said, own));
        let Some(value) = said.and_then(|held| end(&held)) else { continue };
        let is_stricter = match own.limit {
            Some(Limit::AtMost) => value < best.0,
            _ => value > best.0,
        };
        if is_stricter {
            best = (value, Strict::Of(source));
        }
    }
    Some(best.1)
}
