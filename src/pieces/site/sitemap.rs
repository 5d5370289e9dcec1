//! The sitemap (sitemaps.org, protocol 0.9) for search engines. It needs whole addresses, so a program has one
//! where `[site] address` says where its pages stand.

use super::{Site, address};
use crate::pieces::Make;

pub const FILE: &str = "sitemap.xml";

impl Site<'_> {
    pub(super) fn sitemap(&mut self) {
        let Some(base) = &self.understood.program.settings.site.address else { return };
        let pages = self.jobs.iter().filter_map(|job| job.path.strip_prefix("site/"));
        let pages: Vec<&str> = pages.filter(|path| path.ends_with(".html")).collect();
        let sitemap = sitemap(base, &pages);
        self.job(FILE, Make::Text(sitemap));
    }
}

/// The address of a page on the web.
pub fn whole_address(base: &str, path: &str) -> String {
    // The front page is the folder itself.
    let path = if path == super::FRONT_PAGE { "" } else { path };
    format!("{base}{}", address::encoded_path(path))
}

fn sitemap(base: &str, pages: &[&str]) -> String {
    let mut text = String::from(
        "<?xml version=\"1.0\" encoding=\"UTF-8\"?>\n<urlset xmlns=\"http://www.sitemaps.org/schemas/sitemap/0.9\">\n",
    );
    for page in pages {
        text.push_str(&format!("<url><loc>{}</loc></url>\n", escaped(&whole_address(base, page))));
    }
    text.push_str("</urlset>\n");
    text
}

fn escaped(address: &str) -> String {
    address
        .replace('&', "&amp;")
        .replace('\'', "&apos;")
        .replace('"', "&quot;")
        .replace('<', "&lt;")
        .replace('>', "&gt;")
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn every_page_stands_in_it_by_its_whole_address() {
        let text = sitemap("https://lands.example/a'b/", &["index.html", "lessons/hot & dry.html"]);
        assert!(text.contains("<loc>https://lands.example/a&apos;b/</loc>"), "{text}");
        assert!(
            text.contains("<loc>https://lands.example/a&apos;b/lessons/hot%20&amp;%20dry.html</loc>"),
            "{text}"
        );
    }
}
