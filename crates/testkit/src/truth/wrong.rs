//! Engines that must fail the truth test.

use super::engine::{Engine, PutBack, Question};
use super::entries::Entry;
use super::oracle::Choice;

/// Puts everything back in the plain reverse of the record.
#[derive(Clone, Debug, Default)]
pub struct Reverse {
    names: Vec<String>,
}

impl Engine for Reverse {
    fn took(&mut self, entry: &Entry) -> Result<Vec<String>, String> {
        let ties: Vec<String> = entry.ties.iter().map(|tie| tie.truth.clone()).collect();
        self.names.extend(ties.iter().cloned().chain(entry.part.clone()));
        Ok(entry.part.iter().cloned().chain(ties).collect())
    }

    fn questions(&mut self) -> Result<Vec<Question>, String> {
        Ok(Vec::new())
    }

    fn answer(&mut self, _: &Question, _: Choice) -> Result<(), String> {
        Ok(())
    }

    fn put_back(&mut self) -> Result<PutBack, String> {
        let order: Vec<String> = self.names.iter().rev().cloned().collect();
        Ok(with_looks_at_once(order))
    }
}

/// Believes that everything is free: place by place, parts as they came off backwards, then all
/// fixings of the place.
#[derive(Clone, Debug, Default)]
pub struct Free {
    spots: Vec<Option<String>>,
    entries: Vec<Entry>,
}

impl Engine for Free {
    fn took(&mut self, entry: &Entry) -> Result<Vec<String>, String> {
        self.spots.retain(|spot| *spot != entry.spot);
        self.spots.push(entry.spot.clone());
        self.entries.push(entry.clone());
        let ties = entry.ties.iter().map(|tie| tie.truth.clone());
        Ok(entry.part.iter().cloned().chain(ties).collect())
    }

    fn questions(&mut self) -> Result<Vec<Question>, String> {
        Ok(Vec::new())
    }

    fn answer(&mut self, _: &Question, _: Choice) -> Result<(), String> {
        Ok(())
    }

    fn put_back(&mut self) -> Result<PutBack, String> {
        let mut order = Vec::new();
        for spot in self.spots.iter().rev() {
            let here = || self.entries.iter().rev().filter(|entry| entry.spot == *spot);
            order.extend(here().filter_map(|entry| entry.part.clone()));
            order.extend(here().flat_map(|entry| entry.ties.iter().map(|tie| tie.truth.clone())));
        }
        Ok(with_looks_at_once(order))
    }
}

/// An engine that asks nothing: guesses must not be enough.
#[derive(Clone, Debug)]
pub struct Silent<E>(pub E);

impl<E: Engine> Engine for Silent<E> {
    fn took(&mut self, entry: &Entry) -> Result<Vec<String>, String> {
        self.0.took(entry)
    }

    fn all_off(&mut self) -> Result<(), String> {
        self.0.all_off()
    }

    fn questions(&mut self) -> Result<Vec<Question>, String> {
        Ok(Vec::new())
    }

    fn answer(&mut self, question: &Question, choice: Choice) -> Result<(), String> {
        self.0.answer(question, choice)
    }

    fn put_back(&mut self) -> Result<PutBack, String> {
        self.0.put_back()
    }
}

/// An engine that hears yes to everything, whatever is true.
#[derive(Clone, Debug)]
pub struct YesMan<E>(pub E);

impl<E: Engine> Engine for YesMan<E> {
    fn took(&mut self, entry: &Entry) -> Result<Vec<String>, String> {
        self.0.took(entry)
    }

    fn all_off(&mut self) -> Result<(), String> {
        self.0.all_off()
    }

    fn questions(&mut self) -> Result<Vec<Question>, String> {
        self.0.questions()
    }

    fn answer(&mut self, question: &Question, _: Choice) -> Result<(), String> {
        self.0.answer(question, Choice::Yes)
    }

    fn put_back(&mut self) -> Result<PutBack, String> {
        self.0.put_back()
    }
}

/// An engine whose looks come last of all: every cover is on by then.
#[derive(Clone, Debug)]
pub struct LateLooks<E>(pub E);

impl<E: Engine> Engine for LateLooks<E> {
    fn took(&mut self, entry: &Entry) -> Result<Vec<String>, String> {
        self.0.took(entry)
    }

    fn all_off(&mut self) -> Result<(), String> {
        self.0.all_off()
    }

    fn questions(&mut self) -> Result<Vec<Question>, String> {
        self.0.questions()
    }

    fn answer(&mut self, question: &Question, choice: Choice) -> Result<(), String> {
        self.0.answer(question, choice)
    }

    fn put_back(&mut self) -> Result<PutBack, String> {
        let mut back = self.0.put_back()?;
        if let Some(last) = back.order.last() {
            back.looks.iter_mut().for_each(|look| look.1 = last.clone());
        }
        Ok(back)
    }
}

/// A look at each thing before the very next one.
fn with_looks_at_once(order: Vec<String>) -> PutBack {
    let looks = order.windows(2).map(|pair| (pair[0].clone(), pair[1].clone())).collect();
    PutBack { order, looks }
}
