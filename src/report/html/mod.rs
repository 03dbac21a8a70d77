//! One page that needs nothing but itself: no request, no script to be read, light and dark, paper and
//! telephone. Every word is escaped by construction.
mod table;
mod words;

use super::document::{Document, Formula, Verdict};
use super::page::{Cell, Page, standing, walk};
use super::picture::{INK, Picture};
use maud::{DOCTYPE, Markup, PreEscaped, Render as _, html};
use table::tabled;
use words::{headed, shown, sign, spoken, told, tone, toned};

const STYLE: &str = include_str!("page.css");
/// Sorts a table by the column whose heading is pressed; without it headings are plain words.
const SORT: &str = include_str!("sort.js");
/// Nothing is fetched, from anywhere, by anything in the page.
const POLICY: &str = "default-src 'none'; style-src 'unsafe-inline'; script-src 'unsafe-inline'";

impl Document {
    /// The document as one self-contained page; no title or message can turn into markup.
    #[must_use]
    pub fn to_html(&self) -> String {
        let mut page = Html::default();
        walk(self, &mut page);
        let title = if self.title.trim().is_empty() { &self.verdict.words } else { &self.title };
        let whole = html! {
            (DOCTYPE)
            html lang="en" {
                head {
                    meta charset="utf-8";
                    meta name="viewport" content="width=device-width, initial-scale=1";
                    meta http-equiv="Content-Security-Policy" content=(POLICY);
                    title { (shown(title)) }
                    style { (PreEscaped(INK)) (PreEscaped(STYLE)) }
                }
                body {
                    a.skip href="#report" { "Skip to the report" }
                    header {
                        (PreEscaped(&page.head))
                        nav aria-label="Contents" { ul { @for (at, words) in page.parts.iter().enumerate() {
                            li { a href=(format!("#part-{at}")) { (words) } }
                        } } }
                    }
                    main #report tabindex="-1" { (PreEscaped(&page.body)) }
                    footer { p { (page.maker) } }
                    script { (PreEscaped(SORT)) }
                }
            }
        };
        whole.into_string() + "\n"
    }
}

#[derive(Default)]
struct Html {
    head: String,
    body: String,
    maker: String,
    /// The headings of the document itself.
    parts: Vec<String>,
    /// The heading that a table or a picture stands under.
    under: String,
}

impl Page for Html {
    fn opening(&mut self, verdict: &Verdict, title: &str) {
        let head = html! {
            @if !title.trim().is_empty() { h1 dir="auto" { (shown(title)) } }
            @else { h1 { "Report" } }
            p class={ "verdict " (tone(verdict.tone)) } { (sign(verdict.tone)) (shown(&verdict.words)) }
        };
        head.render_to(&mut self.head);
    }

    fn heading(&mut self, depth: usize, words: &str) {
        words.clone_into(&mut self.under);
        let words = shown(words);
        let id = (depth == 0).then(|| format!("part-{}", self.parts.len()));
        self.add(&headed(depth, id.as_deref(), &words));
        self.parts.extend(id.map(|_| words));
    }

    fn fold(&mut self, depth: usize, words: &str) {
        words.clone_into(&mut self.under);
        let head = headed(depth, None, &shown(words));
        self.add(&html! { (PreEscaped("<details><summary>")) (head) (PreEscaped("</summary>")) });
    }

    fn unfold(&mut self) {
        self.body.push_str("</details>\n");
    }

    fn pairs(&mut self, _depth: usize, pairs: &[(String, Cell)]) {
        self.add(&html! {
            dl { @for (label, cell) in pairs { div { dt { (shown(label)) } dd { (toned(cell)) } } } }
        });
    }

    fn table(&mut self, _depth: usize, heads: &[String], rows: &[Vec<Cell>]) {
        self.add(&tabled(&shown(&self.under), heads, rows));
    }

    fn entry(&mut self, _depth: usize, head: &str, rest: &[String]) {
        self.add(&html! {
            div.entry { p.code { (shown(head)) } @for words in rest { p dir="auto" { (spoken(words)) } } }
        });
    }

    fn list(&mut self, _depth: usize, items: &[String]) {
        self.add(&html! { ul { @for item in items { li dir="auto" { (spoken(item)) } } } });
    }

    fn paragraph(&mut self, _depth: usize, words: &str) {
        self.add(&html! { p dir="auto" { (spoken(words)) } });
    }
    fn picture(&mut self, _depth: usize, picture: &Picture) {
        self.add(&html! {
            figure class=(picture.name) {
                div.wide role="region" tabindex="0" aria-label=(picture.caption) { (picture.inline()) }
                figcaption { (picture.caption) }
            }
        });
    }

    fn equation(&mut self, _depth: usize, formula: &Formula) {
        self.add(&told(formula));
    }

    fn listing(&mut self, heading: &str, text: &str) {
        let text: String = text.replace("\r\n", "\n").chars().map(standing).collect();
        self.heading(0, heading);
        self.add(&html! { pre tabindex="0" dir="ltr" { code { (text) } } });
    }

    fn closing(&mut self, maker: &str) {
        maker.clone_into(&mut self.maker);
    }
}

impl Html {
    fn add(&mut self, markup: &Markup) {
        markup.render_to(&mut self.body);
        self.body.push('\n');
    }
}
