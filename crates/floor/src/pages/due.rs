//! What falls due after jobs that were handed over, as rows.

use maud::{Markup, html};

use crate::due::Due;

/// Draws what falls due under a heading; nothing where nothing does. A row leads to where it is
/// answered.
pub(crate) fn section(heading: &str, all: &[Due]) -> Markup {
    html! {
        @if !all.is_empty() {
            section.due {
                h2 { (heading) }
                ul.rows {
                    @for due in all {
                        li {
                            a.row.bare href={ "/job/" (due.job) "/day/hand-over" } {
                                span.what { (due.text) }
                                span.where {
                                    (due.title)
                                    @if let Some(said) = &due.said { ": " (said) }
                                }
                            }
                        }
                    }
                }
            }
        }
    }
}
