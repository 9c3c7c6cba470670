//! A page that says why there is none.

use maud::{Markup, html};

use crate::pages::shell::{Page, shell};

/// One sentence and one button.
pub(crate) fn page(sentence: &str, address: &str, button: &str) -> Markup {
    let body = html! {
        main.alone {
            p.sentence { (sentence) }
            a.go href=(address) { (button) }
        }
    };
    shell(&Page { title: "Lastbolt", name: "refused", job: None, body })
}
