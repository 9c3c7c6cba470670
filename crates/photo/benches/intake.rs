//! How soon a phone's picture is usable: 12 megapixels to what a job keeps of it.
//! `cargo bench -p lastbolt-photo` prints the table of `docs/performance.md`.

use std::time::Instant;

use image::{Rgb, RgbImage};
use lastbolt_photo::take_in;

const ROUNDS: usize = 9;

#[allow(clippy::print_stdout, reason = "a bench prints its table")]
fn main() {
    println!("megapixels | file kB | kept kB | small kB | median ms | most ms");
    for (width, height) in [(1600_u32, 1200_u32), (4000, 3000), (8000, 6000)] {
        // Edges and grain at every scale, as in a picture of an engine.
        let picture = RgbImage::from_fn(width, height, |x, y| {
            let grain = (x.wrapping_mul(2_654_435_761) ^ y.wrapping_mul(40_503)) >> 11 & 31;
            let edge = if (x / 37 + y / 53) % 3 == 0 { 120 } else { 0 };
            let value =
                |k: u32| u8::try_from((x * k / 61 + y / k + edge + grain) % 256).unwrap_or(0);
            Rgb([value(1), value(2), value(3)])
        });
        let mut file = Vec::new();
        let encoder = jpeg_encoder::Encoder::new(&mut file, 90);
        let (w, h) = (u16::try_from(width).unwrap_or(1), u16::try_from(height).unwrap_or(1));
        encoder
            .encode(picture.as_raw(), w, h, jpeg_encoder::ColorType::Rgb)
            .expect("the sizes agree");
        drop(picture);
        let mut times = Vec::new();
        let mut sizes = (0, 0);
        for _ in 0..ROUNDS {
            let start = Instant::now();
            let photo = take_in(&file).expect("it is a picture");
            times.push(start.elapsed().as_secs_f64() * 1000.0);
            sizes = (photo.image.len() / 1024, photo.small.len() / 1024);
        }
        times.sort_by(f64::total_cmp);
        let millions = f64::from(width) * f64::from(height) / 1e6;
        println!(
            "{millions:.1} | {} | {} | {} | {:.0} | {:.0}",
            file.len() / 1024,
            sizes.0,
            sizes.1,
            times[ROUNDS / 2],
            times[ROUNDS - 1]
        );
    }
}
