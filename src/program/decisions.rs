//! The ranger's decisions in `private/scores.csv`: read before that file is made again, so that none is lost.
//!
//! The file is packstring's own, but it comes back from a spreadsheet: with another separator or encoding,
//! other columns, rows in another order, or as a workbook beside it. It lies beside the pieces and not in the
//! program folder, and it is personal, so what is wrong with it is told by row and never by what stands there.

use super::headings::known_form;
use super::tables::{self, How, Table};
use crate::finding::{FileName, Sources, rules};
use crate::languages::{in_all, of_or_english, without_accents};

/// The columns of `scores.csv`, in its order. Each language has a heading for each.
pub const COLUMNS: [&str; 9] =
    ["event", "name", "email", "question", "answer", "verdict", "reason", "decision", "mark"];

/// The columns without which no decision can be given back to its answer.
const NEEDED: [&str; 4] = ["event", "name", "question", "decision"];

/// The headings of `scores.csv` in a language. They are packstring's own and not the theme's, so that the table is
/// read back whatever theme made it.
pub fn headings(language: &str) -> Vec<String> {
    let words = &of_or_english(language).headings.scores;
    COLUMNS
        .map(|column| words.get(column).and_then(|all| all.first()).map_or(column, String::as_str))
        .map(str::to_owned)
        .to_vec()
}

/// The column that a heading is, in whatever language the table was made.
fn column_of(heading: &str) -> Option<&'static str> {
    let heading = known_form(heading);
    COLUMNS.into_iter().find(|column| {
        let known = in_all(move |language| language.headings.scores.get(*column).map_or(&[], Vec::as_slice));
        std::iter::once(*column).chain(known).any(|known| without_accents(known) == heading)
    })
}

/// Every row of an earlier `scores.csv` that has something in its `decision` column.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct Decisions {
    /// The name of the file that they were read from.
    pub file: String,
    pub rows: Vec<Decided>,
}

/// A decision and the answer that it was made on.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct Decided {
    pub event: String,
    pub name: String,
    pub email: String,
    /// The question's id.
    pub question: String,
    pub answer: String,
    /// As it was written.
    pub decision: String,
    /// What tells the answer from others even where a spreadsheet has changed its look.
    pub mark: String,
    /// The row in the file, counted from 1 with the headings, without empty ones.
    pub row: usize,
}

/// What a decision says.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Word {
    Right,
    Wrong,
    None,
    /// None of the words that packstring knows.
    Unknown,
}

impl Decided {
    /// Whether two rows decide the same on the same answer.
    fn is_same(&self, other: &Self) -> bool {
        let of = |one: &Self| [&one.event, &one.name, &one.question, &one.mark].map(String::clone);
        of(self) == of(other) && self.decision.trim().eq_ignore_ascii_case(other.decision.trim())
    }
}

impl Word {
    pub fn read(decision: &str) -> Self {
        let decision = decision.trim().to_lowercase();
        match decision.trim_end_matches('.') {
            "" => Self::None,
            word if in_all(|language| &language.decisions.right).any(|known| known == word) => Self::Right,
            word if in_all(|language| &language.decisions.wrong).any(|known| known == word) => Self::Wrong,
            _ => Self::Unknown,
        }
    }
}

impl Decisions {
    /// Reads the bytes of a `scores.csv`, or of the workbook that it was saved as.
    ///
    /// # Errors
    /// A sentence that says why, for the person at the keyboard.
    pub fn read(name: &str, bytes: Vec<u8>) -> Result<Self, String> {
        let file: FileName = name.into();
        let known = |heading: &str| column_of(heading).is_some_and(|column| NEEDED.contains(&column));
        let reading = tables::read(&file, bytes, &How { encoding: None, knows: &known });
        if reading.findings.iter().any(|finding| finding.rule == &rules::TABLE_EMPTY) {
            return Err("it is empty".to_owned());
        }
        if let Some(finding) = reading.findings.iter().find(|finding| finding.stops_press) {
            let mut sources = Sources::default();
            sources.add(file, reading.text);
            let line = sources.line_column(&finding.place).line;
            return Err(format!("in line {line}: {}", finding.message));
        }
        let decisions = Self::of_rows(&reading.table.ok_or("it is empty")?)?;
        Ok(Self { file: name.to_owned(), ..decisions })
    }

    /// Whether each of these decisions stands in others as it is.
    pub fn are_all_in(&self, others: &Self) -> bool {
        self.rows.iter().all(|decided| others.rows.iter().any(|other| decided.is_same(other)))
    }

    fn of_rows(table: &Table) -> Result<Self, String> {
        let first = table.headings().ok_or("it is empty")?;
        let headings: Vec<Option<&str>> = first.cells().map(|cell| column_of(&cell.value())).collect();
        let column = |name: &str| headings.iter().position(|heading| *heading == Some(name));
        if let Some(missing) = NEEDED.into_iter().find(|name| column(name).is_none()) {
            return Err(format!("it has no column “{missing}”"));
        }
        let mut decisions = Self::default();
        for row in table.rows() {
            let text = |name: &str| {
                let cell = column(name).and_then(|at| row.cell(at));
                cell.map(|cell| cell.value().into_owned()).unwrap_or_default()
            };
            let decided = Decided {
                event: text("event"),
                name: text("name"),
                email: text("email"),
                question: text("question"),
                answer: text("answer"),
                decision: text("decision"),
                mark: text("mark"),
                row: row.number(),
            };
            if decided.decision.is_empty() {
                // Where cells are missing or too many, a decision may stand in another column.
                if row.len() != headings.len() {
                    return Err(format!(
                        "row {} has {} cells, and there are {} headings, so that a decision could be lost",
                        row.number(),
                        row.len(),
                        headings.len()
                    ));
                }
                continue;
            }
            decisions.rows.push(decided);
        }
        Ok(decisions)
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn read(text: &str) -> Result<Decisions, String> {
        Decisions::read("scores.csv", text.as_bytes().to_vec())
    }

    #[test]
    fn only_rows_with_a_decision_are_taken() {
        let decisions = read(
            "\u{feff}event,name,email,question,answer,verdict,reason,decision,mark\r\n\
             north,Ana,,q1,'=1+1,look,,Right,m1\r\nnorth,Bo,,q1,x,look,,,m2\r\n",
        )
        .unwrap();
        assert_eq!(decisions.rows.len(), 1);
        let decided = &decisions.rows[0];
        assert_eq!((decided.answer.as_str(), decided.decision.as_str(), decided.row), ("=1+1", "Right", 2));
        assert_eq!(Word::read(&decided.decision), Word::Right);
        assert_eq!(Word::read("maybe"), Word::Unknown);
    }

    #[test]
    fn a_table_is_read_in_whatever_language_it_was_made() {
        for language in crate::languages::all() {
            let headings = headings(language.tag);
            let found: Vec<_> = headings.iter().map(|heading| column_of(heading)).collect();
            assert_eq!(found, COLUMNS.map(Some), "{}", language.tag);
        }
        assert_eq!(headings("de"), COLUMNS, "a language without a folder has English ones");
        let spanish = read(
            "Evento;Nombre;Correo electrónico;Pregunta;Respuesta;Veredicto;Razón;Decisión;Marca\r\n\
             norte;Ana;;q1;6 pies;por revisar;;Incorrecta;m1\r\n",
        )
        .unwrap();
        assert_eq!((spanish.rows[0].question.as_str(), spanish.rows[0].mark.as_str()), ("q1", "m1"));
        assert_eq!(Word::read(&spanish.rows[0].decision), Word::Wrong);
        let french = read("événement,nom,question,décision\nnord,Ana,q1,juste\n").unwrap();
        assert_eq!(Word::read(&french.rows[0].decision), Word::Right);
    }

    #[test]
    fn a_file_whose_decisions_may_be_lost_is_refused() {
        assert_eq!(read("").unwrap_err(), "it is empty");
        assert_eq!(read("event,name,question\na,b,c\n").unwrap_err(), "it has no column “decision”");
        let ragged = read("event,name,question,decision\na,b,right\n").unwrap_err();
        assert!(ragged.starts_with("row 2 has 3 cells"), "{ragged}");
        assert!(
            read("event,name,question,decision\na,b,c,\"right\nx,y,z,wrong\n")
                .unwrap_err()
                .contains("line 2")
        );
    }
}
