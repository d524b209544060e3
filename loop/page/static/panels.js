// What is said of a loop beside its drawing: verdict, flow of each unit, findings, curves.
import { el, shown } from "/static/api.js";
import { drawCurves } from "/static/curves.js";
import { draw, round } from "/static/picture.js";

const WORD = { good: "GOOD", attention: "ATTENTION", bad: "BAD" };

/** The word, its cause and its fix. */
export function showVerdict(holder, view) {
  const { check, picture, first } = view;
  holder.className = check.verdict;
  holder.replaceChildren(...[
    el("p", { class: "word" }, WORD[check.verdict] ?? check.verdict), el("p", { class: "cause" }, first.cause),
    first.fix ? el("p", { class: "fix" }, el("b", {}, "Fix: "), first.fix) : null,
    view.what_if ? el("p", { class: "trial" }, "As tried with the sliders, not as the file says.") : null,
    el("p", { class: "pump" }, `${check.pump.name}: ${shown(check.pump.flow, "flow", picture.scales)} at ${shown(check.pump.head, "head", picture.scales, 1)}; shut-off head ${shown(check.pump.shutoff_head, "head", picture.scales, 1)}`),
  ].filter(Boolean));
}

/** Flow of each unit with its band and its need, all on one scale. */
export function showFlows(holder, check, scales) {
  const most = Math.max(...check.condensers.map((c) => Math.max(c.flow_high, c.needed_flow))) * 1.08 || 1;
  const rows = check.condensers.map((c) => {
    const state = c.supply;
    return el("div", { class: `unit ${state.replaceAll(" ", "-")}` },
      el("p", {}, el("b", {}, c.name), ` ${shown(c.flow, "flow", scales)} of ${shown(c.needed_flow, "flow", scales)} needed (${shown(c.flow_low, "flow", scales)} to ${shown(c.flow_high, "flow", scales)}): ${state}`),
      band(c, most, scales, Math.max(holder.clientWidth || 400, 240)), check.states.rest ? el("p", { class: "small" }, `At rest: ${shown(check.states.rest[c.name], "flow", scales)}`) : null, el("p", { class: "small" }, c.condensing_temperature === null ? "The unit trips." : `condensing near ${shown(c.condensing_temperature, "temperature", scales)}, an estimate`));
  });
  const key = el("p", { class: "legend" }, el("span", { class: "key needmark" }), "needed ", el("span", { class: "key flow" }), "as calculated ", el("span", { class: "key span" }), "what it may be, 95 loops like it in 100");
  holder.replaceChildren(el("h2", {}, "Water for each unit"), ...rows, key);
}

/** One unit's flow over a scale with round numbers. */
function band(c, most, scales, width) {
  const { scale, label } = scales.flow, each = round((most * scale) / Math.max(3, Math.min(6, width / 80)));
  const x = (q) => 6 + Math.max(0, Math.min(1, q / most)) * (width - 12);
  const ticks = Array.from({ length: Math.floor((most * scale) / each) + 1 }, (_, i) => +(i * each).toPrecision(6));
  // The unit stands behind the last number that leaves room for it.
  const named = ticks.findLastIndex((n) => x(n / scale) + 12 + 8 * label.length < width);
  return el("svg", { class: "band", viewBox: `0 0 ${width} 36`, "aria-hidden": "true" },
    el("rect", { class: "track", x: x(0), y: 4, width: width - 12, height: 6 }),
    el("rect", { class: "span", x: x(c.flow_low), y: 2, width: Math.max(x(c.flow_high) - x(c.flow_low), 2), height: 10 }),
    el("rect", { class: "needmark", x: x(c.needed_flow) - 2, y: 0, width: 4, height: 14 }),
    el("rect", { class: "flow", x: x(c.flow) - 2, y: 0, width: 4, height: 14 }),
    ...ticks.flatMap((n, i) => {
      const at = x(n / scale), left = Math.max(1, at - 4 * `${n}`.length);
      return [el("line", { class: "axis", x1: at, x2: at, y1: 14, y2: 18 }),
        el("text", { class: "small", x: left, y: 30 }, i === named ? `${n} ${label}` : `${n}`)];
    }));
}

/** Findings with their fixes; `act(finding, action, words)` applies one, null where nothing is changed. */
export function showFindings(holder, view, act) {
  const card = (finding) => el("article", { class: finding.level },
    el("h3", {}, el("span", { class: "level" }, finding.level), ` ${finding.title}`),
    finding.places.length ? el("p", { class: "small" }, finding.places.join("; ")) : null,
    finding.messages.map((message) => el("p", {}, message)),
    finding.fix ? el("p", { class: "fix" }, el("b", {}, "Fix: "), finding.fix) : null,
    act ? finding.tries.map(([i, j, words]) => el("button", { class: "act", onclick: () => act(i, j, words) }, `Try it: ${words}`)) : null,
    el("p", { class: "source" }, finding.source));
  const shown_ = [], more = new Map();
  // Of notes of one kind the first stands open.
  view.told.forEach((finding, i) => {
    const again = finding.level === "note" && view.told.findIndex((f) => f.code === finding.code) < i;
    if (!again) shown_.push([finding, card(finding)]);
    else more.set(finding.code, [...(more.get(finding.code) ?? []), card(finding)]);
  });
  const folded = ({ code, title }) => more.has(code) ? [el("details", { class: "more" }, el("summary", {}, `${more.get(code).length} more: ${title}`), more.get(code))] : [];
  holder.replaceChildren(el("h2", {}, shown_.length ? "Findings" : "No findings"), ...shown_.flatMap(([finding, made]) => [made, ...(finding.level === "note" ? folded(finding) : [])]));
}

/** Where the pump's curve and the loop's meet. */
export function showCurves(holder, picture) {
  const svg = el("svg", { role: "img", "aria-label": "Pump curve and loop curve" });
  holder.replaceChildren(el("h2", {}, "Where pump and loop meet"), svg);
  drawCurves(svg, picture.curves, picture.scales);
}

/** Two versions side by side, each with its title. */
export function showFound(holder, found, now, way, putAway) {
  holder.hidden = !found;
  if (!found) return;
  const side = ({ title, picture, check }) => {
    const svg = el("svg", { role: "img", "aria-label": title }), flows = el("div", {});
    draw(svg, picture.ways[Math.min(way, picture.ways.length - 1)], picture.scales, { width: 460, height: 240, fixed: true });
    showFlows(flows, check, picture.scales);
    flows.firstChild.remove();
    return el("div", { class: check.verdict }, el("h3", {}, `${title}: ${WORD[check.verdict]}`), svg, flows);
  };
  holder.replaceChildren(el("h2", {}, "Side by side"), el("div", { class: "pair" }, side(found), side(now)), el("button", { onclick: putAway }, "Put away"));
}
