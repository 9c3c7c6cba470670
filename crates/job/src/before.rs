//! Why this before that: what has to be open before a thing, and what waits for it.

use lastbolt_machine::{Kernel, ThingNo};
use lastbolt_order::Plan;

use crate::needs::links;
use crate::view::WhyLine;

/// What stands directly before and after a thing in a plan, each with the statement of the file.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct Around {
    /// What has to be open while the thing comes off or goes back: comes off before it, or goes
    /// back after it.
    pub before: Vec<WhyLine>,
    /// What waits for the thing: comes off after it, or goes back before it.
    pub after: Vec<WhyLine>,
}

/// Tells what a plan has before a thing because it must, and what it has after it because it must.
pub fn around(kernel: &Kernel, plan: &Plan, thing: ThingNo) -> Around {
    let mut around = Around::default();
    for (of, links) in &links(kernel, plan) {
        for link in links {
            let mut line = link.line.clone();
            let list = if *of == thing {
                &mut around.before
            } else if link.needed == thing {
                line.thing = Some(kernel.name(*of).to_owned());
                &mut around.after
            } else {
                continue;
            };
            let is_known = list.iter().any(|known: &WhyLine| known.text == line.text);
            if !is_known {
                list.push(line);
            }
        }
    }
    around
}
