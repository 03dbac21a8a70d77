//! Tables that scroll by themselves where the page is narrow, with what each row is sorted by.
use super::words::{shown, toned};
use crate::report::page::Cell;
use maud::{Markup, html};

/// A table under a caption that is read and not seen; columns of numbers are set to the right.
pub(super) fn tabled(caption: &str, heads: &[String], rows: &[Vec<Cell>]) -> Markup {
    let numeric = |at: usize| rows.iter().all(|row| row.get(at).is_none_or(|c| c.numeric || c.words.is_empty()));
    let class = |at: usize| numeric(at).then_some("number");
    html! {
        div.wide role="region" tabindex="0" aria-label=(caption) {
            table {
                caption { (caption) }
                thead { tr { @for (at, head) in heads.iter().enumerate() {
                    th scope="col" class=[class(at)] { (shown(head)) @if head.is_empty() { span.unseen { "note" } } }
                } } }
                tbody { @for row in rows { tr { @for (at, cell) in row.iter().enumerate() {
                    @if at == 0 { th scope="row" class=[class(at)] data-rank=[cell.rank] dir="auto" { (toned(cell)) } }
                    @else { td class=[class(at)] data-rank=[cell.rank] dir="auto" { (toned(cell)) } }
                } } } }
            }
        }
    }
}
