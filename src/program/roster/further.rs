//! Headings of more people than one in a row, and of other names than the one that is printed: "Guest names",
//! "Horse 2", "Preferred name". All words come from the languages; a heading is read by those of one at a time, for
//! `nombre` is a name in one and a number in another.

use super::columns::{Field, usual};
use crate::languages::{PeopleHeadings, all, has, in_all};
use crate::program::headings::{is_part_of_name, known_form};

/// The words of a heading, without the endings of a possessive and what is elided before a vowel.
pub(super) fn words_of(heading: &str) -> Vec<String> {
    let plain = known_form(heading);
    let words = plain.split(' ').flat_map(|word| {
        let word = word.trim_end_matches("'s").trim_end_matches('\'');
        match word.split_once('\'') {
            Some((elided, rest)) if elided.chars().count() == 1 => vec![elided, rest],
            _ => vec![word],
        }
    });
    words.filter(|word| !word.is_empty()).map(str::to_owned).collect()
}

/// Whether a heading holds in any language, by its words.
fn in_any(words: &[String], holds: impl Fn(&PeopleHeadings, &[String]) -> bool) -> bool {
    all().iter().any(|language| holds(&language.headings.people, words))
}

fn is_further(word: &str, known: &PeopleHeadings) -> bool {
    has(&known.further, word) || word.parse().is_ok_and(|number: u32| (2..=30).contains(&number))
}

/// Whether a heading is of a further person in one row: "Participant 2", "Guest names", "Second rider's last name".
pub(crate) fn is_of_another_person(heading: &str) -> bool {
    if usual(heading).is_some() || is_part_of_name(heading) {
        return false;
    }
    in_any(&words_of(heading), |known, words| {
        let of_name = |word: &String| has(&known.of_names, word);
        let along = |word: &String| has(&known.along, word);
        let fits = words.iter().all(|word| of_name(word) || along(word) || is_further(word, known));
        fits && (words.iter().any(along)
            || words.iter().any(of_name) && words.iter().any(|word| is_further(word, known)))
    })
}

/// Whether a heading is of a further companion in one row: "Horse 2", "Second dog's name".
pub(crate) fn is_of_another_companion(heading: &str) -> bool {
    in_any(&words_of(heading), |known, words| {
        let rest: Vec<&str> =
            words.iter().map(String::as_str).filter(|word| !is_further(word, known)).collect();
        let names: Vec<&str> = rest
            .iter()
            .copied()
            .filter(|word| !has(&known.name, word) && !has(&known.joints, word))
            .collect();
        let is_companion = |words: &str| {
            let is = |words: &str| usual(words) == Some(Field::Companion);
            is(words) || words.strip_suffix('s').is_some_and(is)
        };
        rest.len() < words.len() && (is_companion(&rest.join(" ")) || is_companion(&names.join(" ")))
    })
}

/// Whether a heading asks for how many come along: "Number of guests".
pub(crate) fn is_of_a_count(heading: &str) -> bool {
    in_any(&words_of(heading), |known, words| {
        let counts = |word: &String| has(&known.counting, word);
        let along = |word: &String| has(&known.along, word) || has(&known.groups, word);
        let beside = |word: &String| has(&known.of_names, word) || has(&known.further, word);
        words.iter().any(along)
            && words.iter().any(counts)
            && words.iter().all(|word| along(word) || counts(word) || beside(word))
    })
}

/// Whether a heading asks for a name of the person in another way: "Preferred name", "Child's name", "Nickname".
pub(super) fn is_of_name_otherwise(heading: &str) -> bool {
    in_any(&words_of(heading), |known, words| {
        let is_name = |word: &String| has(&known.name, word) || has(&known.nicknames, word);
        let fits = |word: &String| {
            has(&known.of_names, word) || has(&known.otherwise, word) || has(&known.nicknames, word)
        };
        match words {
            [only] => has(&known.nicknames, only),
            several => several.iter().any(is_name) && several.iter().all(fits),
        }
    })
}

/// Whether a heading is of what stands between first and last name.
pub(super) fn is_middle_name(heading: &str) -> bool {
    let plain = known_form(heading);
    in_all(|language| &language.headings.people.middle_name).any(|known| known == plain)
}

/// Whether a heading is of what stands before a name.
pub(super) fn is_before_name(heading: &str) -> bool {
    let plain = known_form(heading);
    in_all(|language| &language.headings.people.before_name).any(|known| known == plain)
}

/// "Suffix", as forms ask for "Jr." and "III".
pub(super) fn is_suffix(heading: &str) -> bool {
    let plain = known_form(heading);
    in_all(|language| &language.headings.people.suffix).any(|known| known == plain)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn further_people_and_companions_in_a_row_are_known_by_their_headings() {
        for heading in [
            "Participant 2",
            "Guest names",
            "Guests",
            "Name 2",
            "2nd participant's name",
            "Second rider's last name",
            "Participant 2 First Name",
            "Additional attendees",
            "Name of guest",
            "Child 3",
            "Names of other participants",
            "Acompañantes",
            "Attendee #4",
            "Spouse",
            "Friend's name",
        ] {
            assert!(is_of_another_person(heading), "{heading}");
        }
        for heading in [
            "Name",
            "Participant 1",
            "Second name",
            "Last name",
            "Number of guests",
            "Other",
            "Address 2",
            "Event 2",
            "Guest email",
            "Phone 2",
            "2",
            "Parent name",
            "School name",
            "Session 2",
        ] {
            assert!(!is_of_another_person(heading), "{heading}");
        }
        for heading in ["Horse 2", "Second dog's name", "Companion 3", "Other animals", "Additional horse"] {
            assert!(is_of_another_companion(heading), "{heading}");
        }
        for heading in ["Horse", "Horse's name", "Participant 2", "2"] {
            assert!(!is_of_another_companion(heading), "{heading}");
        }
        assert!(
            is_of_a_count("Number of guests")
                && is_of_a_count("How many guests?")
                && !is_of_a_count("Guests")
        );
    }

    #[test]
    fn other_names_of_the_person_are_known_and_those_of_others_are_not() {
        for heading in [
            "Preferred name",
            "Child's name",
            "Legal name",
            "Name for the badge",
            "Nickname",
            "Name as it should be printed",
        ] {
            assert!(is_of_name_otherwise(heading), "{heading}");
        }
        for heading in [
            "Parent name",
            "Emergency contact name",
            "School name",
            "Name of stable",
            "Horse's name",
            "Username",
            "Group",
        ] {
            assert!(!is_of_name_otherwise(heading), "{heading}");
        }
    }

    #[test]
    fn each_language_has_its_own_words_for_them() {
        for heading in [
            "Participante 2",
            "Nombres de los invitados",
            "Segundo participante",
            "Otros asistentes",
            "Participant n° 2",
            "Noms des invités",
            "Deuxième participant",
            "Autres participants",
            "Nom de l'invité",
        ] {
            assert!(is_of_another_person(heading), "{heading}");
        }
        for heading in ["Caballo 2", "Nombre del segundo perro", "Cheval 2", "Nom du deuxième chien"] {
            assert!(is_of_another_companion(heading), "{heading}");
        }
        // “Nombre” is a name in Spanish and a number in French.
        for heading in
            ["Número de invitados", "Cuántos acompañantes", "Nombre d'invités", "Combien d’invités ?"]
        {
            assert!(is_of_a_count(heading), "{heading}");
        }
        assert!(!is_of_a_count("Nombre de los invitados"));
        for heading in ["Nombre preferido", "Apodo", "Nombre para el certificado", "Prénom usuel", "Surnom"]
        {
            assert!(is_of_name_otherwise(heading), "{heading}");
        }
        for heading in ["Nombre de la escuela", "Nom de l'école", "Contacto de emergencia", "Grupo"] {
            assert!(!is_of_name_otherwise(heading) && !is_of_another_person(heading), "{heading}");
        }
    }
}
