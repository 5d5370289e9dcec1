//! From laid-out pages to a PDF: tagged, PDF/UA-1, the same bytes each time.

use typst::diag::SourceDiagnostic;
use typst::ecow::EcoVec;
use typst::foundations::Smart;
use typst_layout::PagedDocument;
use typst_pdf::{PdfOptions, PdfStandard, PdfStandards};

/// The bytes of a document. `name` tells it from every other: its path on its shelf.
///
/// No clock gets in: the file has no time of making, and its identifier comes from its name.
pub(super) fn write(document: &PagedDocument, name: &str) -> Result<Vec<u8>, EcoVec<SourceDiagnostic>> {
    let standards = PdfStandards::new(&[PdfStandard::Ua_1]).expect("one standard agrees with itself");
    typst_pdf::pdf(document, &PdfOptions { standards, tagged: true, ..options(name) })
}

/// The same for paper alone: without tags, for a page that is set on a sheet has lost its structure.
pub(super) fn write_for_paper(
    document: &PagedDocument,
    name: &str,
) -> Result<Vec<u8>, EcoVec<SourceDiagnostic>> {
    typst_pdf::pdf(document, &options(name))
}

fn options(name: &str) -> PdfOptions {
    PdfOptions {
        ident: Smart::Custom(format!("packstring:{name}")),
        creator: Smart::Custom(Some("packstring".into())),
        timestamp: None,
        page_ranges: None,
        standards: PdfStandards::default(),
        tagged: false,
        pretty: false,
    }
}
