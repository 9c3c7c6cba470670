//! Beginning a job from nothing: two questions.

use maud::{Markup, html};

use crate::before::Known;
use crate::pages::shell::{Page, shell};

/// Draws the two questions. A machine done before is one tap.
pub(crate) fn page(machines: &[Known]) -> Markup {
    let body = html! {
        (crate::pages::today::strip("Begin a job"))
        main.begin {
            form data-begin="" {
                label {
                    span { "Which machine? A few words, as you call it." }
                    input type="text" name="machine" maxlength="90" autocomplete="off"
                        autocapitalize="off" enterkeyhint="next" required;
                }
                @if !machines.is_empty() {
                    div.known role="group" aria-label="Machines that were here before" {
                        @for known in machines {
                            button.row.bare type="button" data-machine=(known.machine) {
                                span.what { (known.machine) }
                                @if !known.known.is_empty() { span.where { (known.known) } }
                            }
                        }
                    }
                }
                label {
                    span { "What are we after? What is to come off, or what is wrong." }
                    input type="text" name="after" maxlength="90" autocomplete="off"
                        autocapitalize="off" enterkeyhint="go";
                }
                div.buttons { button.did.main type="submit" { "Begin taking apart" } }
            }
        }
    };
    shell(&Page { title: "Begin a job: Lastbolt", name: "begin", job: None, body })
}
