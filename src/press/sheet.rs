//! Sheets: laid out once, and made into every file that shows their pages.

use super::engine::{Engine, Root};
use super::memory::Was;
use super::station::Station;
use super::{
    Fault, PressError, broken, fits, imposed, json, laid_out, lettering, letters, one_by_one, pdf, pictures,
    strings,
};
use crate::caught::caught;
use crate::finding::Finding;
use crate::job::{Job, Make, Sheet};
use typst_layout::{Page, PagedDocument};

/// What is wanted of pages that are laid out, beside what that tells.
#[derive(Clone, Copy, PartialEq, Eq)]
pub(super) enum Want {
    /// The file that shows them.
    File,
    /// Nothing more.
    Findings,
    /// Each page, drawn.
    Pages,
}

/// What came of a job: the file or the pages, where they could be made as they should be, and what that tells.
#[derive(Debug, Default)]
pub(super) struct Done {
    pub bytes: Option<Vec<u8>>,
    pub pages: Vec<String>,
    /// Of a file, the words of each page.
    pub words: Vec<String>,
    /// Of a file, the pages that it has as it is printed.
    pub sides: usize,
    pub findings: Vec<Finding>,
}

/// The pages that a job lays out.
pub(super) fn pages_of(job: &Job) -> Option<&Sheet> {
    match &job.make {
        Make::Sheet(sheet) | Make::Drawing(sheet) => Some(sheet),
        Make::Imposed(imposed) => Some(&imposed.pages),
        Make::Run(_) | Make::Page { .. } | Make::Tables(_) | Make::Text(_) | Make::Copy { .. } => None,
    }
}

/// Whether a job has the whole program's lessons in it, which takes hundreds of megabytes to lay out.
pub(super) fn is_heavy(job: &Job) -> bool {
    pages_of(job).is_some_and(|sheet| sheet.parts.len() > 1)
}

/// Whether two jobs show the same pages.
pub(super) fn share_pages(one: &Job, other: &Job) -> bool {
    match (pages_of(one), pages_of(other)) {
        (Some(one), Some(other)) => {
            one.template == other.template
                && one.pictures == other.pictures
                && one.one_by_one == other.one_by_one
                && one.data == other.data
                && one.parts == other.parts
                && one.cells.is_empty()
                && other.cells.is_empty()
        }
        _ => false,
    }
}

/// Lays out the pages that all these jobs show, and makes of them what is wanted of each.
pub(super) fn make(station: &mut Station, jobs: &[&Job], want: Want) -> Vec<Result<Done, PressError>> {
    let press = station.press;
    let Some(sheet) = pages_of(jobs[0]) else { return Vec::new() };
    let pictures = match press.pictures.all(&sheet.pictures, &sheet.places, &sheet.data) {
        Ok(pictures) => pictures,
        Err(findings) => return all_held(jobs, &findings),
    };
    let held: Vec<_> = jobs.iter().map(|job| one_by_one::hold(&press.letters, job, sheet)).collect();
    let data = held[0].as_ref().map_or(&sheet.data, |(data, _)| data);
    let values = || std::iter::once(data).chain(sheet.parts.iter().map(|(_, part)| part));
    let helpers = press.letters.helpers(press.letters.outside_theme(values().flat_map(strings)));
    let engine = station.engine(&helpers);
    engine.place_piece(Root::Common, data);
    for (name, part) in &sheet.parts {
        engine.place(Root::Common, &format!("data/{name}.json"), json(part));
    }
    for (name, bytes) in &pictures {
        engine.place(Root::Common, &format!("program/{name}"), bytes.clone());
    }
    let fits = press.place_fits(engine, sheet, &helpers);
    let heavy = is_heavy(jobs[0]);
    if heavy {
        press.memory.begin_heavy();
    }
    let own = |held: &Option<(_, Vec<Finding>)>| held.as_ref().map_or_else(Vec::new, |held| held.1.clone());
    let lay_out = || engine.lay_out(Root::Common, &format!("sheets/{}", sheet.template));
    let made = caught(|| {
        let document = match lay_out() {
            // What was handed back may be damaged; then it is found anew.
            Err(_) if fits.any_known => {
                fits::place_none(engine, &fits);
                lay_out()
            }
            laid_out => laid_out,
        }?;
        press.note_fits(&fits, &document);
        let each = jobs.iter().zip(&held);
        let file = |(job, held): (&&Job, &Option<(_, Vec<Finding>)>)| {
            let mut told = own(held);
            told.extend(lettering::too_small(&document, job.piece, &pictures, &sheet.places));
            file(engine, job, &document, told, want)
        };
        Ok::<_, Vec<Fault>>(each.map(file).collect())
    });
    let done = match made {
        Ok(Ok(done)) => done,
        Err(why) => {
            let unreadable = pictures::to_blame(engine, &pictures, &sheet.places);
            let told = |job: &&Job| vec![broken::finding(job, &why)];
            let findings = |job| if unreadable.is_empty() { told(job) } else { unreadable.clone() };
            jobs.iter().map(|job| Ok(Done { findings: findings(job), ..Done::default() })).collect()
        }
        Ok(Err(faults)) => {
            let unreadable = pictures::to_blame(engine, &pictures, &sheet.places);
            if unreadable.is_empty() {
                jobs.iter().map(|job| Err(failed(job, faults.clone()))).collect()
            } else {
                all_held(jobs, &unreadable)
            }
        }
    };
    press.memory.tidy(if heavy { Was::Heavy } else { Was::Other });
    done
}

fn all_held(jobs: &[&Job], findings: &[Finding]) -> Vec<Result<Done, PressError>> {
    jobs.iter().map(|_| Ok(Done { findings: findings.to_vec(), ..Done::default() })).collect()
}

fn failed(job: &Job, faults: Vec<Fault>) -> PressError {
    PressError::Template { path: job.path.clone(), faults }
}

/// One job's file of pages that are laid out. `held` are its entries that are left out.
fn file(
    engine: &Engine,
    job: &Job,
    document: &PagedDocument,
    held: Vec<Finding>,
    want: Want,
) -> Result<Done, PressError> {
    let Some(sheet) = pages_of(job) else { return Ok(Done::default()) };
    let here = job.place();
    let mut findings = laid_out::overfull(document, &sheet.places, &here);
    findings.extend(held);
    let empty = laid_out::empty_letters(document.pages());
    if !empty.is_empty() {
        let held = format!("{} is held", job.path);
        findings.extend(
            empty
                .into_iter()
                .map(|(words, missing)| letters::letters_missing(&missing, &[&words], here.clone(), &held)),
        );
        return Ok(Done { findings, ..Done::default() });
    }
    match want {
        Want::File => {}
        Want::Findings => return Ok(Done { findings, ..Done::default() }),
        Want::Pages => {
            let pages = document.pages().iter().map(drawn).collect();
            return Ok(Done { pages, findings, ..Done::default() });
        }
    }
    let template = format!("sheets/{}", sheet.template);
    let mut sides = document.pages().len();
    let bytes = match &job.make {
        Make::Drawing(_) => svg(engine, &template, document),
        Make::Imposed(imposed) => {
            // What does not fit is told of the pages as they are by themselves.
            findings.clear();
            imposed::bytes(engine, imposed, (document, &job.path)).map(|(bytes, count)| {
                sides = count;
                bytes
            })
        }
        _ => {
            pdf::write(document, &job.path).map_err(|errors| engine.faults(Root::Common, &template, &errors))
        }
    };
    let bytes = Some(bytes.map_err(|faults| failed(job, faults))?);
    Ok(Done { bytes, words: laid_out::words(document), sides, findings, ..Done::default() })
}

fn drawn(page: &Page) -> String {
    typst_svg::svg(page, &typst_svg::SvgOptions::default())
}

fn svg(engine: &Engine, template: &str, document: &PagedDocument) -> Result<Vec<u8>, Vec<Fault>> {
    match document.pages() {
        [page] => Ok(drawn(page).into_bytes()),
        pages => Err(vec![Fault {
            file: Some(engine.theme().shown(template)),
            line: 1,
            column: 1,
            message: format!("a drawing is one page, and this gives {}", pages.len()),
            hints: Vec::new(),
        }]),
    }
}
