//! The rules of other rooms: mistakes that are found by reading, by working out facts, and by laying out.
//!
//! Nothing is checked here. The list is for the docs, so that every rule that a person can be told of
//! has a page and stands in one list with those of this room.

use crate::finding::Level;

/// Each rule by name, with its level as a rule and its line for the list.
pub const OTHER_ROOMS: &[(&str, Level, &str)] = &[
    ("cell-broken", Level::Warning, "A formula in a workbook gave an error."),
    ("contrast-low", Level::Warning, "Two inks of a theme are too near to one another to be read."),
    ("cue-doubled", Level::Error, "Two cues stand in one block quote."),
    ("cue-empty", Level::Error, "Nothing follows a cue word."),
    (
        "cue-unknown",
        Level::Error,
        "A block quote starts with a word and a colon that look like a cue and are none.",
    ),
    (
        "encoding-guessed",
        Level::Warning,
        "A people file is not UTF-8, and was read as the encoding that fits all its words.",
    ),
    (
        "encoding-unclear",
        Level::Error,
        "A people file is not UTF-8, and its letters could be of several encodings.",
    ),
    ("fact-circle", Level::Error, "Facts are worked from one another in a circle."),
    ("fact-unreadable", Level::Error, "A fact's value is no figure, or cannot be worked out."),
    (
        "file-missing",
        Level::Error,
        "A file that a program needs is not in its folder: `program.toml`, `facts.toml`.",
    ),
    (
        "file-unreadable",
        Level::Error,
        "A file cannot be read: it is no text or no workbook, it is a folder, or this account may not read it.",
    ),
    ("footnote-doubled", Level::Error, "Two marks name one footnote."),
    ("footnote-unknown", Level::Error, "A mark names a footnote that is not there."),
    ("footnote-unused", Level::Error, "A footnote has no mark, so it would not be printed."),
    ("front-matter", Level::Error, "A lesson starts with settings."),
    ("heading-doubled", Level::Warning, "Two columns of a people file have the same heading."),
    ("heading-empty", Level::Error, "A heading has no words."),
    ("heading-misplaced", Level::Error, "A title or a section starts inside a list, a quote or a footnote."),
    (
        "heading-missing",
        Level::Error,
        "The roster lacks a heading that it must have: `event`, `name`, `attended`.",
    ),
    (
        "heading-unknown",
        Level::Error,
        "A heading of the roster is nearly one that packstring reads; its column would be passed over.",
    ),
    ("key-missing", Level::Error, "A key that must be there is not."),
    (
        "key-unfit",
        Level::Error,
        "A key stands where it cannot mean anything: one of a series on a fact that has one value, one of another kind of question, two that say the same.",
    ),
    ("key-unknown", Level::Error, "A key that packstring does not know."),
    (
        "label-overfull",
        Level::Warning,
        "An address does not fit its label or envelope in letters that can be read.",
    ),
    (
        "letter-borrowed",
        Level::Note,
        "A name has a letter that the theme's fonts lack and a font of this machine has.",
    ),
    ("letter-missing", Level::Error, "No font at hand has a letter that is to be printed."),
    (
        "link-unfit",
        Level::Error,
        "A link leads to something that cannot be printed or shown: an address of a kind that is not `https:`, `http:`, `mailto:` or `tel:`, a file that is no lesson, a backed figure with more than plain words.",
    ),
    ("name-doubled", Level::Error, "Two things of one kind have the same name."),
    (
        "name-unfit",
        Level::Error,
        "The name of a fact, an event, a question or a kit holds something else than lower case letters, digits and hyphens.",
    ),
    (
        "name-unknown",
        Level::Error,
        "Something is named that is not there: a lesson, an event, a kit, a right answer among the choices.",
    ),
    ("names-in-circle", Level::Error, "Kits add to one another in a circle."),
    ("nested-too-deep", Level::Error, "Lists, quotes or emphasis lie too deep in one another."),
    (
        "passed-over",
        Level::Note,
        "Something in a people file was passed over: title lines, repeated headings, another sheet.",
    ),
    (
        "path-escapes",
        Level::Error,
        "A path leaves the program folder, by `..`, by starting at the root of the disk, or by a link.",
    ),
    ("picture-unfit", Level::Error, "A picture names no file, or one on the network."),
    ("picture-unreadable", Level::Error, "The press cannot read a picture."),
    ("register-broken", Level::Error, "A line of the certificate register was changed, moved or taken out."),
    ("register-cut", Level::Error, "The last lines of the certificate register are gone."),
    ("register-newer", Level::Error, "The certificate register was written by a newer packstring."),
    (
        "prose-unfit",
        Level::Error,
        "A string that is read as one paragraph holds a list, a heading or several paragraphs.",
    ),
    ("quote-stray", Level::Warning, "A quotation mark stands in a cell where CSV has none."),
    ("raw-html", Level::Error, "HTML stands in a lesson."),
    ("row-ragged", Level::Warning, "A row has more or fewer cells than there are headings."),
    ("rows-missing", Level::Note, "A people file has headings and no rows."),
    ("series-in-line", Level::Error, "A chart stands in a paragraph with other words."),
    (
        "sheet-crowded",
        Level::Warning,
        "Something on a certificate or a wall chart comes out too small to be read at ease.",
    ),
    ("sheet-overfull", Level::Warning, "What must fit on one sheet does not."),
    ("slide-overfull", Level::Warning, "What a section shows does not fit on its slide."),
    ("syntax", Level::Error, "A TOML or CSV file breaks the form of its language."),
    ("table-empty", Level::Error, "There is nothing in a people file."),
    (
        "theme-file-unused",
        Level::Note,
        "A file of the program's own theme takes the place of none and is named by none.",
    ),
    ("title-doubled", Level::Error, "A lesson has two titles."),
    ("title-missing", Level::Error, "A lesson does not start with its title."),
    ("value-empty", Level::Error, "A value is empty."),
    (
        "value-unfit",
        Level::Error,
        "A value is of another kind than its key takes: a word for a date, a fraction for a count, a rule for passing that does not fit the number of questions.",
    ),
    ("words-missing", Level::Error, "A backed figure has no words."),
];
