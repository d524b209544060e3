// Head against flow: pump curve and system curve, or one pump's curve beside another's.
import { el, shown } from "/static/api.js";
import { round } from "/static/picture.js";
import { words } from "/static/words.js";

const LEFT = 48, BOTTOM = 34;

/** Axes with round numbers, as wide as the svg is shown; returns what maps a flow and a head to a position. */
function axes(svg, most, top, scales) {
  const width = svg.clientWidth || 420, height = Math.max(220, width * 0.6);
  svg.setAttribute("viewBox", `0 0 ${width} ${height}`);
  const x = (q) => LEFT + (q / most) * (width - LEFT - 10), y = (h) => height - BOTTOM - (Math.min(h, top) / top) * (height - BOTTOM - 12);
  const marks = (end, { scale }) => {
    const each = round((end * scale) / 5);
    return Array.from({ length: Math.floor((end * scale) / each) }, (_, i) => [((i + 1) * each) / scale, +((i + 1) * each).toPrecision(6)]);
  };
  svg.replaceChildren(
    el("line", { class: "axis", x1: LEFT, x2: width - 10, y1: height - BOTTOM, y2: height - BOTTOM }),
    el("line", { class: "axis", x1: LEFT, x2: LEFT, y1: 12, y2: height - BOTTOM }),
    ...marks(most, scales.flow).map(([q, n]) => el("text", { class: "small", x: x(q), y: height - 18, "text-anchor": "middle" }, n)),
    ...marks(top, scales.head).filter(([h]) => y(h) > 28).map(([h, n]) => el("text", { class: "small", x: LEFT - 6, y: y(h) + 4, "text-anchor": "end" }, n)),
    el("text", { class: "small", x: width - 10, y: height - 3, "text-anchor": "end" }, `flow, ${scales.flow.label}`),
    el("text", { class: "small", x: 4, y: 10 }, `head, ${scales.head.label}`));
  const kept = (points) => points.filter((p) => p[1] <= top && p[0] <= most * 1.001).map(([q, h]) => [x(q), y(h)]);
  const line = (points, name) => el("polyline", { class: name, points: kept(points).map((p) => p.map((v) => v.toFixed(1)).join(",")).join(" ") });
  return { x, y, line, named: (lines, others = []) => named([width, height], lines.map(([text, kind, points, sides]) => [text, kind, kept(points), sides]), others) };
}

/** Labels beside lines, each clear of all lines; `others` are more points with text. */
function named([width, height], lines, others) {
  const lettering = words(width, height - BOTTOM, { small: [12], pumpword: [12, 700], loopword: [12, 700], needword: [12] });
  lettering.avoid(0, 0, LEFT - 2, height);
  lettering.avoid(0, 0, 110, 12);
  for (const [, , points] of lines) points.slice(1).forEach((p, i) => lettering.line(...points[i], ...p));
  for (const [text, kind, at, sides] of others) lettering.put(text, kind, at, { sides, gap: 8 });
  for (const [text, kind, points, sides] of lines) {
    // Along its line, wherever the label crosses least.
    const spots = [0.15, 0.3, 0.5, 0.7, 0.85].map((share) => points[Math.round(share * (points.length - 1))]).filter(Boolean);
    if (!spots.some((at) => lettering.put(text, kind, at, { sides, gap: 6, must: false, clear: true })) && spots.length) lettering.put(text, kind, spots[0], { sides });
  }
  return lettering.group;
}

const largest = (points, i) => Math.max(...points.map((p) => p[i]));

/** Head of a curve at a flow, interpolated; null outside its points. */
function headAt(points, flow) {
  const i = points.findIndex(([q]) => q >= flow);
  if (i < 1) return i === 0 && points[0][0] === flow ? points[0][1] : null;
  const [[q0, h0], [q1, h1]] = [points[i - 1], points[i]];
  return h0 + ((flow - q0) / (q1 - q0)) * (h1 - h0);
}

/** Pump curve, system curve, operating point and each unit's need, all labeled. */
export function drawCurves(svg, curves, scales) {
  const need = curves.needs.length === 1 ? curves.needs[0].needed : null;
  const most = Math.max(largest([...curves.pump, ...curves.loop], 0), curves.point[0], (need ?? 0) * 1.08) || 1;
  const top = Math.max(largest(curves.pump, 1), curves.point[1]) * 1.1 || 1;
  const { x, y, line, named } = axes(svg, most, top, scales);
  const upright = need === null ? [] : [[need, 0], [need, top]];
  // Head to spare at the needed flow, or missing there.
  const gives = need === null ? null : headAt(curves.pump, need), takes = need === null ? null : headAt(curves.loop, need);
  const left = gives === null || takes === null ? [] : [[need, Math.min(takes, top)], [need, gives]], spare = left.length ? gives - takes : 0;
  const spent = [...curves.loop.filter(([q]) => q < curves.point[0]), curves.point];
  svg.append(line([[spent[0][0], 0], ...spent, [curves.point[0], 0]], "spent"), line(upright, "need"), line(left, spare < 0 ? "missing" : "spare"), line(curves.pump, "pumpline"), line(curves.loop, "loopline"),
    el("circle", { class: "meets", cx: x(curves.point[0]), cy: y(curves.point[1]), r: 6 }),
    named([
      ["the pump gives", "pumpword", curves.pump, "n ne s sw"], ["the loop takes", "loopword", curves.loop, "nw n se s"],
      ...(left.length ? [[`${shown(Math.abs(spare), "head", scales, 1)} ${spare < 0 ? "missing" : "left over"}`, "loopword", [left[0], [need, (left[0][1] + gives) / 2], left[1]], "w e nw sw"]] : []),
      ...(need === null ? [] : [[`needed ${shown(need, "flow", scales)}`, "needword", [[need, 0], [need, top * 0.1], [need, top * 0.2], [need, top]], "w e"]]),
    ], [[`${shown(curves.point[0], "flow", scales)} at ${shown(curves.point[1], "head", scales, 1)}`, "small", [x(curves.point[0]), y(curves.point[1])], "ne se nw sw w s n"]]));
}

/** A pump's curve with the points it was read from, beside the most similar pump. */
export function drawPump(svg, { points, read, beside, scales }) {
  const { x, y, line, named } = axes(svg, largest([...points, ...beside.points], 0), largest([...points, ...beside.points], 1) * 1.1, scales);
  svg.append(line(beside.points, "loopline"), line(points, "pumpline"), ...read.map(([q, h]) => el("circle", { class: "meets", cx: x(q), cy: y(h), r: 3 })),
    named([["as read", "pumpword", points, "n ne s sw"], [beside.name, "loopword", beside.points, "n ne s sw"]]));
}
