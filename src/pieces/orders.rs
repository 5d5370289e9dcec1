//! What to order: each reward by size, with spares, and who has to be asked for a size.
//!
//! Private, for who is to be asked stands there by name. `data` beside the common head: `rewards`, each
//! with `name`, `sized`, `lines` (`size`, `give`, `spares`, `order`), `give` and `order` in all, and
//! `unknown` (`name`, `email`, `size` as the roster has it).

use super::{Selection, common};
use crate::job::{Cell, Job, Make, Piece, Sheet, Shelf, Table};
use crate::people::rewards::{Due, Order, due, orders};
use crate::people::scoring::Scores;
use crate::people::tally::tally;
use crate::understand::Understood;
use serde_json::{Value, json};

pub fn plan(understood: &Understood, scores: &Scores, selection: &Selection) -> Vec<Job> {
    let program = understood.root;
    let due = due(program, scores, &tally(program));
    let orders = orders(program, &due);
    if orders.is_empty() || due.is_empty() {
        return Vec::new();
    }
    let mut data = common::head(
        understood,
        selection,
        &common::title(understood, selection, "orders", &program.content.settings.season),
    );
    data.insert("rewards".into(), orders.iter().map(reward).collect());
    let sheet = Sheet { template: "orders.typ".into(), data: Value::Object(data), ..Sheet::default() };
    let table = order_table(&orders);
    let book = vec![table.clone(), unknown_table(&orders), due_table(&due)];
    vec![
        job("orders.pdf", Make::Sheet(sheet)),
        job("orders.csv", Make::Tables(vec![table])),
        job("orders.xlsx", Make::Tables(book)),
    ]
}

fn job(path: &str, make: Make) -> Job {
    Job { piece: Piece::Orders, shelf: Shelf::Private, path: path.into(), make }
}

fn reward(order: &Order) -> Value {
    let lines = order.lines.iter().map(|line| {
        json!({"size": line.size, "give": line.give, "spares": line.spares, "order": line.give + line.spares})
    });
    let unknown = order.unknown.iter();
    let unknown = unknown.map(|due| json!({"name": due.name, "email": due.email, "size": due.size}));
    json!({
        "name": order.reward,
        "sized": order.sized,
        "lines": lines.collect::<Value>(),
        "give": order.lines.iter().map(|line| line.give).sum::<usize>(),
        "spares": order.lines.iter().map(|line| line.spares).sum::<usize>(),
        "order": order.order(),
        "unknown": unknown.collect::<Value>(),
    })
}

fn order_table(orders: &[Order]) -> Table {
    let mut table = Table::new("Order", &["Reward", "Size", "To give", "Spares", "To order"]);
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
                Cell::Text("size not known".to_owned()),
                Cell::count(order.unknown.len()),
                Cell::Empty,
                Cell::Empty,
            ]);
        }
    }
    table
}

fn unknown_table(orders: &[Order]) -> Table {
    let mut table = Table::new("Size not known", &["Reward", "Name", "E-mail", "Size as written"]);
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

fn due_table(due: &[Due]) -> Table {
    let mut table = Table::new("Who gets what", &["Name", "E-mail", "Reward", "Size", "Award"]);
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
