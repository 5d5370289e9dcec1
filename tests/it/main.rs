//! The one integration test crate: each module holds one room, or the whole, against its promises.
mod press;
mod whole;
