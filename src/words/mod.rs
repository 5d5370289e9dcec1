//! The words that packstring itself prints, by language: the theme's `words/`.
//!
//! Sheets and pages get them from the press; a plan needs them for what is no template's, such as the title of
//! a file. A language lacks what its file leaves out, and has it in English then, so that a theme may
//! translate as much as it likes. Beside them stands what CLDR has of the language: `calendar` (unless a file says it
//! otherwise) and `plurals`.

mod calendar;

use include_dir::{Dir, include_dir};
use serde_json::{Map, Value, json};
use std::collections::BTreeMap;
use std::sync::{Arc, LazyLock, PoisonError, RwLock};

static PLAIN: Dir = include_dir!("$CARGO_MANIFEST_DIR/themes/plain/words");

static BUILT_IN: LazyLock<Words> = LazyLock::new(|| {
    let files = PLAIN.files().filter_map(|file| Some((file.path().to_str()?, file.contents())));
    Words::read(files).expect("the built-in words are TOML")
});

/// The words of every language that a theme has.
#[derive(Clone, Debug)]
pub struct Words(Arc<Languages>);

#[derive(Debug)]
struct Languages {
    /// By the name of the file, in lower case.
    files: BTreeMap<String, Value>,
    /// What was asked for so far, by its tag: theme's words with CLDR's.
    whole: RwLock<BTreeMap<String, Arc<Value>>>,
}

/// A file of words that cannot be read, and why.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Unreadable {
    pub file: String,
    pub message: String,
}

/// The language whose words are whole in every theme.
const WHOLE: &str = "en";
/// The table of words about the language itself.
const LANGUAGE: &str = "language";

/// The key of how a language writes days and clock times.
const CALENDAR: &str = "calendar";

impl Default for Words {
    fn default() -> Self {
        BUILT_IN.clone()
    }
}

impl Words {
    /// From files by name: `es.toml`, `pt-BR.toml`.
    ///
    /// # Errors
    /// The first file that is not TOML.
    pub fn read<'a>(files: impl IntoIterator<Item = (&'a str, &'a [u8])>) -> Result<Self, Unreadable> {
        Self::read_over(files, None)
    }

    /// The same, where a language takes what its file leaves out from the same one of other words first.
    ///
    /// # Errors
    /// The first file that is not TOML.
    pub fn read_over<'a>(
        files: impl IntoIterator<Item = (&'a str, &'a [u8])>,
        below: Option<&Self>,
    ) -> Result<Self, Unreadable> {
        let mut languages = BTreeMap::new();
        for (file, bytes) in files {
            let Some(language) = file.strip_suffix(".toml") else { continue };
            let unreadable = |message: String| Unreadable { file: file.to_owned(), message };
            let text = std::str::from_utf8(bytes).map_err(|error| unreadable(error.to_string()))?;
            let mut table: Value =
                toml::from_str(text).map_err(|error| unreadable(error.message().to_owned()))?;
            if let Some(same) = below.and_then(|below| below.0.files.get(&language.to_lowercase())) {
                fill_up(&mut table, same);
            }
            languages.insert(language.to_lowercase(), table);
        }
        let mut whole = languages.get(WHOLE).cloned().unwrap_or_else(|| Value::Object(Map::new()));
        languages.entry(WHOLE.to_owned()).or_insert_with(|| whole.clone());
        // What a language is called is said by itself alone, and how it writes days by CLDR.
        if let Some(table) = whole.as_object_mut() {
            table.remove(LANGUAGE);
            table.remove(CALENDAR);
        }
        for words in languages.values_mut() {
            fill_up(words, &whole);
        }
        Ok(Self(Arc::new(Languages { files: languages, whole: RwLock::default() })))
    }

    /// What a language is called in itself; its tag where its words do not say.
    pub fn own_name<'w>(&'w self, language: &'w str) -> &'w str {
        let found = self.find(language);
        found.and_then(|name| self.0.files[name][LANGUAGE]["own-name"].as_str()).unwrap_or(language)
    }

    /// All words of a language, or English ones where there are none: `es-MX` looks for `es-MX`, then `es`.
    /// Days and times are the language's own either way.
    pub fn of(&self, language: &str) -> Arc<Value> {
        let language = language.to_lowercase();
        let known = self.0.whole.read().unwrap_or_else(PoisonError::into_inner).get(&language).cloned();
        if let Some(known) = known {
            return known;
        }
        let found = self.find(&language);
        let mut words = self.0.files[found.unwrap_or(WHOLE)].clone();
        let own = words.as_object_mut().and_then(|words| words.remove(CALENDAR));
        // English ways of writing a day are not those of a language that the theme has no words in.
        let mut calendar = own.filter(|_| found.is_some()).unwrap_or_else(|| json!({}));
        fill_up(&mut calendar, &calendar::calendar(&language).unwrap_or_default());
        words[CALENDAR] = calendar;
        words["plurals"] = json!(calendar::plurals(found.unwrap_or(WHOLE)));
        let words = Arc::new(words);
        let mut whole = self.0.whole.write().unwrap_or_else(PoisonError::into_inner);
        whole.insert(language, words.clone());
        words
    }

    /// The name of the file that has a language's words.
    fn find(&self, language: &str) -> Option<&str> {
        let language = language.to_lowercase();
        let short = language.split('-').next().unwrap_or_default();
        let found = [language.as_str(), short].into_iter().find_map(|name| self.0.files.get_key_value(name));
        found.map(|(name, _)| name.as_str())
    }

    /// The title of a piece in a language (`titles` of the words), with `name` put in its braces.
    pub fn title(&self, language: &str, piece: &str, name: &str) -> String {
        let words = self.of(language);
        let pattern = words["titles"][piece].as_str().unwrap_or(piece);
        pattern.replace("{name}", name)
    }
}

/// Adds what a table lacks from another.
fn fill_up(words: &mut Value, whole: &Value) {
    let (Value::Object(words), Value::Object(whole)) = (words, whole) else { return };
    for (key, value) in whole {
        match words.get_mut(key) {
            Some(own) => fill_up(own, value),
            None => drop(words.insert(key.clone(), value.clone())),
        }
    }
}

/// Fills in words in braces, once: braces in what is filled in stay as they are, and so do words that are not known.
pub fn filled_in<'w>(pattern: &'w str, known: impl Fn(&'w str) -> Option<&'w str>) -> String {
    let (mut text, mut rest) = (String::new(), pattern);
    while let Some((before, after)) = rest.split_once('{') {
        text.push_str(before);
        match after.split_once('}').and_then(|(word, after)| Some((known(word)?, after))) {
            Some((words, after)) => {
                text.push_str(words);
                rest = after;
            }
            None => {
                text.push('{');
                rest = after;
            }
        }
    }
    text + rest
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn what_is_filled_in_is_filled_in_once() {
        let known = |word| match word {
            "name" => Some("{date} {name}"),
            "date" => Some("today"),
            _ => None,
        };
        assert_eq!(filled_in("Dear {name}, {date} {other} {", known), "Dear {date} {name}, today {other} {");
        assert_eq!(filled_in("{{name}}", known), "{{date} {name}}");
    }

    /// Every word by the path of its key, with the braces that it fills in, in order of their names.
    fn keys(path: &str, value: &Value, into: &mut BTreeMap<String, Vec<String>>) {
        match value {
            Value::Object(table) => {
                table.iter().for_each(|(key, value)| keys(&format!("{path}.{key}"), value, into));
            }
            Value::Array(list) => {
                list.iter().enumerate().for_each(|(at, value)| keys(&format!("{path}.{at}"), value, into));
            }
            words => {
                let text = words.as_str().unwrap_or_default();
                let parts = text.split('{').skip(1).filter_map(|rest| rest.split_once('}'));
                let mut braces: Vec<String> = parts.map(|(name, _)| name.to_owned()).collect();
                braces.sort();
                into.insert(path.to_owned(), braces);
            }
        }
    }

    #[test]
    fn every_language_has_each_word_with_what_it_fills_in() {
        let of = |file: &str| {
            let text = PLAIN.get_file(file).and_then(include_dir::File::contents_utf8).unwrap();
            let mut found = BTreeMap::new();
            let mut words: Value = toml::from_str(text).unwrap();
            words.as_object_mut().map(|words| words.remove(CALENDAR));
            keys("", &words, &mut found);
            found
        };
        let english = of("en.toml");
        let languages: Vec<_> = PLAIN.files().filter_map(|file| file.path().to_str()).collect();
        assert!(languages.contains(&"es.toml") && english.len() > 300);
        for language in languages {
            assert_eq!(of(language), english, "{language} against en.toml");
        }
    }

    #[test]
    fn a_language_falls_back_to_its_own_then_to_english() {
        let files = [
            ("en.toml", b"[a]\none = \"one\"\ntwo = \"two {name}\"\n".as_slice()),
            ("es.toml", b"[a]\none = \"uno\"\n"),
        ];
        let words = Words::read(files).unwrap();
        assert_eq!(words.of("es-MX")["a"]["one"], "uno");
        assert_eq!(words.of("es-MX")["a"]["two"], "two {name}");
        assert_eq!(words.of("fr")["a"]["one"], "one");
    }

    #[test]
    fn days_are_the_languages_own_unless_the_theme_says_otherwise() {
        let files = [
            ("en.toml", b"[calendar]\nhalves = [\"a.m.\", \"p.m.\"]\n".as_slice()),
            ("de.toml", b"[a]\none = \"eins\"\n"),
        ];
        let words = Words::read(files).unwrap();
        assert_eq!(words.of("en-US")["calendar"]["halves"][0], "a.m.");
        assert_eq!(words.of("en-US")["calendar"]["months"][2], "March");
        assert_eq!(words.of("de-AT")["calendar"]["months"][2], "März");
        assert_eq!(words.of("de-AT")["calendar"]["halves"][0], "");
        assert_eq!(words.of("ko")["calendar"]["halves"][0], "오전");
        // The words for what is counted are English there, so their forms are too.
        assert_eq!(words.of("ru")["plurals"][21], "other");
    }

    #[test]
    fn a_file_that_is_no_toml_is_told() {
        let told = Words::read([("es.toml", b"[a\n".as_slice())]).unwrap_err();
        assert_eq!(told.file, "es.toml");
    }
}
