//! The rules of reading, understanding, laying out and crediting, which every room may name. Those of proofreading stand one
//! file a rule in [`crate::proof`], beside how they are found.
//!
//! Each is declared once: [`rules!`] makes its constant and the list of its room in one go.

use super::Level;
use super::rule::{Rule, Settable};

/// Of what could not be read, and so cannot be printed.
const UNREAD: Settable = Settable::No("it reports what cannot be read, and that cannot be printed");
const NO_VALUE: Settable = Settable::No("nothing can be held against a fact that has no value");

/// Each rule as a constant, and the list of all that one room finds.
macro_rules! rules {
    ($($(#[$about:meta])* $list:ident { $($rule:ident = $name:literal, $level:expr, $settable:expr, $summary:literal;)+ })+) => {
        $(
            $(
                #[doc = $summary]
                pub static $rule: Rule =
                    Rule { name: $name, level: $level, settable: $settable, summary: $summary };
            )+
            $(#[$about])*
            pub static $list: &[&Rule] = &[$(&$rule),+];
        )+
    };
}

rules! {
    /// Found when people are to be credited.
    OF_CREDITING {
        CLOCK_FAR = "clock-far", Level::Warning, Settable::Yes,
            "This computer's clock is far from the days to be credited, so nobody is credited.";
    }
    /// Found while a program is read. Those whose level may be set tell what is odd and could be read.
    OF_READING {
        CELL_BROKEN = "cell-broken", Level::Warning, Settable::Yes,
            "A formula in a workbook gave an error.";
        CUE_DOUBLED = "cue-doubled", Level::Error, UNREAD,
            "Two cues are in one block quote.";
        CUE_EMPTY = "cue-empty", Level::Error, UNREAD,
            "Nothing follows a cue word.";
        CUE_UNKNOWN = "cue-unknown", Level::Error, UNREAD,
            "A block quote starts with a word and a colon, like a cue, but the word is not a cue word.";
        ENCODING_GUESSED = "encoding-guessed", Level::Warning, Settable::Yes,
            "A people file is not UTF-8. It was read in the encoding that fits all its words.";
        ENCODING_UNCLEAR = "encoding-unclear", Level::Error, UNREAD,
            "A people file is not UTF-8, and its letters fit several encodings.";
        FILE_MISSING = "file-missing", Level::Error, UNREAD,
            "A file that a program needs is not in its folder: `program.toml`, `facts.toml`.";
        FILE_UNREADABLE = "file-unreadable", Level::Error, UNREAD,
            "A file cannot be read: it is not text or not a workbook, it is a folder, or this account may not read it.";
        FOOTNOTE_DOUBLED = "footnote-doubled", Level::Error, UNREAD,
            "Two marks name one footnote.";
        FOOTNOTE_UNKNOWN = "footnote-unknown", Level::Error, UNREAD,
            "A mark names a footnote that does not exist.";
        FOOTNOTE_UNUSED = "footnote-unused", Level::Error, UNREAD,
            "A footnote has no mark, so it would not be printed.";
        FRONT_MATTER = "front-matter", Level::Error, UNREAD,
            "A lesson starts with settings.";
        FORMULA_UNWORKED = "formula-unworked", Level::Error, UNREAD,
            "A formula in a workbook has no value.";
        HEADING_DOUBLED = "heading-doubled", Level::Warning, Settable::Yes,
            "Two columns of a people file have the same heading.";
        HEADING_EMPTY = "heading-empty", Level::Error, UNREAD,
            "A heading has no words.";
        HEADING_MISPLACED = "heading-misplaced", Level::Error, UNREAD,
            "A title or a section starts inside a list, a quote or a footnote.";
        HEADING_MISSING = "heading-missing", Level::Error, UNREAD,
            "The roster lacks a heading that it must have: `event`, `name`, `attended`.";
        HEADING_RIVAL = "heading-rival", Level::Error, UNREAD,
            "Two columns of the roster could be the same field, but they do not agree.";
        HEADING_UNKNOWN = "heading-unknown", Level::Warning, Settable::Yes,
            "A heading of a people file is almost one that packstring reads; its column is skipped.";
        HISTORY_BROKEN = "history-broken", Level::Error, Settable::Yes,
            "A line of the history of facts was changed, moved or taken out.";
        HISTORY_CUT = "history-cut", Level::Error, Settable::Yes,
            "The last lines of the history of facts are gone.";
        HISTORY_NEWER = "history-newer", Level::Warning, Settable::Yes,
            "The history of facts was written by a newer packstring.";
        KEY_MISSING = "key-missing", Level::Error, UNREAD,
            "A required key is missing.";
        KEY_UNFIT = "key-unfit", Level::Error, UNREAD,
            "A key is in a place where it means nothing: a key of a series on a fact that has one value, a key of another kind of question, two keys that say the same.";
        KEY_UNKNOWN = "key-unknown", Level::Error, UNREAD,
            "packstring does not know a key.";
        LIMIT_REACHED = "limit-reached", Level::Error, UNREAD,
            "Something in a file is larger than packstring accepts.";
        LINK_UNFIT = "link-unfit", Level::Error, UNREAD,
            "A link leads to something that cannot be printed or shown: an address that does not start with `https:`, `http:`, `mailto:` or `tel:`, a file that is not a lesson, a backed figure with more than plain words.";
        NAME_DOUBLED = "name-doubled", Level::Error, UNREAD,
            "Two things of one kind have the same name.";
        NAME_UNFIT = "name-unfit", Level::Error, UNREAD,
            "The name of a fact, an event, a question or a kit has characters other than lower case letters, digits and hyphens.";
        NAME_UNKNOWN = "name-unknown", Level::Error, UNREAD,
            "A file names something that does not exist: a lesson, an event, a kit, a right answer among the choices.";
        NAMES_IN_CIRCLE = "names-in-circle", Level::Error, UNREAD,
            "Kits add to one another in a circle, or the certificates of events need each other.";
        NESTED_TOO_DEEP = "nested-too-deep", Level::Error, UNREAD,
            "Lists, quotes or emphasis are nested too deeply.";
        PASSED_OVER = "passed-over", Level::Note, Settable::Yes,
            "Something in a people file was skipped: title lines, repeated headings, another sheet.";
        PATH_ESCAPES = "path-escapes", Level::Error, UNREAD,
            "A path leads out of the program folder: by `..`, by starting at the root of the disk, or by a link.";
        PEOPLE_FILE_UNREAD = "people-file-unread", Level::Warning, Settable::Yes,
            "A file in `people/` has a name that packstring does not read.";
        PICTURE_UNFIT = "picture-unfit", Level::Error, UNREAD,
            "A picture names no file, or one on the network.";
        PROSE_UNFIT = "prose-unfit", Level::Error, UNREAD,
            "A string that must be one paragraph holds a list, a heading or several paragraphs.";
        QUOTE_STRAY = "quote-stray", Level::Warning, Settable::Yes,
            "A cell has a quotation mark where CSV does not allow one.";
        RAW_HTML = "raw-html", Level::Error, UNREAD,
            "A lesson has HTML in it.";
        REGISTER_BROKEN = "register-broken", Level::Error, UNREAD,
            "A line of the certificate register was changed, moved or taken out.";
        REGISTER_CUT = "register-cut", Level::Error, UNREAD,
            "The last lines of the certificate register are gone.";
        REGISTER_FORGED = "register-forged", Level::Error, UNREAD,
            "The certificate register does not match what the program's key signed.";
        REGISTER_KEY_UNSIGNED = "register-key-unsigned", Level::Warning, Settable::Yes,
            "The certificate register has a key that no earlier key of the program signed.";
        REGISTER_NEWER = "register-newer", Level::Error, UNREAD,
            "The certificate register was written by a newer packstring.";
        REGISTER_UNSIGNED = "register-unsigned", Level::Note, Settable::Yes,
            "Certificates were given without a signature although the program has a key.";
        ROW_RAGGED = "row-ragged", Level::Warning, Settable::Yes,
            "A row has more or fewer cells than there are headings.";
        ROWS_HIDDEN = "rows-hidden", Level::Warning, Settable::Yes,
            "Rows of a people file are hidden in its workbook, by a filter or by hand.";
        ROWS_MISSING = "rows-missing", Level::Note, Settable::Yes,
            "A people file has headings and no rows.";
        SERIES_IN_LINE = "series-in-line", Level::Error, UNREAD,
            "A chart is in a paragraph with other words.";
        SHEET_UNREAD = "sheet-unread", Level::Warning, Settable::Yes,
            "A workbook has people on more than one sheet, and one sheet is read.";
        SYNTAX = "syntax", Level::Error, UNREAD,
            "A TOML or CSV file breaks the rules of its language.";
        TABLE_EMPTY = "table-empty", Level::Error, UNREAD,
            "A people file is empty.";
        TITLE_DOUBLED = "title-doubled", Level::Error, UNREAD,
            "A lesson has two titles.";
        TITLE_MISSING = "title-missing", Level::Error, UNREAD,
            "A lesson does not start with its title.";
        VALUE_EMPTY = "value-empty", Level::Error, UNREAD,
            "A value is empty.";
        VALUE_UNFIT = "value-unfit", Level::Error, UNREAD,
            "A value is not of the kind that its key takes: a word for a date, a fraction for a count, a rule for passing that does not fit the number of questions.";
        WORDS_MISSING = "words-missing", Level::Error, UNREAD,
            "A backed figure has no words.";
    }

    /// Found while what was made is put away.
    OF_PUTTING_AWAY {
        HISTORY_UNWRITTEN = "history-unwritten", Level::Warning, Settable::Yes,
            "What the facts are could not be added to their history.";
    }

    /// Found while facts are worked out.
    OF_UNDERSTANDING {
        FACT_CIRCLE = "fact-circle", Level::Error, NO_VALUE,
            "Facts are worked out from one another in a circle.";
        FACT_UNREADABLE = "fact-unreadable", Level::Error, NO_VALUE,
            "A fact's value is not a figure, or cannot be worked out.";
    }

    /// Found by laying out. Those whose level may be set do not keep back what they are about.
    OF_LAYING_OUT {
        CONTRAST_LOW = "contrast-low", Level::Warning, Settable::Yes,
            "Two inks of a theme are too close to each other to read.";
        FACT_WORDLESS = "fact-wordless", Level::Error, Settable::No("what could not be made is told"),
            "Files that would print a fact's words are held because it has none; all others are made.";
        LABEL_OVERFULL = "label-overfull", Level::Warning, Settable::Yes,
            "An address does not fit its label or envelope in letters that can be read.";
        LETTER_BORROWED = "letter-borrowed", Level::Note, Settable::Yes,
            "A name has a letter that the theme's fonts lack and a font on this computer has.";
        LETTER_MISSING = "letter-missing", Level::Error, Settable::No("a certificate is held while a letter of its name cannot be printed"),
            "No font has a letter that is to be printed.";
        LETTERS_TOO_SMALL = "letters-too-small", Level::Warning, Settable::Yes,
            "Letters in a drawing come out too small to read where it is placed.";
        PICTURE_UNREADABLE = "picture-unreadable", Level::Error, Settable::No("what cannot be printed is told"),
            "The press cannot read a picture.";
        SHEET_CROWDED = "sheet-crowded", Level::Warning, Settable::Yes,
            "Something on a certificate or a wall chart comes out too small to read easily.";
        SHEET_OVERFULL = "sheet-overfull", Level::Warning, Settable::Yes,
            "A piece that must fit on one sheet does not.";
        SLIDE_OVERFULL = "slide-overfull", Level::Warning, Settable::Yes,
            "What a section shows does not fit on its slide.";
        TYPESETTER_BROKE = "typesetter-broke", Level::Error, Settable::No("a file that could not be made is told"),
            "The typesetter broke down over a file, and all others were made.";
        THEME_FILE_UNUSED = "theme-file-unused", Level::Note, UNREAD,
            "Nothing uses a file of the program's own theme.";
    }
}

/// Every rule that is not of proofreading.
pub fn of_other_rooms() -> impl Iterator<Item = &'static Rule> {
    [OF_READING, OF_UNDERSTANDING, OF_LAYING_OUT, OF_PUTTING_AWAY, OF_CREDITING]
        .into_iter()
        .flatten()
        .copied()
}
