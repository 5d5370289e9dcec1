//! Writings that are the same and writings that are not. Common practice, no source.

use super::*;
use crate::languages::of_or_none;

fn words(language: &str) -> &'static ParticularWords {
    &of_or_none(language).particulars
}

fn verdict(kind: Kind, language: &str, fact: &str, stated: &str) -> Verdict {
    let fact = read_one(kind, fact, words(language)).unwrap_or_else(|error| panic!("{fact}: {error}"));
    let stated = read_one(kind, stated, words(language)).unwrap_or_else(|error| panic!("{stated}: {error}"));
    agree(&stated, &fact.says, false)
}

#[test]
fn a_writing_that_a_kind_allows_is_the_same() {
    for (kind, language, fact, same, others) in [
        (
            Kind::Phone,
            "en",
            "555-0100",
            &["(555) 0100", "555 0100", "555.0100"][..],
            &["555-0101", "555-100", "775-555-0100"][..],
        ),
        (
            Kind::Phone,
            "en",
            "(775) 555-0100",
            &["775-555-0100", "+1 775 555 0100", "1-775-555-0100"],
            &["555-0100", "775-555-0101"],
        ),
        (
            Kind::Phone,
            "en",
            "775-555-0100 ext. 12",
            &["(775) 555-0100 x12"],
            &["775-555-0100", "775-555-0100 ext. 13"],
        ),
        (Kind::Phone, "en", "911", &["911"], &["912"]),
        (
            Kind::Date,
            "en",
            "16 May 2026",
            &[
                "May 16",
                "May 16, 2026",
                "Saturday, May 16",
                "5/16/2026",
                "2026-05-16",
                "16 May",
                "May 16th",
                "the 16th of May",
                "Sat., May 16, 2026",
            ],
            &["May 17", "May 16, 2025", "Sunday, May 16", "6 May", "May"],
        ),
        (Kind::Date, "en", "May 16", &["16 May", "5/16"], &["June 16", "May 16, 2026"]),
        (
            Kind::Date,
            "en",
            "May 16 to 18, 2026",
            &["May 16–18", "16–18 May 2026", "May 16 through May 18"],
            &["May 16–19", "May 16"],
        ),
        (
            Kind::Date,
            "en",
            "May 1 to September 30",
            &["1 May to 30 September", "May 1 – September 30"],
            &["May 1 to October 30"],
        ),
        (Kind::Date, "en", "May to September", &["May through September"], &["May to October", "May"]),
        (
            Kind::Date,
            "es",
            "16 de mayo de 2026",
            &["el 16 de mayo", "sábado 16 de mayo", "16/5/2026"],
            &["17 de mayo", "16 de marzo"],
        ),
        (
            Kind::Date,
            "es",
            "del 1 de mayo al 30 de septiembre",
            &["1 de mayo a 30 de septiembre"],
            &["del 1 de mayo al 30 de octubre"],
        ),
        (
            Kind::Time,
            "en",
            "9 a.m.",
            &["9:00 a.m.", "09:00", "9 am", "9AM", "9:00 A.M."],
            &["9 p.m.", "10 a.m.", "9:30 a.m.", "21:00"],
        ),
        (Kind::Time, "en", "6:30 p.m.", &["18:30"], &["6:30 a.m.", "06:30"]),
        (Kind::Time, "en", "12 p.m.", &["noon", "12:00"], &["midnight"]),
        (Kind::Time, "en", "9 a.m. to noon", &["09:00–12:00", "9:00 a.m. to 12 p.m."], &["9 a.m. to 1 p.m."]),
        (Kind::Time, "es", "9 a. m.", &["09:00", "9 de la mañana"], &["9 de la noche"]),
        (
            Kind::Ratio,
            "en",
            "1:4",
            &["1 to 4", "one to four", "1 part bleach to 4 parts water"],
            &["1:5", "4:1", "one in five", "1 to 10"],
        ),
        (Kind::Ratio, "en", "1 in 5", &["one in five", "1 out of 5", "two in ten"], &["1:5", "one in six"]),
        (Kind::Ratio, "es", "1 de cada 5", &["uno de cada cinco"], &["1 de cada 6"]),
        (
            Kind::Address,
            "en",
            "1 Basin Road, Dry Fork",
            &["1 Basin Rd., Dry Fork", "1 Basin Road"],
            &["2 Basin Road", "1 Basin Lane, Dry Fork"],
        ),
        (
            Kind::Address,
            "en",
            "https://www.example.org/rides",
            &["www.example.org/rides/", "http://example.org/rides"],
            &["www.example.org/ride", "www.example.com/rides"],
        ),
        (Kind::Address, "en", "stewards@example.org", &["Stewards@Example.org"], &["steward@example.org"]),
        (Kind::Text, "en", "Call before you dig.", &["call before you dig"], &["call after you dig"]),
    ] {
        for stated in same {
            assert_eq!(verdict(kind, language, fact, stated), Verdict::Agrees, "{stated} for {fact}");
        }
        for stated in others {
            assert_eq!(verdict(kind, language, fact, stated), Verdict::Off, "{stated} for {fact}");
        }
    }
    assert_eq!(verdict(Kind::Date, "en", "May 6, 2026", "5/6/2026"), Verdict::Unsure);
    assert_eq!(verdict(Kind::Date, "es", "6 de mayo de 2026", "5/6/2026"), Verdict::Unsure);
    assert_eq!(verdict(Kind::Time, "en", "9 p.m.", "9:00"), Verdict::Unsure);
}

#[test]
fn prose_holds_no_particulars_that_are_none() {
    for (kind, text) in [
        (
            Kind::Phone,
            "Rule 5.1, 1981–2008, ZIP 89914-1234, 2026-05-16, 1,000 2,000 and 214(11), 2025-2027, 12-555-0100",
        ),
        (Kind::Phone, "Ride 10 miles in 3 hours; pages 100-1234 say 5 to 10, 10.1000/182 and 4-H 555 0100."),
        (Kind::Date, "You may ride 12 may mules, 1/2 cup, 3/4 of 5/16 inch, in May, rule 16.4"),
        (Kind::Time, "At 9 the map of 1:50,000 shows 10 to 12 camps, 3:4 and 12.30 feet"),
        (Kind::Ratio, "From 5 to 10 horses at 9:30, two to a tent"),
        (Kind::Address, "Take 10 Horses and 4 Mules up North Trail, e.g. rule 4.2 and and/or."),
    ] {
        assert_eq!(find(kind, text, words("en")), [], "{text}");
    }
    let found = |kind, text| -> Vec<&str> {
        find(kind, text, words("en")).into_iter().map(|found| &text[found.span]).collect()
    };
    let text = "Call 555-0100 (day), (775) 555-0112, +44 20 7946 0958 or 775-555-0120 ext. 4.";
    assert_eq!(
        found(Kind::Phone, text),
        ["555-0100", "(775) 555-0112", "+44 20 7946 0958", "775-555-0120 ext. 4"]
    );
    assert_eq!(
        found(Kind::Date, "On May 16, 2026, and from 5/20/2026 to June 3."),
        ["May 16, 2026", "5/20/2026 to June 3"]
    );
    assert_eq!(
        found(Kind::Time, "At 9 a.m., 09:30 and noon; 9–11 a.m. too"),
        ["9 a.m.", "09:30", "noon", "9–11 a.m."]
    );
}

/// What is written anew reads back as the fact, in the writing of its place; a second time changes nothing.
#[test]
fn a_particular_is_written_anew_in_its_own_writing() {
    for (kind, language, fact, stated, now) in [
        (Kind::Phone, "en", "555-0199", "(555) 0100", "(555) 0199"),
        (Kind::Phone, "en", "(775) 555-0199", "+1 775 555 0100", "+1 775 555 0199"),
        (Kind::Phone, "en", "775-555-0199", "555-0100", "775-555-0199"),
        (Kind::Date, "en", "June 1, 2026", "16 May 2026", "1 June 2026"),
        (Kind::Date, "en", "June 1, 2026", "Saturday, May 16th", "Monday, June 1st"),
        (Kind::Date, "en", "June 1, 2026", "5/16/2026", "6/1/2026"),
        (Kind::Date, "en", "June 1, 2026", "2026-05-16", "2026-06-01"),
        (Kind::Date, "en", "June 2 to 4, 2026", "May 16–18", "June 2–4"),
        (Kind::Date, "en", "June 1, 2026", "Sept. 16", "Jun. 1"),
        (Kind::Date, "es", "1 de junio de 2026", "sábado 16 de mayo", "lunes 1 de junio"),
        (Kind::Time, "en", "10:30 a.m.", "9 a.m.", "10:30 a.m."),
        (Kind::Time, "en", "10:30 a.m.", "09:00", "10:30"),
        (Kind::Time, "en", "1 p.m.", "9:00 AM", "1:00 PM"),
        (Kind::Time, "es", "10 a. m.", "9 de la mañana", "10 de la mañana"),
        (Kind::Ratio, "en", "1 in 6", "One in five", "One in six"),
        (Kind::Ratio, "en", "1:5", "1 part bleach to 4 parts water", "1 part bleach to 5 parts water"),
        (Kind::Ratio, "es", "1 de cada 6", "uno de cada cinco", "uno de cada seis"),
        (Kind::Text, "en", "Call first", "call later", "Call first"),
    ] {
        let words = words(language);
        let held = read_one(kind, fact, words).unwrap().says;
        let old = read_one(kind, stated, words).unwrap();
        let anew = restate(stated, &old, &held, fact, words).unwrap();
        // what stands beside it in the words stays
        let anew = format!("{}{anew}{}", &stated[..old.span.start], &stated[old.span.end..]);
        assert_eq!(anew, now, "{stated} for {fact}");
        let read = read_one(kind, &anew, words).unwrap();
        assert_ne!(agree(&read, &held, false), Verdict::Off, "{anew} for {fact}");
        assert_eq!(restate(&anew, &read, &held, fact, words).unwrap(), anew[read.span.clone()]);
    }
    // a month that stands once is of both days
    let held = read_one(Kind::Date, "May 30 to June 2", words("en")).unwrap().says;
    let old = read_one(Kind::Date, "May 16–18", words("en")).unwrap();
    assert!(restate("May 16–18", &old, &held, "May 30 to June 2", words("en")).is_err());
}

/// Clock times and days in words, and of the day of 24 hours. Common practice, no source.
#[test]
fn times_and_days_in_words_are_read() {
    for (kind, language, fact, same, others) in [
        (
            Kind::Time,
            "en",
            "10 p.m.",
            &["ten at night", "10 in the evening", "22:00"][..],
            &["ten in the morning"][..],
        ),
        (Kind::Time, "en", "00:00", &["12 at night", "midnight"], &["12 p.m."]),
        (
            Kind::Time,
            "es",
            "10 p. m.",
            &["diez de la noche", "22 h", "22:00"],
            &["diez de la mañana", "23 h"],
        ),
        (
            Kind::Time,
            "fr",
            "22:00",
            &["22 h", "22h00", "22 h 00", "dix heures du soir"],
            &["21 h", "22 h 30", "dix heures du matin"],
        ),
        (
            Kind::Date,
            "en",
            "October 10",
            &["the tenth of October", "October the tenth", "Oct. 10"],
            &["the eleventh of October"],
        ),
        (Kind::Date, "es", "15 de octubre", &["quince de octubre", "15 oct"], &["dieciséis de octubre"]),
        (Kind::Date, "es", "1 de mayo", &["primero de mayo", "uno de mayo"], &["dos de mayo"]),
        (Kind::Date, "fr", "15 octobre", &["quinze octobre", "15 oct."], &["5 octobre", "15 novembre"]),
        (Kind::Date, "fr", "1er mai 2026", &["1 mai 2026", "premier mai 2026"], &["2 mai 2026"]),
        (Kind::Ratio, "fr", "1 sur 5", &["un sur cinq", "un cheval sur cinq"], &["1 sur 4", "1 à 5"]),
        (
            Kind::Ratio,
            "fr",
            "1:4",
            &["1 à 4", "un pour quatre", "une part pour quatre"],
            &["1 sur 4", "une part pour cinq"],
        ),
        (Kind::Ratio, "es", "1:4", &["una parte por cuatro", "1 a 4"], &["una parte por cinco"]),
    ] {
        for stated in same {
            assert_eq!(verdict(kind, language, fact, stated), Verdict::Agrees, "{stated} of {fact}");
        }
        for stated in others {
            assert_eq!(verdict(kind, language, fact, stated), Verdict::Off, "{stated} of {fact}");
        }
    }
    let said = |kind, language: &str, text: &str| {
        say(&read_one(kind, text, words(language)).unwrap().says, words(language)).unwrap()
    };
    assert_eq!(said(Kind::Date, "fr", "2026-05-01"), "1er mai 2026");
    assert_eq!(said(Kind::Date, "fr", "2026-05-21"), "21 mai 2026");
    assert_eq!(said(Kind::Time, "fr", "22:00"), "22 h");
    assert_eq!(said(Kind::Time, "fr", "09:05"), "9 h 05");
    assert_eq!(said(Kind::Time, "es", "22:00"), "10 p. m.");
    // how long, and not when
    assert_eq!(find(Kind::Time, "Nous marchons 8 h par jour.", words("fr")), []);
    assert_eq!(find(Kind::Time, "Caminamos diez horas.", words("es")), []);
}

/// Days that no calendar has and times that no clock shows. The Gregorian calendar.
#[test]
fn what_no_calendar_and_no_clock_has_is_found() {
    for (language, text, found) in [
        ("en", "Closed on February 30.", 1),
        ("en", "Closed from April 31 to May 2.", 1),
        ("en", "On February 29, 2027 we ride.", 1),
        ("en", "On February 29, 2028 we ride.", 0),
        ("en", "On 2026-02-30 and on 2/30/2026.", 2),
        ("en", "Come at 25:00 or at 9:75 a.m.", 2),
        ("en", "It takes 90:00 minutes, a scale of 1:75.", 0),
        ("en", "Come at 24:00 or at 9:15 a.m.", 0),
        ("es", "El 31 de abril a las 25:30.", 2),
        ("fr", "Le 31 novembre à 24:30.", 2),
    ] {
        let days = find(Kind::Date, text, words(language));
        assert_eq!(impossible(&days, text, words(language)).len(), found, "{text}");
    }
    let read = read_one(Kind::Date, "February 30", words("en")).unwrap();
    assert!(read.says.exists().is_err());
    assert!(read_one(Kind::Time, "24:30", words("en")).is_err());
}
