//! The address of a joint's card.

use axum::Router;
use axum::extract::{Path, Query, State};
use axum::response::Response;
use axum::routing::get;
use lastbolt_job::{joint, owned};

use crate::hall::Hall;
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
    let card = joint(&snapshot, thing, held.as_ref()).ok_or_else(|| {
        let thing: String = thing.chars().take(80).collect();
        Refusal::not_found(format!(
            "No file says how \"{thing}\" is tightened; its card is in the maker's book."
        ))
    })?;
    // The wrenches that are in the garage now; a garage without any has those of the job's copy.
    let own = hall.own.now(&hall.garage);
    let has_any = !own.spec.wrenches.is_empty();
    let spec = if has_any { &own.spec } else { &snapshot.case.model.garage };
    let owned = owned(spec, held.as_ref());
    Ok(page(pages::joint::page(&room, &room.screen(&snapshot), &card, &owned, held.as_ref())))
}
