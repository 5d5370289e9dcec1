//! What to order: each reward by size, with spares, and who has to be asked for a size.
//!
//! Private, for who is to be asked stands there by name.

use super::common::Head;
use super::table_words::TableWords;
use super::{Selection, common};
use crate::job::{Cell, Job, Make, Piece, Sheet, Shelf, Table};
use crate::people::rewards::{Due, Order, due, orders};
use crate::people::scoring::Scores;
use crate::people::tally::tally;
use crate::understand::Understood;
use schemars::JsonSchema;
use serde::Serialize;

/// What `orders.typ` is given.
#[derive(Serialize, JsonSchema)]
pub(super) struct Orders<'p> {
    #[serde(flatten)]
    head: Head<'p>,
    rewards: Vec<OrderedReward<'p>>,
}

/// A reward, with how many of it to order.
#[derive(Serialize, JsonSchema)]
struct OrderedReward<'p> {
    name: &'p str,
    /// Whether it comes in sizes.
    sized: bool,
    lines: Vec<OrderLine<'p>>,
    /// How many are given, in all sizes.
    give: usize,
    spares: usize,
    /// How many are to be ordered, in all sizes.
    order: usize,
    /// Who has to be asked for a size.
    unknown: Vec<UnknownSize<'p>>,
}

/// How many to order of one size.
#[derive(Serialize, JsonSchema)]
struct OrderLine<'p> {
    /// Null where the reward has no sizes.
    size: Option<&'p str>,
    give: usize,
    spares: usize,
    order: usize,
}

/// Who has to be asked for a size.
#[derive(Serialize, JsonSchema)]
struct UnknownSize<'p> {
    name: &'p str,
    /// An e-mail address, or null.
    email: Option<&'p str>,
    /// As the roster has it; null where it has none.
    size: Option<&'p str>,
}

pub fn plan(understood: &Understood, scores: &Scores, selection: &Selection) -> Vec<Job> {
    let program = understood.root;
    let due = due(program, scores, &tally(program));
    let orders = orders(program, &due);
    if orders.is_empty() || due.is_empty() {
        return Vec::new();
    }
    let title = common::title(understood, selection, "orders", &program.content.settings.season);
    let data = Orders {
        head: common::head(understood, selection, &title),
        rewards: orders.iter().map(reward).collect(),
    };
    let words = TableWords::of(understood, selection);
    let table = order_table(&orders, &words);
    let book = vec![table.clone(), unknown_table(&orders, &words), due_table(&due, &words)];
    vec![
        job("orders.pdf", Make::Sheet(Sheet::of("orders.typ", &data))),
        job("orders.csv", Make::Tables(vec![table])),
        job("orders.xlsx", Make::Tables(book)),
    ]
}

fn job(path: &str, make: Make) -> Job {
    Job { piece: Piece::Orders, shelf: Shelf::Private, path: path.into(), make }
}

fn reward<'o>(order: &'o Order) -> OrderedReward<'o> {
    let lines = order.lines.iter().map(|line| OrderLine {
        size: line.size.as_deref(),
        give: line.give,
        spares: line.spares,
        order: line.give + line.spares,
    });
    let unknown = order.unknown.iter();
    let unknown = unknown.map(|due| UnknownSize { name: due.name, email: due.email, size: due.size });
    OrderedReward {
        name: order.reward,
        sized: order.sized,
        lines: lines.collect(),
        give: order.lines.iter().map(|line| line.give).sum(),
        spares: order.lines.iter().map(|line| line.spares).sum(),
        order: order.order(),
        unknown: unknown.collect(),
    }
}

fn order_table(orders: &[Order], words: &TableWords) -> Table {
    let mut table = words.table("order", &["reward", "size", "to-give", "spares", "to-order"]);
    for order in orders {
        for line in &order.lines {
            table.rows.push(vec![
                Cell::Text(order.reward.to_owned()),
                Cell::text(line.size.as_deref()),
                Cell::count(line.give),
                Cell::count(line.spares),
                Cell::count(line.give + line.spares),
            ]);
        }
        if !order.unknown.is_empty() {
            table.rows.push(vec![
                Cell::Text(order.reward.to_owned()),
                words.cell("size-not-known"),
                Cell::count(order.unknown.len()),
                Cell::Empty,
                Cell::Empty,
            ]);
        }
    }
    table
}

fn unknown_table(orders: &[Order], words: &TableWords) -> Table {
    let mut table = words.table("size-not-known", &["reward", "name", "email", "size-as-written"]);
    for due in orders.iter().flat_map(|order| &order.unknown) {
        table.rows.push(vec![
            Cell::Text(due.reward.to_owned()),
            Cell::Text(due.name.to_owned()),
            Cell::text(due.email),
            Cell::text(due.size),
        ]);
    }
    table
}

fn due_table(due: &[Due], words: &TableWords) -> Table {
    let mut table = words.table("who-gets-what", &["name", "email", "reward", "size", "award"]);
    for due in due {
        table.rows.push(vec![
            Cell::Text(due.name.to_owned()),
            Cell::text(due.email),
            Cell::Text(due.reward.to_owned()),
            Cell::text(due.size),
            Cell::text(due.award),
        ]);
    }
    table
}
