//! What all pieces hand to their templates.
