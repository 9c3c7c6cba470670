//! "Who records?": names said before, as buttons. It lies over any page of a job.

use lastbolt_job::view::Screen;
use maud::{Markup, html};

use crate::own::shown;
use crate::pages::sheet::Sheet;
use crate::room::Room;

/// The most names that are offered.
const NAMES_MAX: usize = 8;
/// The most people of the garage that are offered besides.
const PEOPLE_MAX: usize = 24;

/// Draws the sheet. The script adds the names that this browser has used, and keeps the choice.
pub(crate) fn page(room: &Room, screen: &Screen) -> Markup {
    let inner = html! {
        p.from { "The name stands beside what this phone or browser records." }
        div.people data-people="" {
            @for name in all_names(room) {
                button type="button" data-person=(name) { (name) }
            }
        }
        form.typing data-who="" {
            label {
                span { "Another name" }
                input type="text" name="person" maxlength="60" autocomplete="off" required;
            }
            button.did type="submit" { "That is me" }
        }
        button type="button" data-person="" { "No name" }
    };
    let sheet = Sheet::new("who", "Who records here?");
    sheet.draw(room, screen, &inner)
}

/// Who recorded something in this job, the latest first, then the people of the garage.
fn all_names(room: &Room) -> Vec<String> {
    let mut all = names(room);
    for name in shown().people().take(PEOPLE_MAX) {
        if !all.iter().any(|known| known == name) {
            all.push(name.to_owned());
        }
    }
    all
}

/// Who recorded something in this job, the latest first.
fn names(room: &Room) -> Vec<String> {
    let mut names: Vec<String> = Vec::new();
    for record in room.since(0).iter().rev() {
        let Some(person) = record.event.person.as_deref().map(str::trim) else { continue };
        if !person.is_empty() && !names.iter().any(|name| name == person) {
            names.push(person.to_owned());
        }
        if names.len() == NAMES_MAX {
            break;
        }
    }
    names
}
