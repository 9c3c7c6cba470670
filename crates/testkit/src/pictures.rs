//! Pictures as cameras write them, with time, turn and place hidden in the file.

use jpeg_encoder::{ColorType, Encoder};

/// What a made picture says about itself in its hidden data.
#[derive(Clone, Copy, Debug, Default)]
pub struct Hidden<'a> {
    /// How the camera was turned: 1 to 8 (EXIF "Orientation").
    pub turn: Option<u16>,
    /// The camera's time, as "2026:11:25 10:00:00".
    pub time: Option<&'a str>,
    /// How far its clock is ahead of UTC, as "+01:00".
    pub offset: Option<&'a str>,
    /// Where it was taken: a text that must not be found again.
    pub place: Option<&'a str>,
}

/// Makes a JPEG file whose quarters have four colours: red and green above, blue and white below.
/// `number` makes pictures of one size different.
pub fn jpeg(width: u16, height: u16, number: u8, hidden: Hidden<'_>) -> Vec<u8> {
    let mut pixels = Vec::with_capacity(usize::from(width) * usize::from(height) * 3);
    for y in 0..height {
        for x in 0..width {
            let colour = match (x < width / 2, y < height / 2) {
                (true, true) => [220, number, 0],
                (false, true) => [0, 200, number],
                (true, false) => [0, number, 220],
                (false, false) => [250, 250, 250],
            };
            pixels.extend(colour);
        }
    }
    let mut file = Vec::new();
    let mut encoder = Encoder::new(&mut file, 92);
    let data = exif(hidden);
    encoder.add_exif_metadata(&data).expect("BUG: hidden data is short");
    encoder.encode(&pixels, width, height, ColorType::Rgb).expect("BUG: the sizes agree");
    file
}

/// An entry of a directory: its tag, and its value.
enum Value<'a> {
    Short(u16),
    Text(&'a str),
    Directory(Vec<(u16, Value<'a>)>),
}

/// Hidden data (EXIF, a TIFF structure with big numbers first).
fn exif(hidden: Hidden<'_>) -> Vec<u8> {
    let text = |tag: u16, text| Option::map(text, |text| (tag, Value::Text(text)));
    let shot = [text(0x9003, hidden.time), text(0x9011, hidden.offset)];
    let place = [text(0x001b, hidden.place)];
    let mut first = vec![(0x010f, Value::Text("Nobody's camera"))];
    first.extend(hidden.turn.map(|turn| (0x0112, Value::Short(turn))));
    first.push((0x8769, Value::Directory(shot.into_iter().flatten().collect())));
    first.push((0x8825, Value::Directory(place.into_iter().flatten().collect())));
    let mut bytes = b"MM\0*\0\0\0\x08".to_vec();
    directory(&mut bytes, &first);
    bytes
}

/// Writes a directory at the end, and after it what does not fit into its entries.
fn directory(bytes: &mut Vec<u8>, entries: &[(u16, Value<'_>)]) {
    let short = |length: usize| u32::try_from(length).expect("BUG: hidden data is short");
    let after = bytes.len() + 2 + entries.len() * 12 + 4;
    let mut tail: Vec<u8> = Vec::new();
    bytes.extend(u16::try_from(entries.len()).expect("BUG: few entries").to_be_bytes());
    for (tag, value) in entries {
        let place = after + tail.len();
        bytes.extend(tag.to_be_bytes());
        match value {
            Value::Short(number) => {
                bytes.extend([0, 3, 0, 0, 0, 1]);
                bytes.extend(number.to_be_bytes());
                bytes.extend([0, 0]);
            }
            Value::Text(text) => {
                assert!(text.len() > 3, "a shorter text stands in the entry itself");
                bytes.extend([0, 2]);
                bytes.extend(short(text.len() + 1).to_be_bytes());
                bytes.extend(short(place).to_be_bytes());
                tail.extend(text.bytes());
                tail.push(0);
            }
            Value::Directory(inner) => {
                bytes.extend([0, 4, 0, 0, 0, 1]);
                bytes.extend(short(place).to_be_bytes());
                let mut whole = vec![0; place];
                directory(&mut whole, inner);
                tail.extend(&whole[place..]);
            }
        }
    }
    bytes.extend([0; 4]);
    bytes.extend(tail);
}
