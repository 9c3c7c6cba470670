// Photos as a camera writes them: drawn by the browser, with the time written into the file (EXIF).

// Gives a JPEG of this size, with a letter in the middle, as a buffer.
export async function draw(page, width, height, letter) {
  const coded = await page.evaluate(async ([w, h, text]) => {
    const canvas = Object.assign(document.createElement('canvas'), { width: w, height: h });
    const pen = canvas.getContext('2d');
    for (let at = 0; at < 40; at += 1) {
      pen.fillStyle = `hsl(${(at * 47 + text.charCodeAt(0) * 31) % 360} 40% ${25 + at}%)`;
      pen.fillRect((at % 8) * w / 8, Math.floor(at / 8) * h / 5, w / 8, h / 5);
    }
    pen.fillStyle = '#fff';
    pen.font = `bold ${h / 2}px sans-serif`;
    pen.textAlign = 'center';
    pen.fillText(text, w / 2, h * 0.68);
    return canvas.toDataURL('image/jpeg', 0.9).split(',')[1];
  }, [width, height, letter]);
  return Buffer.from(coded, 'base64');
}

// Puts hidden data into a JPEG: time taken in UTC, and a place that nobody needs to know.
export function taken(jpeg, at, place) {
  const time = at.toISOString().slice(0, 19).replace('T', ' ').replaceAll('-', ':');
  const texts = [[0x9003, time], [0x9011, '+00:00'], [0x9286, place]];
  const inner = 26;
  const after = inner + 2 + texts.length * 12 + 4;
  const tiff = Buffer.alloc(after + 200);
  tiff.write('MM\0*', 0, 'latin1');
  tiff.writeUInt32BE(8, 4);
  entry(tiff, 8, 1, [[0x8769, 4, 1, inner]]);
  let tail = after;
  const rows = texts.map(([tag, text]) => {
    const row = [tag, 2, text.length + 1, tail];
    tiff.write(`${text}\0`, tail, 'latin1');
    tail += text.length + 1;
    return row;
  });
  entry(tiff, inner, rows.length, rows);
  const data = Buffer.concat([Buffer.from('Exif\0\0', 'latin1'), tiff.subarray(0, tail)]);
  const head = Buffer.from([0xff, 0xe1, (data.length + 2) >> 8, (data.length + 2) & 255]);
  return Buffer.concat([jpeg.subarray(0, 2), head, data, jpeg.subarray(2)]);
}

function entry(tiff, at, count, rows) {
  tiff.writeUInt16BE(count, at);
  rows.forEach(([tag, kind, length, value], number) => {
    const place = at + 2 + number * 12;
    tiff.writeUInt16BE(tag, place);
    tiff.writeUInt16BE(kind, place + 2);
    tiff.writeUInt32BE(length, place + 4);
    tiff.writeUInt32BE(value, place + 8);
  });
}
