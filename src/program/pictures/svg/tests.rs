use super::*;
use crate::limits;

fn written(inside: &str) -> Result<String, Unfit> {
    let text = format!(
        "<svg xmlns='http://www.w3.org/2000/svg' xmlns:xlink='http://www.w3.org/1999/xlink' viewBox='0 0 9 9'>{inside}</svg>"
    );
    rewritten(text.as_bytes()).map(|bytes| String::from_utf8(bytes).unwrap())
}

fn why(inside: &str) -> String {
    match written(inside) {
        Ok(text) => panic!("{inside} is taken as {text}"),
        Err(why) => why.to_string(),
    }
}

#[test]
fn what_runs_is_refused() {
    for inside in [
        "<script>alert(1)</script>",
        "<s:script xmlns:s='http://www.w3.org/2000/svg'>alert(1)</s:script>",
        "<h:script xmlns:h='http://www.w3.org/1999/xhtml'>alert(1)</h:script>",
        "<g><x:script xmlns:x='urn:x'>alert(1)</x:script></g>",
        "<rect onclick='alert(1)'/>",
        "<rect ONLOAD='alert(1)'/>",
        "<a href='java&#10;script:alert(1)'><rect/></a>",
        "<a xlink:href='javascript:alert(1)'><rect/></a>",
        "<a href='data:text/html,x'><rect/></a>",
        "<foreignObject><iframe xmlns='http://www.w3.org/1999/xhtml' src='#'/></foreignObject>",
        "<switch><foreignObject><script xmlns='http://www.w3.org/1999/xhtml'/></foreignObject></switch>",
    ] {
        assert!(why(inside).starts_with("holds a script"), "{inside}: {}", why(inside));
    }
}

#[test]
fn what_is_fetched_is_refused() {
    for inside in [
        "<image href='http://basin.example/a.png'/>",
        "<image xlink:href='../people/roster.csv'/>",
        "<use href='other.svg#a'/>",
        "<style>@import 'a.css';</style>",
        "<style>/* */@IMPORT 'a.css';</style>",
        "<rect style='fill: url(\"https://basin.example/x\")'/>",
        "<rect fill='url(other.svg#a)'/>",
        "<rect fill='URL( //basin.example/a )'/>",
        "<style>rect { fill: url(//basin.example/a) }</style>",
        "<style>rect { background: image-set('a.png' 1x) }</style>",
        "<rect style='background: -webkit-image-set(\"a\")'/>",
        "<image srcset='https://basin.example/a.png'/>",
        "<rect formaction='https://basin.example/'/>",
    ] {
        assert_eq!(why(inside), OUTSIDE, "{inside}");
    }
}

#[test]
fn what_is_no_still_drawing_is_refused() {
    for (inside, told) in [
        ("<foreignObject><p xmlns='http://www.w3.org/1999/xhtml'>A</p></foreignObject>", "<foreignObject>"),
        ("<form xmlns='http://www.w3.org/1999/xhtml' action='https://basin.example/'/>", "<form>"),
        ("<form action='https://basin.example/'/>", "<form>"),
        ("<meta xmlns='http://www.w3.org/1999/xhtml' http-equiv='refresh' content='0'/>", "<meta>"),
        ("<g><img xmlns='http://www.w3.org/1999/xhtml' srcset='a 1x'/></g>", "<img>"),
        ("<a href='#a'><set attributeName='href' to='javascript:alert(1)'/></a>", "moves"),
        ("<animate attributeName='href' values='javascript:alert(1)'/>", "moves"),
        ("<a href='file:///etc/passwd'><rect/></a>", "link"),
        ("<a href='vbscript:x'><rect/></a>", "script"),
        ("<style>rect { fill: \\75rl(//basin.example) }</style>", "backslash"),
        ("<rect style='fill: \\75 rl(//basin.example)'/>", "backslash"),
        ("<rect style='width: expression(alert(1))'/>", "expression"),
        ("<image href='data:image/svg+xml;base64,AAAA'/>", "none of PNG"),
        ("<image href='data:text/html,x'/>", "outside"),
        ("<image href='data:image/png;base64,AAAA'/>", "picture"),
    ] {
        assert!(why(inside).contains(told), "{inside}: {}", why(inside));
    }
}

#[test]
fn what_cannot_be_read_is_refused() {
    let of = |bytes: &[u8]| rewritten(bytes).map(|_| ()).unwrap_err().to_string();
    let open = "<svg xmlns='http://www.w3.org/2000/svg'>";
    let latin = [open.as_bytes(), b"<!-- \xe9 --><script>alert(1)</script></svg>"].concat();
    assert_eq!(of(&latin), "is not written in UTF-8");
    assert_eq!(of(b"\xff\xfe<\0s\0v\0g\0"), "is not written in UTF-8");
    for text in [
        format!("{open}<script>alert(1)</script>"),
        format!("{open}\n&nbsp;<script>alert(1)</script></svg>"),
        format!("{open}<rect a='1' a='2'/></svg>"),
        format!("{open}<rect></g></svg>"),
        "no drawing".to_owned(),
        String::new(),
    ] {
        assert!(of(text.as_bytes()).starts_with("cannot be read as XML"), "{text}");
    }
    assert_eq!(of(b"<svg/>"), "is not really an SVG file");
    assert_eq!(of(b"<html xmlns='http://www.w3.org/1999/xhtml'><svg/></html>"), "is not really an SVG file");
    let styled = format!("<?xml-stylesheet href='a.css'?>{open}</svg>");
    assert_eq!(of(styled.as_bytes()), OUTSIDE);
}

#[test]
fn entities_are_taken_where_they_only_stand_for_words() {
    let of = |heading: &str, inside: &str| {
        let text =
            format!("<!DOCTYPE svg [{heading}]><svg xmlns='http://www.w3.org/2000/svg'>{inside}</svg>");
        rewritten(text.as_bytes())
            .map(|bytes| String::from_utf8(bytes).unwrap())
            .map_err(|why| why.to_string())
    };
    assert!(of("<!ENTITY a 'mule'>", "<text>&a;</text>").unwrap().contains("<text>mule</text>"));
    for (heading, inside) in [
        ("<!ENTITY a 'x'><!ENTITY b '&a;&a;'>", "<text>&b;</text>"),
        ("<!ENTITY a '<script>alert(1)</script>'>", "&a;"),
        ("<!ENTITY a '&#60;script>alert(1)&#60;/script>'>", "&a;"),
    ] {
        assert!(of(heading, inside).unwrap_err().contains("entities"), "{heading}");
    }
    // What lies elsewhere is never fetched.
    assert!(of("<!ENTITY a SYSTEM 'file:///etc/passwd'>", "<text>&a;</text>").is_err());
}

#[test]
fn what_drawing_programs_write_is_taken() {
    for inside in [
        "<defs><linearGradient id='a'/></defs><rect fill='url(#a)' style='filter:url( \"#b\" )'/>",
        "<a href='https://basin.example/'><rect/></a>",
        "<style>@font-face { src: url(data:font/woff2;base64,AAAA) } rect { fill: red }</style>",
        "<filter id='b' x='-50%' y='-0.5' width='200%' height='2'><feGaussianBlur stdDeviation='3'/></filter>",
        "<switch><foreignObject width='9' height='9'><p xmlns='http://www.w3.org/1999/xhtml'>A</p></foreignObject><text>A</text></switch>",
        "<metadata><r:RDF xmlns:r='http://www.w3.org/1999/02/22-rdf-syntax-ns#'/></metadata>",
        "<i:view xmlns:i='urn:a-drawing-program' i:zoom='3'/>",
        "<path d='M0 0C1 2 3 4 5 6' transform='matrix(1 0 0 1 2 3)' data-name='Layer 1'/>",
        "<text font-family=\"'Some Sans', sans-serif\" xml:space='preserve'> a </text>",
    ] {
        written(inside).unwrap_or_else(|why| panic!("{inside}: {why}"));
    }
}

#[test]
fn what_is_written_is_what_was_read() {
    assert_eq!(
        written("<g fill=\"a &amp; &quot;b&quot;\"><!-- x --><text>1 &lt; 2</text></g>\n<?x y?>").unwrap(),
        "<svg xmlns=\"http://www.w3.org/2000/svg\" viewBox=\"0 0 9 9\"><g fill=\"a &amp; &quot;b&quot;\"><text>1 &lt; 2</text></g>\n</svg>\n"
    );
    let left = written(
        "<style>@media print { rect { fill: url(x) } } .a, rect{fill:#fff}</style><x:y xmlns:x='urn:x'/>",
    );
    let left = left.unwrap();
    assert!(left.contains("fill:#fff") && !left.contains("@media") && !left.contains("url"), "{left}");
    let both = written("<use href='#a' xlink:href='#b'/><use xlink:href='#c'/>").unwrap();
    assert!(both.contains("<use href=\"#a\"/><use href=\"#c\"/>"), "{both}");
}

#[test]
fn a_picture_within_is_looked_at_too() {
    let png = "iVBORw0KGgoAAAANSUhEUgAAAAEAAAABCAAAAAA6fptVAAAACklEQVR4nGNgAAAAAgABSK+kcQAAAABJRU5ErkJggg==";
    written(&format!("<image href='data:image/png;base64,{png}'/>")).unwrap();
}

#[test]
fn a_filter_beyond_measure_is_refused() {
    for inside in [
        "<filter id='a' width='1e9'/>",
        "<filter id='a' x='-1000000%'/>",
        "<filter id='a' filterUnits='userSpaceOnUse' height='1000000px'/>",
        "<filter id='a'><feMorphology radius='5000'/></filter>",
        "<filter id='a'><feOffset dx='1'/></filter><rect width='90000' height='90000' filter='url(#a)'/>",
        "<style>.b{filter:url(#a)}</style><filter id='a'><feOffset dx='1'/></filter><rect width='90000' height='9' class='b'/>",
    ] {
        assert!(why(inside).contains("filter"), "{inside}");
    }
    written("<filter id='a' filterUnits='userSpaceOnUse' width='800' height='600'/>").unwrap();
    written("<filter id='a'><feGaussianBlur stdDeviation='1'/></filter><rect width='9' height='9' filter='url(#a)'/>").unwrap();
}

#[test]
fn what_a_drawing_holds_is_counted_before_it_is_made() {
    let groups = |count: usize| "<g>".repeat(count) + &"</g>".repeat(count);
    written(&groups(limits::SVG_DEPTH - 1)).unwrap();
    assert!(why(&groups(900)).contains("inside one another"));
    let attributes: String = (0..50_000).map(|number| format!(" a{number}='1'")).collect();
    assert!(why(&format!("<rect{attributes}/>")).contains("attributes"));
    assert!(why(&"<rect/>".repeat(limits::SVG_PARTS + 1)).contains("more parts"));
    let level = |at: usize| format!("<g id='a{}'>{}</g>", at + 1, format!("<use href='#a{at}'/>").repeat(10));
    let again: String = (0..7).map(level).collect();
    assert!(why(&format!("<g id='a0'><rect/></g>{again}")).contains("repeats"));
    let chain: String = (0..1000).map(|at| format!("<use id='a{at}' href='#a{}'/>", at + 1)).collect();
    assert!(why(&chain).contains("draw one another"));
    written("<g id='a'><use href='#a'/></g>").unwrap();
    let marked = format!(
        "<marker id='m'>{}</marker><path marker-mid='url(#m)' d='{}'/>",
        "<rect/>".repeat(100),
        "L1 1".repeat(5000)
    );
    assert!(why(&marked).contains("repeats"));
}
