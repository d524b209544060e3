// Panels beside the drawing: verdict, flow of each unit, findings, curves.
import { bare, el, shown } from "/static/api.js";
import { drawCurves } from "/static/curves.js";
import { draw, round } from "/static/picture.js";

const WORD = { good: "GOOD", attention: "ATTENTION", bad: "BAD" };

/** The verdict with the most serious finding and its fix; if there are only notes, the cause alone. */
export function showVerdict(holder, view, act) {
  const { check, picture, first, told } = view, { pump } = check;
  const grave = told[0]?.level === "note" ? null : told[0];
  holder.className = check.verdict;
  holder.replaceChildren(...[
    el("p", { class: "word" }, WORD[check.verdict] ?? check.verdict),
    grave ? card(grave, act, first) : el("p", { class: "cause" }, first.cause),
    view.what_if ? el("p", { class: "trial" }, "As set with the sliders, not as in the file.") : null,
    el("p", { class: "pump" }, `${pump.name}: ${shown(pump.flow, "flow", picture.scales)} at ${shown(pump.head, "head", picture.scales, 1)}${check.starts ? "" : ", once primed"}; shut-off head ${shown(pump.shutoff_head, "head", picture.scales, 1)}`),
  ].filter(Boolean));
}

const fixLine = (fix, ...after) => fix ? el("p", { class: "fix" }, el("b", {}, "Fix: "), fix, ...after) : null;

/** One finding, its fix and its actions. `first` replaces the full text, which is then folded away unless it adds nothing. */
function card(finding, act, first = null) {
  const alone = finding.tries.length === 1;
  const tries = act ? finding.tries.map(([i, j, words]) => el("button", { class: "act", "aria-label": `Try it: ${words}`, onclick: () => act(i, j, words) }, alone ? "Try it" : `Try it: ${words}`)) : [];
  const beside = alone ? [" ", ...tries] : [];
  const inFull = (...after) => [finding.places.length ? el("p", { class: "small" }, finding.places.join("; ")) : null, ...finding.messages.map((message) => el("p", {}, message)), fixLine(finding.fix, ...after)];
  return el("article", { class: finding.level },
    el(first ? "h2" : "h3", {}, el("span", { class: "level" }, finding.level), ` ${finding.title}`),
    first ? [el("p", { class: "cause" }, first.cause), fixLine(first.fix, ...beside)] : inFull(...beside),
    alone ? null : tries,
    first && !first.whole ? el("details", {}, el("summary", {}, "In full"), inFull()) : null,
    el("p", { class: "source" }, `Source: ${finding.source} (${finding.code})`));
}

/** Flow of each unit with its band and need, all on one scale, which is also that of the checks `beside` it. */
export function showFlows(holder, check, scales, beside = []) {
  const most = Math.max(...[check, ...beside].flatMap((one) => one.condensers).map((c) => Math.max(c.flow_high, c.needed_flow))) * 1.08 || 1;
  // A section needs its title to have a width, and must be on the page.
  holder.replaceChildren(el("h2", {}, "Water for each unit"));
  const wide = Math.max(holder.firstChild.clientWidth || 400, 240);
  const rows = check.condensers.map((c) => {
    const state = c.supply === "just" ? "just enough" : c.supply;
    return el("div", { class: `unit ${c.supply.replaceAll(" ", "-")}` },
      el("p", {}, el("b", {}, c.name), `: ${shown(c.flow, "flow", scales)} (${bare(c.flow_low, "flow", scales)} to ${bare(c.flow_high, "flow", scales)}), ${bare(c.needed_flow, "flow", scales)} needed: `, el("b", {}, state)),
      band(c, most, scales, wide), check.states.rest ? el("p", { class: "small" }, `At rest: ${shown(check.states.rest[c.name], "flow", scales)}`) : null, el("p", { class: "small" }, c.condensing_temperature === null ? "The unit trips." : `Condensing near ${shown(c.condensing_temperature, "temperature", scales)}, an estimate`));
  });
  const key = el("p", { class: "legend" }, el("span", { class: "key needmark" }), "needed ", el("span", { class: "key flow" }), "calculated ", el("span", { class: "key span" }), "range of 95 in 100 loops built like this");
  holder.append(...rows, key);
}

/** One unit's flow on a scale with round numbers. */
function band(c, most, scales, width) {
  const { scale, label } = scales.flow, each = round((most * scale) / Math.max(3, Math.min(6, width / 80)));
  const x = (q) => 6 + Math.max(0, Math.min(1, q / most)) * (width - 12);
  const ticks = Array.from({ length: Math.floor((most * scale) / each) + 1 }, (_, i) => +(i * each).toPrecision(6));
  return el("svg", { class: "band", viewBox: `0 0 ${width} 36`, "aria-hidden": "true" },
    el("rect", { class: "track", x: x(0), y: 4, width: width - 12, height: 6 }),
    el("rect", { class: "span", x: x(c.flow_low), y: 2, width: Math.max(x(c.flow_high) - x(c.flow_low), 2), height: 10 }),
    el("rect", { class: "needmark", x: x(c.needed_flow) - 2, y: 0, width: 4, height: 14 }),
    el("rect", { class: "flow", x: x(c.flow) - 2, y: 0, width: 4, height: 14 }),
    ...ticks.flatMap((n) => {
      const at = x(n / scale), half = 5 * `${n}`.length;
      return [el("line", { class: "axis", x1: at, x2: at, y1: 14, y2: 18 }),
        // The unit stands at zero: there is always room up to the next number.
        n === 0 ? el("text", { class: "small", x: 1, y: 30 }, `0 ${label}`) : el("text", { class: "small", x: Math.min(at, width - half), y: 30, "text-anchor": "middle" }, `${n}`)];
    }));
}

/** Findings not in the verdict, with their fixes; `act(finding, action, words)` applies one, null if nothing may change. */
export function showFindings(holder, view, act) {
  const told = view.told.filter((one, i) => i > 0 || one.level === "note");
  const shown_ = [], more = new Map();
  // Of several notes of one kind, show the first and fold the rest.
  told.forEach((finding, i) => {
    const again = finding.level === "note" && told.findIndex((f) => f.code === finding.code) < i;
    if (!again) shown_.push([finding, card(finding, act)]);
    else more.set(finding.code, [...(more.get(finding.code) ?? []), card(finding, act)]);
  });
  const folded = ({ code, title }) => more.has(code) ? [el("details", { class: "more" }, el("summary", {}, `${more.get(code).length} more: ${title}`), more.get(code))] : [];
  holder.replaceChildren(el("h2", {}, shown_.length === 0 ? "Nothing else found" : told.length < view.told.length ? "Also found" : "Findings"), ...shown_.flatMap(([finding, made]) => [made, ...(finding.level === "note" ? folded(finding) : [])]));
}

/** Pump curve and system curve. */
export function showCurves(holder, picture) {
  const svg = el("svg", { role: "img", "aria-label": "Pump curve and loop curve" });
  holder.replaceChildren(el("h2", {}, "Head: what the pump gives, what the loop takes"), svg);
  drawCurves(svg, picture.curves, picture.scales);
}

/** Two versions side by side, each with its title. */
export function showFound(holder, found, now, way, putAway) {
  holder.hidden = !found;
  if (!found) return;
  const both = [found, now].map((view) => ({ ...view, svg: el("svg", { role: "img", "aria-label": view.title }), flows: el("div", {}) }));
  const side = ({ title, check, svg, flows }) => el("div", { class: check.verdict }, el("h3", {}, `${title}: ${WORD[check.verdict]}`), svg, flows);
  holder.replaceChildren(el("h2", {}, "Side by side"), el("div", { class: "pair" }, both.map(side)), el("button", { onclick: putAway }, "Close"));
  // Drawn where they stand, so that they are as wide as they are shown.
  const drawn = both.map(({ picture: { ways } }) => ways[Math.min(way, ways.length - 1)]);
  const heights = drawn.flatMap(({ points }) => points.map((point) => point.height)), range = [Math.min(...heights), Math.max(...heights)];
  for (const [i, { picture, check, svg, flows }] of both.entries()) {
    const width = svg.clientWidth || 460;
    draw(svg, drawn[i], picture.scales, { width, height: Math.max(240, width * 0.45), range });
    showFlows(flows, check, picture.scales, both.map((one) => one.check));
    flows.firstChild.remove();
  }
}
