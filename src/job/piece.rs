//! The things that get made, and the shelves that they go to.

use clap::ValueEnum;

/// A thing that gets made. What there is to say of each stands in the table of `pieces/`.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash, ValueEnum)]
pub enum Piece {
    Handbook,
    Deck,
    /// One for each lesson
    #[value(name = "handouts")]
    Handout,
    /// One sheet, folded twice
    Leaflet,
    WallChart,
    KitSheets,
    QuestionSheet,
    /// Lesson pages and the facts page
    Site,
    /// Slips and stickers that put printed pieces right; with --since
    Errata,
    AnswerKey,
    PresentersCopy,
    /// One for each event
    #[value(name = "run-sheets")]
    RunSheet,
    /// One for the program and one for each event
    #[value(name = "bring-lists")]
    BringList,
    Certificates,
    /// By e-mail: a draft for everybody who has a certificate
    Letters,
    /// One for each event
    #[value(name = "sign-in-sheets")]
    SignInSheet,
    /// For each event: person and companion
    #[value(name = "name-tags")]
    NameTags,
    /// Who came to which event
    #[value(name = "attendance")]
    Attendance,
    /// The scored answers, and a sheet of those that the ranger must judge
    #[value(name = "scores")]
    Scores,
    /// For the mail
    #[value(name = "labels")]
    Labels,
    /// For the mail
    #[value(name = "envelopes")]
    Envelopes,
    /// Shows how far off a printer is
    #[value(name = "calibration-sheet")]
    CalibrationSheet,
    /// What goes into each packet
    #[value(name = "packing-list")]
    PackingList,
    /// Hours and awards of the service unit
    #[value(name = "tally")]
    Tally,
    /// What to order, by size
    #[value(name = "orders")]
    Orders,
    /// People who asked to join the service unit
    #[value(name = "welcome-list")]
    WelcomeList,
    /// What the season achieved, for the agency; and the same without personal data
    #[value(name = "season-report")]
    SeasonReport,
}

/// Where pieces go.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum Shelf {
    /// For anyone; never holds a name from the roster.
    Open,
    /// For the ranger and volunteers.
    Staff,
    /// Personal data; owner-only permissions.
    Private,
}
