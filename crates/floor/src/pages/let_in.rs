//! The page on which a phone asks to be let in.

use maud::{Markup, html};

use crate::pages::shell::{Page, shell};

/// Draws the page: one sentence, and a place to type the code where the camera did not do it. The
/// script takes a scanned code from the part of the address that is never sent.
pub(crate) fn page(sentence: &str, own_page: Option<&str>) -> Markup {
    let body = html! {
        main.alone data-let-in="" {
            p.sentence role="status" data-said="" { (sentence) }
            @if let Some(page) = own_page { a.go href=(page) { "To the job" } }
            form.typing data-code="" {
                label {
                    span { "The code, three times four letters and digits" }
                    input type="text" name="code" maxlength="40" autocomplete="off"
                        autocapitalize="characters" spellcheck="false" required;
                }
                button.did type="submit" { "Let this phone in" }
            }
            noscript { p { "Letting a phone in needs scripts; this browser has them off." } }
        }
    };
    shell(&Page { title: "Let this phone in: Lastbolt", name: "let-in", job: None, body })
}
