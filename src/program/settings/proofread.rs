//! `[proofread]`: how the program is proofread, and the levels that it gives to rules.

use crate::finding::Level;
use crate::program::Written;
use crate::program::form::Form;

/// How the program is proofread.
#[derive(Clone, Debug, Default)]
pub struct Proofreading {
    /// Words whose figures need no fact.
    pub exempt: Vec<String>,
    /// In the order of the file.
    pub rules: Vec<RuleSetting>,
}

/// A line of `[proofread.rules]`. Which rules there are is known where it is applied.
#[derive(Clone, Debug)]
pub struct RuleSetting {
    pub rule: Written,
    /// `None` turns the rule off.
    pub level: Option<Level>,
}

impl Proofreading {
    pub(super) fn read(mut table: Form) -> Self {
        let levels = [
            ("off", None),
            ("note", Some(Level::Note)),
            ("warning", Some(Level::Warning)),
            ("error", Some(Level::Error)),
        ];
        let mut rules = table.form("rules", "[proofread.rules] table");
        let rules = rules.iter_mut().flat_map(Form::take_all);
        let rules =
            rules.filter_map(|(rule, value)| Some(RuleSetting { rule, level: value.choice(&levels)? }));
        let rules = rules.collect();
        let exempt = table.texts("exempt").into_iter().map(|word| word.text).collect();
        table.finish();
        Self { exempt, rules }
    }
}
