//! Pictures: taken in one at a time, and given out.

use std::collections::HashSet;

use axum::body::{Body, to_bytes};
use axum::extract::{Path, State};
use axum::http::header::{CACHE_CONTROL, CONTENT_TYPE};
use axum::http::{HeaderMap, StatusCode};
use axum::response::{IntoResponse, Response};
use lastbolt_job::Photo;
use lastbolt_photo::{BYTES_MAX, PhotoError, take_in};
use lastbolt_store::{JobId, PhotoSize, Photos, StoreError};
use serde_json::Value;

use crate::hall::Hall;
use crate::reply::{AsJson, AsPage, Refusal};
use crate::routes::data;
use crate::wire::photos::{Said, answer};
use crate::writer::Trouble;

/// `POST /api/job/{job}/photos`: one picture as the body. It is kept before it is answered; an
/// entry that mentions it comes afterwards, by the endpoint for events.
pub(crate) async fn keep(
    State(hall): State<Hall>,
    Path(job): Path<String>,
    headers: HeaderMap,
    body: Body,
) -> Result<Response, AsJson> {
    let room = hall.room(&job).await?;
    let leaving = || Refusal::of(&Trouble::Leaving);
    let _body = hall.photo_bodies.acquire().await.map_err(|_| leaving())?;
    let bytes = to_bytes(body, BYTES_MAX).await.map_err(|_| too_large())?;
    let said = Said::of(&headers);
    let photos = hall.garage.photos(&room.id);
    let turn = hall.photo.clone().acquire_owned().await.map_err(|_| leaving())?;
    let work = tokio::task::spawn_blocking(move || {
        let _turn = turn;
        keep_one(&bytes, &said, &photos)
    });
    // A picture that breaks the reader is refused like one that is broken itself.
    let kept = work.await.unwrap_or_else(|_| Err(of_photo(&PhotoError::Damaged)))?;
    Ok(data(kept))
}

fn keep_one(bytes: &[u8], said: &Said, photos: &Photos) -> Result<Value, Refusal> {
    let photo = take_in(bytes).map_err(|error| of_photo(&error))?;
    let is_new =
        photos.keep(&photo.name, &photo.image, &photo.small).map_err(|error| of_store(&error))?;
    Ok(answer(&photo, said, is_new))
}

/// `GET /job/{job}/photo/{photo}`.
pub(crate) async fn whole(
    State(hall): State<Hall>,
    Path((job, photo)): Path<(String, String)>,
) -> Result<Response, AsPage> {
    Ok(file(&hall, &job, photo, PhotoSize::Whole).await?)
}

/// `GET /job/{job}/photo/{photo}/small`.
pub(crate) async fn small(
    State(hall): State<Hall>,
    Path((job, photo)): Path<(String, String)>,
) -> Result<Response, AsPage> {
    Ok(file(&hall, &job, photo, PhotoSize::Small).await?)
}

async fn file(hall: &Hall, job: &str, photo: String, size: PhotoSize) -> Result<Response, Refusal> {
    let missing = || Refusal::not_found("There is no such photo in this job's folder.");
    let photos = hall.garage.photos(&JobId::new(job).map_err(|_| missing())?);
    let read = tokio::task::spawn_blocking(move || photos.read(&photo, size));
    let read = read.await.map_err(|_| missing())?;
    let bytes = match read {
        Ok(bytes) => bytes.ok_or_else(missing)?,
        Err(StoreError::Refused { .. }) => return Err(missing()),
        Err(error) => return Err(of_store(&error)),
    };
    // Named by its content: it is the same for as long as there is anything at this address.
    let keep = "private, max-age=31536000, immutable";
    Ok(([(CONTENT_TYPE, "image/jpeg"), (CACHE_CONTROL, keep)], bytes).into_response())
}

/// Tells which photos are mentioned and not there, by name.
pub(crate) async fn missing(hall: &Hall, job: &JobId, all: &[Photo]) -> HashSet<String> {
    let photos = hall.garage.photos(job);
    let names: Vec<String> = all.iter().map(|photo| photo.photo.clone()).collect();
    let looked = tokio::task::spawn_blocking(move || {
        names.into_iter().filter(|name| !photos.has(name)).collect()
    });
    looked.await.unwrap_or_default()
}

pub(crate) fn too_large() -> Refusal {
    of_photo(&PhotoError::TooManyBytes)
}

fn of_photo(error: &PhotoError) -> Refusal {
    let status = match error {
        PhotoError::TooManyBytes | PhotoError::TooManyPixels { .. } => {
            StatusCode::PAYLOAD_TOO_LARGE
        }
        PhotoError::Heic | PhotoError::Other { .. } | PhotoError::NotAPicture => {
            StatusCode::UNSUPPORTED_MEDIA_TYPE
        }
        _ => StatusCode::UNPROCESSABLE_ENTITY,
    };
    Refusal::new(status, error.to_string())
}

fn of_store(error: &StoreError) -> Refusal {
    let status = match error {
        StoreError::Refused { .. } => StatusCode::CONFLICT,
        _ => StatusCode::INTERNAL_SERVER_ERROR,
    };
    Refusal::new(status, error.to_string())
}
