// What is said of a loop beside its drawing: verdict, flow of each unit, findings, curves.
import { el, shown } from "/static/api.js";
import { drawCurves } from "/static/curves.js";
import { draw } from "/static/picture.js";

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

/** Flow of each unit with its band and its need. */
export function showFlows(holder, check, scales) {
  const rows = check.condensers.map((c) => {
    const most = Math.max(c.flow_high, c.needed_flow) * 1.08 || 1;
    const x = (q) => `${Math.max(0, Math.min(100, (q / most) * 100))}`;
    const bar = el("svg", { class: "band", viewBox: "0 0 100 14", preserveAspectRatio: "none", "aria-hidden": "true" },
      el("rect", { class: "track", x: 0, y: 4, width: 100, height: 6 }),
      el("rect", { class: "span", x: x(c.flow_low), y: 2, width: Math.max(x(c.flow_high) - x(c.flow_low), 0.5), height: 10 }),
      el("rect", { class: "flow", x: x(c.flow) - 0.4, y: 0, width: 0.8, height: 14 }),
      el("rect", { class: "needmark", x: x(c.needed_flow) - 0.4, y: 0, width: 0.8, height: 14 }));
    const state = c.supply;
    return el("div", { class: `unit ${state.replaceAll(" ", "-")}` },
      el("p", {}, el("b", {}, c.name), ` ${shown(c.flow, "flow", scales)} of ${shown(c.needed_flow, "flow", scales)} needed (${shown(c.flow_low, "flow", scales)} to ${shown(c.flow_high, "flow", scales)}): ${state}`),
      bar, check.states.rest ? el("p", { class: "small" }, `At rest: ${shown(check.states.rest[c.name], "flow", scales)}`) : null, el("p", { class: "small" }, c.condensing_temperature === null ? "The unit trips." : `condensing near ${shown(c.condensing_temperature, "temperature", scales)}, an estimate`));
  });
  holder.replaceChildren(el("h2", {}, "Water for each unit"), ...rows);
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
