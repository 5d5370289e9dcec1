//! Facts that go by the same words: of very many, those that a figure may be meant to state.
//!
//! Each figure is held against every fact that its sentence names. Where hundreds of facts share their words, that would
//! be all of them for each figure; so of such a group only those are asked whose values are nearest to the figure's. A
//! fact that the figure agrees with is always among them, for nothing is nearer than what it rounds to.

use crate::quantity::{Amount, Exact, Figure, Quantity};
use crate::understand::Understood;
use std::borrow::Cow;
use std::cell::RefCell;
use std::collections::{BTreeSet, HashMap};
use std::rc::Rc;

/// Groups up to this size are asked as a whole.
const FEW: usize = 24;
/// So many are asked on each side of a figure's value.
const NEAR: usize = 8;

type ByValue = Vec<(String, Exact, usize)>;

/// Large groups in the order of their values, worked out once for each.
#[derive(Default)]
pub struct Alike {
    groups: RefCell<HashMap<Vec<usize>, Rc<[ByValue; 2]>>>,
}

impl Alike {
    /// The facts of a group, by their places in the list, that a figure is held against.
    pub fn nearest<'g>(
        &self,
        group: &'g [usize],
        figure: &Figure,
        understood: &Understood,
    ) -> Cow<'g, [usize]> {
        if group.len() <= FEW {
            return Cow::Borrowed(group);
        }
        let known = self.groups.borrow().get(group).cloned();
        let sorted = known.unwrap_or_else(|| {
            let sorted = Rc::new([by_value(group, understood, coherent), by_value(group, understood, bare)]);
            self.groups.borrow_mut().insert(group.to_vec(), Rc::clone(&sorted));
            sorted
        });
        let mut near = BTreeSet::new();
        for (facts, key) in sorted.iter().zip([coherent(&figure.quantity), bare(&figure.quantity)]) {
            let at = facts.partition_point(|(dimension, value, _)| (dimension, value) < (&key.0, &key.1));
            let around = at.saturating_sub(NEAR)..(at + NEAR).min(facts.len());
            near.extend(facts[around].iter().map(|(.., fact)| *fact));
        }
        Cow::Owned(near.into_iter().collect())
    }
}

fn by_value(group: &[usize], understood: &Understood, key: impl Fn(&Quantity) -> (String, Exact)) -> ByValue {
    let held = group.iter().filter_map(|fact| Some((*fact, understood.held(&understood.facts[*fact].name)?)));
    let mut facts: ByValue = held
        .map(|(fact, held)| {
            let (dimension, value) = key(&held.quantity);
            (dimension, value, fact)
        })
        .collect();
    facts.sort();
    facts
}

/// By dimension and value: what can be stated in the same units.
fn coherent(quantity: &Quantity) -> (String, Exact) {
    let (Amount::One(value) | Amount::Range(value, _)) = &quantity.amount;
    quantity.unit.coherent(value)
}

/// By the number alone: what may be stated with a wrong unit.
fn bare(quantity: &Quantity) -> (String, Exact) {
    let (Amount::One(value) | Amount::Range(value, _)) = &quantity.amount;
    (String::new(), value.clone())
}
