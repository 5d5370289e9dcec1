//! Runs: many sheets of one template, each in a file of its own and all in one to print.
//!
//! Each entry is laid out once, and its page goes both into its own file and into the common one. The
//! entries go through the typesetter in chunks, each a piece of work for any thread (`making`). The common file holds its pages
//! until it is written; a run longer than one file may hold is therefore written in volumes: `names-1.pdf`,
//! `names-2.pdf`. What is made, and in which order, does not depend on which thread was faster.
//!
//! The template reads `/data/piece.json` and `/data/entries.json`, a list of the entries' data, with their codes
//! beside it (`codes`), and gives exactly one page an entry. An entry with a letter that no font has is held, and it alone.

use super::broken;
use super::memory::Was;
use super::run_plan::{Plan, Ready, held_for};
use super::station::Station;
use super::*;
use crate::finding::rules;
use crate::job::RunOfSheets;
use typst::ecow::EcoVec;
use typst::model::{Document, DocumentInfo};
use typst_layout::{Page, PagedDocument};

/// Entries that are laid out together. More share the template's cost, fewer take less memory.
const CHUNK: usize = 100;

/// What is to be made of a run.
pub(super) struct Wanted<'p> {
    press: &'p Press,
    job: &'p Job,
    run: &'p RunOfSheets,
    pictures: Vec<(String, Bytes)>,
    /// Why nothing is made.
    unreadable: Vec<LayoutFinding>,
    volumes: Vec<Volume<'p>>,
}

/// Entries that go into one file, and that file, where it is wanted.
struct Volume<'p> {
    together: Option<&'p Output>,
    work: Vec<Item<'p>>,
}

/// An entry to be laid out.
struct Item<'p> {
    ready: &'p Ready<'p>,
    /// Whether its own file is wanted too.
    alone: bool,
}

/// Some entries of a volume, to be laid out at once.
pub(super) struct ChunkOf<'w, 'p> {
    run: &'w Wanted<'p>,
    /// In its volume, from 0.
    number: usize,
    work: &'w [Item<'p>],
}

impl Chunk {
    /// How many entries were laid out.
    pub fn len(&self) -> usize {
        self.pages.len()
    }
}

/// What came of one chunk.
pub(super) struct Chunk {
    /// One page an entry that was not held, and its own file where that is wanted.
    pages: Vec<(Page, Option<Vec<u8>>)>,
    /// Which entries those are, counted in the chunk.
    made: Vec<usize>,
    /// None where it could not be made.
    info: Option<DocumentInfo>,
    /// Each with the entry that it was found at, counted in the chunk.
    findings: Vec<(usize, Finding)>,
}

/// Takes a file of a run.
type PutFile<'a> = &'a mut dyn FnMut(&Output, &[u8]) -> Result<(), PressError>;

impl<'p> Wanted<'p> {
    pub fn new(press: &'p Press, job: &'p Job, plan: &'p Plan<'p>, wanted: &dyn Fn(&Output) -> bool) -> Self {
        let run = plan.run;
        let mut this =
            Self { press, job, run, pictures: Vec::new(), unreadable: Vec::new(), volumes: Vec::new() };
        let Some(first) = plan.outputs().into_iter().find(|output| wanted(output)) else { return this };
        match press.pictures.all(&run.pictures, &run.places, &run.data) {
            Ok(pictures) => this.pictures = pictures,
            Err(unreadable) => {
                let told = |finding| LayoutFinding { finding, path: first.path.clone() };
                this.unreadable = unreadable.into_iter().map(told).collect();
                return this;
            }
        }
        let volumes = plan.volumes.iter().map(|volume| {
            let together = !run.is_of_letters() && wanted(&volume.output);
            let ready = plan.entries[volume.entries.clone()].iter();
            let work = ready.map(|ready| Item { ready, alone: run.alone && wanted(&ready.output) });
            Volume {
                work: work.filter(|item| together || item.alone).collect(),
                together: together.then_some(&volume.output),
            }
        });
        this.volumes = volumes.collect();
        this
    }

    /// The work, in the order in which [`Wanted::take`] takes what comes of it.
    pub fn chunks<'w>(&'w self) -> impl Iterator<Item = ChunkOf<'w, 'p>> {
        self.volumes.iter().flat_map(move |volume| {
            let chunks = chunks(&volume.work).into_iter().enumerate();
            chunks.map(move |(number, work)| ChunkOf { run: self, number, work })
        })
    }

    /// Puts the entries by themselves as they come, and each volume once it is whole.
    pub fn take(
        &self,
        next: &mut dyn FnMut() -> Result<Chunk, PressError>,
        put: PutFile,
    ) -> Result<Vec<LayoutFinding>, PressError> {
        let mut found = self.unreadable.clone();
        for volume in &self.volumes {
            for (ready, finding) in self.volume(volume, next, put)? {
                let tells = match volume.together {
                    Some(together) if !self.run.alone => together,
                    _ => &ready.output,
                };
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

    fn volume(
        &self,
        volume: &Volume<'p>,
        next: &mut dyn FnMut() -> Result<Chunk, PressError>,
        put: PutFile,
    ) -> Result<Vec<(&'p Ready<'p>, Finding)>, PressError> {
        let mut pages = EcoVec::new();
        let mut info = None;
        let mut is_whole = true;
        let mut findings = Vec::new();
        for work in chunks(&volume.work) {
            let chunk = next()?;
            for ((page, single), at) in chunk.pages.into_iter().zip(chunk.made) {
                if let Some(bytes) = single {
                    put(&work[at].ready.output, &bytes)?;
                }
                if volume.together.is_some() {
                    pages.push(page);
                }
            }
            is_whole &= chunk.info.is_some();
            info = info.or(chunk.info);
            findings.extend(chunk.findings.into_iter().map(|(at, finding)| (work[at].ready, finding)));
        }
        if let (Some(output), Some(info), false) =
            (volume.together, info.filter(|_| is_whole), pages.is_empty())
        {
            put(output, &self.write(&PagedDocument::new(pages, info), &output.path)?)?;
        }
        Ok(findings)
    }
}

impl ChunkOf<'_, '_> {
    pub fn path(&self) -> &str {
        &self.run.job.path
    }

    /// What comes of it where the typesetter broke down over it.
    pub fn broken(&self, why: &str) -> Chunk {
        let finding = broken::finding(self.run.job, why);
        Chunk { pages: Vec::new(), made: Vec::new(), info: None, findings: vec![(0, finding)] }
    }

    pub fn made(&self, station: &mut Station) -> Result<Chunk, PressError> {
        let (run, work) = (self.run.run, self.work);
        let engine = station.engine(&work[0].ready.helpers);
        let root = Root::Chunk(self.number as u32);
        engine.place_piece(root, &run.data);
        let entries = work.iter().map(|item| item.ready.entry.data.clone()).collect();
        engine.place(root, "data/entries.json", json(&Value::Array(entries)));
        for (at, item) in work.iter().enumerate() {
            if let Some(code) = &item.ready.entry.code {
                engine.place(root, &codes::path(at), codes::draw(code));
            }
        }
        for (name, bytes) in &self.run.pictures {
            engine.place(root, &format!("program/{name}"), bytes.clone());
        }
        let document = engine.lay_out(root, &format!("sheets/{}", run.template));
        let document = document.map_err(|faults| self.run.failed(faults))?;
        let chunk = self.run.part(&document, work);
        drop(document);
        self.run.press.memory.tidy(Was::Chunk);
        chunk
    }
}

impl<'p> Wanted<'p> {
    /// Parts a laid-out chunk into its entries.
    fn part(&self, document: &PagedDocument, work: &[Item]) -> Result<Chunk, PressError> {
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
        let mut chunk = Chunk { pages: Vec::new(), made: Vec::new(), info: Some(info.clone()), findings };
        for (at, (page, work)) in pages.iter().zip(work).enumerate() {
            let entry = work.ready.entry;
            if let Some(held) = held_for(laid_out::empty_letters([page]), self.job, entry) {
                chunk.findings.push((at, held));
                continue;
            }
            let single = if work.alone {
                let mut alone = PagedDocument::new([page.clone()].into_iter().collect(), info.clone());
                alone.info_mut().title = Some(entry.title.as_str().into());
                let page = self.write(&alone, &entry.path)?;
                Some(match &entry.letter {
                    Some(letter) => drafts::bytes(letter, &page),
                    None => page,
                })
            } else {
                None
            };
            chunk.pages.push((page.clone(), single));
            chunk.made.push(at);
        }
        Ok(chunk)
    }

    /// What only an entry has is told at its row; what all share, where that is said of the run.
    fn place_of(&self, work: &[Item], at: usize, what: &str) -> Place {
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

    fn failed(&self, faults: Vec<Fault>) -> PressError {
        PressError::Template { path: self.job.path.clone(), faults }
    }
}

/// Parts a run where a chunk is full or the fonts change.
fn chunks<'w, 'p>(work: &'w [Item<'p>]) -> Vec<&'w [Item<'p>]> {
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
            // A record as it is, and packed with all its words.
            ("landscape", 0.42, 125),
            ("portrait", 0.42, 125),
            ("half sheet", 0.3, 125),
            ("landscape", 0.42, 53),
            ("half sheet", 0.3, 53),
            ("child", 0.22, 45),
            ("child", 0.22, 77),
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
