//! What stands around every sheet: a page of its own, which the script lays over the one that is
//! open.

use lastbolt_job::view::Screen;
use maud::{Markup, html};

use crate::pages::bits;
use crate::pages::shell::{Page, foot, shell, top};
use crate::room::Room;

/// What a sheet is.
pub(crate) struct Sheet<'a> {
    /// Says which page it is, for the style and the scripts; its address under the job is the same.
    pub(crate) name: &'a str,
    /// Classes besides those of every sheet.
    pub(crate) class: &'a str,
    /// For the window and the history; the heading where it is none.
    pub(crate) title: Option<&'a str>,
    /// The tag before the heading, where the sheet is about one thing.
    pub(crate) tag: Markup,
    /// The heading.
    pub(crate) heading: &'a str,
    /// Where it is put away to; the job's own page where it is none.
    pub(crate) back: Option<&'a str>,
}

impl<'a> Sheet<'a> {
    /// A sheet about no thing, put away to the job's page.
    pub(crate) fn new(name: &'a str, heading: &'a str) -> Self {
        Self { name, class: "", title: None, tag: html! {}, heading, back: None }
    }

    /// Draws it around what stands in it.
    pub(crate) fn draw(&self, room: &Room, screen: &Screen, inner: &Markup) -> Markup {
        let job = format!("/job/{}", room.id);
        let class = format!("sheet-body {}", self.class);
        let body = html! {
            (top(&screen.heading, &screen.machine))
            main {
                article class=(class.trim()) data-sheet-body="" {
                    div.head {
                        (self.tag)
                        h2.big.long[bits::is_long(self.heading)] { (self.heading) }
                        a.close href=(self.back.unwrap_or(&job)) data-close="" { "Put away" }
                    }
                    (inner)
                }
            }
            (foot(room, &format!("/{}", self.name)))
        };
        let title = format!("{}: {}", self.title.unwrap_or(self.heading), room.title);
        shell(&Page { title: &title, name: self.name, job: Some((room, screen)), body })
    }
}
