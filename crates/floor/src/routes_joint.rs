//! The address of a joint's card.

use axum::Router;
use axum::extract::{Path, Query, State};
use axum::response::Response;
use axum::routing::get;
use lastbolt_job::{joint, joint_study, owned};

use crate::clock::now_ms;
use crate::hall::Hall;
use crate::limits::{STUDY_JOINTS, STUDY_SCREWS, STUDY_SEED};
use crate::pages;
use crate::reply::{AsPage, Refusal};
use crate::routes::page;

/// The addresses of joints, not guarded.
pub(crate) fn routes() -> Router<Hall> {
    Router::new().route("/job/{job}/joint", get(card))
}

async fn card(
    State(hall): State<Hall>,
    Path(job): Path<String>,
    Query(asked): Query<pages::joint::Asked>,
) -> Result<Response, AsPage> {
    let thing = asked.thing.as_deref().unwrap_or_default();
    let (room, snapshot) = hall.seen(&job).await?;
    let held = asked.held();
    let now_ms = now_ms();
    let card = joint(&snapshot, thing, held.as_ref(), now_ms).ok_or_else(|| {
        let thing: String = thing.chars().take(80).collect();
        Refusal::not_found(format!(
            "No file says how \"{thing}\" is tightened; its card is in the maker's book."
        ))
    })?;
    let owned = owned(snapshot.garage(), held.as_ref(), now_ms);
    let joints = if card.pieces > STUDY_SCREWS { STUDY_JOINTS / 10 } else { STUDY_JOINTS };
    let study = joint_study(&snapshot, thing, joints, STUDY_SEED).and_then(Result::ok);
    let beside = pages::joint::Beside { owned: &owned, held: held.as_ref(), study };
    Ok(page(pages::joint::page(&room, &room.screen(&snapshot), &card, &beside)))
}
