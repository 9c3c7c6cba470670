// When a photo was taken, read on the phone from what the camera wrote into the file (EXIF), before
// the photo is made smaller here and that is lost. The server reads it again where it can.

const LOOKED_AT_BYTES = 128 * 1024;
const ENTRIES_MAX = 200;
const DIRECTORY = 0x8769;
const TIME = 0x9003;
const OFFSET = 0x9011;

// Gives milliseconds since 1970, UTC; null where the file does not say.
export async function takenAt(file) {
  try {
    const view = new DataView(await file.slice(0, LOOKED_AT_BYTES).arrayBuffer());
    return timeIn(view);
  } catch {
    // Cut short, or written by something that does not keep to the standard.
    return null;
  }
}

export function timeIn(view) {
  const start = hiddenAt(view);
  if (start === null) return null;
  const little = view.getUint16(start) === 0x4949;
  const first = entries(view, start, view.getUint32(start + 4, little), little);
  const inner = first.get(DIRECTORY);
  if (!inner) return null;
  const shot = entries(view, start, inner.value, little);
  return milliseconds(text(view, start, shot.get(TIME)), text(view, start, shot.get(OFFSET)));
}

// The place of the hidden data of a JPEG file.
function hiddenAt(view) {
  if (view.getUint16(0) !== 0xffd8) return null;
  for (let at = 2; at + 4 <= view.byteLength; at += 2 + view.getUint16(at + 2)) {
    const marker = view.getUint16(at);
    if (marker === 0xffe1 && view.getUint32(at + 4) === 0x45786966) return at + 10;
    if (marker === 0xffda || (marker & 0xff00) !== 0xff00) return null;
  }
  return null;
}

function entries(view, start, from, little) {
  const found = new Map();
  const count = Math.min(view.getUint16(start + from, little), ENTRIES_MAX);
  for (let number = 0; number < count; number += 1) {
    const at = start + from + 2 + number * 12;
    const tag = view.getUint16(at, little);
    const length = view.getUint32(at + 4, little);
    found.set(tag, { length, value: view.getUint32(at + 8, little) });
  }
  return found;
}

function text(view, start, entry) {
  if (!entry || entry.length < 5 || entry.length > 40) return '';
  let all = '';
  for (let at = 0; at < entry.length; at += 1) {
    const code = view.getUint8(start + entry.value + at);
    if (code === 0) break;
    all += String.fromCharCode(code);
  }
  return all;
}

// Without an offset the camera's clock is taken for this phone's.
function milliseconds(time, offset) {
  const parts = /^(\d{4}):(\d\d):(\d\d) (\d\d):(\d\d):(\d\d)$/.exec(time);
  if (!parts) return null;
  const [year, month, day, hour, minute, second] = parts.slice(1).map(Number);
  const east = /^([+-])(\d\d):(\d\d)$/.exec(offset);
  const at = east
    ? Date.UTC(year, month - 1, day, hour, minute, second)
      - (east[1] === '-' ? -1 : 1) * (Number(east[2]) * 60 + Number(east[3])) * 60_000
    : new Date(year, month - 1, day, hour, minute, second).getTime();
  return year >= 1990 && Number.isFinite(at) ? at : null;
}
