//! Item statistics against `tests/reference/psychometrics` (its README names the sources).

use packstring::statistics::item_analysis::{Answer, Matrix, Statistic, Statistics, Undefined, statistics};
use std::collections::BTreeMap;
use std::path::Path;

type Row = BTreeMap<String, String>;

fn reference(file: &str) -> Vec<Row> {
    let path = Path::new(env!("CARGO_MANIFEST_DIR")).join("tests/reference/psychometrics").join(file);
    let mut reader = csv::Reader::from_path(&path).unwrap_or_else(|error| panic!("{file}: {error}"));
    let rows: Vec<Row> = reader.deserialize().map(|row| row.unwrap()).collect();
    assert!(!rows.is_empty(), "{file} is empty");
    rows
}

/// `empty` says what an empty cell is.
fn matrix(name: &str, empty: Answer) -> Matrix {
    let path = format!("tests/reference/psychometrics/matrices/{name}.csv");
    let path = Path::new(env!("CARGO_MANIFEST_DIR")).join(path);
    let mut reader = csv::Reader::from_path(&path).unwrap();
    let rows: Vec<Vec<Answer>> = reader
        .records()
        .map(|record| {
            let record = record.unwrap();
            let cells = record.iter().skip(1);
            cells.map(|cell| cell.parse().map_or(empty, Answer::Points)).collect()
        })
        .collect();
    Matrix { most: most(name, rows[0].len()), rows }
}

/// The most points of each item, as `items.csv` says; 1 where it does not.
fn most(matrix: &str, count: usize) -> Vec<f64> {
    let items = reference("items.csv");
    (1..=count)
        .map(|number| {
            let is_it = |row: &&Row| row["matrix"] == matrix && row["item"] == format!("q{number}");
            items.iter().find(is_it).map_or(1.0, |row| row["max_points"].parse().unwrap())
        })
        .collect()
}

fn assert_agrees(what: &str, given: Statistic, expected: &str) {
    match (given, expected) {
        (Err(_), "undefined") => {}
        (Ok(given), expected) => {
            let expected: f64 =
                expected.parse().unwrap_or_else(|_| panic!("{what}: {given}, not {expected}"));
            assert!((given - expected).abs() <= 1e-9, "{what}: {given}, not {expected}");
        }
        (Err(why), expected) => panic!("{what}: {why:?}, not {expected}"),
    }
}

fn name_of(row: &Row) -> &str {
    row["matrix_file"].trim_start_matches("matrices/").trim_end_matches(".csv")
}

#[test]
fn whole_tests_agree_with_the_reference() {
    for row in reference("tests.csv") {
        let name = name_of(&row);
        let given = statistics(&matrix(name, Answer::Blank));
        assert_eq!(given.people.to_string(), row["n"], "{name}");
        assert_agrees(&format!("{name}: mean"), given.mean_total, &row["mean_total"]);
        assert_agrees(&format!("{name}: deviation"), given.deviation, &row["sd_total_n1"]);
        assert_agrees(&format!("{name}: alpha"), given.reliability, &row["alpha"]);
        assert_agrees(&format!("{name}: standard error"), given.standard_error, &row["sem_sd_n1"]);
        assert_eq!(given.is_kr20, !row["kr20_var_n"].is_empty(), "{name}");
        if let Some(kr21) = given.kr21 {
            assert_agrees(&format!("{name}: KR-20"), given.reliability, &row["kr20_var_n"]);
            assert_agrees(&format!("{name}: KR-21"), kr21, &row["kr21_var_n"]);
        }
    }
}

#[test]
fn items_agree_with_the_reference() {
    let mut known: BTreeMap<String, Statistics> = BTreeMap::new();
    for row in reference("items.csv") {
        let name = &row["matrix"];
        let given = known.entry(name.clone()).or_insert_with(|| statistics(&matrix(name, Answer::Blank)));
        let number: usize = row["item"][1..].parse().unwrap();
        let item = given.items[number - 1].expect("no item of these is left out");
        let expected = [
            (item.difficulty, "difficulty"),
            (item.variance, "variance_n"),
            (item.item_total, "r_item_total"),
            (item.discrimination, "r_item_rest_corrected"),
            (item.reliability_without, "alpha_if_dropped"),
        ];
        for (given, column) in expected {
            assert_agrees(&format!("{}: {column}", row["id"]), given, &row[column]);
        }
    }
}

#[test]
fn missing_answers_follow_the_two_rules() {
    for row in reference("missing.csv") {
        let empty = if row["id"] == "missing-listwise" { Answer::Waits } else { Answer::Blank };
        let given = statistics(&matrix("missing", empty));
        assert_eq!(given.people.to_string(), row["n"], "{}", row["id"]);
        assert_agrees(&row["id"], given.reliability, &row["alpha"]);
        let expected: Vec<f64> =
            row["difficulty_by_item"].split(' ').map(|cell| cell.parse().unwrap()).collect();
        assert_eq!(given.items.len(), expected.len(), "{}", row["id"]);
        for (item, expected) in given.items.iter().zip(expected) {
            // The reference shows six decimals here.
            assert!((item.unwrap().difficulty.unwrap() - expected).abs() <= 5e-7, "{}", row["id"]);
        }
    }
}

/// Wuensch's quiz: what its page prints.
#[test]
fn a_published_quiz_agrees() {
    let given = statistics(&matrix("wuensch", Answer::Blank));
    let variance_sum: f64 = given.items.iter().map(|item| item.unwrap().variance.unwrap()).sum();
    for row in reference("published.csv") {
        let value = match (row["quantity"].as_str(), row["item"].as_str()) {
            ("sum_pq", _) => variance_sum,
            ("variance_total_n", _) => given.deviation.unwrap().powi(2) * 9.0 / 10.0,
            ("kr20_var_n", _) => given.reliability.unwrap(),
            ("difficulty", item) => {
                let number: usize = item[1..].parse().unwrap();
                given.items[number - 1].unwrap().difficulty.unwrap()
            }
            (other, _) => panic!("{other} is not checked"),
        };
        let tolerance: f64 = row["tolerance"].parse().unwrap_or(1e-9);
        let expected: f64 = row["expected"].parse().unwrap();
        assert!((value - expected).abs() <= tolerance, "{}: {value}, not {expected}", row["id"]);
    }
}

#[test]
fn what_is_undefined_says_why() {
    let of = |name| statistics(&matrix(name, Answer::Blank));
    assert_eq!(of("no-spread").reliability, Err(Undefined::NoVariance));
    assert_eq!(of("all-right").standard_error, Err(Undefined::NoVariance));
    assert_eq!(of("one-item").reliability, Err(Undefined::OneItem));
    assert_eq!(of("one-item").items[0].unwrap().discrimination, Err(Undefined::OneItem));
    assert_eq!(of("one-item-all-right").items[1].unwrap().discrimination, Err(Undefined::NoVariance));
}
