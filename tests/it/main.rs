//! The one integration test crate: each module holds one room, or the whole, against its promises.

mod at_events;
mod calendar;
mod certificates;
mod demo_register;
mod drift;
mod findings;
mod folders;
mod items;
mod lessons;
mod mail;
mod mistakes;
mod press;
mod proof;
mod quantities;
mod reading;
mod restate;
mod roster;
mod schema;
mod scoring;
mod season;
mod sheets;
mod site;
mod slides;
mod tables;
mod tally;
mod whole;
