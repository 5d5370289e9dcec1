//! Answers that name so many of a list: different ones are counted, in any accepted wording.
//!
//! An answer is cut into what it names wherever a comma, a line or an "and" may part two of them; of all
//! ways to join the cuts again, the one counts that finds the most of the list. What comes near to the list
//! and may mean it is for the ranger's eye.

use super::wording::{Likeness, Word, telling, words};
use super::{Judged, Reason, Verdict, quoted};
use crate::languages::Vocabulary;
use std::collections::BTreeSet;

/// An answer in more parts than this is no list that could be read.
const MOST_PARTS: usize = 60;
/// So many parts at most make up one wording that has commas or "and" in it.
const LONGEST_WORDING: usize = 5;

/// The accepted answers of a question.
pub(super) struct List<'q> {
    pub count: usize,
    pub accept: &'q [Vec<String>],
    /// The words of the question, which an answer may repeat.
    pub ask: Vec<Word>,
    /// The language in which it was asked.
    pub language: &'static Vocabulary,
}

/// How something that was named fits the list.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
enum Fit {
    /// It is this answer of the list; the less, the better.
    Is {
        answer: usize,
        by: Likeness,
    },
    /// It may mean this one.
    Near(usize),
    None,
}

/// Something that the person named.
struct Named {
    words: String,
    fit: Fit,
}

impl List<'_> {
    pub fn judge(&self, answer: &str) -> Judged {
        let parts = parts(answer, self.language);
        if parts.len() > MOST_PARTS {
            return Judged::look("too-long", &[]);
        }
        let named = self.named(&parts);
        let of = |fit: fn(&Fit) -> Option<usize>| -> BTreeSet<usize> {
            named.iter().filter_map(|named| fit(&named.fit)).collect()
        };
        let found = of(|fit| if let Fit::Is { answer, .. } = fit { Some(*answer) } else { None });
        let mut near = of(|fit| if let Fit::Near(answer) = fit { Some(*answer) } else { None });
        near.extend(self.contained(answer));
        let near = near.difference(&found).count();
        let strange: Vec<String> = named
            .iter()
            .filter(|named| !matches!(named.fit, Fit::Is { .. }))
            .map(|named| quoted(&named.words))
            .collect();
        let on_list = found.iter().map(|at| self.accept[*at][0].as_str()).collect::<Vec<_>>().join(", ");
        let strange = strange.join(", ");
        let (listed, strange) = (("listed", on_list.as_str()), ("strange", strange.as_str()));
        if found.len() >= self.count {
            return match strange.1.is_empty() {
                true => Judged::right("on-list", &[listed]),
                false => Judged::look("more-than-asked", &[listed, strange]),
            };
        }
        let mut reason = match found.len() {
            0 => Reason::of("none-listed", &[]),
            n => Reason::of(
                "some-listed",
                &[("asked", &self.count.to_string()), ("n", &n.to_string()), listed],
            ),
        };
        if named.iter().filter(|named| matches!(named.fit, Fit::Is { .. })).count() > found.len() {
            reason = reason.and("doubled", &[]);
        }
        if !strange.1.is_empty() {
            reason = reason.and("not-listed", &[strange]);
        }
        if found.len() + near >= self.count {
            return Judged::new(Verdict::Look, reason.and("near", &[]));
        }
        Judged::new(Verdict::Wrong, reason)
    }

    /// What an answer names: the way to join its parts that finds the most.
    fn named(&self, parts: &[&str]) -> Vec<Named> {
        let worth = |fit: Fit| match fit {
            Fit::Is { by: Likeness::Same, .. } => 10,
            Fit::Is { by: Likeness::Number, .. } => 9,
            Fit::Is { by: Likeness::Slip, .. } => 8,
            Fit::Near(_) => 1,
            Fit::None => 0,
        };
        // For each part: the best worth from here to the end, how many parts are joined, and how they fit.
        let mut best: Vec<(u32, usize, Fit)> = vec![(0, 0, Fit::None); parts.len() + 1];
        for at in (0..parts.len()).rev() {
            let mut here = (0, 1, Fit::None);
            for joined in 1..=LONGEST_WORDING.min(parts.len() - at) {
                let fit = self.fit(&parts[at..at + joined].join(" "));
                if joined > 1 && !matches!(fit, Fit::Is { .. }) {
                    continue;
                }
                let total = worth(fit) + best[at + joined].0;
                if joined == 1 || total > here.0 {
                    here = (total, joined, fit);
                }
            }
            best[at] = here;
        }
        let mut named = Vec::new();
        let mut at = 0;
        while at < parts.len() {
            let (_, joined, fit) = best[at];
            let said = parts[at..at + joined].join(", ");
            // "I think" names nothing.
            if fit != Fit::None || !self.words(&said).iter().all(|word| self.is_idle(word)) {
                named.push(Named { words: said, fit });
            }
            at += joined;
        }
        named
    }

    /// How something named fits the list: the best of all wordings.
    fn fit(&self, said: &str) -> Fit {
        let said = self.words(said);
        let mut best = Fit::None;
        for (answer, wordings) in self.accept.iter().enumerate() {
            for wording in wordings {
                let fit = self.fit_wording(answer, &said, &self.words(wording));
                best = match (best, fit) {
                    (Fit::Is { by: old, .. }, Fit::Is { by, .. }) if by < old => fit,
                    (Fit::Is { .. }, _) => best,
                    (_, Fit::Is { .. }) | (Fit::None, _) => fit,
                    _ => best,
                };
            }
        }
        best
    }

    /// Every word of the wording must be there; what is left over must not change it.
    fn fit_wording(&self, answer: usize, said: &[Word], wording: &[Word]) -> Fit {
        let wanted = telling(wording);
        let mut left: Vec<&Word> = telling(said);
        let mut by = Likeness::Same;
        // The best likenesses are taken first, so that no slip takes away the word of another.
        let mut open = wanted.clone();
        for likeness in [Likeness::Same, Likeness::Number, Likeness::Slip] {
            open.retain(|word| {
                let found = left.iter().position(|other| word.likeness(other) == Some(likeness));
                if let Some(at) = found {
                    left.remove(at);
                    by = by.max(likeness);
                }
                found.is_none()
            });
        }
        let missing = open.len();
        if missing == 0 && !wanted.is_empty() {
            return match left.iter().all(|word| self.is_idle(word)) {
                true if left.is_empty() => Fit::Is { answer, by },
                true => Fit::Is { answer, by: by.max(Likeness::Number) },
                false => Fit::Near(answer),
            };
        }
        let is_half = missing * 2 <= wanted.len() && missing < wanted.len();
        let is_close = wanted.len() == 1 && left.iter().any(|word| resembles(&word.plain, &wanted[0].plain));
        if is_half || is_close { Fit::Near(answer) } else { Fit::None }
    }

    /// The answers of the list whose words all stand somewhere in what was written.
    fn contained(&self, answer: &str) -> BTreeSet<usize> {
        let said = self.words(answer);
        let holds = |wording: &String| {
            let wording = self.words(wording);
            let wanted = telling(&wording);
            !wanted.is_empty()
                && wanted.iter().all(|word| said.iter().any(|said| said.likeness(word).is_some()))
        };
        (0..self.accept.len()).filter(|at| self.accept[*at].iter().any(holds)).collect()
    }

    fn words(&self, text: &str) -> Vec<Word> {
        words(text, self.language)
    }

    fn is_idle(&self, word: &Word) -> bool {
        !word.turns() && (word.is_harmless() || self.ask.iter().any(|asked| asked.plain == word.plain))
    }
}

/// Whether a word is spelled much like another, without being a small slip of it.
fn resembles(one: &str, other: &str) -> bool {
    let letters = one.chars().count().max(other.chars().count());
    letters >= 4 && strsim::osa_distance(one, other) * 3 <= letters
}

/// Cuts an answer wherever one thing may end and the next begin.
fn parts<'a>(answer: &'a str, language: &Vocabulary) -> Vec<&'a str> {
    let mut cuts: Vec<(usize, usize)> = Vec::new();
    let bytes = answer.as_bytes();
    let is_gap = |at: usize| bytes.get(at).is_none_or(u8::is_ascii_whitespace);
    for (at, letter) in answer.char_indices() {
        let end = at + letter.len_utf8();
        let after_gap = at == 0 || is_gap(at - 1);
        let cut = match letter {
            '\n' | '\r' | ';' | ',' | '/' | '|' | '&' | '+' | '•' | '·' | '、' | '，' | '；' => {
                Some(end)
            }
            '.' | '!' | '?' if is_gap(end) => Some(end),
            '-' | '–' | '—' | '*' if after_gap => Some(end),
            '(' | ')' => Some(end),
            '0'..='9' if after_gap => numbering(&answer[at..]).map(|length| at + length),
            _ if after_gap => joint(&answer[at..], language).map(|length| at + length),
            _ => None,
        };
        if let Some(end) = cut {
            cuts.push((at, end));
        }
    }
    let mut parts = Vec::new();
    let mut start = 0;
    for (at, end) in cuts.into_iter().chain([(answer.len(), answer.len())]) {
        if at >= start {
            parts.push(answer[start..at].trim());
            start = end;
        }
    }
    parts.retain(|part| part.chars().any(char::is_alphanumeric));
    parts
}

/// `and ` at the head of a text: its length.
fn joint(text: &str, language: &Vocabulary) -> Option<usize> {
    let joints = language.answers.and.iter().chain(&language.answers.between);
    let mut lengths = joints.filter_map(|word| {
        let is_it = text.get(..word.len()).is_some_and(|said| said.eq_ignore_ascii_case(word));
        (is_it && text[word.len()..].starts_with(' ')).then_some(word.len() + 1)
    });
    lengths.next()
}

/// `1.` or `2)` at the head of an entry: its length.
fn numbering(text: &str) -> Option<usize> {
    let digits = text.bytes().take_while(u8::is_ascii_digit).count();
    let mut rest = text[digits..].chars();
    let is_mark = rest.next().is_some_and(|mark| matches!(mark, '.' | ')' | ':'));
    let ends = rest.next().is_none_or(|next| !next.is_ascii_digit());
    (digits <= 2 && is_mark && ends).then_some(digits + 1)
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::languages;

    fn signs() -> Vec<Vec<String>> {
        let list: [&[&str]; 6] = [
            &["fast breathing", "breathing hard", "panting"],
            &["dry skin", "no longer sweating", "not sweating"],
            &["stumbling", "unsteady"],
            &["dull eye", "confused"],
            &["dark urine", "no urine"],
            &["falling down", "down and cannot rise"],
        ];
        list.iter().map(|wordings| wordings.iter().map(|word| (*word).to_owned()).collect()).collect()
    }

    fn judge(answer: &str) -> Judged {
        let (accept, language) = (signs(), languages::of_or_none("en"));
        let ask = words("Name signs that a horse is in trouble from heat.", language);
        List { count: 3, accept: &accept, ask, language }.judge(answer)
    }

    #[test]
    fn different_ones_count_in_any_wording() {
        for right in [
            "fast breathing, dry skin, stumbling",
            "Panting; not sweating; dull eyes",
            "1. breathing hard 2. no urine 3. unsteady",
            "1) Stumbling\n2) the eyes are dull\n3) Down and cannot rise",
            "- panting\n- stumbeling\n- cannot rise, down",
            "breathing fast and skin dry and confused",
            "The horse is panting. It is unsteady. Dark urine.",
            "fast breathing, panting, dry skin, stumbling",
        ] {
            let judged = judge(right);
            assert_eq!(judged.verdict, Verdict::Right, "{right}: {}", judged.reason);
        }
    }

    #[test]
    fn what_is_not_enough_is_wrong() {
        for wrong in [
            "fast breathing, panting, breathing hard",
            "dry skin, stumbling, sunburn",
            "hungry, thirsty, tired",
            "dry skin",
            "it was a long day and we all had fun",
        ] {
            let judged = judge(wrong);
            assert_eq!(judged.verdict, Verdict::Wrong, "{wrong}: {}", judged.reason);
        }
        let doubled = judge("fast breathing, panting, breathing hard").reason.to_string();
        assert_eq!(
            doubled,
            "Of 3 asked, it names 1 from the list: fast breathing. What means the same counts once."
        );
        assert_eq!(
            judge("dry skin, stumbling, sunburn").reason.to_string(),
            "Of 3 asked, it names 2 from the list: dry skin, stumbling. Not on it: “sunburn”."
        );
    }

    #[test]
    fn what_comes_near_is_looked_at() {
        for look in [
            "panting, stumbling, sweating",
            "dry skin, not stumbling, panting",
            "dry skin, steady, panting",
            "dry skin stumbling panting",
            "fast breathing, dry skin, stumbling, a rainbow",
            "dry skin, stumbling, heavy breathing",
            "dry skin, stumbling, confusion",
        ] {
            let judged = judge(look);
            assert_eq!(judged.verdict, Verdict::Look, "{look}: {}", judged.reason);
        }
        assert_eq!(judge(&"word, ".repeat(100)).verdict, Verdict::Look);
    }
}
