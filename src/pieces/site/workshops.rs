//! The page of workshops: when and where each is, how to sign up, and a file for people's own calendars.
//!
//! The page knows no today, so that the same program gives the same bytes: all workshops stand on it by date, and a
//! script beside it lets those that are over step back.

use super::pages::PageAddress;
use super::search::{self, Entry};
use super::tree::PageDay;
use super::{PageHead, Site, address};
use crate::icalendar::{self, When};
use crate::job::{Make, Original, file_name};
use crate::program::settings::{Event, EventForm, SignUp};
use jiff::civil::{Date, DateTime};
use jiff::tz::TimeZoneDatabase;
use jiff::{Timestamp, ToSpan};
use schemars::JsonSchema;
use serde::Serialize;

pub const PAGE: &str = "workshops.html";
const SCRIPT: &str = "workshops.js";
/// The calendar of all of them, and the folder of each one's own.
const CALENDAR: &str = "workshops.ics";
const CALENDARS: &str = "workshops";

/// What `workshops.html` is given.
#[derive(Serialize, JsonSchema)]
pub(in crate::pieces) struct WorkshopsPage<'p> {
    #[serde(flatten)]
    head: PageHead<'p>,
    /// By date.
    workshops: Vec<WorkshopOnPage<'p>>,
    /// What people call the time zone; null where the program does not say.
    zone: Option<&'p str>,
    /// The calendar of all workshops, relative to this page.
    calendar: String,
    /// The page's script, relative to this page.
    script: String,
}

/// A workshop.
#[derive(Serialize, JsonSchema)]
struct WorkshopOnPage<'p> {
    /// Its id on this page.
    id: String,
    name: &'p str,
    days: Vec<WorkshopDay>,
    /// Where it is held; of a workshop by video, how to come in.
    place: &'p str,
    /// Whether people see each other on screens.
    video: bool,
    /// Where people sign up; null where the program does not say.
    sign_up: Option<SignUpLink>,
    /// Its calendar, relative to this page.
    calendar: String,
    /// When it is over: 2026-05-16T12:00, with Z where the time zone is known.
    ends: String,
}

/// One day of a workshop.
#[derive(Serialize, JsonSchema)]
struct WorkshopDay {
    date: PageDay,
    from: PageTime,
    to: PageTime,
}

/// A time of the clock, for a template to write in its language.
#[derive(Serialize, JsonSchema)]
struct PageTime {
    /// 09:00.
    iso: String,
    hour: i8,
    /// With two digits.
    minute: String,
    /// The half of the day: 0 before noon, 1 from noon.
    half: u8,
}

/// Where people sign up.
#[derive(Serialize, JsonSchema)]
struct SignUpLink {
    href: String,
    /// The mailbox or the host, to be read.
    at: String,
}

impl Site<'_> {
    pub(super) fn has_workshops(&self) -> bool {
        !self.understood.content.settings.events.is_empty()
    }

    pub(super) fn workshops_page(&mut self) {
        if !self.has_workshops() {
            return;
        }
        let page = PageAddress::new(PAGE);
        let settings = &self.understood.content.settings;
        let mut events: Vec<&Event> = settings.events.iter().collect();
        events.sort_by_key(|event| (event.date, event.start));
        let title = self.word("workshops", "title");
        for event in &events {
            self.found.push(Entry {
                page: title.clone(),
                heading: event.name.clone(),
                href: PageAddress::new(search::PAGE).link_to(PAGE, Some(&id_of(event))),
                text: event.venue.clone(),
            });
        }
        let data = WorkshopsPage {
            head: self.head(&page, &settings.name),
            workshops: events.iter().map(|event| self.workshop(&page, event)).collect(),
            zone: settings.site.time_zone_name.as_deref(),
            calendar: page.link_to(CALENDAR, None),
            script: page.link_to(SCRIPT, None),
        };
        self.page(&page, PAGE, &data);
        self.job(SCRIPT, Make::Copy { of: Original::Theme(format!("pages/{SCRIPT}")) });
        let entries = |events: &[&Event]| -> Vec<icalendar::Entry> {
            events.iter().flat_map(|event| self.entries(event)).collect()
        };
        let all = icalendar::calendar("Workshops", &entries(&events));
        let each = events.iter().map(|event| (calendar_of(event), entries(&[event])));
        let each: Vec<_> =
            each.map(|(path, entries)| (path, icalendar::calendar("Workshops", &entries))).collect();
        self.job(CALENDAR, Make::Text(all));
        each.into_iter().for_each(|(path, text)| self.job(&path, Make::Text(text)));
    }

    fn workshop<'p>(&self, page: &PageAddress, event: &'p Event) -> WorkshopOnPage<'p> {
        let (from, to) = (event.start, ending(event, event.date).time());
        let day = |date: Date| WorkshopDay { date: date.into(), from: from.into(), to: to.into() };
        WorkshopOnPage {
            id: id_of(event),
            name: &event.name,
            days: event.days().into_iter().map(day).collect(),
            place: &event.venue,
            video: event.form == EventForm::Video,
            sign_up: self.sign_up(event).and_then(sign_up_link),
            calendar: page.link_to(&calendar_of(event), None),
            ends: match self.moment(ending(event, event.last_day())) {
                Some(moment) => moment.strftime("%Y-%m-%dT%H:%MZ").to_string(),
                None => ending(event, event.last_day()).strftime("%Y-%m-%dT%H:%M").to_string(),
            },
        }
    }

    fn sign_up<'e>(&'e self, event: &'e Event) -> Option<&'e SignUp> {
        event.sign_up.as_ref().or(self.understood.content.settings.site.sign_up.as_ref())
    }

    /// The moment of a time at the place of the events, where their time zone is known.
    fn moment(&self, at: DateTime) -> Option<Timestamp> {
        let name = self.understood.content.settings.site.time_zone.as_deref()?;
        // Of the database that is part of packstring, so that the same input gives the same bytes everywhere.
        let zone = TimeZoneDatabase::bundled().get(name).ok()?;
        zone.to_timestamp(at).ok()
    }

    /// Each day of an event.
    fn entries(&self, event: &Event) -> Vec<icalendar::Entry> {
        let settings = &self.understood.content.settings;
        let sign_up = self.sign_up(event);
        let mailbox = match sign_up {
            Some(SignUp::Mailbox(mailbox)) => format!("\n{mailbox}"),
            _ => String::new(),
        };
        let day = |date: Date| {
            let (from, to) = (date.to_datetime(event.start), ending(event, date));
            icalendar::Entry {
                uid: self.uid(event, date),
                when: match (self.moment(from), self.moment(to)) {
                    (Some(from), Some(to)) => When::Moments(from, to),
                    _ => When::Clock(from, to),
                },
                stamp: event.date,
                summary: event.name.clone(),
                description: format!("{}, {}{mailbox}", settings.name, settings.agency),
                location: Some(event.venue.clone()),
                address: match sign_up {
                    Some(SignUp::Page(address)) => Some(address.clone()),
                    _ => None,
                },
                first: false,
            }
        };
        event.days().into_iter().map(day).collect()
    }

    /// The same for a day of an event whenever it is told of, and in every edition.
    fn uid(&self, event: &Event, date: Date) -> String {
        let settings = &self.understood.root.content.settings;
        let number = event.days().iter().position(|day| *day == date).unwrap_or(0).to_string();
        icalendar::uid(&[&settings.agency, &settings.name, &settings.season, &event.id, &number])
    }
}

fn sign_up_link(sign_up: &SignUp) -> Option<SignUpLink> {
    match sign_up {
        SignUp::Page(page) => {
            let at = page.host_str()?.to_owned();
            Some(SignUpLink { href: address::followable(page.as_str())?, at })
        }
        SignUp::Mailbox(mailbox) => {
            Some(SignUpLink { href: address::letter_to(mailbox)?, at: mailbox.clone() })
        }
    }
}

impl From<jiff::civil::Time> for PageTime {
    fn from(time: jiff::civil::Time) -> Self {
        Self {
            iso: time.strftime("%H:%M").to_string(),
            hour: time.hour(),
            minute: format!("{:02}", time.minute()),
            half: u8::from(time.hour() >= 12),
        }
    }
}

/// When an event ends on one of its days.
fn ending(event: &Event, date: Date) -> DateTime {
    date.to_datetime(event.start).saturating_add(i64::from(event.minutes).minutes())
}

fn id_of(event: &Event) -> String {
    format!("workshop.{}", event.id)
}

fn calendar_of(event: &Event) -> String {
    format!("{CALENDARS}/{}.ics", file_name::of_id(&event.id))
}
