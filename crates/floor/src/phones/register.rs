//! The phones that are in, in memory.

use std::sync::Arc;

use lastbolt_store::{JobId, KeptPhone, KeptPhones, PHONES_MAX};
use tokio::sync::watch;

use crate::limits::{PHONE_JOBS_MAX, PHONE_TIME_MS};
use crate::phones::secret::{hash, same};
use crate::phones::{Scope, Secret};

/// A phone that is in, as a request or a stream of it knows it.
#[derive(Debug)]
pub(crate) struct InPhone {
    /// The name that the server gave it.
    pub(crate) name: String,
    pub(crate) whole_garage: bool,
    /// Else the jobs that it may see, the last one let in to last.
    pub(crate) jobs: Vec<JobId>,
    /// Becomes true when it is shut out.
    pub(crate) out: watch::Receiver<bool>,
}

impl InPhone {
    /// Says whether it may see a job, as named in an address.
    pub(crate) fn may_see(&self, job: &str) -> bool {
        self.whole_garage || self.jobs.iter().any(|own| own.as_str() == job)
    }

    /// The page that it begins on.
    pub(crate) fn first_page(&self) -> String {
        match self.jobs.last() {
            Some(job) if !self.whole_garage => format!("/job/{job}"),
            _ => "/".to_owned(),
        }
    }
}

/// A line of the list of phones.
#[derive(Clone, Debug, PartialEq, Eq)]
pub(crate) struct Line {
    pub(crate) name: String,
    pub(crate) whole_garage: bool,
    pub(crate) jobs: Vec<String>,
    pub(crate) let_in_at_ms: i64,
    pub(crate) heard_at_ms: i64,
}

/// The phones that are in. `phones` stand in the order of `kept.phones`.
#[derive(Debug)]
pub(crate) struct Register {
    kept: KeptPhones,
    phones: Vec<(Arc<InPhone>, watch::Sender<bool>)>,
}

impl Register {
    /// Takes up what was kept, without those that were not heard for very long.
    pub(crate) fn of(mut kept: KeptPhones, now_ms: i64) -> Self {
        kept.phones.retain(|phone| now_ms.saturating_sub(phone.heard_at_ms) < PHONE_TIME_MS);
        let phones = kept.phones.iter().map(of_kept).collect();
        Self { kept, phones }
    }

    pub(crate) fn kept(&self) -> &KeptPhones {
        &self.kept
    }

    pub(crate) fn set_port(&mut self, port: u16) {
        self.kept.port = Some(port);
    }

    /// Lets a phone in with a secret of its own; one that is in already keeps its name and what
    /// it could see. None where there is no place for one more.
    pub(crate) fn add(
        &mut self,
        known: Option<&str>,
        own: &Secret,
        scope: &Scope,
        now_ms: i64,
    ) -> Option<Arc<InPhone>> {
        let known =
            known.and_then(|name| self.kept.phones.iter().position(|phone| phone.name == name));
        let at = match known {
            Some(at) => at,
            None if self.kept.phones.len() >= PHONES_MAX => return None,
            None => {
                self.kept.last = self.kept.last.saturating_add(1);
                self.kept.phones.push(KeptPhone {
                    name: format!("phone {}", self.kept.last),
                    hash: String::new(),
                    whole_garage: false,
                    jobs: Vec::new(),
                    let_in_at_ms: now_ms,
                    heard_at_ms: now_ms,
                });
                self.kept.phones.len() - 1
            }
        };
        let phone = &mut self.kept.phones[at];
        phone.hash = own.hash();
        phone.heard_at_ms = now_ms;
        match scope {
            Scope::Garage => phone.whole_garage = true,
            Scope::Job(job) => {
                phone.jobs.retain(|own| own != job.as_str());
                phone.jobs.push(job.to_string());
                let too_many = phone.jobs.len().saturating_sub(PHONE_JOBS_MAX);
                phone.jobs.drain(..too_many);
            }
        }
        let fresh = of_kept(phone);
        let given = fresh.0.clone();
        match self.phones.get_mut(at) {
            Some(place) => *place = fresh,
            None => self.phones.push(fresh),
        }
        Some(given)
    }

    /// Finds the phone that shows one of these secrets, and notes when it was heard.
    pub(crate) fn find(&mut self, shown: &[&str], now_ms: i64) -> Option<Arc<InPhone>> {
        let shown: Vec<String> = shown.iter().map(|secret| hash(secret)).collect();
        let is_it = |phone: &KeptPhone| shown.iter().any(|hash| same(hash, &phone.hash));
        let at = self.kept.phones.iter().position(is_it)?;
        self.kept.phones[at].heard_at_ms = now_ms;
        Some(self.phones[at].0.clone())
    }

    /// Takes a phone out and ends its streams; says whether it was in.
    pub(crate) fn remove(&mut self, name: &str) -> bool {
        let Some(at) = self.kept.phones.iter().position(|phone| phone.name == name) else {
            return false;
        };
        self.kept.phones.remove(at);
        let (_, out) = self.phones.remove(at);
        out.send_replace(true);
        true
    }

    pub(crate) fn list(&self) -> Vec<Line> {
        let line = |phone: &KeptPhone| Line {
            name: phone.name.clone(),
            whole_garage: phone.whole_garage,
            jobs: phone.jobs.clone(),
            let_in_at_ms: phone.let_in_at_ms,
            heard_at_ms: phone.heard_at_ms,
        };
        self.kept.phones.iter().map(line).collect()
    }
}

fn of_kept(phone: &KeptPhone) -> (Arc<InPhone>, watch::Sender<bool>) {
    let (sender, out) = watch::channel(false);
    let jobs = phone.jobs.iter().filter_map(|job| JobId::new(job).ok()).collect();
    let phone = InPhone { name: phone.name.clone(), whole_garage: phone.whole_garage, jobs, out };
    (Arc::new(phone), sender)
}

#[cfg(test)]
mod tests {
    use super::*;

    fn job(id: &str) -> Scope {
        Scope::Job(JobId::new(id).unwrap())
    }

    #[test]
    fn in_seen_again_and_out() {
        let mut register = Register::of(KeptPhones::new("0a".into()), 0);
        let own = Secret::own().unwrap();
        let phone = register.add(None, &own, &job("kelp-1"), 5).unwrap();
        assert_eq!(phone.name, "phone 1");
        assert!(phone.may_see("kelp-1") && !phone.may_see("kelp-2") && !phone.may_see("kelp-"));
        assert!(register.kept().phones[0].hash != own.reveal(), "only a hash is kept");
        let found = register.find(&["wrong", own.reveal()], 9).unwrap();
        assert_eq!(found.name, "phone 1");
        assert_eq!(register.list()[0].heard_at_ms, 9);
        assert!(register.find(&[], 9).is_none());
        assert!(register.find(&["", "wrong"], 9).is_none());
        let mut again = Register::of(register.kept().clone(), 10);
        assert!(again.find(&[own.reveal()], 10).is_some(), "a new server knows it");
        assert!(register.remove("phone 1") && !register.remove("phone 1"));
        assert!(*phone.out.borrow(), "its streams end");
        assert!(register.find(&[own.reveal()], 11).is_none());
        let next = register.add(None, &Secret::own().unwrap(), &Scope::Garage, 12).unwrap();
        assert_eq!(next.name, "phone 2", "a name is not used twice");
        assert!(next.may_see("any"));
    }

    /// A phone that scans the code of a second job keeps the first; its old secret is worth
    /// nothing from then on.
    #[test]
    fn a_second_job() {
        let mut register = Register::of(KeptPhones::new("0a".into()), 0);
        let (first, second) = (Secret::own().unwrap(), Secret::own().unwrap());
        register.add(None, &first, &job("kelp-1"), 1).unwrap();
        let phone = register.add(Some("phone 1"), &second, &job("tarn-1"), 2).unwrap();
        assert_eq!(phone.name, "phone 1");
        assert!(phone.may_see("kelp-1") && phone.may_see("tarn-1"));
        assert_eq!(phone.first_page(), "/job/tarn-1");
        assert!(register.find(&[first.reveal()], 3).is_none());
        assert!(register.find(&[second.reveal()], 3).is_some());
    }

    #[test]
    fn one_not_heard_for_very_long_is_forgotten() {
        let mut register = Register::of(KeptPhones::new("0a".into()), 0);
        register.add(None, &Secret::own().unwrap(), &Scope::Garage, 0).unwrap();
        let kept = register.kept().clone();
        assert_eq!(Register::of(kept.clone(), PHONE_TIME_MS - 1).list().len(), 1);
        assert_eq!(Register::of(kept, PHONE_TIME_MS).list().len(), 0);
    }
}
