// Text placement in a drawing: clear of other text and of marks, and off the line as far as possible.
import { el } from "/static/api.js";

const pen = document.createElement("canvas").getContext("2d");
// Position of a word's box beside its point, for each side.
const SIDES = { n: [-0.5, -1], s: [-0.5, 0], e: [0, -0.5], w: [-1, -0.5], ne: [0, -1], nw: [-1, -1], se: [0, 0], sw: [-1, 0] };
// Beyond this distance a line leads from the word to its point.
const FAR = 16;

/** Keeps the words of one drawing apart; `sizes` are the pixels of each class of text. */
export function words(width, height, sizes) {
  const taken = [], lines = [], leads = el("g", {}), group = el("g", {}, leads);
  const over = (a, b) => Math.max(0, Math.min(a[2], b[2]) - Math.max(a[0], b[0])) * Math.max(0, Math.min(a[3], b[3]) - Math.max(a[1], b[1]));

  /** The box of a text on one side of a point, `gap` from it, shifted to stay in the drawing. */
  function box([x, y], side, gap, [w, h]) {
    const [left, up] = SIDES[side], both = side.length === 2 ? 0.7 : 1;
    const x0 = x + left * w + (left === 0 ? gap * both : left === -1 ? -gap * both : 0), y0 = y + up * h + (up === 0 ? gap * both : up === -1 ? -gap * both : 0);
    const x1 = Math.min(Math.max(x0, 2), width - w - 2), y1 = Math.min(Math.max(y0, 2), height - h - 2);
    return [x1, y1, x1 + w, y1 + h];
  }

  /** How much other text, and how much of the line, a box covers. */
  function cost(made) {
    const on = taken.reduce((sum, other) => sum + over(made, other), 0);
    return [on, lines.filter(([x, y]) => x > made[0] - 8 && x < made[2] + 8 && y > made[1] - 8 && y < made[3] + 8).length];
  }

  return {
    group,
    /** Keeps a box free of words. */
    avoid: (x0, y0, x1, y1) => taken.push([x0, y0, x1, y1]),
    /** Keeps words off the line between two points. */
    line: (x0, y0, x1, y1) => {
      const many = Math.ceil(Math.hypot(x1 - x0, y1 - y0) / 4);
      for (let i = 0; i <= many; i += 1) lines.push([x0 + ((x1 - x0) * i) / (many || 1), y0 + ((y1 - y0) * i) / (many || 1)]);
    },
    /**
     * Writes beside a point, on the given sides, best first. Without `must` the word is left out if it would overlap
     * another; with `clear` as well, also if it would lie on the line.
     */
    put(text, kind, point, { sides = "n s e w ne nw se sw", gap = 8, must = true, clear = false } = {}) {
      const [size, bold] = sizes[kind];
      pen.font = `${bold ? 700 : 400} ${size}px system-ui, sans-serif`;
      const room = [pen.measureText(text).width + 4, size * 1.25];
      const tries = (must ? [1, 1.8, 2.6, 3.6] : [1]).flatMap((away, i) => sides.split(" ").map((side, j) => {
        const made = box(point, side, gap * away + (away > 1 ? 4 : 0), room);
        const [on, crossed] = cost(made);
        return { made, barred: on > 0 || (clear && crossed > 0), sum: on * 5 + crossed * 30 + i * 40 + j * 4 };
      }));
      const best = tries.reduce((a, b) => (b.sum < a.sum ? b : a));
      if (!must && best.barred) return false;
      const [x0, y0, x1, y1] = best.made;
      taken.push(best.made);
      const near = [Math.min(Math.max(point[0], x0), x1), Math.min(Math.max(point[1], y0), y1)];
      if (Math.hypot(near[0] - point[0], near[1] - point[1]) > gap + FAR) leads.append(el("line", { class: "leads", x1: near[0], y1: near[1], x2: point[0], y2: point[1] }));
      group.append(el("text", { class: `${kind} word`, x: x0 + 2, y: y0 + size }, text));
      return true;
    },
  };
}
