//! A language of the program in which the reader of figures knows no words.

use super::{Check, Find};
use crate::finding::{Finding, Level, Rule, Settable};
use crate::quantity::Language;
use crate::statements::PrintContext;

pub static RULE: Rule = Rule {
    name: "language-unread",
    level: Level::Warning,
    settable: Settable::Yes,
    summary: "packstring cannot read figures in the words of one of the program's languages.",
};

pub const CHECK: Check = Check { rule: &RULE, find: Find::Print(find) };

fn find(print: &PrintContext) -> Vec<Finding> {
    let program = print.understood.root;
    let main = (&program.content.settings.language, &program.content.settings.language_place);
    let editions = program.editions.iter().map(|edition| (&edition.language, &edition.place));
    std::iter::once(main)
        .chain(editions)
        .filter(|(language, _)| !Language::reads(language))
        .map(|(language, place)| {
            let message = format!(
                "packstring reads figures in English, Spanish and French only, so it may miss wrong ones in “{language}”."
            );
            let mend = "Write the figures of its lessons in digits with the symbol of a unit (6 ft, 2 m), and read the others yourself.";
            Finding::of(&RULE, place, message).says(&**language).mend(mend)
        })
        .collect()
}
