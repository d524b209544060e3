// A line in a picture, followed by its color and converted to flow and head.

/** Center of the line in each column, traced from the click in both directions. */
export function followColor({ width, height, data }, x, y) {
  const at = (px, py) => { const i = (py * width + px) * 4; return [data[i], data[i + 1], data[i + 2]]; };
  const seed = darkest(Math.round(x), Math.round(y), at, width, height);
  const color = at(seed.x, seed.y);
  const near = (px, py) => at(px, py).reduce((sum, v, k) => sum + (v - color[k]) ** 2, 0) < 4500;
  const middle = (px, from) => {
    // The run of the line's color nearest to its position in the last column.
    for (let reach = 0; reach <= 14; reach += 1) {
      for (const py of [from - reach, from + reach]) {
        if (py < 1 || py >= height - 1 || !near(px, Math.round(py))) continue;
        let top = Math.round(py), low = top;
        while (top > 0 && near(px, top - 1) && low - top < 40) top -= 1;
        while (low < height - 1 && near(px, low + 1) && low - top < 40) low += 1;
        if (low - top < 40) return (top + low) / 2;
      }
    }
    return null;
  };
  const found = [];
  for (const side of [-1, 1]) {
    let at_y = seed.y, slope = 0, missed = 0;
    for (let px = seed.x + (side < 0 ? 0 : 1); px > 0 && px < width - 1 && missed < 6; px += side) {
      const here = middle(px, at_y + slope);
      if (here === null) { missed += 1; at_y += slope; continue; }
      slope = 0.8 * slope + 0.2 * (here - at_y);
      at_y = here;
      missed = 0;
      found.push({ x: px, y: here });
    }
  }
  return found.sort((a, b) => a.x - b.x);
}

/** The marks inside the frame: a dark line may run on into the dark axes. */
export function inside(found, [x1, x2, y1, y2]) {
  const turn = Math.atan2(x2.y - x1.y, x2.x - x1.x);
  const across = (p) => p.x * Math.cos(turn) + p.y * Math.sin(turn), down = (p) => -p.x * Math.sin(turn) + p.y * Math.cos(turn);
  const left = Math.max(across(y1), across(y2)), floor = Math.min(down(x1), down(x2));
  return found.filter((p) => across(p) > left + 3 && down(p) < floor - 3);
}

/** A dozen marks, both ends included. */
export function thinned(found) {
  const many = Math.min(12, found.length);
  return Array.from({ length: many }, (_, i) => found[Math.round((i * (found.length - 1)) / Math.max(many - 1, 1))]);
}

function darkest(x, y, at, width, height) {
  let best = { x, y, depth: Infinity };
  for (let dx = -4; dx <= 4; dx += 1) for (let dy = -4; dy <= 4; dy += 1) {
    const px = x + dx, py = y + dy;
    if (px < 0 || py < 0 || px >= width || py >= height) continue;
    const depth = at(px, py).reduce((a, b) => a + b, 0) + dx * dx + dy * dy;
    if (depth < best.depth) best = { x: px, y: py, depth };
  }
  return best;
}

/** Flow and head of a mark: the axes span a frame that may be rotated by a few degrees. */
export function values(frame, numbers, point, logs) {
  const [x1, x2, y1, y2] = frame;
  const turn = Math.atan2(x2.y - x1.y, x2.x - x1.x);
  const turned = (p) => ({ u: p.x * Math.cos(turn) + p.y * Math.sin(turn), v: -p.x * Math.sin(turn) + p.y * Math.cos(turn) });
  const [a, b, c, d, p] = [x1, x2, y1, y2, point].map(turned);
  const between = (share, low, high, log) => (log ? low * (high / low) ** share : low + share * (high - low));
  return [between((p.u - a.u) / (b.u - a.u), numbers[0], numbers[1], logs[0]), between((p.v - c.v) / (d.v - c.v), numbers[2], numbers[3], logs[1])];
}

/** Width and height stated in the first bytes of a PNG or JPEG; null if it is neither. */
export function statedSize(bytes) {
  const view = new DataView(bytes.buffer, bytes.byteOffset, bytes.byteLength);
  if (bytes.length > 24 && view.getUint32(0) === 0x89504e47) return [view.getUint32(16), view.getUint32(20)];
  if (bytes.length < 4 || view.getUint16(0) !== 0xffd8) return null;
  for (let at = 2; at + 9 < bytes.length && bytes[at] === 0xff;) {
    const kind = bytes[at + 1];
    if (kind >= 0xc0 && kind <= 0xcf && ![0xc4, 0xc8, 0xcc].includes(kind)) return [view.getUint16(at + 7), view.getUint16(at + 5)];
    at += 2 + view.getUint16(at + 2);
  }
  return null;
}
