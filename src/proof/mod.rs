//! Check: what an editor would find.
//!
//! One file a rule. Each takes an [`Understood`](crate::understand::Understood) and gives findings;
//! none reads files, lays out or prints.
