// The loop along its length: heights, pressure as shade, water and air as they are now.
import { el, shown } from "/static/api.js";

const LEFT = 64, RIGHT = 24, TOP = 64, BOTTOM = 40;
// Parts whose names stand in the drawing; on a narrow screen only the first two.
const NAMED = ["pump", "condenser", "strainer", "intake", "discharge"];
const GLYPH = { intake: "in", seacock: "sc", strainer: "st", pump: "P", bleed: "b", condenser: "C", discharge: "out", elbow: "L", tee: "T", "check valve": "cv", fitting: "f", manifold: "H", "vented loop": "v" };

/** Draws one way into an svg; `onmove(point, height, done)` is called while a point is dragged. */
export function draw(svg, way, scales, { width, height, fixed = false, onmove = null, range = null, plain = false, big: wish = 1 }) {
  const big = width > 480 ? wish : 1;
  const points = way.points;
  const heights = points.map((p) => p.height);
  const low = Math.min(-0.15, ...heights, range ? range[0] : 0), high = Math.max(0.25, ...heights, range ? range[1] : 0);
  const spare = (high - low) * 0.14;
  const length = points[points.length - 1].at || 1;
  // Parts without length get a little room, so that they do not lie on each other.
  const step = Math.min(34 * big, ((width - LEFT - RIGHT) * 0.4) / points.filter((p, i) => i > 0 && p.at - points[i - 1].at < 1e-6).length);
  const along = spread(points, width - LEFT - RIGHT, length, step);
  const x = (i) => LEFT + along[i];
  const y = (h) => TOP + ((high + spare - h) / (high - low + 2 * spare)) * (height - TOP - BOTTOM);
  svg.setAttribute("viewBox", `0 0 ${width} ${height}`);
  const made = [sea(x, y, width, height), ticks(low, high, y, scales, width)];
  // Before a prediction the loop is drawn without what happens in it.
  made.push(pipe(plain ? points.map((p) => ({ ...p, pressure: 1, holds: "water" })) : points, x, y));
  if (!plain) made.push(air(way, points, x, y));
  made.push(parts(way, points, x, y, height, { big, step, named: width > 480 ? NAMED : NAMED.slice(0, 2) }));
  if (!plain) made.push(numbers(way, points, x, y, scales, big));
  if (onmove && !fixed) made.push(handles(svg, way, x, y, scales, onmove));
  const focused = document.activeElement?.dataset?.point;
  svg.replaceChildren(...made.filter(Boolean));
  if (focused !== undefined) svg.querySelector(`[data-point="${focused}"]`)?.focus();
  return [low, high];
}

function spread(points, room, length, step) {
  const fixed = points.slice(1).filter((p, i) => p.at - points[i].at < 1e-6).length * step;
  const scale = Math.max(room - fixed, room * 0.4) / length;
  const along = [0];
  for (let i = 1; i < points.length; i += 1) {
    const run = points[i].at - points[i - 1].at;
    along.push(along[i - 1] + (run < 1e-6 ? step : run * scale));
  }
  const whole = along[along.length - 1] || 1;
  return along.map((a) => (a / whole) * room);
}

function sea(x, y, width, height) {
  return el("g", {},
    el("rect", { class: "sea", x: LEFT - 48, y: y(0), width: width - LEFT + 48, height: Math.max(height - y(0) - 4, 0) }),
    el("line", { class: "waterline", x1: LEFT - 48, x2: width, y1: y(0), y2: y(0) }),
    el("text", { class: "small", x: LEFT - 36, y: y(0) + 16 }, "waterline"));
}

function ticks(low, high, y, scales, width) {
  const { scale } = scales.height, whole = round(((high - low) * scale) / Math.min(7, (y(low) - y(high)) / 26));
  const group = el("g", {});
  for (let n = Math.ceil((low * scale) / whole); n <= (high * scale) / whole; n += 1) {
    const at = y((n * whole) / scale);
    group.append(el("line", { class: "tick", x1: LEFT - 8, x2: width, y1: at, y2: at }),
      el("text", { class: "small", x: LEFT - 20, y: at + 4, "text-anchor": "end" }, `${n * whole}`.replace("-", "−")));
  }
  group.append(el("text", { class: "small", x: 4, y: 14 }, `height, ${scales.height.label}`));
  return group;
}

/** The next larger round number: 1, 2 or 5 times a power of ten. */
export function round(least) {
  const power = 10 ** Math.floor(Math.log10(least));
  return power * ([1, 2, 5].find((n) => n * power >= least * 0.999) ?? 10);
}

/** Shade of a gauge pressure [Pa]: copper where a valve would draw air in, deeper green as it rises. */
export function shade(pressure) {
  if (pressure < -1) return "under";
  const level = Math.max(0, Math.min(4, Math.floor(pressure / 8000)));
  return `over${level}`;
}

function pipe(points, x, y) {
  const group = el("g", { class: "pipe" });
  for (let i = 1; i < points.length; i += 1) {
    const middle = (points[i].pressure + points[i - 1].pressure) / 2;
    group.append(el("line", { class: "skin", x1: x(i - 1), y1: y(points[i - 1].height), x2: x(i), y2: y(points[i].height) }));
    const holds = points[i].at - points[i - 1].at < 1e-6 ? "water" : points[i].holds;
    group.append(el("line", { class: holds === "water" ? `water ${shade(middle)}` : `water ${holds}`, x1: x(i - 1), y1: y(points[i - 1].height), x2: x(i), y2: y(points[i].height) }));
  }
  return group;
}

function between(points, x, y, from, to) {
  // The polyline between two distances along the way.
  const at = (d) => {
    let i = 1;
    while (i < points.length - 1 && points[i].at < d - 1e-9) i += 1;
    const run = points[i].at - points[i - 1].at;
    const share = run > 1e-9 ? Math.min(Math.max((d - points[i - 1].at) / run, 0), 1) : 0;
    return [x(i - 1) + share * (x(i) - x(i - 1)), y(points[i - 1].height) + share * (y(points[i].height) - y(points[i - 1].height))];
  };
  const middle = points.map((p, i) => [p.at, x(i), y(p.height)]).filter(([d]) => d > from + 1e-9 && d < to - 1e-9);
  return [at(from), ...middle.map(([, px, py]) => [px, py]), at(to)];
}

function air(way, points, x, y) {
  const group = el("g", {});
  points.forEach((point, i) => {
    if (i === 0 || point.holds === "water" || point.at - points[i - 1].at < 1e-6) return;
    group.append(el("line", { class: "air stays", x1: x(i - 1), y1: y(points[i - 1].height), x2: x(i), y2: y(point.height) }));
    if (points[i - 1].holds === "water" || i === 1) {
      group.append(el("text", { class: "airword", x: x(i - 1), y: y(points[i - 1].height) - 16, "text-anchor": "middle" }, point.holds === "film" ? "air: water falls as a film" : "no water"));
    }
  });
  for (const top of way.high) {
    const dry = points.some((p, i) => i > 0 && p.holds !== "water" && points[i - 1].at >= top.at - 1e-6 && points[i - 1].at <= top.at + 1e-6);
    if (top.air === "swept" || top.air === "vented" || dry) continue;
    for (const [from, to] of top.pockets) {
      const line = between(points, x, y, from, to).map((p) => p.map((v) => v.toFixed(1)).join(",")).join(" ");
      group.append(el("polyline", { class: top.air === "held" ? "air stays" : "air may", points: line }));
    }
    const [[px, py]] = between(points, x, y, top.at, top.at);
    group.append(el("text", { class: "airword", x: px, y: py - 16, "text-anchor": "middle" }, top.air === "held" ? "air stays" : "air may stay"));
  }
  return group;
}

function parts(way, points, x, y, height, { big, step, named }) {
  const group = el("g", {});
  const last = new Map();
  points.forEach((p, i) => last.set(p.part, i));
  for (const part of way.parts) {
    if (part.kind === "hose") continue;
    const i = last.get(part.part), cx = x(i), cy = y(points[i].height);
    const main = part.kind === "pump" || part.kind === "condenser";
    // Where parts lie close, those of little weight are dots.
    const r = main ? 15 * big : Math.min(11 * big, Math.max(step * 0.45, 4));
    group.append(el("g", { class: `glyph ${part.kind.replace(" ", "-")}` }, el("circle", { cx, cy, r }),
      r > 9 ? el("text", { x: cx, y: cy + 4 * big, "text-anchor": "middle" }, GLYPH[part.kind] ?? part.kind.slice(0, 2)) : null, el("title", {}, part.label)));
    if (!named.includes(part.kind)) continue;
    const next = points[i + 1]?.height ?? -1, before = points[i - 1]?.height ?? 0;
    const below = ["pump", "intake", "discharge"].includes(part.kind) || points[i].height < Math.max(before, next) || (part.kind === "strainer" && points[i].height <= 0);
    const deep = { pump: 50, strainer: 28 }[part.kind] ?? 32;
    const anchor = part.kind === "discharge" ? "end" : part.kind === "intake" ? "start" : "middle";
    group.append(el("text", { class: "small", x: anchor === "start" ? cx - 10 : anchor === "end" ? cx + 16 : cx, y: below ? Math.min(cy + deep * big, height - 6) : cy - 24 * big, "text-anchor": anchor }, part.label.slice(0, 22)));
  }
  return group;
}

/** Gauge pressure on both sides of the pump, and where it is lowest. */
function numbers(way, points, x, y, scales, big) {
  const pump = way.parts.find((part) => part.kind === "pump")?.part, at = points.findIndex((p) => p.part === pump);
  const lowest = points.reduce((best, p, i) => (p.pressure < points[best].pressure ? i : best), 0);
  const said = (i, dx, dy, anchor) => el("text", { class: points[i].pressure < -1 ? "gauge under" : "gauge", x: x(i) + dx * big, y: y(points[i].height) + dy * big, "text-anchor": anchor }, shown(points[i].pressure, "pressure", scales, 1));
  const group = el("g", {});
  if (at > 0) group.append(said(at - 1, -10, -20, "end"), said(at, 12, 32, "start"));
  if (points[lowest].pressure < -700 && Math.abs(lowest - at) > 2) group.append(said(lowest, 0, 34, "middle"));
  return group;
}

function handles(svg, way, x, y, scales, onmove) {
  const { points } = way, labels = new Map(way.parts.map((part) => [part.part, part.label]));
  const snap = scales.height.label === "in" ? 0.0127 : 0.01;
  const group = el("g", {});
  const toHeight = (py) => {
    const a = y(0), b = y(1);
    return Math.round((py - a) / (b - a) / snap) * snap;
  };
  points.forEach((point, i) => {
    if (point.moves.length === 0) return;
    const handle = el("circle", {
      class: "handle", cx: x(i), cy: y(point.height), r: 13, tabindex: 0, role: "slider", "data-point": i,
      "aria-label": `Height of a point of ${labels.get(point.part)}; arrow keys move it`, "aria-orientation": "vertical",
      "aria-valuenow": (point.height * scales.height.scale).toFixed(1), "aria-valuetext": shown(point.height, "height", scales, 1),
      "aria-valuemin": -400, "aria-valuemax": 400,
    });
    handle.addEventListener("pointerdown", (event) => {
      event.preventDefault();
      handle.focus();
      // The drawing is made anew while the point moves, so the moves are heard on the window.
      const box = svg.getBoundingClientRect();
      const factor = svg.viewBox.baseVal.height / box.height;
      const from = { y: event.clientY, height: point.height };
      const target = (e) => toHeight(y(from.height) + (e.clientY - from.y) * factor);
      const move = (e) => onmove(point, target(e), false);
      const stop = (e) => {
        window.removeEventListener("pointermove", move);
        window.removeEventListener("pointerup", stop);
        window.removeEventListener("pointercancel", stop);
        onmove(point, target(e), true);
      };
      window.addEventListener("pointermove", move);
      window.addEventListener("pointerup", stop);
      window.addEventListener("pointercancel", stop);
    });
    handle.addEventListener("keydown", (event) => {
      const by = { ArrowUp: 1, ArrowDown: -1, PageUp: 6, PageDown: -6 }[event.key];
      if (by === undefined) return;
      event.preventDefault();
      onmove(point, Math.round(point.height / snap + by) * snap, true);
    });
    group.append(handle);
  });
  return group;
}
