//! The one writer: a thread that owns the databases, puts waiting events into one transaction,
//! and answers after the commit.

use std::collections::HashMap;
use std::sync::Arc;
use std::sync::mpsc::{Receiver, Sender, SyncSender, TrySendError, sync_channel};
use std::thread::{self, JoinHandle};

use lastbolt_job::{Case, KeptPlan as KeptList, Picture, read_case};
use lastbolt_ledger::{Accepted, Event, Recorded};
use lastbolt_machine::Level;
use lastbolt_store::{BATCH_MAX, Garage, Job, JobId, KeptPlan};
use tokio::sync::oneshot;

use crate::clock::now_ms;
use crate::limits::{BATCH_REQUESTS_MAX, NODES, QUEUE_MAX, ROOMS_MAX};
use crate::planner;
use crate::room::Room;

/// Why the writer did not do it, with a sentence.
#[derive(Clone, Debug, PartialEq, Eq)]
pub(crate) enum Trouble {
    /// There is no such job, or it cannot be used.
    NoJob(String),
    /// Too much is waiting: to be sent again in a moment.
    Busy,
    /// The disk did not keep it: nothing was recorded.
    Disk(String),
    /// The server is about to end.
    Leaving,
}

impl Trouble {
    pub(crate) fn sentence(&self) -> String {
        match self {
            Self::NoJob(sentence) | Self::Disk(sentence) => sentence.clone(),
            Self::Busy => "Too much is waiting to be written; send it again in a moment.".into(),
            Self::Leaving => "The server is about to end; send it again when it is back.".into(),
        }
    }
}

type Answer<T> = oneshot::Sender<Result<T, Trouble>>;

enum Order {
    Open { job: JobId, answer: Answer<Arc<Room>> },
    Append { job: JobId, events: Vec<Event>, answer: Answer<Vec<Accepted>> },
    KeepPlan { job: JobId, plan: KeptPlan },
    KeepPort { job: JobId, port: u16 },
    Leave,
}

/// Gives orders to the writer's thread.
#[derive(Clone)]
pub(crate) struct Writer {
    orders: SyncSender<Order>,
}

/// A job that the writer holds open.
struct Desk {
    job: Job,
    room: Arc<Room>,
    planner: Sender<Vec<Recorded>>,
}

impl Writer {
    /// Starts the thread; it ends after [`Writer::leave`].
    ///
    /// # Errors
    /// Fails when the system gives no thread.
    pub(crate) fn start(garage: Garage) -> std::io::Result<(Self, JoinHandle<()>)> {
        let (orders, receiver) = sync_channel(QUEUE_MAX);
        let writer = Self { orders };
        let own = writer.clone();
        let thread = thread::Builder::new().name("lastbolt writer".into()).spawn(move || {
            Table { garage, desks: HashMap::new(), own }.work(&receiver);
        })?;
        Ok((writer, thread))
    }

    /// Ends the thread when what waits has been done. Blocks while the queue is full.
    pub(crate) fn leave(&self) {
        let _ = self.orders.send(Order::Leave);
    }

    /// Opens a job, once; later calls give the same room.
    pub(crate) async fn open(&self, job: JobId) -> Result<Arc<Room>, Trouble> {
        self.ask(|answer| Order::Open { job, answer }).await
    }

    /// Records events, and answers when they are on the disk.
    pub(crate) async fn append(
        &self,
        job: JobId,
        events: Vec<Event>,
    ) -> Result<Vec<Accepted>, Trouble> {
        self.ask(|answer| Order::Append { job, events, answer }).await
    }

    /// Keeps a list, which can be made again: dropped where much is waiting.
    pub(crate) fn keep_plan(&self, job: JobId, plan: KeptPlan) {
        let _ = self.orders.try_send(Order::KeepPlan { job, plan });
    }

    /// Keeps the port of a job.
    pub(crate) fn keep_port(&self, job: JobId, port: u16) {
        let _ = self.orders.try_send(Order::KeepPort { job, port });
    }

    async fn ask<T>(&self, order: impl FnOnce(Answer<T>) -> Order) -> Result<T, Trouble> {
        let (answer, receiver) = oneshot::channel();
        match self.orders.try_send(order(answer)) {
            Ok(()) => receiver.await.unwrap_or(Err(Trouble::Leaving)),
            Err(TrySendError::Full(_)) => Err(Trouble::Busy),
            Err(TrySendError::Disconnected(_)) => Err(Trouble::Leaving),
        }
    }
}

/// What the thread owns.
struct Table {
    garage: Garage,
    desks: HashMap<JobId, Desk>,
    own: Writer,
}

/// A request that waits for its commit.
struct Waiting {
    events: Vec<Event>,
    answer: Answer<Vec<Accepted>>,
}

impl Table {
    fn work(&mut self, orders: &Receiver<Order>) {
        while let Ok(first) = orders.recv() {
            let mut batch: Vec<(JobId, Vec<Waiting>)> = Vec::new();
            let mut next = Some(first);
            let mut leaving = false;
            for _ in 0..BATCH_REQUESTS_MAX {
                let Some(order) = next.take().or_else(|| orders.try_recv().ok()) else { break };
                if matches!(order, Order::Leave) {
                    leaving = true;
                    break;
                }
                self.take(order, &mut batch);
            }
            for (job, waiting) in batch {
                self.append(&job, waiting);
            }
            if leaving {
                return;
            }
        }
    }

    fn take(&mut self, order: Order, batch: &mut Vec<(JobId, Vec<Waiting>)>) {
        match order {
            Order::Open { job, answer } => {
                let room = self.desk(&job).map(|desk| desk.room.clone());
                let _ = answer.send(room);
            }
            Order::Append { job, events, answer } => {
                let waiting = Waiting { events, answer };
                match batch.iter_mut().find(|(of, _)| *of == job) {
                    Some((_, all)) => all.push(waiting),
                    None => batch.push((job, vec![waiting])),
                }
            }
            Order::KeepPlan { job, plan } => {
                if let Ok(desk) = self.desk(&job) {
                    // Derived: one that is not kept is made again.
                    let _ = desk.job.keep_plan(&plan);
                }
            }
            Order::KeepPort { job, port } => {
                if let Ok(desk) = self.desk(&job) {
                    let _ = desk.job.set_port(port);
                }
            }
            Order::Leave => {}
        }
    }

    fn desk(&mut self, id: &JobId) -> Result<&mut Desk, Trouble> {
        if !self.desks.contains_key(id) {
            if self.desks.len() >= ROOMS_MAX {
                return Err(Trouble::NoJob(format!(
                    "{ROOMS_MAX} jobs are open already; end the server and open this one anew."
                )));
            }
            let desk = open(&self.garage, id, self.own.clone())?;
            self.desks.insert(id.clone(), desk);
        }
        self.desks.get_mut(id).ok_or(Trouble::Leaving)
    }

    /// Records what waits for one job, as many requests in one transaction as a batch may have.
    fn append(&mut self, id: &JobId, waiting: Vec<Waiting>) {
        let desk = match self.desk(id) {
            Ok(desk) => desk,
            Err(trouble) => {
                for one in waiting {
                    let _ = one.answer.send(Err(trouble.clone()));
                }
                return;
            }
        };
        let mut group: Vec<Waiting> = Vec::new();
        let mut count = 0;
        for one in waiting {
            if count + one.events.len() > BATCH_MAX {
                desk.append(std::mem::take(&mut group));
                count = 0;
            }
            count += one.events.len();
            group.push(one);
        }
        desk.append(group);
    }
}

impl Desk {
    fn append(&mut self, group: Vec<Waiting>) {
        let events: Vec<Event> = group.iter().flat_map(|one| one.events.clone()).collect();
        if events.is_empty() {
            for one in group {
                let _ = one.answer.send(Ok(Vec::new()));
            }
            return;
        }
        let before = self.job.log().last_seq();
        match self.job.append(&events, now_ms()) {
            Ok(answers) => {
                let mut answers = answers.into_iter();
                let new = self.job.events_since(before).to_vec();
                self.room.commit(&new);
                for one in group {
                    let own = answers.by_ref().take(one.events.len()).collect();
                    let _ = one.answer.send(Ok(own));
                }
                if !new.is_empty() {
                    let _ = self.planner.send(new);
                }
            }
            Err(error) => {
                let trouble = Trouble::Disk(format!("Nothing was recorded. {error}"));
                for one in group {
                    let _ = one.answer.send(Err(trouble.clone()));
                }
            }
        }
    }
}

fn open(garage: &Garage, id: &JobId, writer: Writer) -> Result<Desk, Trouble> {
    let unusable = |error: lastbolt_store::StoreError| Trouble::NoJob(error.to_string());
    let dir = garage.job_dir(id);
    if !dir.is_dir() {
        return Err(Trouble::NoJob(format!("There is no job \"{id}\" in this garage.")));
    }
    let job = garage.open_job(id.as_str()).map_err(unusable)?;
    // One that cannot be kept is worked out again.
    let _ = garage.keep_letter(&job);
    let title = job.title().map_err(unusable)?;
    let case = case_of(&job)?;
    let kept = job.kept_plan().map_err(unusable)?;
    let kept = kept.and_then(|plan| KeptList::from_text(&plan.text));
    let records = job.log().records().to_vec();
    let picture = Picture::of(Arc::new(case), records, kept, NODES);
    let room = Arc::new(Room::new(id.clone(), title, picture));
    let planner = planner::start(room.clone(), writer)
        .map_err(|error| Trouble::Disk(format!("The list cannot be worked out: {error}.")))?;
    Ok(Desk { job, room, planner })
}

/// Reads the case of a job from the files that it keeps.
fn case_of(job: &Job) -> Result<Case, Trouble> {
    let sources = job.sources().map_err(|error| Trouble::NoJob(error.to_string()))?;
    read_case(&sources).map(|read| read.case).map_err(|problems| {
        let first = problems.iter().find(|problem| problem.level == Level::Error);
        let first = first.map_or("no machine file", |problem| problem.message.as_str());
        Trouble::NoJob(format!("The files of this job cannot be read: {first}"))
    })
}
