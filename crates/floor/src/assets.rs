//! The fixed files of the pages: style, scripts, the sign. Built in; their address carries a check
//! sum, so that a browser keeps them for as long as they are the same.

use std::sync::LazyLock;

use axum::extract::Path;
use axum::http::header::{CACHE_CONTROL, CONTENT_TYPE};
use axum::response::{IntoResponse, Response};

use crate::reply::Refusal;

struct Asset {
    name: &'static str,
    kind: &'static str,
    text: &'static str,
}

macro_rules! asset {
    ($name:literal, $kind:literal) => {
        Asset { name: $name, kind: $kind, text: include_str!(concat!("../assets/", $name)) }
    };
}

const ASSETS: &[Asset] = &[
    asset!("floor.css", "text/css; charset=utf-8"),
    asset!("no-scripts.css", "text/css; charset=utf-8"),
    asset!("take.css", "text/css; charset=utf-8"),
    asset!("phones.css", "text/css; charset=utf-8"),
    asset!("paper.css", "text/css; charset=utf-8"),
    asset!("print.js", "text/javascript; charset=utf-8"),
    asset!("ask.js", "text/javascript; charset=utf-8"),
    asset!("away.js", "text/javascript; charset=utf-8"),
    asset!("let-in.js", "text/javascript; charset=utf-8"),
    asset!("person.js", "text/javascript; charset=utf-8"),
    asset!("phones.js", "text/javascript; charset=utf-8"),
    asset!("begin.js", "text/javascript; charset=utf-8"),
    asset!("clock.js", "text/javascript; charset=utf-8"),
    asset!("hand.js", "text/javascript; charset=utf-8"),
    asset!("garage.css", "text/css; charset=utf-8"),
    asset!("garage.js", "text/javascript; charset=utf-8"),
    asset!("lists.css", "text/css; charset=utf-8"),
    asset!("joint.css", "text/css; charset=utf-8"),
    asset!("lists.js", "text/javascript; charset=utf-8"),
    asset!("panel.js", "text/javascript; charset=utf-8"),
    asset!("scribe.js", "text/javascript; charset=utf-8"),
    asset!("together.js", "text/javascript; charset=utf-8"),
    asset!("take.js", "text/javascript; charset=utf-8"),
    asset!("floor.js", "text/javascript; charset=utf-8"),
    asset!("outbox.js", "text/javascript; charset=utf-8"),
    asset!("patch.js", "text/javascript; charset=utf-8"),
    asset!("joint.js", "text/javascript; charset=utf-8"),
    asset!("stream.js", "text/javascript; charset=utf-8"),
    asset!("screen.js", "text/javascript; charset=utf-8"),
    asset!("sheet.js", "text/javascript; charset=utf-8"),
    asset!("keys.js", "text/javascript; charset=utf-8"),
    asset!("photos.js", "text/javascript; charset=utf-8"),
    asset!("taken.js", "text/javascript; charset=utf-8"),
    asset!("waiting.js", "text/javascript; charset=utf-8"),
    asset!("times.js", "text/javascript; charset=utf-8"),
    asset!("sign.svg", "image/svg+xml"),
];

/// The check sum of all assets: 64-bit FNV-1a, enough to tell two builds apart.
static VERSION: LazyLock<String> = LazyLock::new(|| {
    let bytes = ASSETS.iter().flat_map(|asset| asset.text.bytes());
    let sum = bytes.fold(0xcbf2_9ce4_8422_2325_u64, |sum, byte| {
        (sum ^ u64::from(byte)).wrapping_mul(0x0100_0000_01b3)
    });
    format!("{sum:016x}")
});

/// Gives the address of an asset.
pub(crate) fn address(name: &str) -> String {
    format!("/asset/{}/{name}", *VERSION)
}

/// The texts of the scripts, for the tests that read them.
#[cfg(test)]
pub(crate) fn scripts() -> Vec<(&'static str, &'static str)> {
    let scripts = ASSETS.iter().filter(|asset| asset.name.ends_with(".js"));
    scripts.map(|asset| (asset.name, asset.text)).collect()
}

/// `GET /asset/VERSION/NAME`.
pub(crate) async fn asset(Path((version, name)): Path<(String, String)>) -> Response {
    let Some(asset) = ASSETS.iter().find(|asset| asset.name == name) else {
        return Refusal::not_found("There is nothing at this address.").page();
    };
    // An old page asks for what this build no longer has: it gets the new one, and does not keep
    // it under the old address.
    let keep = if version == *VERSION { "max-age=31536000, immutable" } else { "no-store" };
    ([(CONTENT_TYPE, asset.kind), (CACHE_CONTROL, keep)], asset.text).into_response()
}
