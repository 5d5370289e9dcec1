//! The things that get made, and the shelves that they go to.

use clap::ValueEnum;

/// A thing that gets made. What there is to say of each stands in the table of `pieces/`.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash, ValueEnum)]
pub enum Piece {
    Handbook,
    Deck,
    /// One a lesson
    #[value(name = "handouts")]
    Handout,
    /// One sheet, folded twice
    Leaflet,
    WallChart,
    KitSheets,
    QuestionSheet,
    /// Lesson pages and the facts page
    Site,
    AnswerKey,
    PresentersCopy,
    /// One an event
    #[value(name = "run-sheets")]
    RunSheet,
    /// One for the program and one an event
    #[value(name = "bring-lists")]
    BringList,
    Certificates,
    /// By e-mail: a draft for each who was given a certificate
    Letters,
    /// One an event
    #[value(name = "sign-in-sheets")]
    SignInSheet,
    /// One sheet set an event: person and companion
    #[value(name = "name-tags")]
    NameTags,
    /// Who came to which event
    #[value(name = "attendance")]
    Attendance,
    /// Answers as they were scored, and a sheet of those that the ranger has to look at
    #[value(name = "scores")]
    Scores,
    /// For the mail
    #[value(name = "labels")]
    Labels,
    /// For the mail
    #[value(name = "envelopes")]
    Envelopes,
    /// To find out how far a printer is off
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
    /// Who asked to join the service unit
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
