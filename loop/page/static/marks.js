// On the drawing of the line: marks of parts, their names, gauge pressures, and rings to drag.
import { el, shown } from "/static/api.js";

// Kinds of parts that are named, most important first; the pump's name goes with its pressures.
export const NAMED = ["condenser", "strainer", "intake", "discharge"];
const GLYPH = { intake: "in", seacock: "sc", strainer: "st", pump: "P", bleed: "b", condenser: "C", discharge: "out", elbow: "L", tee: "T", "check valve": "cv", fitting: "f", manifold: "H", "vented loop": "v" };

const letters = (kind) => GLYPH[kind] ?? kind.slice(0, 2);

/** What the letters in a drawing's marks stand for. */
export const legend = (way) => [...new Set(way.parts.map((part) => part.kind))].filter((kind) => kind !== "hose").map((kind) => `${letters(kind)} ${kind}`).join(", ");

/** Each part other than hose, with its mark's position and radius. */
export function marks(way, points, x, y, { big, step }) {
  const last = new Map();
  points.forEach((p, i) => last.set(p.part, i));
  return way.parts.filter((part) => part.kind !== "hose").map((part) => {
    const i = last.get(part.part), main = part.kind === "pump" || part.kind === "condenser";
    const r = main ? Math.min(15 * big, Math.max(step * 0.6, 10)) : Math.min(11 * big, Math.max(step * 0.45, 6));
    return { part, i, cx: x(i), cy: y(points[i].height), r };
  });
}

/** The marks themselves; small marks get small letters. */
export const glyphs = (made, big) => el("g", {}, made.map(({ part, cx, cy, r }) => {
  const text = letters(part.kind), size = Math.max(6.5, Math.min(r * (text.length > 2 ? 0.8 : 1), 14 * big));
  const written = el("text", { x: cx, y: cy + size * 0.36, "text-anchor": "middle" }, text);
  written.style.fontSize = `${size.toFixed(1)}px`;
  return el("g", { class: `glyph ${part.kind.replace(" ", "-")}` }, el("circle", { cx, cy, r }), written, el("title", {}, part.label));
}));

/** Bleed valves to fit: hollow, on a stem, just after a part's mark or where `place` finds them in a hose. */
export const bleeds = (wanted, signs, place, { put, avoid }, big) => el("g", { class: "bleeds" }, wanted.map(({ at, part }) => {
  const mark = signs.find((sign) => sign.part.part === part), [px, cy] = mark ? [mark.cx, mark.cy] : place(at);
  const cx = mark ? px + mark.r + 4 : px, r = 6 * big, top = cy - 36 * big;
  avoid(cx - r, top - r, cx + r, cy);
  put("fit a bleed here", "bleedword", [cx, top], { sides: "n ne nw e w", gap: r + 3 });
  return el("g", {}, el("line", { x1: cx, x2: cx, y1: cy - 8, y2: top + r }), el("circle", { cx, cy: top, r }));
}));

/** Names of parts of these kinds, as many as fit. */
export function names(kinds, put, made, points, y) {
  for (const kind of kinds) {
    for (const { part, i, cx, cy, r } of made.filter((mark) => mark.part.kind === kind)) {
      const next = points[i + 1]?.height ?? -1, before = points[i - 1]?.height ?? 0;
      const below = ["pump", "intake", "discharge"].includes(kind) || points[i].height < Math.max(before, next) || (kind === "strainer" && cy >= y(0));
      put(part.label.slice(0, 22), "small", [cx, cy], { sides: below ? "s n e w" : "n s e w", gap: r + 4, must: false, clear: kind === "strainer" });
    }
  }
}

/** Gauge pressure on both sides of the pump, and where it is lowest. */
export function numbers(put, way, points, x, y, scales) {
  const pump = way.parts.find((part) => part.kind === "pump")?.part, at = points.findIndex((p) => p.part === pump);
  const lowest = points.reduce((best, p, i) => (p.pressure < points[best].pressure ? i : best), 0);
  const said = (i, sides, gap = 16) => {
    const { pressure } = points[i], [first, second, third] = [1, 2, 3].map((digits) => shown(pressure, "pressure", scales, digits));
    // Show enough digits that a pressure below atmospheric does not read as zero.
    const text = pressure >= way.shades[0] || /[1-9]/.test(first) ? first : /[1-9]/.test(second) ? second : third;
    put(text, pressure < way.shades[0] ? "gauge under" : "gauge", [x(i), y(points[i].height)], { sides, gap });
  };
  if (at > 0) {
    said(at - 1, "n nw ne s sw se");
    said(at, "se ne s n", 28);
  }
  if (points[lowest].pressure < -700 && Math.abs(lowest - at) > 2) said(lowest, "s n e w");
}

/** Lowest and highest multiple of `snap` to which a point may be moved before a hose beside it is too short. */
function reach(points, at, snap) {
  const near = [points.findLast((p) => p.at < at - 1e-6), points.find((p) => p.at > at + 1e-6)].filter(Boolean);
  const runs = near.map((p) => [p.height, Math.abs(p.at - at) - 1e-4]);
  const [low, high] = [Math.max(...runs.map(([h, run]) => h - run)), Math.min(...runs.map(([h, run]) => h + run))];
  return [Math.ceil(low / snap) * snap, Math.floor(high / snap) * snap];
}

// Height set with the arrow keys that the answers have not caught up with yet.
let pressed = null;

/** The changes of a job that move a point; the middle of a straight hose becomes a high or low point of it. */
export const moved = (point, height) => point.moves.map((address) => ({ do: "put", address, value: point.middle ? [height] : height }));

/**
 * Rings at the movable points of hoses, and over each a handle the size of a finger. `middles` are those of straight
 * hoses, each with its place; a short one has no ring.
 */
export function rings(svg, way, x, y, scales, onmove, step, middles) {
  const finger = matchMedia("(pointer: coarse)").matches ? 22 : 13;
  const { points } = way, labels = new Map(way.parts.map((part) => [part.part, part.label]));
  const snap = scales.height.label === "in" ? 0.0127 : 0.01;
  const seen = el("g", {}), group = el("g", {});
  const toHeight = (py) => {
    const a = y(0), b = y(1);
    return Math.round((py - a) / (b - a) / snap) * snap;
  };
  const ends = points.map((point, i) => [point, x(i), y(point.height), i]).filter(([point]) => point.moves.length);
  const straight = middles.map(([point, cx, cy]) => [point, cx, cy, points.findIndex((p) => p.part === point.part)]).filter(([, cx, , i]) => x(i) - cx > 2 * finger);
  [...straight, ...ends].sort((a, b) => a[1] - b[1]).forEach(([point, cx, cy, i]) => {
    const { middle } = point, [low, high] = reach(points, point.at, snap);
    // Between hoses that are taut no whole step may be left.
    const within = (height) => low > high ? point.height : Math.min(Math.max(height, low), high);
    seen.append(el("circle", { class: middle ? "ring middle" : "ring", cx, cy, r: middle ? 5 : Math.min(13, Math.max(step * 0.5, 9)) }));
    const handle = el("circle", {
      class: "handle", cx, cy, r: finger, tabindex: 0, role: "slider", "data-point": middle ? `middle ${i}` : i,
      "aria-label": `Height of ${middle ? "the middle" : "a point"} of ${labels.get(point.part)}; arrow keys move it`, "aria-orientation": "vertical",
      "aria-valuenow": (point.height * scales.height.scale).toFixed(1), "aria-valuetext": shown(point.height, "height", scales, 1),
      "aria-valuemin": -400, "aria-valuemax": 400,
    });
    // Some browsers ignore touch-action on a circle: keep a finger on a ring from scrolling.
    handle.addEventListener("touchstart", (event) => event.preventDefault(), { passive: false });
    handle.addEventListener("pointerdown", (event) => {
      event.preventDefault();
      handle.focus();
      // The drawing is rebuilt while the point moves, so listen on the window.
      const box = svg.getBoundingClientRect();
      const factor = svg.viewBox.baseVal.height / box.height;
      const from = { y: event.clientY, height: point.height };
      let height = null;
      const move = (e) => {
        // A mere touch moves nothing, nor does a second finger.
        if (e.pointerId !== event.pointerId || (height === null && Math.abs(e.clientY - from.y) < 3)) return;
        height = within(toHeight(y(from.height) + (e.clientY - from.y) * factor));
        onmove(point, height, false);
      };
      const stop = (e) => {
        if (e.pointerId !== event.pointerId) return;
        window.removeEventListener("pointermove", move);
        window.removeEventListener("pointerup", stop);
        window.removeEventListener("pointercancel", stop);
        if (height !== null) onmove(point, height, true);
      };
      window.addEventListener("pointermove", move);
      window.addEventListener("pointerup", stop);
      window.addEventListener("pointercancel", stop);
    });
    handle.addEventListener("keydown", (event) => {
      const by = { ArrowUp: 1, ArrowDown: -1, PageUp: 6, PageDown: -6 }[event.key];
      if (by === undefined) return;
      event.preventDefault();
      const from = pressed?.i === i ? pressed.height : point.height;
      const height = within(Math.round(from / snap + by) * snap);
      // What was the middle is a point of its own from its first move on.
      if (middle) return onmove(point, height, true).then(() => svg.querySelector(`[data-point="${i}"]`)?.focus());
      pressed = { i, height };
      onmove(point, pressed.height, false);
    });
    handle.addEventListener("keyup", async () => {
      const last = pressed;
      if (last?.i !== i) return;
      await onmove(point, last.height, true);
      if (pressed === last) pressed = null;
    });
    group.append(handle);
  });
  return [seen, group];
}
