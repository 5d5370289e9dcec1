//! The commands, one file each: they walk the rooms in order and are the only code that prints.
