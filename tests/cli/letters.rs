//! Titles and messages mean themselves in every format.
use crate::asked::narrow;
use crate::fixture;
use evenkeel::report::{self, Paint};

const WEIRD: [&str; 8] = [
    "a | b ` c * d _ e",
    "<script>alert(1)</script> &amp;",
    "two\nlines\r\nand\ta tab",
    "[link](https://example.org) ![x](y) @someone #1 www.example.org",
    "1. not a list",
    "\u{1b}[31mred\u{7} \u{202e}turned",
    "",
    "起重机吊钩载荷测量通道起重机吊钩载荷测量通道起重机吊钩载荷测量通道起重机吊钩载荷测量通道",
];

fn design_called(title: &str) -> report::Document {
    let mut design = fixture::design(title);
    design.warnings[0].message = title.to_owned();
    design.cautions.push(title.to_owned());
    design.not_predicted[0].needs = title.to_owned();
    report::design(&design)
}

#[test]
fn json_gives_every_title_back() {
    for title in WEIRD {
        let told: serde_json::Value = serde_json::from_str(&design_called(title).to_json()).expect("JSON");
        assert_eq!((&told["title"], &told["warnings"][0]["message"]), (&title.into(), &title.into()));
        let line = design_called(title).to_json_line();
        assert_eq!(line.matches('\n').count(), 1);
        assert_eq!(serde_json::from_str::<serde_json::Value>(&line).expect("JSON"), told);
    }
}

#[test]
fn text_stays_narrow_and_steers_nothing() {
    for title in WEIRD {
        let text = design_called(title).to_text(Paint::Plain);
        narrow(&text);
        assert!(text.chars().all(|c| c == '\n' || !c.is_control() && c != '\u{202e}'), "{title:?}");
        assert!(text.lines().all(|line| columns(line) <= 80), "{title:?}");
    }
    narrow(&design_called(&"longword".repeat(40)).to_text(Paint::Plain));
    narrow(&design_called(&"many words ".repeat(40)).to_text(Paint::Plain));
}

/// Columns of a line in which CJK letters take two.
fn columns(line: &str) -> usize {
    line.chars().map(|c| if ('\u{2e80}'..='\u{ffef}').contains(&c) { 2 } else { 1 }).sum()
}

#[test]
fn markdown_turns_nothing_into_markup() {
    let markdown = design_called(WEIRD[0]).to_markdown(None);
    assert!(markdown.starts_with("# a \\| b \\` c \\* d \\_ e\n"), "{markdown}");
    let row = markdown.lines().find(|line| line.starts_with("| noise | a")).expect("the row is there");
    assert_eq!(row, "| noise | a \\| b \\` c \\* d \\_ e |");

    let markdown = design_called(WEIRD[1]).to_markdown(None);
    assert!(markdown.starts_with("# &lt;script&gt;alert(1)&lt;/script&gt; &amp;amp;\n"), "{markdown}");

    let markdown = design_called(WEIRD[2]).to_markdown(None);
    assert!(markdown.starts_with("# two lines and a tab\n"), "{markdown}");

    let markdown = design_called(WEIRD[3]).to_markdown(None).replace("\\]", "").replace("\\#", "");
    for live in ["](", "://", "@", "#1", "www."] {
        assert!(!markdown.contains(live), "{live} in {markdown}");
    }
    let markdown = design_called(WEIRD[4]).to_markdown(None);
    assert!(markdown.contains("\n- 1\\. not a list\n"), "{markdown}");
    let markdown = design_called(WEIRD[5]).to_markdown(None);
    assert!(!markdown.contains('\u{1b}') && !markdown.contains('\u{202e}'));
}

#[test]
fn every_markdown_table_has_equal_rows() {
    for title in WEIRD {
        let markdown = design_called(title).to_markdown(None);
        let bars = |line: &str| line.replace("\\|", "").matches('|').count();
        let lines: Vec<&str> = markdown.lines().collect();
        for pair in lines.windows(2).filter(|pair| pair.iter().all(|line| line.starts_with('|'))) {
            assert_eq!(bars(pair[0]), bars(pair[1]), "{pair:?}");
        }
    }
}

#[test]
fn what_is_unbounded_or_unknown_says_so() {
    let text = report::design(&fixture::design("x")).to_text(Paint::Plain);
    for line in [
        "  differential impedance         1 MΩ      unbounded  unbounded  met\n",
        "  noise                          2 µV  not predicted             not predicted\n",
        "  reference resistance  unbounded\n",
    ] {
        assert!(text.contains(line) || text.contains(&format!("  {line}")), "{line} in {text}");
    }
}

/// Titles made to break out of a page.
fn hostile() -> Vec<String> {
    let mut all: Vec<String> = WEIRD.map(str::to_owned).to_vec();
    all.extend(
        [
            "</title></style></script><script>alert(1)</script>",
            "\"><img src=x onerror=alert(1)>' --> ]]> {{x}} &#60;b&#62;",
            "עומס וו \u{202e}abc\u{2067}טעינה (100%)",
        ]
        .map(str::to_owned),
    );
    all.push("longword".repeat(25));
    all
}

/// The names of a page's elements, in their order.
fn elements(page: &str) -> Vec<&str> {
    let names = page.split('<').skip(1).filter_map(|after| after.split([' ', '>']).next());
    names.filter(|name| name.starts_with(|c: char| c.is_ascii_alphabetic())).collect()
}

#[test]
fn html_turns_nothing_into_markup() {
    let plain = design_called("plain").answering("plain").to_html();
    for title in hostile().iter().filter(|title| !title.is_empty()) {
        let page = design_called(title).answering(title.as_str()).to_html();
        assert_eq!(elements(&page), elements(&plain), "{title:?}");
        assert!(page.chars().all(|c| c == '\n' || c == '\t' || !c.is_control()), "{title:?}");
        let steering = |c: char| matches!(c, '\u{202a}'..='\u{202e}' | '\u{2066}'..='\u{2069}');
        assert!(!page.contains(steering), "{title:?}");
    }
}

#[test]
fn a_page_asks_for_nothing_and_names_everything() {
    let page = design_called("plain").answering("plain").to_html();
    for outside in ["http-equiv=\"refresh", " src=", "@import", "url(", "<link", "fetch(", "//cdn"] {
        assert!(!page.contains(outside), "{outside}");
    }
    let foreign = page.replace("http://www.w3.org/2000/svg", "");
    assert!(!foreign.contains("http:") && !foreign.contains("https:"));
    assert_eq!(page.matches("<table>").count(), page.matches("<caption>").count());
    assert_eq!(page.matches("<svg ").count(), page.matches("<desc ").count());
    assert!(page.contains("<html lang=\"en\">") && page.contains("href=\"#report\"") && page.contains("id=\"report\""));
}

#[test]
fn a_spec_is_shown_as_it_was_given() {
    let spec = "title = \"```\" # <b> & \"quotes\"\r\n[target]\r\n\tgain = 100\r\n";
    let document = report::design(&fixture::design("x")).answering(spec);
    let page = document.to_html();
    assert!(
        page.contains("title = &quot;```&quot; # &lt;b&gt; &amp; &quot;quotes&quot;\n[target]\n\tgain = 100\n"),
        "{page}"
    );
    let markdown = document.to_markdown(None);
    assert!(
        markdown.contains("\n````toml\ntitle = \"```\" # <b> & \"quotes\"\n[target]\n\tgain = 100\n````\n"),
        "{markdown}"
    );
    assert!(!document.to_text(Paint::Plain).contains("[target]"));
    assert!(!document.to_json().contains("[target]"));
}
