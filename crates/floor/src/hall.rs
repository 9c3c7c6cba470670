//! What every request can reach.

use std::sync::{Arc, PoisonError};

use lastbolt_store::{Garage, Headers, JobId};
use tokio::sync::{OnceCell, Semaphore, watch};

use crate::before;
use crate::limits::{PHOTO_BODIES_MAX, REQUESTS_MAX, STRANGERS_MAX, STREAMS_MAX};
use crate::phones::Phones;
use crate::reply::Refusal;
use crate::room::{Room, Snapshot};
use crate::writer::{Trouble, Writer};

/// What every request can reach.
#[derive(Clone)]
pub(crate) struct Hall {
    pub(crate) garage: Garage,
    pub(crate) writer: Writer,
    /// The port that this server listens on: part of every name that it answers to.
    pub(crate) port: u16,
    /// What a command shows to be let in.
    pub(crate) token: Arc<str>,
    pub(crate) requests: Arc<Semaphore>,
    pub(crate) streams: Arc<Semaphore>,
    /// Places for requests of those who are not let in: they must not take all the others.
    pub(crate) strangers: Arc<Semaphore>,
    /// Phones of the garage's network; none where only this machine is served.
    pub(crate) phones: Option<Arc<Phones>>,
    /// Pictures that are being received.
    pub(crate) photo_bodies: Arc<Semaphore>,
    /// The one picture that is being unpacked and kept.
    pub(crate) photo: Arc<Semaphore>,
    /// How often this garage used which kind of fixing, before this server began.
    kinds: Arc<OnceCell<Vec<(String, u64)>>>,
    /// What the garage has once and for all, as read last.
    pub(crate) own: crate::own::Kept,
    /// What was read of each job for the page of today.
    pub(crate) headers: Arc<std::sync::Mutex<Headers>>,
    /// Becomes true when the server is about to end.
    pub(crate) leaving: watch::Receiver<bool>,
}

impl Hall {
    pub(crate) fn new(
        garage: Garage,
        writer: Writer,
        port: u16,
        token: &str,
        leaving: watch::Receiver<bool>,
    ) -> Self {
        Self {
            garage,
            writer,
            port,
            token: token.into(),
            requests: Arc::new(Semaphore::new(REQUESTS_MAX)),
            streams: Arc::new(Semaphore::new(STREAMS_MAX)),
            strangers: Arc::new(Semaphore::new(STRANGERS_MAX)),
            phones: None,
            photo_bodies: Arc::new(Semaphore::new(PHOTO_BODIES_MAX)),
            photo: Arc::new(Semaphore::new(1)),
            kinds: Arc::default(),
            own: crate::own::Kept::default(),
            headers: Arc::default(),
            leaving,
        }
    }

    /// Serves the garage's network too.
    pub(crate) fn with_phones(self, phones: Option<Arc<Phones>>) -> Self {
        Self { phones, ..self }
    }

    /// Gives how often this garage used which kind of fixing; counted once, so that buttons keep
    /// their places.
    pub(crate) async fn kinds_used(&self) -> &[(String, u64)] {
        let garage = self.garage.clone();
        let count = || async move {
            let counted = tokio::task::spawn_blocking(move || before::kinds_used(&garage)).await;
            // Not counted: then the fixed order holds.
            counted.unwrap_or_default()
        };
        self.kinds.get_or_init(count).await
    }

    /// Gives what falls due after jobs that were handed over.
    pub(crate) async fn due(&self) -> Vec<crate::due::Due> {
        let (garage, headers) = (self.garage.clone(), Arc::clone(&self.headers));
        let read = tokio::task::spawn_blocking(move || {
            let mut headers = headers.lock().unwrap_or_else(PoisonError::into_inner);
            crate::due::due_again(&garage, &mut headers)
        });
        read.await.unwrap_or_default()
    }

    /// Gives the letter that the bags of a job carry; none where the garage cannot be read.
    pub(crate) async fn letter(&self, room: &Room) -> String {
        let (garage, id) = (self.garage.clone(), room.id.as_str().to_owned());
        let read = tokio::task::spawn_blocking(move || crate::other_jobs::letter(&garage, &id));
        read.await.unwrap_or_default()
    }

    /// Gives the room of a job with its list as of everything that was recorded by now.
    ///
    /// # Errors
    /// Says why there is no such job.
    pub(crate) async fn seen(&self, job: &str) -> Result<(Arc<Room>, Arc<Snapshot>), Refusal> {
        let room = self.room(job).await?;
        room.current().await;
        let snapshot = room.in_garage(&self.own.now(&self.garage));
        Ok((room, snapshot))
    }

    /// Gives the room of a job named in an address.
    pub(crate) async fn room(&self, job: &str) -> Result<Arc<Room>, Refusal> {
        let asked: String = job.chars().take(80).collect();
        let id = JobId::new(job)
            .map_err(|_| Refusal::not_found(format!("There is no job \"{asked}\".")))?;
        self.writer.open(id).await.map_err(|trouble| match trouble {
            Trouble::NoJob(sentence) => Refusal::not_found(sentence),
            other => Refusal::of(&other),
        })
    }
}
