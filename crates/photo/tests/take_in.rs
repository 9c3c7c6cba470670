//! What a job keeps of a picture: upright, small, nameless, and only if it is one.

#![allow(clippy::unwrap_used, reason = "a test ends where something is not as it should be")]

use image::{DynamicImage, ImageFormat, Rgb, RgbImage};
use lastbolt_photo::{
    BYTES_MAX, Photo, PhotoError, SIDE_MAX, SMALL_SIDE_MAX, Taken, name_of, take_in,
};
use lastbolt_testkit::pictures::{Hidden, jpeg};

const PLACE: &str = "somewhere that is nobody's business";

fn open(bytes: &[u8]) -> RgbImage {
    image::load_from_memory(bytes).unwrap().into_rgb8()
}

/// The colours of the four quarters as letters: above from left, below from left.
fn quarters(picture: &RgbImage) -> String {
    let (width, height) = picture.dimensions();
    let letter = |x: u32, y: u32| {
        let Rgb([r, g, b]) = *picture.get_pixel(x, y);
        match (r > 128, g > 128, b > 128) {
            (true, false, false) => 'r',
            (false, true, false) => 'g',
            (false, false, true) => 'b',
            (true, true, true) => 'w',
            _ => '?',
        }
    };
    let (left, right) = (width / 4, width * 3 / 4);
    let (above, below) = (height / 4, height * 3 / 4);
    [letter(left, above), letter(right, above), letter(left, below), letter(right, below)]
        .iter()
        .collect()
}

/// All eight turns of a camera, by the table of the standard (JEITA CP-3451, "Orientation"): where
/// row 0 and column 0 of the file belong. A reader that ignores the turn must fail.
#[test]
fn turned_upright() {
    let upright = [
        (1, "rgbw"),
        (2, "grwb"),
        (3, "wbgr"),
        (4, "bwrg"),
        (5, "rbgw"),
        (6, "brwg"),
        (7, "wgbr"),
        (8, "gwrb"),
    ];
    for (turn, wanted) in upright {
        let file = jpeg(96, 64, 0, Hidden { turn: Some(turn), ..Hidden::default() });
        let photo = take_in(&file).unwrap();
        assert_eq!(quarters(&open(&photo.image)), wanted, "turn {turn}");
        assert_eq!(quarters(&open(&photo.small)), wanted, "turn {turn}, small");
        let wide = turn < 5;
        assert_eq!((photo.width, photo.height), if wide { (96, 64) } else { (64, 96) });
        if turn != 1 {
            assert_ne!(quarters(&open(&file)), wanted, "the file itself is turned");
        }
    }
    for odd in [0, 9, 300] {
        let file = jpeg(96, 64, 0, Hidden { turn: Some(odd), ..Hidden::default() });
        assert_eq!(quarters(&open(&take_in(&file).unwrap().image)), "rgbw");
    }
}

/// What tells about a person in a kept picture.
fn tells(bytes: &[u8]) -> Vec<&'static str> {
    let has = |text: &str| bytes.windows(text.len()).any(|part| part == text.as_bytes());
    let all = [(PLACE, "the place"), ("Nobody's camera", "the camera"), ("Exif", "hidden data")];
    all.into_iter().filter(|(text, _)| has(text)).map(|(_, what)| what).collect()
}

/// Place, camera and everything else that is hidden is gone. The wrong twin, which keeps the file
/// as it came where that is small enough, is caught.
#[test]
fn hidden_data_is_gone() {
    let hidden = Hidden { turn: Some(6), place: Some(PLACE), ..Hidden::default() };
    let file = jpeg(96, 64, 0, hidden);
    let photo = take_in(&file).unwrap();
    assert_eq!(tells(&photo.image), Vec::<&str>::new());
    assert_eq!(tells(&photo.small), Vec::<&str>::new());
    let wrong_twin = |bytes: &[u8]| Photo {
        name: name_of(bytes),
        image: bytes.to_vec(),
        small: bytes.to_vec(),
        ..photo.clone()
    };
    assert_eq!(tells(&wrong_twin(&file).image), ["the place", "the camera", "hidden data"]);
}

#[test]
fn made_smaller_and_never_larger() {
    let sizes = [
        ((2000, 1000), (1600, 800), (320, 160)),
        ((1000, 3000), (533, 1600), (107, 320)),
        ((1600, 1600), (1600, 1600), (320, 320)),
        ((40, 30), (40, 30), (40, 30)),
        ((1, 1), (1, 1), (1, 1)),
        ((20_000, 3), (1600, 1), (320, 1)),
    ];
    for ((width, height), wanted, small) in sizes {
        let photo = take_in(&jpeg(width, height, 0, Hidden::default())).unwrap();
        assert_eq!((photo.width, photo.height), wanted);
        assert_eq!(open(&photo.image).dimensions(), wanted);
        assert_eq!(open(&photo.small).dimensions(), small);
        assert!(
            photo.width.max(photo.height) <= SIDE_MAX && small.0.max(small.1) <= SMALL_SIDE_MAX
        );
    }
}

/// One name for one content, and the name is what it says; a published value for the sum:
/// FIPS 180-4's example "abc".
#[test]
fn named_by_content() {
    let abc = "ba7816bf8f01cfea414140de5dae2223b00361a396177a9cb410ff61f20015ad";
    assert_eq!(name_of(b"abc"), abc);
    let of = |number| take_in(&jpeg(64, 48, number, Hidden::default())).unwrap();
    assert_eq!(of(0), of(0));
    assert_ne!(of(0).name, of(60).name);
    assert_eq!(of(0).name, name_of(&of(0).image));
    let turned = Hidden { time: Some("2026:11:25 10:00:00"), ..Hidden::default() };
    assert_eq!(take_in(&jpeg(64, 48, 0, turned)).unwrap().name, of(0).name, "only pixels count");
}

/// 2026-11-25 10:00:00 is 1795600800 seconds after 1970 began.
const AT_MS: i64 = 1_795_600_800_000;

#[test]
fn time_taken() {
    let taken = |time, offset| {
        let hidden = Hidden { time: Some(time), offset, ..Hidden::default() };
        take_in(&jpeg(64, 48, 0, hidden)).unwrap().taken
    };
    let plain = taken("2026:11:25 10:00:00", None).unwrap();
    assert_eq!(plain, Taken { local_ms: AT_MS, minutes_east: None });
    assert_eq!(plain.at_ms(60), AT_MS - 3_600_000, "as the phone's clock says");
    let east = taken("2026:11:25 10:00:00", Some("+05:30")).unwrap();
    assert_eq!(east.at_ms(60), AT_MS - 330 * 60_000, "the picture knows better than the phone");
    let west = taken("2026:11:25 10:00:00", Some("-03:00")).unwrap();
    assert_eq!(west.at_ms(60), AT_MS + 180 * 60_000);
    assert_eq!(taken("2026:11:25 10:00:00", Some("      ")), Some(plain));
    assert_eq!(taken("2026:11:25 10:00:00", Some("+99:00")), Some(plain));
    for never in ["0000:00:00 00:00:00", "2026:02:30 10:00:00", "yesterday evening", "2026:11"] {
        assert_eq!(taken(never, None), None, "{never}");
    }
    assert_eq!(take_in(&jpeg(64, 48, 0, Hidden::default())).unwrap().taken, None);
}

fn written(picture: &DynamicImage, format: ImageFormat) -> Vec<u8> {
    let mut file = std::io::Cursor::new(Vec::new());
    picture.write_to(&mut file, format).unwrap();
    file.into_inner()
}

#[test]
fn other_kinds() {
    let rgb = open(&jpeg(96, 64, 0, Hidden::default()));
    let pictures = [
        DynamicImage::ImageRgb8(rgb.clone()),
        DynamicImage::ImageRgb8(rgb.clone()).into_rgba8().into(),
        DynamicImage::ImageRgb8(rgb.clone()).into_rgb16().into(),
    ];
    for picture in &pictures {
        let photo = take_in(&written(picture, ImageFormat::Png)).unwrap();
        assert_eq!(quarters(&open(&photo.image)), "rgbw");
        assert_eq!(&photo.image[..2], [0xff, 0xd8], "everything is kept as JPEG");
    }
    let photo = take_in(&written(&pictures[0], ImageFormat::WebP)).unwrap();
    assert_eq!(quarters(&open(&photo.image)), "rgbw");
    let grey = DynamicImage::ImageRgb8(rgb).into_luma8();
    let photo = take_in(&written(&grey.into(), ImageFormat::Jpeg)).unwrap();
    assert_eq!((photo.width, photo.height), (96, 64));
}

/// A picture that did not come over whole is not kept, wherever it was cut.
#[test]
fn cut_off() {
    let rgb = DynamicImage::ImageRgb8(open(&jpeg(96, 64, 0, Hidden::default())));
    for format in [ImageFormat::Jpeg, ImageFormat::Png, ImageFormat::WebP] {
        let file = written(&rgb, format);
        assert!(take_in(&file).is_ok());
        // PNG's last chunk (12 bytes) says only that the picture has ended.
        let end = if format == ImageFormat::Png { file.len() - 12 } else { file.len() };
        for length in 12..end - 4 {
            let error = take_in(&file[..length]).unwrap_err();
            assert!(
                matches!(error, PhotoError::CutOff | PhotoError::Damaged),
                "{format:?} cut at {length} of {}: {error}",
                file.len()
            );
        }
    }
    // What phones put after the picture does no harm.
    let mut tail = jpeg(96, 64, 0, Hidden::default());
    tail.extend(b"\0\0\0\x18ftypmp42 and a film");
    assert!(take_in(&tail).is_ok());
}

/// A small file that says it is huge is refused before anything is unpacked.
#[test]
fn huge_ones() {
    let mut file = jpeg(96, 64, 0, Hidden::default());
    // The frame header (FF C0, or C2): length, precision, height, width.
    let frame = file.windows(2).position(|w| w == [0xff, 0xc0] || w == [0xff, 0xc2]).unwrap();
    file[frame + 5..frame + 9].copy_from_slice(&[0xff, 0xff, 0xff, 0xff]);
    let huge = PhotoError::TooManyPixels { width: 65_535, height: 65_535 };
    assert_eq!(take_in(&file).unwrap_err(), huge);
    assert!(huge.to_string().contains("60 million"));
    let mut png = written(&RgbImage::new(3, 3).into(), ImageFormat::Png);
    png[16..24].copy_from_slice(&[0x00, 0x10, 0, 0, 0x00, 0x10, 0, 0]);
    // The sum of the header no longer fits; either way nothing is unpacked.
    let error = take_in(&png).unwrap_err();
    assert!(matches!(error, PhotoError::TooManyPixels { .. } | PhotoError::Damaged), "{error}");
    assert_eq!(take_in(&vec![0xff; BYTES_MAX + 1]).unwrap_err(), PhotoError::TooManyBytes);
}

/// Hidden data that leads in circles or out of the file gives no time, and does no harm.
#[test]
fn hostile_hidden_data() {
    let hidden = Hidden {
        turn: Some(6),
        time: Some("2026:11:25 10:00:00"),
        offset: Some("+01:00"),
        place: Some(PLACE),
    };
    let file = jpeg(96, 64, 0, hidden);
    let start = file.windows(6).position(|part| part == b"Exif\0\0").unwrap() + 6;
    let end = file.windows(PLACE.len()).position(|part| part == PLACE.as_bytes()).unwrap();
    for at in start..end {
        for value in [0x00, 0x08, 0x7f, 0xff] {
            let mut bad = file.clone();
            bad[at] = value;
            let photo = take_in(&bad).unwrap();
            assert_eq!(tells(&photo.image), Vec::<&str>::new(), "byte {at}");
        }
    }
}

mod noise {
    use super::*;
    use proptest::prelude::*;

    proptest! {
        #![proptest_config(ProptestConfig { cases: 300, ..ProptestConfig::default() })]

        /// Nothing that comes over the network may end the program.
        #[test]
        fn never_panics(
            kind in 0_usize..4,
            changes in prop::collection::vec((any::<prop::sample::Index>(), any::<u8>()), 1..12),
        ) {
            let rgb = DynamicImage::ImageRgb8(open(&jpeg(48, 32, 0, Hidden::default())));
            let mut file = match kind {
                0 => jpeg(48, 32, 0, Hidden { turn: Some(3), ..Hidden::default() }),
                1 => written(&rgb, ImageFormat::Png),
                2 => written(&rgb, ImageFormat::WebP),
                _ => written(&rgb.to_luma8().into(), ImageFormat::Jpeg),
            };
            for (at, value) in changes {
                let at = at.index(file.len());
                file[at] = value;
            }
            if let Err(error) = take_in(&file) {
                prop_assert!(error.to_string().ends_with('.'));
            }
        }
    }
}
