//! Runs: many sheets of one template, each in a file of its own and all in one to print.
//!
//! Each entry is laid out once, and its page goes both into its own file and into the common one. The
//! entries go through the typesetter in chunks, on every core, and what it remembers of a chunk is
//! thrown out soon after, so that memory does not grow with the run. The common file holds its pages
//! until it is written; a run longer than one file may hold is therefore written in volumes: `names-1.pdf`,
//! `names-2.pdf`. What is made, and in which order, does not depend on which thread was faster.
//!
//! The template reads `/data/piece.json` and `/data/entries.json`, a list of the entries' data, with their codes
//! beside it (`codes`), and gives exactly one page an entry. An entry with a letter that no font has is held, and it alone.

use super::engine::STACK;
use super::run_plan::{Plan, Ready, held_for};
use super::*;
use crate::finding::rules;
use crate::job::RunOfSheets;
use std::sync::atomic::{AtomicUsize, Ordering};
use std::sync::mpsc;
use typst::ecow::EcoVec;
use typst::model::{Document, DocumentInfo};
use typst_layout::Page;

/// Entries that are laid out together. More share the template's cost, fewer take less memory.
const CHUNK: usize = 100;
/// After how many chunks the typesetter forgets what nobody asked for again.
const FORGET: usize = 1;

pub(super) fn make(
    press: &Press,
    job: &Job,
    plan: &Plan,
    wanted: &dyn Fn(&Output) -> bool,
    put: Put,
) -> Result<Vec<LayoutFinding>, PressError> {
    let run = plan.run;
    let pictures = match press.pictures(&run.pictures, &run.places) {
        Ok(pictures) => pictures,
        Err(unreadable) => {
            let wanted = plan.outputs().into_iter().find(|output| wanted(output));
            let path = wanted.map_or(&job.path, |output| &output.path);
            return Ok(unreadable
                .into_iter()
                .map(|finding| LayoutFinding { finding, path: path.clone() })
                .collect());
        }
    };
    let shop = RunContext { press, job, run, pictures };
    let mut found = Vec::new();
    for volume in &plan.volumes {
        let together = wanted(&volume.output);
        let work: Vec<_> = plan.entries[volume.entries.clone()]
            .iter()
            .map(|ready| Work { ready, alone: run.alone && wanted(&ready.output) })
            .filter(|work| together || work.alone)
            .collect();
        for (ready, finding) in shop.volume(&work, together.then_some(&volume.output), put)? {
            let tells = if run.alone { &ready.output } else { &volume.output };
            found.push(LayoutFinding { finding, path: tells.path.clone() });
        }
    }
    // What all entries share is told once, however many pages it stands on.
    let mut told: Vec<LayoutFinding> = Vec::new();
    for found in found {
        let may_be_shared = [&rules::SHEET_CROWDED, &rules::LABEL_OVERFULL].contains(&found.finding.rule);
        if !may_be_shared || !told.iter().any(|told| told.finding == found.finding) {
            told.push(found);
        }
    }
    Ok(told)
}

/// An entry to be laid out.
struct Work<'p, 'r> {
    ready: &'p Ready<'r>,
    /// Whether its own file is wanted too.
    alone: bool,
}

/// What came of one chunk.
struct Chunk {
    /// One page an entry that was not held, and its own file where that is wanted.
    pages: Vec<(Page, Option<Vec<u8>>)>,
    /// Which entries those are, counted in the chunk.
    made: Vec<usize>,
    info: DocumentInfo,
    /// Each with the entry that it was found at, counted in the chunk.
    findings: Vec<(usize, Finding)>,
}

/// All that the threads of a run share.
struct RunContext<'a> {
    press: &'a Press,
    job: &'a Job,
    run: &'a RunOfSheets,
    pictures: Vec<(String, Bytes)>,
}

impl RunContext<'_> {
    /// Makes the entries of one volume, and the volume itself where it is wanted.
    fn volume<'p, 'r>(
        &self,
        work: &[Work<'p, 'r>],
        together: Option<&Output>,
        put: Put,
    ) -> Result<Vec<(&'p Ready<'r>, Finding)>, PressError> {
        let chunks = chunks(work);
        let mut pages = EcoVec::new();
        let mut info = None;
        let mut findings = Vec::new();
        self.in_order(&chunks, |number, chunk| {
            for ((page, single), at) in chunk.pages.into_iter().zip(chunk.made) {
                if let Some(bytes) = single {
                    self.put(put, &chunks[number][at].ready.output, &bytes)?;
                }
                if together.is_some() {
                    pages.push(page);
                }
            }
            info.get_or_insert(chunk.info);
            findings
                .extend(chunk.findings.into_iter().map(|(at, finding)| (chunks[number][at].ready, finding)));
            Ok(())
        })?;
        if let (Some(output), Some(info), false) = (together, info, pages.is_empty()) {
            let bytes = self.write(&PagedDocument::new(pages, info), &output.path)?;
            self.put(put, output, &bytes)?;
        }
        Ok(findings)
    }

    /// Makes chunks on every thread and takes them in their order.
    fn in_order(
        &self,
        chunks: &[&[Work]],
        mut take: impl FnMut(usize, Chunk) -> Result<(), PressError>,
    ) -> Result<(), PressError> {
        let next = AtomicUsize::new(0);
        std::thread::scope(|scope| {
            let (done, coming) = mpsc::sync_channel(0);
            for _ in 0..self.press.threads.min(chunks.len()) {
                let (done, next) = (done.clone(), &next);
                let work = move || {
                    let mut engine = None;
                    loop {
                        let number = next.fetch_add(1, Ordering::Relaxed);
                        let Some(chunk) = chunks.get(number) else { return };
                        // Nobody listens any more once an earlier chunk has failed.
                        if done.send((number, self.chunk(&mut engine, number, chunk))).is_err() {
                            return;
                        }
                    }
                };
                let spawned = std::thread::Builder::new().stack_size(STACK).spawn_scoped(scope, work);
                spawned.expect("the system gives a thread");
            }
            drop(done);
            let mut early = BTreeMap::new();
            for number in 0..chunks.len() {
                while !early.contains_key(&number) {
                    let (number, chunk) = coming.recv().expect("every chunk is made by some thread");
                    early.insert(number, chunk);
                }
                take(number, early.remove(&number).expect("it has just come")?)?;
            }
            Ok(())
        })
    }

    /// Lays out one chunk. `engine` is what this thread used before, with the fonts that it has.
    fn chunk(
        &self,
        engine: &mut Option<(Engine, Vec<Font>)>,
        number: usize,
        work: &[Work],
    ) -> Result<Chunk, PressError> {
        let helpers = &work[0].ready.helpers;
        if engine.as_ref().is_none_or(|(_, fonts)| fonts != helpers) {
            *engine = Some((self.press.engine_with(helpers.clone()), helpers.clone()));
        }
        let (engine, _) = engine.as_ref().expect("set just above");
        let root = Root::Chunk(number as u32);
        engine.clear();
        engine.place_piece(root, &self.run.data);
        let entries = work.iter().map(|work| work.ready.entry.data.clone()).collect();
        engine.place(root, "data/entries.json", json(&Value::Array(entries)));
        for (at, work) in work.iter().enumerate() {
            if let Some(code) = &work.ready.entry.code {
                engine.place(root, &codes::path(at), codes::draw(code));
            }
        }
        for (name, bytes) in &self.pictures {
            engine.place(root, &format!("program/{name}"), bytes.clone());
        }
        let template = format!("sheets/{}", self.run.template);
        let document = engine.lay_out(root, &template).map_err(|faults| self.failed(faults))?;
        let chunk = self.part(&document, work);
        drop(document);
        comemo::evict(FORGET);
        chunk
    }

    /// Parts a laid-out chunk into its entries.
    fn part(&self, document: &PagedDocument, work: &[Work]) -> Result<Chunk, PressError> {
        let pages = document.pages();
        if pages.len() != work.len() {
            let message = format!("every entry must take one page: {} took {}", work.len(), pages.len());
            let file = Some(self.press.theme.shown(&format!("sheets/{}", self.run.template)));
            return Err(self.failed(vec![Fault { file, line: 1, column: 1, message, hints: Vec::new() }]));
        }
        let info = document.info().clone();
        let crowded = laid_out::crowded(document)
            .into_iter()
            .map(|(at, what)| (at, laid_out::sheet_crowded(&what, self.place_of(work, at, &what))));
        let unaddressed = laid_out::unaddressed(document)
            .into_iter()
            .map(|(at, what)| (at, laid_out::label_overfull(&what, self.place_of(work, at, &what))));
        let findings = crowded.chain(unaddressed).collect();
        let mut chunk = Chunk { pages: Vec::new(), made: Vec::new(), info, findings };
        for (at, (page, work)) in pages.iter().zip(work).enumerate() {
            let entry = work.ready.entry;
            if let Some(held) = held_for(laid_out::empty_letters([page]), self.job, entry) {
                chunk.findings.push((at, held));
                continue;
            }
            let single = if work.alone {
                let mut alone = PagedDocument::new([page.clone()].into_iter().collect(), chunk.info.clone());
                alone.info_mut().title = Some(entry.title.as_str().into());
                Some(self.write(&alone, &entry.path)?)
            } else {
                None
            };
            chunk.pages.push((page.clone(), single));
            chunk.made.push(at);
        }
        Ok(chunk)
    }

    /// What only an entry has is told at its row; what all share, where that is said of the run.
    fn place_of(&self, work: &[Work], at: usize, what: &str) -> Place {
        let own = ["name", "companion", "envelope"].contains(&what);
        let entry = work.get(at).and_then(|work| work.ready.entry.place.clone()).filter(|_| own);
        let common = self.run.places.iter().find(|(key, _)| key == what).map(|(_, place)| place.clone());
        entry.or(common).unwrap_or_else(|| Place::whole(&self.job.path))
    }

    fn write(&self, document: &PagedDocument, path: &str) -> Result<Vec<u8>, PressError> {
        pdf::write(document, path).map_err(|errors| {
            // Any typesetter with this theme knows which line of a template a message speaks of.
            let template = format!("sheets/{}", self.run.template);
            self.failed(self.press.engine_with(Vec::new()).faults(Root::Common, &template, &errors))
        })
    }

    fn put(&self, put: Put, output: &Output, bytes: &[u8]) -> Result<(), PressError> {
        put(Made { output, bytes }).map_err(|error| PressError::Put { path: output.path.clone(), error })
    }

    fn failed(&self, faults: Vec<Fault>) -> PressError {
        PressError::Template { path: self.job.path.clone(), faults }
    }
}

/// Parts a run where a chunk is full or the fonts change.
fn chunks<'w, 'p, 'r>(work: &'w [Work<'p, 'r>]) -> Vec<&'w [Work<'p, 'r>]> {
    work.chunk_by(|a, b| a.ready.helpers == b.ready.helpers).flat_map(|alike| alike.chunks(CHUNK)).collect()
}

#[cfg(test)]
mod tests {
    use super::*;
    use serde_json::json;
    use typst::layout::{Abs, Frame, FrameItem, Point};

    /// The corners of every run of text and picture, by what the page is made of. Letters count from
    /// the line that they stand on to their height without accents, so that lines of one text, however
    /// tight, never touch.
    fn corners(frame: &Frame, at: Point, found: &mut Vec<(Point, Point)>) {
        for (offset, item) in frame.items() {
            let at = at + *offset;
            let (up, size) = match item {
                FrameItem::Group(group) => {
                    corners(&group.frame, at + Point::new(group.transform.tx, group.transform.ty), found);
                    continue;
                }
                FrameItem::Text(text) => (text.size * 0.6, Point::new(text.width(), text.size * 0.6)),
                FrameItem::Image(_, size, _) => (Abs::zero(), size.to_point()),
                _ => continue,
            };
            let start = at - Point::new(Abs::zero(), up);
            found.push((start, start + size));
        }
    }

    fn overlap(one: &(Point, Point), other: &(Point, Point)) -> bool {
        // Runs of one line meet at a point that is rounded twice.
        let hair = Abs::pt(0.1);
        let apart = |a: Abs, b: Abs| a + hair >= b;
        !(apart(other.0.x, one.1.x)
            || apart(one.0.x, other.1.x)
            || apart(other.0.y, one.1.y)
            || apart(one.0.y, other.1.y))
    }

    fn run_data(design: &str, paper: &str, text: &Value, long: bool, signatures: usize) -> Value {
        let event = if long { "North Camp Spring Workshop for Everybody ".repeat(5) } else { "Camp".into() };
        let signature = if long {
            json!({ "name": "Marisol Quintana-Ferreira of the Basin", "title": "Superintendent of ".repeat(4) })
        } else {
            json!({ "name": "Ines Calloway", "title": "Outreach Ranger" })
        };
        json!({
            "title": "Certificate", "paper": paper, "ink": "color",
            "program": {
                "name": "Trail Rider Stewards", "agency": "Juniper Basin Open Lands", "season": "2026",
                "language": "en", "signatures": [],
            },
            "event": { "name": event, "date": "2026-05-16", "place": "North Camp" },
            "certificate": {
                "title": null, "text": text, "design": design,
                "signatures": vec![signature; signatures],
            },
        })
    }

    #[test]
    fn on_a_certificate_nothing_leaves_the_frame_or_lies_on_another_thing() {
        let names = [
            "Ana".to_owned(),
            "N".repeat(120),
            "W".repeat(1000),
            "Longname ".repeat(60),
            "अनीता".repeat(40),
            "Wilhelmina Featherstonehaugh-Montgomery".to_owned(),
        ];
        let said = json!([{ "kind": "text", "text": "has finished the workshop and ".repeat(40) }]);
        let theme = Arc::new(Theme::plain());
        let engine = Engine::new(&theme, &Words::default(), Letters::new(&theme).theme().to_vec());
        let designs = [
            ("landscape", 0.42, 125),
            ("portrait", 0.42, 125),
            ("half sheet", 0.3, 125),
            ("child", 0.22, 37),
        ];
        let looks = [
            ("letter", json!(null), false, 3),
            ("a4", said.clone(), true, 3),
            ("letter", said, true, 1),
            ("a4", json!(null), false, 0),
        ];
        for ((design, edge, side), (paper, text, long, signatures)) in
            designs.iter().flat_map(|design| looks.iter().map(move |look| (*design, look)))
        {
            let entry = |name: &String| {
                let qr = json!({ "size": side });
                json!({ "name": name, "companion": name, "number": "K7M3-P2QX", "qr": qr })
            };
            let data = run_data(design, paper, text, *long, *signatures);
            engine.place_piece(Root::Common, &data);
            engine.place(Root::Common, "data/entries.json", json(&names.iter().map(entry).collect()));
            for at in 0..names.len() {
                engine.place(Root::Common, &codes::path(at), Bytes::new(vec![0; side * side]));
            }
            let document = engine.lay_out(Root::Common, "sheets/certificate.typ").unwrap();
            assert_eq!(document.pages().len(), names.len());
            for (page, name) in document.pages().iter().zip(&names) {
                let (mut found, edge) = (Vec::new(), Abs::inches(edge));
                corners(&page.frame, Point::zero(), &mut found);
                let end = page.frame.size().to_point() - Point::splat(edge);
                let inside =
                    |(a, b): &&(Point, Point)| a.x >= edge && a.y >= edge && b.x <= end.x && b.y <= end.y;
                let outside: Vec<_> = found.iter().filter(|corners| !inside(corners)).collect();
                assert!(found.len() > 5 && outside.is_empty(), "{name}, {design} on {paper}: {outside:?}");
                for (at, one) in found.iter().enumerate() {
                    let under = found[at + 1..].iter().find(|other| overlap(one, other));
                    assert!(under.is_none(), "{name}, {design} on {paper}: {one:?} and {under:?}");
                }
            }
        }
    }
}
