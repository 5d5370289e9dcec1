//! Make: jobs and a theme become bytes. The only room that typesets.
