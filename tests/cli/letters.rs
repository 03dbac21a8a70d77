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
