//! The sitemap (sitemaps.org, protocol 0.9) for search engines. It needs whole addresses, so a program has one
//! where `[site] address` says where its pages stand. The protocol leaves room for elements of other standards: the
//! same page in another language is an alternate link of XHTML.

use super::{Site, address};
use crate::job::Make;

pub const FILE: &str = "sitemap.xml";

impl Site<'_> {
    pub(super) fn sitemap(&mut self) {
        let Some(base) = self.base() else { return };
        let paths = self.jobs.iter().filter_map(|job| job.path.strip_prefix("site/"));
        let pages: Vec<_> = paths
            .filter(|path| path.ends_with(".html"))
            .map(|path| (address::whole(&base, path), self.alternates(path)))
            .collect();
        let sitemap = sitemap(&pages);
        self.job(FILE, Make::Text(sitemap));
    }
}

/// Each page by its whole address; with those of the same page in all its languages, where it has several.
fn sitemap(pages: &[(String, Vec<(&str, String)>)]) -> String {
    let spoken = pages.iter().any(|(_, alternates)| !alternates.is_empty());
    let more = if spoken { " xmlns:xhtml=\"http://www.w3.org/1999/xhtml\"" } else { "" };
    let mut text = format!(
        "<?xml version=\"1.0\" encoding=\"UTF-8\"?>\n\
         <urlset xmlns=\"http://www.sitemaps.org/schemas/sitemap/0.9\"{more}>\n"
    );
    for (page, alternates) in pages {
        text.push_str(&format!("<url><loc>{}</loc>", escaped(page)));
        for (language, address) in alternates {
            text.push_str(&format!(
                "\n<xhtml:link rel=\"alternate\" hreflang=\"{}\" href=\"{}\"/>",
                escaped(language),
                escaped(address)
            ));
        }
        text.push_str("</url>\n");
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
        let page = |path| (address::whole("https://lands.example/a'b/", path), Vec::new());
        let text = sitemap(&[page("index.html"), page("lessons/hot & dry.html")]);
        assert!(text.contains("<loc>https://lands.example/a&apos;b/</loc>"), "{text}");
        assert!(
            text.contains("<loc>https://lands.example/a&apos;b/lessons/hot%20&amp;%20dry.html</loc>"),
            "{text}"
        );
        assert!(!text.contains("xhtml"), "{text}");
    }
}
