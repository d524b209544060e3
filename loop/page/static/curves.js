// Heads against flow: the pump's curve and the loop's, or one pump's beside another's.
import { el } from "/static/api.js";
import { round } from "/static/picture.js";

const WIDTH = 420, HEIGHT = 250, LEFT = 48, BOTTOM = 34;

/** Axes with round numbers; gives what turns a flow and a head into a place. */
function axes(svg, most, top, scales) {
  svg.setAttribute("viewBox", `0 0 ${WIDTH} ${HEIGHT}`);
  const x = (q) => LEFT + (q / most) * (WIDTH - LEFT - 10), y = (h) => HEIGHT - BOTTOM - (Math.min(h, top) / top) * (HEIGHT - BOTTOM - 12);
  const marks = (end, { scale }) => {
    const each = round((end * scale) / 5);
    return Array.from({ length: Math.floor((end * scale) / each) }, (_, i) => [((i + 1) * each) / scale, +((i + 1) * each).toPrecision(6)]);
  };
  svg.replaceChildren(
    el("line", { class: "axis", x1: LEFT, x2: WIDTH - 10, y1: HEIGHT - BOTTOM, y2: HEIGHT - BOTTOM }),
    el("line", { class: "axis", x1: LEFT, x2: LEFT, y1: 12, y2: HEIGHT - BOTTOM }),
    ...marks(most, scales.flow).map(([q, n]) => el("text", { class: "small", x: x(q), y: HEIGHT - 18, "text-anchor": "middle" }, n)),
    ...marks(top, scales.head).filter(([h]) => y(h) > 28).map(([h, n]) => el("text", { class: "small", x: LEFT - 6, y: y(h) + 4, "text-anchor": "end" }, n)),
    el("text", { class: "small", x: WIDTH - 10, y: HEIGHT - 3, "text-anchor": "end" }, `flow, ${scales.flow.label}`),
    el("text", { class: "small", x: 4, y: 10 }, `head, ${scales.head.label}`));
  const line = (points, name) => el("polyline", { class: name, points: points.filter((p) => p[1] <= top && p[0] <= most * 1.001).map(([q, h]) => `${x(q).toFixed(1)},${y(h).toFixed(1)}`).join(" ") });
  return { x, y, line };
}

const largest = (points, i) => Math.max(...points.map((p) => p[i]));

/** The pump's curve, the loop's, the operating point and each unit's need. */
export function drawCurves(svg, curves, scales) {
  const most = Math.max(largest([...curves.pump, ...curves.loop], 0), curves.point[0]) || 1;
  const top = Math.max(largest(curves.pump, 1), curves.point[1]) * 1.1 || 1;
  const { x, y, line } = axes(svg, most, top, scales);
  const need = curves.needs.length === 1 ? x(curves.needs[0].needed) : null;
  svg.append(...(need === null ? [] : [el("line", { class: "need", x1: need, x2: need, y1: 12, y2: HEIGHT - BOTTOM })]),
    line(curves.pump, "pumpline"), line(curves.loop, "loopline"),
    el("circle", { class: "meets", cx: x(curves.point[0]), cy: y(curves.point[1]), r: 6 }));
}

/** A pump's curve with the points that it was read from, beside the pump most like it. */
export function drawPump(svg, { points, read, beside, scales }) {
  const { x, y, line } = axes(svg, largest([...points, ...beside.points], 0), largest([...points, ...beside.points], 1) * 1.1, scales);
  svg.append(line(beside.points, "loopline"), line(points, "pumpline"), ...read.map(([q, h]) => el("circle", { class: "meets", cx: x(q), cy: y(h), r: 3 })));
}
