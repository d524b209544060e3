// The loop along its length: heights, pressure as shade, and where water and air are now.
import { el } from "/static/api.js";
import { bleeds, glyphs, marks, NAMED, names, numbers, rings } from "/static/marks.js";
import { words } from "/static/words.js";

const TOP = 46, BOTTOM = 40;

/** Draws one path into an svg and returns its range of heights; `onmove(point, height, done)` is called during a drag. */
export function draw(svg, way, scales, { width, height, onmove = null, range = null, plain = false, big: wish = 1 }) {
  const narrow = width <= 480, big = narrow ? 1 : wish;
  const points = way.points;
  const heights = points.map((p) => p.height);
  const low = Math.min(-0.15, ...heights, range ? range[0] : 0), high = Math.max(0.25, ...heights, range ? range[1] : 0);
  const spare = (high - low) * 0.14;
  const length = points[points.length - 1].at || 1;
  const left = narrow ? 52 : 64, room = width - left - (narrow ? 16 : 24);
  // Give parts without length a little room, so that they do not overlap.
  const many = points.filter((p, i) => i > 0 && p.at - points[i - 1].at < 1e-6).length;
  const step = Math.min(34 * big, (room * (narrow ? 0.55 : 0.4)) / many);
  const along = spread(points, room, length, step);
  const x = (i) => left + along[i];
  const y = (h) => TOP + ((high + spare - h) / (high - low + 2 * spare)) * (height - TOP - BOTTOM);
  svg.setAttribute("viewBox", `0 0 ${width} ${height}`);
  // Text sizes of the style sheet, for laying out words before they are shown.
  const large = Boolean(svg.closest(".onwall")) && matchMedia("(min-width: 600px)").matches;
  const lettering = words(width, height, { airword: large ? [17, 700] : [13, 700], bleedword: large ? [17, 700] : [13, 700], gauge: [large ? 17 : 12], "gauge under": [large ? 17 : 12], small: [large ? 15 : 12] });
  const made = [sea(x, y, width, height, left), ticks(low, high, y, scales, width, left, lettering)];
  // Before the prediction, draw the loop without what happens in it.
  made.push(pipe(plain ? points.map((p) => ({ ...p, pressure: 1, holds: "water" })) : points, way.shades, x, y));
  points.slice(1).forEach((p, i) => lettering.line(x(i), y(points[i].height), x(i + 1), y(p.height)));
  const signs = marks(way, points, x, y, { big, step });
  signs.forEach(({ cx, cy, r }) => lettering.avoid(cx - 0.85 * r, cy - r, cx + 0.85 * r, cy + r));
  if (!plain) made.push(air(way, points, x, y, lettering), bleeds(way.bleeds, signs, (at) => between(points, x, y, at, at)[0], lettering, big));
  names(["pump"], lettering.put, signs, points, y);
  if (!plain) numbers(lettering.put, way, points, x, y, scales);
  names(NAMED, lettering.put, signs, points, y);
  waterline(lettering, width, y, left);
  const middles = way.middles.map((middle) => [middle, ...between(points, x, y, middle.at, middle.at)[0]]);
  const [seen, grasped] = onmove ? rings(svg, way, x, y, scales, onmove, step, middles) : [];
  made.push(seen, glyphs(signs, big), lettering.group, grasped);
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

function sea(x, y, width, height, left) {
  return el("g", {},
    el("rect", { class: "sea", x: left - 48, y: y(0), width: width - left + 48, height: Math.max(height - y(0) - 4, 0) }),
    el("line", { class: "waterline", x1: left - 48, x2: width, y1: y(0), y2: y(0) }));
}

/** Names the waterline where there is room. */
function waterline({ put }, width, y, left) {
  const spots = [0, 1, 0.2, 0.8, 0.4, 0.6].map((share) => left + share * (width - left - 8));
  if (!spots.some((at) => put("waterline", "small", [at, y(0)], { sides: at > width / 2 ? "sw nw" : "se ne", gap: 3, must: false, clear: true }))) put("waterline", "small", [left, y(0)]);
}

function ticks(low, high, y, scales, width, left, lettering) {
  const { scale } = scales.height, whole = round(((high - low) * scale) / Math.min(7, (y(low) - y(high)) / 26));
  const group = el("g", {});
  for (let n = Math.ceil((low * scale) / whole); n <= (high * scale) / whole; n += 1) {
    const at = y((n * whole) / scale);
    group.append(el("line", { class: "tick", x1: left - 8, x2: width, y1: at, y2: at }),
      el("text", { class: "small", x: left - 18, y: at + 4, "text-anchor": "end" }, `${n * whole}`.replace("-", "−")));
    lettering.avoid(0, at - 8, left - 14, at + 8);
  }
  group.append(el("text", { class: "small", x: 4, y: 14 }, `height, ${scales.height.label}`));
  lettering.avoid(0, 0, 110, 20);
  return group;
}

/** The next larger round number: 1, 2 or 5 times a power of ten. */
export function round(least) {
  const power = 10 ** Math.floor(Math.log10(least));
  return power * ([1, 2, 5].find((n) => n * power >= least * 0.999) ?? 10);
}

/**
 * Pieces of a stretch with one shade each: from and to (shares of it), shade: copper where a valve would draw air in,
 * deeper green as pressure rises. A part without length shows its inlet pressure up to its mark.
 */
function shades(before, here, levels) {
  const entering = before.pressure, leaving = here.at - before.at < 1e-6 ? entering : here.pressure;
  const cuts = levels.map((level) => (level - entering) / (leaving - entering)).filter((share) => share > 0 && share < 1).sort((a, b) => a - b);
  const edges = [0, ...cuts, 1];
  return edges.slice(1).map((to, i) => {
    const pressure = entering + ((leaving - entering) * (edges[i] + to)) / 2, deep = levels.filter((level) => pressure >= level).length;
    return [edges[i], to, deep ? `over${deep - 1}` : "under"];
  });
}

function pipe(points, levels, x, y) {
  const skins = el("g", {}), water = el("g", {});
  for (let i = 1; i < points.length; i += 1) {
    const [x1, y1, x2, y2] = [x(i - 1), y(points[i - 1].height), x(i), y(points[i].height)];
    skins.append(el("line", { class: "skin", x1, y1, x2, y2 }));
    const holds = points[i].at - points[i - 1].at < 1e-6 ? "water" : points[i].holds;
    const pieces = holds === "water" ? shades(points[i - 1], points[i], levels) : [[0, 1, holds]];
    const at = (share) => [x1 + (x2 - x1) * share, y1 + (y2 - y1) * share];
    // Round at the corner, square where the shade changes.
    water.append(el("line", { class: `water ${pieces[0][2]}`, x1, y1, x2: x1, y2: y1 }), ...pieces.map(([from, to, shade]) => {
      const [[fx, fy], [tx, ty]] = [at(from), at(to)];
      return el("line", { class: `water cut ${shade}`, x1: fx, y1: fy, x2: tx, y2: ty });
    }));
  }
  return el("g", { class: "pipe" }, skins, water);
}

function between(points, x, y, from, to) {
  // The polyline between two distances along the path, with the parts without length where it starts.
  const at = (d) => {
    let i = 1;
    while (i < points.length - 1 && points[i].at < d - 1e-9) i += 1;
    const run = points[i].at - points[i - 1].at;
    const share = run > 1e-9 ? Math.min(Math.max((d - points[i - 1].at) / run, 0), 1) : 0;
    return [x(i - 1) + share * (x(i) - x(i - 1)), y(points[i - 1].height) + share * (y(points[i].height) - y(points[i - 1].height))];
  };
  const middle = points.map((p, i) => [p.at, x(i), y(p.height)]).filter(([d]) => d > from - 1e-9 && d < to - 1e-9);
  return [...(middle[0]?.[0] < from + 1e-9 ? [] : [at(from)]), ...middle.map(([, px, py]) => [px, py]), at(to)];
}

/** Air that stays or may stay. The first film is explained, later ones only labeled. */
function air(way, points, x, y, { put }) {
  const group = el("g", {});
  const films = points.filter((p, i) => i > 0 && p.holds === "film" && (points[i - 1].holds !== "film" || i === 1));
  points.forEach((point, i) => {
    if (i === 0 || point.holds === "water" || point.at - points[i - 1].at < 1e-6) return;
    const [x1, y1, x2, y2] = [x(i - 1), y(points[i - 1].height), x(i), y(point.height)];
    group.append(el("line", { class: "air stays", x1, y1, x2, y2 }));
    if (points[i - 1].holds !== "water" && i !== 1) return;
    const text = point.holds !== "film" ? "no water" : point === films[0] ? "air: water falls as a film" : "air";
    put(text, "airword", text === "air" ? [(x1 + x2) / 2, (y1 + y2) / 2] : [x1, y1], { sides: text === "air" ? "e ne w sw" : "n ne nw e w", gap: 16 });
  });
  for (const top of way.high) {
    const dry = points.some((p, i) => i > 0 && p.holds !== "water" && points[i - 1].at >= top.at - 1e-6 && points[i - 1].at <= top.at + 1e-6);
    if (top.air === "swept" || top.air === "vented" || dry) continue;
    for (const [from, to] of top.pockets) {
      const line = between(points, x, y, from, to).map((p) => p.map((v) => v.toFixed(1)).join(",")).join(" ");
      if (top.air === "held") group.append(el("polyline", { class: "emptied", points: line }));
      group.append(el("polyline", { class: top.air === "held" ? "air stays" : "air may", points: line }));
    }
    const [[px, py]] = between(points, x, y, top.at, top.at);
    put(top.air === "held" ? "air stays" : "air may stay", "airword", [px, py], { sides: "n nw ne e w", gap: 16 });
  }
  return group;
}
