//! Pictures, drawn from the answer alone: each is one SVG that measures its own text, and the same
//! in characters for a terminal.
pub(super) mod around;
mod axis;
mod bars;
mod budget;
mod canvas;
mod causes;
mod chart;
mod circuit;
mod grid;
mod histogram;
mod letters;
mod rejection;
mod spread;
mod stack;
#[cfg(test)]
mod tests;
mod window;

pub(super) use budget::budget;
pub(super) use causes::causes;
pub(super) use circuit::circuit;
pub use histogram::{Bound, histogram};
pub(super) use rejection::rejection;
pub(super) use spread::spread;
pub use stack::{Share, stack};
pub(super) use window::window;

use canvas::Canvas;
use maud::{Markup, PreEscaped, html};

/// How the classes of every picture look; [`super::html`] holds it once for a whole page.
pub(super) const INK: &str = include_str!("ink.css");

/// A picture with its words.
#[derive(Clone, Debug, PartialEq)]
pub struct Picture {
    /// Its name in files and links, in small letters.
    pub name: &'static str,
    /// What stands under it.
    pub caption: String,
    /// What it shows, for whoever does not see it.
    pub description: String,
    /// The same in characters, a line each; may be empty.
    pub plain: Vec<String>,
    canvas: Canvas,
}

impl Picture {
    /// The name of its file, as `rejection.svg`.
    #[must_use]
    pub fn file_name(&self) -> String {
        format!("{}.svg", self.name)
    }

    /// The picture as a file of its own, on paper of its own, light or dark as its viewer asks.
    #[must_use]
    pub fn to_svg(&self) -> String {
        let paper = html! { style { (PreEscaped(INK)) } rect.paper width="100%" height="100%" {} };
        self.svg(&paper).into_string() + "\n"
    }

    /// The picture inside a page that has the [`INK`].
    pub(super) fn inline(&self) -> Markup {
        self.svg(&html! {})
    }

    fn svg(&self, paper: &Markup) -> Markup {
        let (width, height) = (self.canvas.width, self.canvas.height);
        let (title, desc) = (format!("{}-title", self.name), format!("{}-desc", self.name));
        html! {
            svg.picture xmlns="http://www.w3.org/2000/svg" viewBox=(format!("0 0 {width} {height}"))
                preserveAspectRatio="xMinYMin meet"
                width=(1.25 * width) height=(1.25 * height) role="img" aria-labelledby=(format!("{title} {desc}")) {
                title id=(title) { (self.caption) }
                desc id=(desc) { (self.description) }
                (paper)
                (PreEscaped(self.canvas.body()))
            }
        }
    }
}
