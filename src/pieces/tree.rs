//! Lesson trees as plain data for templates.
