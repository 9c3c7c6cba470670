//! Phones of the garage: the codes that let them in, and those that are in.
//!
//! A code is a secret of one job (or of the whole garage). It is good once and for a few minutes;
//! a phone shows it and gets a secret of its own, of which only a hash is kept. Neither is ever
//! written to a log, an address that is sent, an error or the record.

mod code;
mod names;
mod register;
mod secret;
mod tries;

use std::net::IpAddr;
use std::sync::{Arc, Mutex, MutexGuard};
use std::time::Instant;

use lastbolt_store::{Garage, JobId, KeptPhones, StoreError, random_token};

use crate::clock::now_ms;
use crate::phones::code::Codes;
use crate::phones::register::Register;
use crate::phones::tries::Tries;

pub(crate) use names::{addresses, names};
pub(crate) use register::{InPhone, Line};
pub(crate) use secret::{Secret, same};

/// What a phone is let in to.
#[derive(Clone, Debug, PartialEq, Eq)]
pub(crate) enum Scope {
    /// One job: its pages and nothing else.
    Job(JobId),
    /// Every job of the garage.
    Garage,
}

/// A code as it is shown, on this machine only.
#[derive(Clone, Debug)]
pub(crate) struct Shown {
    pub(crate) secret: Secret,
    pub(crate) minutes_left: u64,
}

/// A phone that has just been let in.
pub(crate) struct LetIn {
    pub(crate) phone: Arc<InPhone>,
    /// What it shows from now on: goes into its cookie and nowhere else.
    pub(crate) own: Secret,
    pub(crate) scope: Scope,
}

/// Why a phone was not let in.
#[derive(Debug)]
pub(crate) enum NotIn {
    /// The code is wrong, used or too old.
    Wrong,
    /// Too many wrong ones were tried.
    TooMany,
    /// As many phones are in as there may be.
    Full,
    /// The list of phones could not be kept.
    Disk(StoreError),
}

/// Lets phones in and out. One for a server that serves the garage's network.
#[derive(Debug)]
pub(crate) struct Phones {
    garage: Garage,
    /// What was asked for when the server began: the job, or all.
    pub(crate) opened: Scope,
    /// Names of this machine that a phone may use instead of an address, in small letters.
    pub(crate) names: Vec<String>,
    cookie: String,
    state: Mutex<State>,
}

#[derive(Debug)]
struct State {
    codes: Codes,
    tries: Tries,
    register: Register,
}

impl Phones {
    /// Reads who is in already.
    ///
    /// # Errors
    /// Fails when the list of phones cannot be read or there is no randomness.
    pub(crate) fn open(garage: Garage, opened: Scope) -> Result<Self, StoreError> {
        let kept = match garage.phones()? {
            Some(kept) => kept,
            None => KeptPhones::new(random_token()?[..8].to_owned()),
        };
        let cookie = format!("lastbolt_{}", kept.tag);
        let register = Register::of(kept, now_ms());
        let state = State { codes: Codes::default(), tries: Tries::default(), register };
        Ok(Self { garage, opened, names: names(), cookie, state: Mutex::new(state) })
    }

    fn state(&self) -> MutexGuard<'_, State> {
        self.state.lock().unwrap_or_else(std::sync::PoisonError::into_inner)
    }

    /// The name of the cookie: of this garage, since cookies do not tell ports apart.
    pub(crate) fn cookie(&self) -> &str {
        &self.cookie
    }

    /// The port that was served on last without a job.
    pub(crate) fn port(&self) -> Option<u16> {
        self.state().register.kept().port
    }

    /// Keeps the port, where no job keeps it. Blocks on the disk.
    ///
    /// # Errors
    /// Fails when the disk does not keep it.
    pub(crate) fn keep_port(&self, port: u16) -> Result<(), StoreError> {
        let mut state = self.state();
        state.register.set_port(port);
        self.garage.keep_phones(state.register.kept())
    }

    /// Gives the code that lets the next phone in; a new one where the last was used, is too old,
    /// or `another` is asked for.
    ///
    /// # Errors
    /// Fails when there is no randomness.
    pub(crate) fn code(&self, scope: &Scope, another: bool) -> Result<Shown, StoreError> {
        let now = Instant::now();
        let (secret, left) = self.state().codes.current(scope, now, another)?;
        Ok(Shown { secret, minutes_left: left.as_secs().div_ceil(60) })
    }

    /// Lets a phone in for a code: uses the code up, makes the phone's own secret, and keeps the
    /// list before it answers. `known` is the phone that asks, if it is in already. Blocks on the
    /// disk.
    ///
    /// # Errors
    /// Says why it is not let in.
    pub(crate) fn let_in(
        &self,
        from: IpAddr,
        said: &str,
        known: Option<&InPhone>,
    ) -> Result<LetIn, NotIn> {
        let now = Instant::now();
        let mut state = self.state();
        if !state.tries.may(from, now) {
            return Err(NotIn::TooMany);
        }
        let Some(scope) = state.codes.use_up(&Secret::read_code(said), now) else {
            state.tries.wrong(from, now);
            return Err(NotIn::Wrong);
        };
        let own = Secret::own().map_err(NotIn::Disk)?;
        let before = state.register.kept().clone();
        let known = known.map(|phone| phone.name.as_str());
        let phone = state.register.add(known, &own, &scope, now_ms()).ok_or(NotIn::Full)?;
        if let Err(error) = self.garage.keep_phones(state.register.kept()) {
            state.register = Register::of(before, now_ms());
            return Err(NotIn::Disk(error));
        }
        Ok(LetIn { phone, own, scope })
    }

    /// Finds the phone that shows one of these secrets, and notes that it was heard.
    pub(crate) fn find(&self, shown: &[&str]) -> Option<Arc<InPhone>> {
        self.state().register.find(shown, now_ms())
    }

    /// Lists the phones that are in.
    pub(crate) fn list(&self) -> Vec<Line> {
        self.state().register.list()
    }

    /// Shuts a phone out at once; says whether there was one of that name. Blocks on the disk.
    ///
    /// # Errors
    /// Fails when the disk does not keep it: it is then out until the server ends, and must be
    /// shut out once more.
    pub(crate) fn shut_out(&self, name: &str) -> Result<bool, StoreError> {
        let mut state = self.state();
        let was_in = state.register.remove(name);
        self.garage.keep_phones(state.register.kept())?;
        Ok(was_in)
    }

    /// Keeps when phones were last heard. Blocks on the disk.
    pub(crate) fn keep(&self) {
        // It is only a time of day: not kept is no harm.
        let _ = self.garage.keep_phones(self.state().register.kept());
    }
}
