//! What one thread of a press works with: typesetters that are kept from job to job, so that a change lays out anew
//! only what it touches.

use super::Press;
use super::engine::Engine;
use typst::text::Font;

pub(super) struct Station<'p> {
    pub press: &'p Press,
    /// With the theme's fonts alone; goes back to the press.
    plain: Option<Engine>,
    /// With fonts of this machine beside them.
    helped: Option<(Engine, Vec<Font>)>,
}

impl<'p> Station<'p> {
    pub fn new(press: &'p Press) -> Self {
        Self { press, plain: None, helped: None }
    }

    /// A typesetter without files, that has these fonts beside those of the theme.
    pub fn engine(&mut self, helpers: &[Font]) -> &Engine {
        let press = self.press;
        let engine = if helpers.is_empty() {
            let idle = || press.idle.lock().unwrap().pop();
            self.plain.get_or_insert_with(|| idle().unwrap_or_else(|| press.engine_with(Vec::new())))
        } else {
            self.helped.take_if(|(_, fonts)| fonts != helpers);
            let new = || (press.engine_with(helpers.to_vec()), helpers.to_vec());
            &self.helped.get_or_insert_with(new).0
        };
        engine.clear();
        engine
    }

    /// Gives up its typesetters, which may have been left in the middle of something.
    pub fn forget(&mut self) {
        (self.plain, self.helped) = (None, None);
    }
}

impl Drop for Station<'_> {
    fn drop(&mut self) {
        if let Some(engine) = self.plain.take() {
            engine.clear();
            // After a panic there may be nobody to give it to.
            if let Ok(mut idle) = self.press.idle.lock() {
                idle.push(engine);
            }
        }
    }
}
