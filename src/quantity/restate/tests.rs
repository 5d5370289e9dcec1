//! Restating held against its promises: the writer's form stays, and what comes out agrees.

use super::{restate, restate_in};
use crate::quantity::agree::agree;
use crate::quantity::{Agreement, Held, Limit, read, read_one};
use proptest::prelude::*;
use proptest::sample::select;

fn held(text: &str) -> Held {
    Held::stated(&read_one(text).unwrap(), None)
}

fn to(words: &str, fact: &str) -> String {
    restate(words, &held(fact)).unwrap_or_else(|error| format!("✗ {error}"))
}

#[test]
fn words_stay_words_and_digits_digits() {
    for (words, fact, now) in [
        ("six feet", "10 ft", "ten feet"),
        ("6 feet", "10 ft", "10 feet"),
        ("6 ft", "10 ft", "10 ft"),
        ("a six-foot", "10 ft", "a ten-foot"),
        ("a six-foot", "8 ft", "an eight-foot"),
        ("an eight-foot", "6 ft", "a six-foot"),
        ("Six feet", "12 ft", "Twelve feet"),
        ("one foot", "6 ft", "six feet"),
        ("six feet", "1 ft", "one foot"),
        ("1,200 horses", "1,450 horses", "1,450 horses"),
        ("13 stock camps", "1 camp", "1 stock camp"),
        ("22 million pounds a year", "30,400,000 pounds a year", "30 million pounds a year"),
        ("two and a half hours", "3.25 hours", "three and a quarter hours"),
        ("half an hour", "2 hours", "two hours"),
        ("an hour", "90 minutes", "one and a half hours"),
        ("an hour and a half", "2.5 hours", "two and a half hours"),
        ("about −18 °F", "-20 °F", "about −20 °F"),
        ("20 percent", "25%", "25 percent"),
        ("$5 a head", "$8 a head", "$8 a head"),
        ("a 1,000-pound", "1,100 pounds", "a 1,100-pound"),
    ] {
        assert_eq!(to(words, fact), now, "{words} to {fact}");
    }
}

#[test]
fn what_is_known_to_a_place_is_restated_to_that_place() {
    let mut hours = held("1.26 hours");
    hours.known_to = Some(crate::quantity::number::ten_to(-1));
    assert_eq!(restate("about 50 minutes", &hours).unwrap(), "about 80 minutes");
}

#[test]
fn ranges_compounds_and_duals() {
    for (words, fact, now) in [
        ("5 to 10 gallons a day", "6 to 12 gallons a day", "6 to 12 gallons a day"),
        ("six to eight inches", "5 to 9 inches", "five to nine inches"),
        ("8–10 seconds", "10 to 12 seconds", "10–12 seconds"),
        ("between 40 and 60 °F", "45 to 65 °F", "between 45 and 65 °F"),
        ("up to 10 gallons a day", "5 to 12 gallons a day", "up to 12 gallons a day"),
        ("5 to 10 gallons", "8 gallons", "8 gallons"),
        ("8 gallons", "5 to 10 gallons", "5 to 10 gallons"),
        ("1.5 to 2 percent", "2 to 2.5 percent", "2 to 2.5 percent"),
        ("200 ft (60 m)", "300 ft", "300 ft (90 m)"),
        ("six feet (1.8 m)", "10 ft", "ten feet (3 m)"),
        ("5 ft 10 in", "74 in", "6 ft 2 in"),
        ("2 h 30 min", "200 minutes", "3 h 20 min"),
        ("one in four", "20%", "one in five"),
    ] {
        assert_eq!(to(words, fact), now, "{words} to {fact}");
    }
}

#[test]
fn limits_are_turned_to_the_fact_s() {
    for (words, fact, now) in [
        ("at least six feet", "at most 6 ft", "at most six feet"),
        ("at most six feet", "at least 10 ft", "at least ten feet"),
        ("no more than six feet", "at least 6 ft", "no less than six feet"),
        ("6 feet or more", "at most 6 ft", "6 feet or less"),
        ("up to 6 feet", "at least 6 ft", "at least 6 feet"),
        ("fewer than nine riders", "at most 10 riders", "fewer than eleven riders"),
        ("2.4 m", "at least 9 ft", "2.8 m"),
        ("30 m", "at least 110 ft", "34 m"),
    ] {
        assert_eq!(to(words, fact), now, "{words} to {fact}");
    }
}

#[test]
fn what_no_rule_covers_is_refused_in_words() {
    assert!(restate("ten pounds", &held("6 ft")).unwrap_err().contains("another kind"));
    assert!(restate("short", &held("6 ft")).unwrap_err().contains("no figure"));
    assert!(restate("6 feet and 9 pounds", &held("6 ft")).unwrap_err().contains("more than one"));
}

#[test]
fn words_are_read_in_their_text() {
    let text = "Keep six feet of lead.";
    assert_eq!(restate_in(text, &(5..8), &held("10 ft")).unwrap(), "ten");
    let text = "at least six feet long";
    assert!(restate_in(text, &(9..17), &held("at most 6 ft")).is_err());
}

/// The value of a fact and the unit that it is in, with other units in which prose may state it.
fn facts() -> impl Strategy<Value = (String, &'static [&'static str])> {
    const UNITS: [(&str, &[&str]); 6] = [
        ("ft", &["feet", "ft", "m", "inches", "yards"]),
        ("pounds a day", &["pounds a day", "lb/day", "kg a day", "pounds"]),
        ("horses", &["horses", "wild horses"]),
        ("°F", &["°F", "°C"]),
        ("gallons", &["gallons", "gal", "L", "liters"]),
        ("hours", &["hours", "minutes"]),
    ];
    let value = prop_oneof![
        (1_u32..60).prop_map(|n| n.to_string()),
        (1_u32..4000).prop_map(|n| format!("{}.{}", n / 10, 1 + n % 9)),
        (1_u32..400).prop_map(|n| (n * 50).to_string()),
        (1_u64..90_000_000).prop_map(|n| n.to_string()),
    ];
    (value, select(&UNITS[..])).prop_map(|(value, (unit, others))| (format!("{value} {unit}"), others))
}

/// A number as people write it.
fn number() -> impl Strategy<Value = String> {
    prop_oneof![
        (1_u32..3000).prop_map(|n| n.to_string()),
        (1_u32..900).prop_map(|n| format!("{}.{}", n / 10, n % 10)),
        select(
            &[
                "six",
                "a third",
                "two thirds",
                "twenty-two",
                "two hundred",
                "two hundred and fifty",
                "a hundred",
                "two and a half",
                "three quarters",
                "half",
                "a dozen",
                "1,200",
                "22 million",
                "1.5 million",
                "2½",
                "1 1/2",
                "3/4",
                "ten thousand",
                "three million",
            ][..]
        )
        .prop_map(str::to_owned),
    ]
}

fn limits() -> impl Strategy<Value = Option<Limit>> {
    select(&[None, Some(Limit::AtMost), Some(Limit::AtLeast), Some(Limit::About)][..])
}

proptest! {
    #![proptest_config(ProptestConfig { cases: 500, failure_persistence: None, ..ProptestConfig::default() })]

    /// What is restated agrees, and is left alone from then on.
    #[test]
    fn what_is_restated_agrees(
        (fact, units) in facts(),
        number in number(),
        unit in any::<prop::sample::Index>(),
        before in select(&["", "about ", "at most ", "at least ", "up to ", "no more than ", "over ", "nearly "][..]),
        limit in limits(),
    ) {
        let held = Held::stated(&read_one(&fact).unwrap(), limit);
        let unit = *unit.get(units);
        let words = format!("{before}{number} {unit}");
        prop_assume!(read_one(&words).is_ok());
        // a bound that is only about so much is none, and what is to stand there the editor says
        let binds = matches!(limit, Some(Limit::AtMost | Limit::AtLeast));
        prop_assume!(!(before == "about " && binds));
        match restate(&words, &held) {
            Ok(now) => {
                let figures = read(&now);
                prop_assert_eq!(figures.len(), 1, "{}", now);
                let read = &figures[0];
                prop_assert_eq!(agree(read, &held), Agreement::Agrees, "{} for {}", now, fact);
                prop_assert_eq!(restate(&now, &held).unwrap(), now);
            }
            // "over" and "nearly" have no place before a value that is just what would be written; and
            // what is known only roughly may be round in its own unit and in no other
            Err(why) => prop_assert!(
                matches!(before, "over " | "nearly ")
                    || held.known_to.is_some() && unit != units[0],
                "{words} to {fact}: {why}"
            ),
        }
    }

    /// What a wrong statement would have to be, put in its place, agrees.
    #[test]
    fn what_is_expected_agrees(
        (fact, units) in facts(),
        number in number(),
        unit in any::<prop::sample::Index>(),
        before in select(&["", "about ", "at most ", "up to ", "over ", "nearly "][..]),
        limit in limits(),
        roughly in any::<bool>(),
    ) {
        let fact = if roughly { format!("about {fact}") } else { fact };
        let held = Held::stated(&read_one(&fact).unwrap(), limit);
        let words = format!("{before}{number} {}", unit.get(units));
        prop_assume!(read_one(&words).is_ok());
        if let Agreement::Off { expected } | Agreement::TooFine { expected } = agree(&read_one(&words).unwrap(), &held) {
            let read = read_one(&expected);
            prop_assert!(read.is_ok(), "{expected} for {words}");
            prop_assert_eq!(agree(&read.unwrap(), &held), Agreement::Agrees, "{} for {} of {}", expected, words, fact);
        }
    }

    /// So do ranges and dual statements.
    #[test]
    fn ranges_and_duals_that_are_restated_agree(
        low in 1_u32..500, more in 1_u32..500,
        form in select(&["5 to 10 feet", "five to ten feet", "5–10 ft", "between 5 and 10 feet", "1.5 to 2 m",
            "six feet", "200 ft (60 m)", "six feet (1.8 m)", "5 ft 10 in", "up to 10 feet"][..]),
        one in any::<bool>(),
    ) {
        let fact = if one { format!("{low} ft") } else { format!("{low} to {} ft", low + more) };
        let held = Held::stated(&read_one(&fact).unwrap(), None);
        if let Ok(now) = restate(form, &held) {
            let figures = read(&now);
            prop_assert_eq!(figures.len(), 1, "{}", now);
            let read = &figures[0];
            prop_assert_eq!(agree(read, &held), Agreement::Agrees, "{} for {}", now, fact);
            prop_assert_eq!(restate(&now, &held).unwrap(), now);
        }
    }
}
