//! Whom something is asked of: everybody, one event, one participant.

use crate::program::Content;
use crate::program::settings::Event;

/// Which of a program's people are meant. The default is everybody.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct Scope {
    /// Only what belongs to this event (by id).
    pub event: Option<String>,
    /// Only this participant (by name as the roster has it).
    pub participant: Option<String>,
}

impl Scope {
    /// Everything of one event.
    pub fn of_event(id: &str) -> Self {
        Self { event: Some(id.to_owned()), participant: None }
    }

    /// Whether nobody is left out.
    pub fn is_everybody(&self) -> bool {
        self.event.is_none() && self.participant.is_none()
    }

    /// Whether what belongs to an event, by its id, is meant.
    pub fn covers(&self, event: &str) -> bool {
        self.event.as_ref().is_none_or(|asked| asked == event)
    }

    /// The events of the program that are meant, in its order.
    pub fn events<'p>(&self, content: &'p Content) -> impl Iterator<Item = &'p Event> {
        content.settings.events.iter().filter(|event| self.covers(&event.id))
    }
}
