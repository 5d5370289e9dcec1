//! The workbook of the season report: the same counts as the paper, one table a sheet.

use super::super::table_words::TableWords;
use super::Paper;
use crate::job::{Cell, Table};
use crate::people::season::shown::{HoursRow, ShownPeople, ShownVisits};
use crate::quantity::Exact;
use crate::statistics::item_analysis::{Statistic, Undefined};
use crate::statistics::suppression::Disclosure;
use crate::understand::{Understood, plain_text};

pub(super) fn tables(understood: &Understood, paper: &Paper, words: &TableWords) -> Vec<Table> {
    let mut tables = vec![season(paper, words), events(paper, words), months(paper, words)];
    if let Some(service) = &paper.now.service {
        let of_hours = |sheet: &str, first: &str, rows: &[HoursRow]| Table {
            rows: rows.iter().map(|row| hours_row(row, words)).collect(),
            ..words.table(sheet, &[first, "people", "hours"])
        };
        if !service.months.is_empty() {
            tables.push(of_hours("hours-by-month", "month", &service.months));
        }
        if !service.activities.is_empty() {
            tables.push(of_hours("hours-by-activity", "activity", &service.activities));
        }
        tables.push(named(words.table("awards", &["award", "reached-this-season"]), &service.awards, words));
    }
    tables.push(named(words.table("rewards", &["reward", "earned"]), &paper.now.rewards, words));
    tables.extend(questions(understood, paper, words));
    if !paper.open {
        tables.extend(test(paper, words));
        tables.extend(wrong_answers(understood, paper, words));
    }
    tables.push(notes(paper, words));
    tables.retain(|table| !table.rows.is_empty());
    tables
}

fn season(paper: &Paper, words: &TableWords) -> Table {
    let then = paper.then.as_ref();
    let mut headings = vec![words.heading("what"), paper.now.season.clone()];
    headings.extend(then.map(|then| then.season.clone()));
    let mut rows = Vec::new();
    let mut add = |what: &str, now: Option<Cell>, before: Option<Cell>| {
        if let Some(now) = now {
            let mut row = vec![words.cell(what), now];
            row.extend(then.map(|_| before.unwrap_or(Cell::Empty)));
            rows.push(row);
        }
    };
    let (people, before) = (paper.now.people, then.and_then(|then| then.people));
    let cell = |pick: fn(ShownPeople) -> Disclosure| {
        (people.map(|people| count(pick(people), words)), before.map(|people| count(pick(people), words)))
    };
    for (what, (now, then)) in [
        ("people-came", cell(|people| people.came)),
        ("people-completed", cell(|people| people.completed)),
        ("people-came-again", cell(|people| people.repeat)),
        ("people-joining", cell(|people| people.joining)),
    ] {
        add(what, now, then);
    }
    let visits = then.filter(|then| !then.events.is_empty()).map(|then| then.whole);
    add("visits", Some(count(paper.now.whole.came, words)), visits.map(|visits| count(visits.came, words)));
    add(
        "workshops-completed",
        Some(count(paper.now.whole.completed, words)),
        visits.map(|visits| count(visits.completed, words)),
    );
    let (service, before) = (paper.now.service.as_ref(), then.and_then(|then| then.service.as_ref()));
    add("volunteers", service.map(|of| count(of.people, words)), before.map(|of| count(of.people, words)));
    add(
        "hours-of-service",
        service.map(|of| hours(of.hours, words)),
        before.map(|of| hours(of.hours, words)),
    );
    Table { name: words.sheet("season"), headings, rows }
}

fn visit_headings(paper: &Paper, first: &[&str], words: &TableWords) -> Vec<String> {
    let signed_up = (!paper.open).then_some("signed-up");
    let visits = signed_up.into_iter().chain(["came", "completed", "had-been-before"]);
    words.headings(&first.iter().copied().chain(visits).collect::<Vec<_>>())
}

fn visit_cells(paper: &Paper, visits: &ShownVisits, words: &TableWords) -> Vec<Cell> {
    let signed_up = (!paper.open).then_some(visits.signed_up);
    let counts = signed_up.into_iter().chain([visits.came, visits.completed, visits.been_before]);
    counts.map(|of_it| count(of_it, words)).collect()
}

fn events(paper: &Paper, words: &TableWords) -> Table {
    let mut rows: Vec<Vec<Cell>> = paper
        .now
        .events
        .iter()
        .map(|event| {
            let mut row = vec![text(&event.name), Cell::Date(event.date)];
            row.extend(visit_cells(paper, &event.visits, words));
            row
        })
        .collect();
    if !rows.is_empty() {
        let mut sum = vec![words.cell("all-events"), Cell::Empty];
        sum.extend(visit_cells(paper, &paper.now.whole, words));
        rows.push(sum);
    }
    Table { name: words.sheet("by-event"), headings: visit_headings(paper, &["event", "date"], words), rows }
}

fn months(paper: &Paper, words: &TableWords) -> Table {
    let rows = paper.now.months.iter().map(|(month, visits)| {
        let mut row = vec![text(month)];
        row.extend(visit_cells(paper, visits, words));
        row
    });
    let headings = visit_headings(paper, &["month"], words);
    Table { name: words.sheet("by-month"), headings, rows: rows.collect() }
}

fn named(table: Table, list: &[(String, Disclosure)], words: &TableWords) -> Table {
    let rows = list.iter().map(|(name, of_it)| vec![text(name), count(*of_it, words)]).collect();
    Table { rows, ..table }
}

fn questions(understood: &Understood, paper: &Paper, words: &TableWords) -> Option<Table> {
    let (report, shown) = (paper.season.questions.as_ref()?, paper.now.questions.as_ref()?);
    let mut headings = words.headings(&["number", "question", "sheets", "right"]);
    if !paper.open {
        headings.extend(words.headings(&[
            "wrong",
            "not-answered",
            "to-look-at",
            "difficulty",
            "discrimination",
            "reliability-without-it",
        ]));
    }
    let listed = report.questions.iter().zip(&shown.right).enumerate();
    let listed = listed.filter(|(at, _)| !paper.open || report.statistics.items[*at].is_some());
    let rows = listed.map(|(at, (question, (_, right)))| {
        let mut row = vec![
            number(at as i64 + 1),
            text(&asked(understood, &question.id)),
            count(shown.sheets, words),
            count(*right, words),
        ];
        if !paper.open {
            row.extend([question.wrong, question.blank, question.waiting].map(|of_it| number(of_it.into())));
            row.extend(match report.statistics.items[at] {
                Some(item) => [item.difficulty, item.discrimination, item.reliability_without]
                    .map(|of_it| figure(of_it, words)),
                None => [(); 3].map(|()| words.cell("left-out")),
            });
        }
        row
    });
    Some(Table { name: words.sheet("questions"), headings, rows: rows.collect() })
}

fn test(paper: &Paper, words: &TableWords) -> Option<Table> {
    let statistics = &paper.season.questions.as_ref()?.statistics;
    let mut rows = Vec::new();
    let mut add = |what: &str, cell: Cell| rows.push(vec![words.cell(what), cell]);
    add("people-decided", number(statistics.people as i64));
    add("people-left-out", number(statistics.left_out as i64));
    add("mean", figure(statistics.mean_total, words));
    add("deviation", figure(statistics.deviation, words));
    add(if statistics.is_kr20 { "kr20" } else { "alpha" }, figure(statistics.reliability, words));
    if let Some(kr21) = statistics.kr21 {
        add("kr21", figure(kr21, words));
    }
    add("standard-error", figure(statistics.standard_error, words));
    Some(Table { rows, ..words.table("question-sheet", &["what", "value"]) })
}

fn wrong_answers(understood: &Understood, paper: &Paper, words: &TableWords) -> Option<Table> {
    let report = paper.season.questions.as_ref()?;
    let rows = report.questions.iter().enumerate().flat_map(|(at, question)| {
        let ask = asked(understood, &question.id);
        let row = move |(given, times): &(String, u32)| {
            vec![number(at as i64 + 1), text(&ask), text(given), number((*times).into())]
        };
        question.wrong_answers.iter().map(row)
    });
    let headings = ["number", "question", "wrong-answer", "times"];
    Some(Table { rows: rows.collect(), ..words.table("wrong-answers", &headings) })
}

fn notes(paper: &Paper, words: &TableWords) -> Table {
    let notes = ["note-persons", if paper.open { "note-withheld" } else { "note-private" }];
    Table { rows: notes.map(|note| vec![words.cell(note)]).to_vec(), ..words.table("notes", &["note"]) }
}

fn asked(understood: &Understood, id: &str) -> String {
    let question = understood.content.questions.list.iter().find(|question| question.id == id);
    question.map(|question| plain_text(&question.ask.inlines).trim().to_owned()).unwrap_or_default()
}

fn hours_row((name, people, of_them): &HoursRow, words: &TableWords) -> Vec<Cell> {
    let name = if name.is_empty() { words.cell("not-said") } else { text(name) };
    vec![name, count(*people, words), hours(*of_them, words)]
}

fn text(words: &str) -> Cell {
    Cell::Text(words.to_owned())
}

fn number(whole: i64) -> Cell {
    Cell::Number(Exact::from_integer(whole.into()))
}

fn count(count: Disclosure, words: &TableWords) -> Cell {
    match count {
        Disclosure::Exactly(count) => number(count.into()),
        Disclosure::Between(1, high) => words.counted("under", &[("n", high + 1)]),
        Disclosure::Between(low, high) => words.counted("between", &[("low", low), ("high", high)]),
        Disclosure::Withheld => words.cell("withheld"),
    }
}

fn hours(hours: Option<f64>, words: &TableWords) -> Cell {
    hours.map_or_else(|| words.cell("withheld"), decimal)
}

fn decimal(value: f64) -> Cell {
    Exact::from_float(value).map_or(Cell::Empty, Cell::Number)
}

fn figure(figure: Statistic, words: &TableWords) -> Cell {
    match figure {
        Ok(value) => decimal((value * 1e4).round() / 1e4),
        Err(Undefined::NoPeople) => words.cell("undefined-no-people"),
        Err(Undefined::OnePerson) => words.cell("undefined-one-person"),
        Err(Undefined::OneItem) => words.cell("undefined-one-item"),
        Err(Undefined::NoVariance) => words.cell("undefined-no-variance"),
    }
}
