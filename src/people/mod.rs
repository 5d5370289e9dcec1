//! What is counted of persons.
