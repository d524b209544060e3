// The loop along its length: heights, pressure as shade, water and air as they are now.
import { el, shown } from "/static/api.js";

const LEFT = 56, RIGHT = 24, TOP = 64, BOTTOM = 40;
const GLYPH = { intake: "in", seacock: "sc", strainer: "st", pump: "P", bleed: "b", condenser: "C", discharge: "out", elbow: "L", tee: "T", "check valve": "cv", fitting: "f", manifold: "H", "vented loop": "v" };

/** Draws one way into an svg; `onmove(point, height, done)` is called while a point is dragged. */
export function draw(svg, way, scales, { width, height, fixed = false, onmove = null, range = null }) {
  const points = way.points;
  const heights = points.map((p) => p.height);
  const low = Math.min(-0.15, ...heights, range ? range[0] : 0), high = Math.max(0.25, ...heights, range ? range[1] : 0);
  const spare = (high - low) * 0.14;
  const length = points[points.length - 1].at || 1;
  // Parts without length get a little room, so that they do not lie on each other.
  const step = Math.min(34, ((width - LEFT - RIGHT) * 0.35) / points.length);
  const along = spread(points, width - LEFT - RIGHT, length, step);
  const x = (i) => LEFT + along[i];
  const y = (h) => TOP + ((high + spare - h) / (high - low + 2 * spare)) * (height - TOP - BOTTOM);
  svg.setAttribute("viewBox", `0 0 ${width} ${height}`);
  const made = [sea(x, y, width, height), ticks(low, high, y, scales, width)];
  made.push(pipe(points, x, y));
  made.push(air(way, points, x, y));
  made.push(parts(way, points, x, y, height));
  made.push(numbers(way, points, x, y, scales));
  if (onmove && !fixed) made.push(handles(svg, points, x, y, scales, onmove));
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
    el("rect", { class: "sea", x: LEFT - 40, y: y(0), width: width - LEFT + 40, height: Math.max(height - y(0) - 4, 0) }),
    el("line", { class: "waterline", x1: LEFT - 40, x2: width, y1: y(0), y2: y(0) }),
    el("text", { class: "small", x: LEFT - 36, y: y(0) - 4 }, "waterline"));
}

function ticks(low, high, y, scales, width) {
  const { scale } = scales.height;
  const whole = [1, 2, 5, 10, 12, 20, 24, 50, 60, 100, 120].find((s) => ((high - low) * scale) / s <= 7) ?? 200;
  const group = el("g", {});
  for (let n = Math.ceil((low * scale) / whole); n <= (high * scale) / whole; n += 1) {
    const at = y((n * whole) / scale);
    group.append(el("line", { class: "tick", x1: LEFT - 8, x2: width, y1: at, y2: at }),
      el("text", { class: "small", x: LEFT - 12, y: at + 4, "text-anchor": "end" }, `${n * whole}`.replace("-", "−")));
  }
  group.append(el("text", { class: "small", x: 4, y: 14 }, `height, ${scales.height.label}`));
  return group;
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
    if (top.air === "swept" || dry) continue;
    for (const [from, to] of top.pockets) {
      const line = between(points, x, y, from, to).map((p) => p.map((v) => v.toFixed(1)).join(",")).join(" ");
      group.append(el("polyline", { class: top.air === "held" ? "air stays" : "air may", points: line }));
    }
    const [[px, py]] = between(points, x, y, top.at, top.at);
    group.append(el("text", { class: "airword", x: px, y: py - 16, "text-anchor": "middle" }, top.air === "held" ? "air stays" : "air may stay"));
  }
  return group;
}

function parts(way, points, x, y, height) {
  const group = el("g", {});
  const last = new Map();
  points.forEach((p, i) => last.set(p.part, i));
  let row = 0;
  for (const part of way.parts) {
    if (part.kind === "hose") continue;
    const i = last.get(part.part);
    const cx = x(i), cy = y(points[i].height);
    group.append(el("g", { class: `glyph ${part.kind.replace(" ", "-")}` },
      el("circle", { cx, cy, r: part.kind === "pump" || part.kind === "condenser" ? 15 : 11 }),
      el("text", { x: cx, y: cy + 4, "text-anchor": "middle" }, GLYPH[part.kind] ?? part.kind.slice(0, 2)),
      el("title", {}, part.label)));
    if (["pump", "condenser", "strainer", "intake", "discharge"].includes(part.kind)) {
      // A low point has room below it, a high one above.
      const before = points[i - 1]?.height ?? 0, after = points[i + 1]?.height ?? points[i].height - 1;
      const below = points[i].height <= Math.min(before, after) || (row % 2 === 0 && points[i].height < Math.max(before, after));
      row += 1;
      const end = part.kind === "discharge" ? "end" : part.kind === "intake" ? "start" : "middle";
      group.append(el("text", { class: "small", x: end === "start" ? LEFT - 30 : end === "end" ? cx + 16 : cx, y: below ? Math.min(cy + 32, height - 6) : cy - 24, "text-anchor": end }, part.label.slice(0, 22)));
    }
  }
  return group;
}

function numbers(way, points, x, y, scales) {
  // Pressure where it is asked for: each side of the pump, and the lowest of the way.
  const pump = points.findIndex((p) => Math.abs(p.at - way.pump) < 1e-9 && way.parts.some((q) => q.part === p.part && q.kind === "pump"));
  const lowest = points.reduce((best, p, i) => (p.pressure < points[best].pressure ? i : best), 0);
  const chosen = new Set([pump - 1, pump, lowest].filter((i) => i > 0));
  return el("g", {}, ...[...chosen].map((i) =>
    el("text", { class: points[i].pressure < -1 ? "gauge under" : "gauge", x: x(i), y: TOP - 30 + 14 * ([...chosen].indexOf(i) % 3), "text-anchor": "middle" },
      shown(points[i].pressure, "pressure", scales, 1))));
}

function handles(svg, points, x, y, scales, onmove) {
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
      "aria-label": "Height of this point; arrow keys move it", "aria-orientation": "vertical",
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

/** The pump's curve, the loop's, the operating point and each unit's need. */
export function drawCurves(svg, curves, scales) {
  const width = 420, height = 250, left = 48, bottom = 34;
  svg.setAttribute("viewBox", `0 0 ${width} ${height}`);
  const all = [...curves.pump, ...curves.loop];
  const top = Math.max(...curves.pump.map((p) => p[1]), curves.point[1]) * 1.1 || 1;
  const most = Math.max(...all.map((p) => p[0]), curves.point[0]) || 1;
  const x = (q) => left + (q / most) * (width - left - 10);
  const y = (h) => height - bottom - (Math.min(h, top) / top) * (height - bottom - 12);
  const line = (points, name) => el("polyline", { class: name, points: points.filter((p) => p[1] <= top).map(([q, h]) => `${x(q).toFixed(1)},${y(h).toFixed(1)}`).join(" ") });
  const labels = [0.25, 0.5, 0.75, 1].map((share) => el("text", { class: "small", x: x(most * share), y: height - 18, "text-anchor": "middle" }, (most * share * scales.flow.scale).toFixed(0)));
  const heads = [0.25, 0.5, 0.75, 1].map((share) => el("text", { class: "small", x: left - 6, y: y(top * share) + 4, "text-anchor": "end" }, (top * share * scales.head.scale).toFixed(1)));
  const needs = curves.needs.length === 1 ? [el("line", { class: "need", x1: x(curves.needs[0].needed), x2: x(curves.needs[0].needed), y1: 12, y2: height - bottom })] : [];
  svg.replaceChildren(
    el("line", { class: "axis", x1: left, x2: width - 10, y1: height - bottom, y2: height - bottom }),
    el("line", { class: "axis", x1: left, x2: left, y1: 12, y2: height - bottom }),
    ...labels, ...heads, ...needs,
    el("text", { class: "small", x: width - 10, y: height - 3, "text-anchor": "end" }, `flow, ${scales.flow.label}`),
    el("text", { class: "small", x: 4, y: 10 }, `head, ${scales.head.label}`),
    line(curves.pump, "pumpline"), line(curves.loop, "loopline"),
    el("circle", { class: "meets", cx: x(curves.point[0]), cy: y(curves.point[1]), r: 6 }));
}
