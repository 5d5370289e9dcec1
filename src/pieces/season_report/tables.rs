//! The workbook of the season report: the same counts as the paper, one table a sheet.

use super::Paper;
use crate::job::{Cell, Table};
use crate::people::season::shown::{HoursRow, ShownPeople, ShownVisits};
use crate::quantity::Exact;
use crate::statistics::item_analysis::{Statistic, Undefined};
use crate::statistics::suppression::Disclosure;
use crate::understand::{Understood, plain_text};

const WITHHELD: &str = "withheld";

pub(super) fn tables(understood: &Understood, paper: &Paper) -> Vec<Table> {
    let mut tables = vec![season(paper), events(paper), months(paper)];
    if let Some(service) = &paper.now.service {
        let headings = |first: &str| texts(&[first, "People", "Hours"]);
        let rows = |rows: &[HoursRow]| rows.iter().map(hours_row).collect();
        if !service.months.is_empty() {
            tables.push(Table {
                name: "Hours by month".into(),
                headings: headings("Month"),
                rows: rows(&service.months),
            });
        }
        if !service.activities.is_empty() {
            tables.push(Table {
                name: "Hours by activity".into(),
                headings: headings("Activity"),
                rows: rows(&service.activities),
            });
        }
        tables.push(named("Awards", "Award", "Reached this season", &service.awards));
    }
    tables.push(named("Rewards", "Reward", "Earned", &paper.now.rewards));
    tables.extend(questions(understood, paper));
    if !paper.open {
        tables.extend(test(paper));
        tables.extend(wrong_answers(understood, paper));
    }
    tables.push(notes(paper));
    tables.retain(|table| !table.rows.is_empty());
    tables
}

fn season(paper: &Paper) -> Table {
    let then = paper.then.as_ref();
    let mut headings = vec!["What".to_owned(), paper.now.season.clone()];
    headings.extend(then.map(|then| then.season.clone()));
    let mut rows = Vec::new();
    let mut add = |what: &str, now: Option<Cell>, before: Option<Cell>| {
        if let Some(now) = now {
            let mut row = vec![text(what), now];
            row.extend(then.map(|_| before.unwrap_or(Cell::Empty)));
            rows.push(row);
        }
    };
    let (people, before) = (paper.now.people, then.and_then(|then| then.people));
    let cell = |pick: fn(ShownPeople) -> Disclosure| {
        (people.map(|people| count(pick(people))), before.map(|people| count(pick(people))))
    };
    for (what, (now, then)) in [
        ("People who came", cell(|people| people.came)),
        ("People who completed a workshop", cell(|people| people.completed)),
        ("People who came again", cell(|people| people.repeat)),
        ("People who asked to join the service unit", cell(|people| people.joining)),
    ] {
        add(what, now, then);
    }
    let visits = then.filter(|then| !then.events.is_empty()).map(|then| then.whole);
    add("Visits", Some(count(paper.now.whole.came)), visits.map(|visits| count(visits.came)));
    add(
        "Workshops completed",
        Some(count(paper.now.whole.completed)),
        visits.map(|visits| count(visits.completed)),
    );
    let (service, before) = (paper.now.service.as_ref(), then.and_then(|then| then.service.as_ref()));
    add("Volunteers", service.map(|of| count(of.people)), before.map(|of| count(of.people)));
    add("Hours of service", service.map(|of| hours(of.hours)), before.map(|of| hours(of.hours)));
    Table { name: "Season".into(), headings, rows }
}

fn visit_headings(paper: &Paper, first: &[&str]) -> Vec<String> {
    let mut headings = texts(first);
    if !paper.open {
        headings.push("Signed up".into());
    }
    headings.extend(texts(&["Came", "Completed", "Had been before"]));
    headings
}

fn visit_cells(paper: &Paper, visits: &ShownVisits) -> Vec<Cell> {
    let signed_up = (!paper.open).then_some(visits.signed_up);
    signed_up.into_iter().chain([visits.came, visits.completed, visits.been_before]).map(count).collect()
}

fn events(paper: &Paper) -> Table {
    let mut rows: Vec<Vec<Cell>> = paper
        .now
        .events
        .iter()
        .map(|event| {
            let mut row = vec![text(&event.name), Cell::Date(event.date)];
            row.extend(visit_cells(paper, &event.visits));
            row
        })
        .collect();
    if !rows.is_empty() {
        let mut sum = vec![text("All events"), Cell::Empty];
        sum.extend(visit_cells(paper, &paper.now.whole));
        rows.push(sum);
    }
    Table { name: "By event".into(), headings: visit_headings(paper, &["Event", "Date"]), rows }
}

fn months(paper: &Paper) -> Table {
    let rows = paper.now.months.iter().map(|(month, visits)| {
        let mut row = vec![text(month)];
        row.extend(visit_cells(paper, visits));
        row
    });
    Table { name: "By month".into(), headings: visit_headings(paper, &["Month"]), rows: rows.collect() }
}

fn named(name: &str, first: &str, second: &str, list: &[(String, Disclosure)]) -> Table {
    let rows = list.iter().map(|(name, of_it)| vec![text(name), count(*of_it)]).collect();
    Table { name: name.into(), headings: texts(&[first, second]), rows }
}

fn questions(understood: &Understood, paper: &Paper) -> Option<Table> {
    let (report, shown) = (paper.season.questions.as_ref()?, paper.now.questions.as_ref()?);
    let mut headings = texts(&["Number", "Question", "Sheets", "Right"]);
    if !paper.open {
        headings.extend(texts(&[
            "Wrong",
            "Not answered",
            "To look at",
            "Difficulty",
            "Discrimination",
            "Reliability without it",
        ]));
    }
    let listed = report.questions.iter().zip(&shown.right).enumerate();
    let listed = listed.filter(|(at, _)| !paper.open || report.statistics.items[*at].is_some());
    let rows = listed.map(|(at, (question, (_, right)))| {
        let mut row = vec![
            number(at as i64 + 1),
            text(&asked(understood, &question.id)),
            count(shown.sheets),
            count(*right),
        ];
        if !paper.open {
            row.extend([question.wrong, question.blank, question.waiting].map(|of_it| number(of_it.into())));
            row.extend(match report.statistics.items[at] {
                Some(item) => [item.difficulty, item.discrimination, item.reliability_without].map(figure),
                None => [(); 3].map(|()| text("left out: most of its answers wait")),
            });
        }
        row
    });
    Some(Table { name: "Questions".into(), headings, rows: rows.collect() })
}

fn test(paper: &Paper) -> Option<Table> {
    let statistics = &paper.season.questions.as_ref()?.statistics;
    let reliability =
        if statistics.is_kr20 { "Reliability (KR-20)" } else { "Reliability (Cronbach's alpha)" };
    let mut rows = vec![
        vec![text("People whose answers are all decided"), number(statistics.people as i64)],
        vec![text("People left out because an answer waits"), number(statistics.left_out as i64)],
        vec![text("Questions right, on average"), figure(statistics.mean_total)],
        vec![text("Standard deviation (n − 1)"), figure(statistics.deviation)],
        vec![text(reliability), figure(statistics.reliability)],
    ];
    rows.extend(statistics.kr21.map(|kr21| vec![text("KR-21"), figure(kr21)]));
    rows.push(vec![text("Standard error of measurement"), figure(statistics.standard_error)]);
    Some(Table { name: "Question sheet".into(), headings: texts(&["What", "Value"]), rows })
}

fn wrong_answers(understood: &Understood, paper: &Paper) -> Option<Table> {
    let report = paper.season.questions.as_ref()?;
    let rows = report.questions.iter().enumerate().flat_map(|(at, question)| {
        let ask = asked(understood, &question.id);
        let row = move |(words, times): &(String, u32)| {
            vec![number(at as i64 + 1), text(&ask), text(words), number((*times).into())]
        };
        question.wrong_answers.iter().map(row)
    });
    let headings = texts(&["Number", "Question", "Wrong answer", "Times"]);
    Some(Table { name: "Wrong answers".into(), headings, rows: rows.collect() })
}

fn notes(paper: &Paper) -> Table {
    let mut rows = vec!["A person counts once at an event; visits are the sum over events."];
    if paper.open {
        rows.push(
            "Counts under 5, and as many others as it takes that none can be worked out, are withheld.",
        );
    } else {
        rows.push(
            "For the ranger and the agency: there are small counts in it. The season summary has none.",
        );
    }
    let rows = rows.into_iter().map(|note| vec![text(note)]).collect();
    Table { name: "Notes".into(), headings: texts(&["Note"]), rows }
}

fn asked(understood: &Understood, id: &str) -> String {
    let question = understood.content.questions.list.iter().find(|question| question.id == id);
    question.map(|question| plain_text(&question.ask.inlines).trim().to_owned()).unwrap_or_default()
}

fn hours_row((name, people, of_them): &HoursRow) -> Vec<Cell> {
    let name = if name.is_empty() { "(not said)" } else { name };
    vec![text(name), count(*people), hours(*of_them)]
}

fn texts(words: &[&str]) -> Vec<String> {
    words.iter().map(|word| (*word).to_owned()).collect()
}

fn text(words: &str) -> Cell {
    Cell::Text(words.to_owned())
}

fn number(whole: i64) -> Cell {
    Cell::Number(Exact::from_integer(whole.into()))
}

fn count(count: Disclosure) -> Cell {
    match count {
        Disclosure::Exactly(count) => number(count.into()),
        Disclosure::Between(1, high) => text(&format!("under {}", high + 1)),
        Disclosure::Between(low, high) => text(&format!("{low} to {high}")),
        Disclosure::Withheld => text(WITHHELD),
    }
}

fn hours(hours: Option<f64>) -> Cell {
    hours.map_or_else(|| text(WITHHELD), decimal)
}

fn decimal(value: f64) -> Cell {
    Exact::from_float(value).map_or(Cell::Empty, Cell::Number)
}

fn figure(figure: Statistic) -> Cell {
    match figure {
        Ok(value) => decimal((value * 1e4).round() / 1e4),
        Err(Undefined::NoPeople) => text("not defined: nobody"),
        Err(Undefined::OnePerson) => text("not defined: one person"),
        Err(Undefined::OneItem) => text("not defined: one question"),
        Err(Undefined::NoVariance) => text("not defined: all alike"),
    }
}
