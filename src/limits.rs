//! How much of anything packstring takes: bounds that no program needs to reach, so that no file, made so by mistake
//! or by malice, fills the memory of a machine or keeps it busy for ever.
//!
//! Whoever reads something asks here before filling anything, and tells what goes beyond as `limit-reached` (of a
//! picture, as what is wrong with it). `docs/limits.md` has each of these numbers; a test holds the page to them.

macro_rules! limits {
    ($($(#[doc = $about:literal])+ $name:ident: $type:ty = $value:expr;)+) => {
        $($(#[doc = $about])+ pub const $name: $type = $value;)+
        /// Every limit by its name, for the page in `docs/`.
        pub const ALL: &[(&str, u64)] = &[$((stringify!($name), $value as u64)),+];
    };
}

limits! {
    /// Bytes of a lesson.
    LESSON_BYTES: usize = 500_000;
    /// Bytes of what stands between two empty lines of a lesson.
    BLOCK_BYTES: usize = 16_000;
    /// Columns of a table in a lesson.
    TABLE_COLUMNS: usize = 50;
    /// Bytes of a TOML file.
    TOML_BYTES: usize = 4_000_000;
    /// Bytes of one text in a TOML file.
    TEXT_BYTES: usize = 16_000;
    /// Accents and other marks upon one letter.
    MARKS_ON_LETTER: usize = 30;
    /// Facts of a facts file.
    FACTS: usize = 5_000;
    /// Rows of a series.
    SERIES_ROWS: usize = 1_000;
    /// Columns of a series.
    SERIES_COLUMNS: usize = 20;
    /// Bytes of a people file in plain text.
    PEOPLE_BYTES: usize = 64_000_000;
    /// Cells of a people file, empty ones in between counted in.
    PEOPLE_CELLS: usize = 8_000_000;
    /// Columns of a people file.
    PEOPLE_COLUMNS: usize = 500;
    /// Bytes of a cell of a people file.
    CELL_BYTES: usize = 32_767;
    /// Bytes that a workbook holds once it is unpacked.
    WORKBOOK_BYTES: u64 = 200_000_000;
    /// Bytes of all the cells of a workbook.
    WORKBOOK_TEXT: usize = 100_000_000;
    /// Rows of a sheet of a workbook, as ISO/IEC 29500 has it.
    WORKBOOK_ROWS: u64 = 1_048_576;
    /// Bytes of a PNG or JPEG.
    PICTURE_BYTES: u64 = 50_000_000;
    /// Dots of a PNG or JPEG.
    PICTURE_DOTS: u64 = 40_000_000;
    /// Bytes of a PNG once it is unpacked.
    PICTURE_UNPACKED: u64 = 160_000_000;
    /// Bytes of a colour profile, or of words, once they are unpacked from a PNG.
    PNG_PROFILE: u64 = 4_000_000;
    /// Bytes of an SVG.
    SVG_BYTES: u64 = 4_000_000;
    /// Parts of an SVG.
    SVG_PARTS: usize = 20_000;
    /// How deep groups lie in one another in an SVG.
    SVG_DEPTH: usize = 64;
    /// Attributes on one part of an SVG.
    SVG_ATTRIBUTES: usize = 250;
    /// Parts of an SVG once everything that it repeats is drawn: uses, patterns, markers.
    SVG_DRAWN: u64 = 50_000;
    /// How many parts of an SVG may draw one another in a chain.
    SVG_CHAIN: usize = 128;
    /// Rules of style of an SVG times its parts.
    SVG_STYLINGS: u64 = 2_000_000;
    /// Steps of all filters that an SVG uses, each over the whole of it.
    SVG_FILTER_STEPS: u64 = 20;
    /// Bytes of the words of an SVG.
    SVG_TEXT: usize = 20_000;
    /// Findings of one rule in one file that are told one by one.
    FINDINGS: usize = 100;
    /// Seconds that one file may take to make, where `PACKSTRING_SECONDS` does not say otherwise.
    SECONDS: u64 = 120;
    /// Bytes of memory that making may take.
    MEMORY_BYTES: usize = 2_000_000_000;
}
