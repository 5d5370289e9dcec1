//! Files that are held because a fact whose words they would print has none.
//!
//! `[…](fact:rope)` leaves its words to the fact. Where that cannot be read or is not there, the files that quote it are
//! not made, and all others are. A site is one whole: its pages lead to one another.

use crate::finding::{Finding, Place, rules};
use crate::job::{Job, Piece, Shelf};
use crate::program::lesson::Backed;
use crate::understand::Understood;
use std::collections::{BTreeMap, BTreeSet};

/// So many files are told by name.
const TOLD: usize = 6;

/// The jobs that can be made, and a finding for each fact that others wait for.
pub fn held_for_words(understood: &Understood, jobs: Vec<Job>) -> (Vec<Job>, Vec<Finding>) {
    let wanting = links(understood);
    if wanting.is_empty() {
        return (jobs, Vec::new());
    }
    let wants: Vec<BTreeSet<String>> = jobs.iter().map(Job::wants).collect();
    let mut sites: BTreeMap<String, BTreeSet<String>> = BTreeMap::new();
    for (job, wants) in jobs.iter().zip(&wants).filter(|(job, wants)| is_of_site(job) && !wants.is_empty()) {
        sites.entry(site_of(job)).or_default().extend(wants.iter().cloned());
    }
    let mut files: BTreeMap<&str, BTreeSet<String>> = BTreeMap::new();
    let mut made = Vec::with_capacity(jobs.len());
    for (job, mut wants) in jobs.into_iter().zip(wants) {
        let mut file = told(&job);
        if is_of_site(&job) {
            wants = sites.get(&site_of(&job)).cloned().unwrap_or_default();
            file = format!("open/{}", site_of(&job));
        }
        if wants.is_empty() {
            made.push(job);
        }
        for fact in wants {
            if let Some((fact, _)) = wanting.get_key_value(fact.as_str()) {
                files.entry(fact).or_default().insert(file.clone());
            }
        }
    }
    let findings = files.into_iter().map(|(fact, files)| finding(fact, wanting[fact], &files)).collect();
    (made, findings)
}

fn finding(fact: &str, backed: &Backed, files: &BTreeSet<String>) -> Finding {
    let mut names: Vec<&str> = files.iter().take(TOLD).map(String::as_str).collect();
    let more = files.len().saturating_sub(TOLD);
    let more = if more > 0 { format!("{more} more") } else { String::new() };
    names.extend(Some(more.as_str()).filter(|more| !more.is_empty()));
    let (last, others) = names.split_last().expect("a file waits for it");
    let files =
        if others.is_empty() { (*last).to_owned() } else { format!("{} and {last}", others.join(", ")) };
    let message = format!(
        "The words between the brackets are left to the fact “{fact}”, which has none. Held for it: {files}."
    );
    Finding::of(&rules::FACT_WORDLESS, &backed.place, message)
        .says(&*backed.words)
        .mend("Put the fact right, or write the words between the brackets.")
}

/// The open links whose fact has no words, by fact: of each the first.
fn links<'p>(understood: &Understood<'p>) -> BTreeMap<&'p str, &'p Backed> {
    let mut links: BTreeMap<&str, &Backed> = BTreeMap::new();
    let all = [understood].into_iter().chain(&understood.editions);
    for understood in all.flat_map(|own| [own].into_iter().chain(own.at_events.values())) {
        for backed in understood.without_words() {
            let first = links.entry(&backed.fact).or_insert(backed);
            if backed.place < first.place {
                *first = backed;
            }
        }
    }
    links
}

fn is_of_site(job: &Job) -> bool {
    job.piece == Piece::Site
}

/// The folder of the site that a page lies in: each edition has its own.
fn site_of(job: &Job) -> String {
    let mut folder = String::new();
    for part in job.path.split_inclusive('/') {
        folder.push_str(part);
        if part == "site/" {
            break;
        }
    }
    folder.trim_end_matches('/').to_owned()
}

fn told(job: &Job) -> String {
    let shelf = match job.shelf {
        Shelf::Open => "open",
        Shelf::Staff => "staff",
        Shelf::Private => "private",
    };
    Place::whole(&format!("{shelf}/{}", job.path)).file.to_string()
}
