// Unpacks the card's tables; loop/card/packed.py describes the format.

/** The tables, with numbers in their arrays. @param {string} text */
async function unpacked(text) {
  const packed = Uint8Array.from(atob(text), (sign) => sign.charCodeAt(0));
  const whole = await new Response(
    new Blob([packed]).stream().pipeThrough(new DecompressionStream("deflate")),
  ).arrayBuffer();
  const length = new DataView(whole).getUint32(0, true),
    arrays = new Uint8Array(whole, 4 + length),
    last = new Map();
  const array = (name, { begins, shape: [rows, ...more] }) => {
    const across = more.reduce((product, size) => product * size, 1),
      size = rows * across,
      bytes = new Uint8Array(4 * size);
    const kind = [name, rows, ...more].join(),
      before = last.get(kind);
    for (let place = 0; place < 4; place += 1) {
      for (let column = 0; column < across; column += 1) {
        for (let row = 0; row < rows; row += 1)
          bytes[4 * (row * across + column) + place] = arrays[begins + place * size + column * rows + row];
      }
    }
    if (before) for (let i = 0; i < bytes.length; i += 1) bytes[i] ^= before[i];
    last.set(kind, bytes);
    return new Float32Array(bytes.buffer);
  };
  const filled = (value, name) => {
    if (Array.isArray(value)) return value.map((one) => (typeof one === "object" ? filled(one, name) : one));
    if (value === null || typeof value !== "object") return value;
    if ("begins" in value) return array(name, value);
    return Object.fromEntries(Object.entries(value).map(([key, one]) => [key, filled(one, key)]));
  };
  return filled(JSON.parse(new TextDecoder().decode(new Uint8Array(whole, 4, length))), "");
}
