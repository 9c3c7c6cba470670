//! A whole order judged from its first step to its last.

use lastbolt_machine::{JobSpec, Machine, Minutes};

use crate::book::Kind;
use crate::elapsed::Clock;
use crate::leak::LEAK_LOOK;
use crate::looks::Looks;
use crate::open::No;
use crate::order::{Action, Order, Step, Wishes};
use crate::verdict::{Account, Phase, Reason, Verdict};
use crate::walker::{Move, Walker};

/// Judges an order for a job and recomputes what it comes to.
pub fn verify(machine: &Machine, job: &JobSpec, wishes: &Wishes, order: &Order) -> Verdict {
    match judge(machine, job, wishes, order) {
        Ok(account) => Verdict::Accepted(Box::new(account)),
        Err(reason) => Verdict::Refused(reason),
    }
}

fn judge(
    machine: &Machine,
    job: &JobSpec,
    wishes: &Wishes,
    order: &Order,
) -> Result<Account, Box<Reason>> {
    let mut judge = Judge {
        walker: Walker::new(machine, job, wishes)?,
        clock: Clock::default(),
        looks: Looks::default(),
        account: Account::default(),
    };
    for (number, step) in order.strip.iter().enumerate() {
        judge.step(step, &order.strip[number + 1..]).map_err(|reason| numbered(reason, number))?;
    }
    judge.turn(order)?;
    if !order.strip_only {
        for (number, step) in order.build.iter().enumerate() {
            let rest = &order.build[number + 1..];
            judge.step(step, rest).map_err(|reason| numbered(reason, number))?;
        }
        judge.nothing_left()?;
    }
    Ok(judge.account())
}

fn numbered(mut reason: Box<Reason>, number: usize) -> Box<Reason> {
    reason.step = Some(number);
    reason
}

struct Judge {
    walker: Walker,
    clock: Clock,
    looks: Looks,
    account: Account,
}

impl Judge {
    fn step(&mut self, step: &Step, rest: &[Step]) -> Result<(), Box<Reason>> {
        let (minutes, change) = if step.action == Action::Look {
            self.look(step, rest)?;
            (Minutes::ZERO, Minutes::ZERO)
        } else {
            let next = self.walker.find(step)?;
            self.does(&next);
            (next.minutes, next.change)
        };
        self.account.step_minutes.push(minutes);
        self.account.changes.push(change);
        Ok(())
    }

    fn does(&mut self, next: &Move) {
        let before = self.walker.key.open.clone();
        let way = &self.walker.ways(next.thing, next.action)[next.way];
        self.clock.does(&self.walker.book, next, way, &before);
        self.walker.take(next);
        if self.walker.is_building() && next.action != Action::Start {
            let after = self.walker.key.open.clone();
            self.looks.closed(&self.walker.book, next.thing, &before, &after);
        }
    }

    /// A look takes no time and stands only where it means something.
    fn look(&mut self, step: &Step, rest: &[Step]) -> Result<(), Box<Reason>> {
        let refuse = |rule, text| Err(self.walker.refuse(rule, text, None));
        let none = |minutes: Option<Minutes>| minutes.unwrap_or(Minutes::ZERO) == Minutes::ZERO;
        if !none(step.minutes) || !none(step.change) {
            return refuse("R16", format!("Looking at \"{}\" takes no minutes.", step.id));
        }
        if step.from.is_some() || step.tool.is_some() {
            return refuse("R4", format!("Looking at \"{}\" needs no way.", step.id));
        }
        let book = &self.walker.book;
        let Some(&tie) = book.names.get(&step.id) else {
            return self.leak_look(step);
        };
        let hider = rest.iter().find(|next| next.action != Action::Look);
        let hider = hider.filter(|next| next.action == Action::On);
        let hider = hider.and_then(|next| book.names.get(&next.id).copied());
        let hidden_by_it = |part: No| {
            let after = self.walker.key.open.without(part);
            !book.is_hidden(tie, &self.walker.key.open) && book.is_hidden(tie, &after)
        };
        let is_tie = book.things[tie].kind == Kind::Tie;
        if is_tie && self.looks.sees(tie) && hider.is_some_and(hidden_by_it) {
            return Ok(());
        }
        let text = format!("This is not the last look at \"{}\": nothing hides it next.", step.id);
        refuse("R12", text)
    }

    /// The leak look (R28): the only look that is not at a tie.
    fn leak_look(&mut self, step: &Step) -> Result<(), Box<Reason>> {
        if step.id != LEAK_LOOK {
            let text = format!("\"{}\" is not known.", step.id);
            return Err(self.walker.refuse("R22", text, None));
        }
        self.walker.apply(step).map(|_| ())
    }

    fn turn(&mut self, order: &Order) -> Result<(), Box<Reason>> {
        self.walker.turn()?;
        self.clock.turns(&self.walker.book);
        self.account.strip_minutes = self.walker.cost();
        self.account.off = self.walker.open().into_iter().map(str::to_owned).collect();
        if order.strip_only && !order.build.is_empty() {
            let text = "Only taking apart was asked for.".to_owned();
            let (phase, rule) = (Phase::Build, "R1");
            return Err(Box::new(Reason { step: Some(0), phase, rule, text, at: None }));
        }
        Ok(())
    }

    fn nothing_left(&self) -> Result<(), Box<Reason>> {
        let Some(x) = self.walker.still_open() else { return Ok(()) };
        let thing = &self.walker.book.things[x];
        let text = format!("\"{}\" is still off, undone or in force at the end.", thing.id);
        let (phase, rule, at) = (Phase::End, "R1", Some(thing.at));
        Err(Box::new(Reason { step: None, phase, rule, text, at }))
    }

    fn account(self) -> Account {
        let minutes = self.walker.cost();
        Account {
            minutes,
            build_minutes: minutes - self.account.strip_minutes,
            made_blind: self.looks.made_blind,
            last_looks: self.looks.last_looks,
            elapsed: self.clock.ends(),
            ..self.account
        }
    }
}
