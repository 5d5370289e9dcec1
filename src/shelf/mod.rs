//! Put away: whole files under `out/`, or none. The only room that writes pieces.
