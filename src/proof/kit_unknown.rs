//! A kit adds to one that is not there.

use super::Rule;
use super::galley::Galley;
use crate::finding::{Finding, Level};
use crate::nearest::nearest;

pub const RULE: Rule = Rule {
    name: "kit-unknown",
    level: Level::Error,
    summary: "A kit adds to a kit that is not in kits.toml.",
    find,
};

fn find(galley: &Galley) -> Vec<Finding> {
    let kits = &galley.understood.program.kits;
    let ids = || kits.iter().map(|kit| kit.id.as_str());
    let added = kits.iter().filter_map(|kit| Some((kit, kit.adds_to.as_ref()?)));
    let unknown = added.filter(|(_, smaller)| !ids().any(|id| id == smaller.text));
    unknown
        .map(|(kit, smaller)| {
            let message = format!("The kit {} adds to a kit “{}” that is not there.", kit.id, smaller.text);
            let finding = RULE.finding(&smaller.place, message).says(&*smaller.text);
            match nearest(&smaller.text, ids().filter(|id| *id != kit.id)) {
                Some(known) => finding.mend(format!("Did you mean “{known}”?")),
                None => finding.mend("Name a smaller kit by its id, or take adds-to out."),
            }
        })
        .collect()
}
