// Choosing hose and pump, and the job sheet: requests that take a while.
import { ask, el, problemsOf, send, shown, tell } from "/static/api.js";

/** Downloads the job sheet. */
export async function saveSheet(text, name) {
  try {
    const response = await send("/api/sheet/pdf", { text });
    if (!response.ok) throw await response.json();
    const link = el("a", { href: URL.createObjectURL(await response.blob()), download: `${name.replace(/\.toml$/, "")}.pdf` });
    link.click();
  } catch (error) {
    tell(error.problems ?? ["The sheet could not be made: the program has stopped."]);
  }
}

/** Searches for hose and pump, with progress and a cancel button. `fit(edits)` fits an option. */
export async function size(holder, text, scales, fit) {
  holder.hidden = false;
  let task = null, stopped = false;
  const bar = el("progress", { max: 1, value: 0, "aria-label": "Progress of the search" });
  const stop = async () => {
    stopped = true;
    if (task) await ask("/api/cancel", { task }).catch(() => null);
    task = null;
    holder.hidden = true;
  };
  holder.replaceChildren(el("h2", {}, "Hose and pump"), el("p", { class: "small" }, "Every pump and bore that the job lists is tried at the worst service."), bar, el("button", { onclick: stop }, "Cancel"));
  holder.scrollIntoView({ block: "nearest" });
  // Leaving the page stops its search.
  window.addEventListener("pagehide", () => task && send("/api/cancel", { task }, { keepalive: true }), { once: true });
  try {
    task = (await ask("/api/size", { text })).task;
    if (stopped) await stop();
    while (task) {
      const at = await ask("/api/task", { task });
      bar.value = at.share;
      if (at.result?.problems) throw at.result;
      if (at.result) {
        showSizing(holder, at.result, scales, fit);
        return;
      }
      await new Promise((resolve) => setTimeout(resolve, 300));
    }
  } catch (error) {
    holder.hidden = true;
    // A canceled search may be polled once more while it ends.
    if (!stopped) tell(problemsOf(error));
  }
}

/** A section of the report: title, then its lines or table. */
const part = ({ title, lines, head, rows, note }, more = null) => [
  el("h3", {}, title), lines.length ? el("ul", {}, lines.map((line) => el("li", {}, line))) : null,
  rows.length ? table(title, head, rows.map((row) => el("tr", {}, row.map((text, i) => (i ? el("td", {}, text) : el("th", { scope: "row" }, text)))))) : null,
  note ? el("p", { class: "small" }, note) : null, more,
];

const table = (label, head, rows) => el("div", { class: "scroll", tabindex: 0, role: "region", "aria-label": label }, el("table", {},
  el("thead", {}, el("tr", {}, head.map((text) => (text ? el("th", { scope: "col" }, text) : el("td", {}))))), el("tbody", {}, rows)));

function showSizing(holder, { passes, why, runner_up: second, sections, service, options }, scales, fit) {
  const fits = (edits, name) => (edits.length ? el("button", { "aria-label": name, onclick: () => fit(edits) }, "Fit it") : null);
  const row = (option) => el("tr", { class: option.passes ? "passes" : "" },
    el("td", {}, el("b", {}, option.passes ? "Passes" : "Fails"), ` ${option.as_is ? "The loop as it stands" : option.name} `, fits(option.edits, `Fit it: ${option.name}`),
      option.reasons.slice(0, 2).map((text) => el("p", { class: "small" }, text))),
    el("td", {}, shown(option.flow, "flow", scales)), el("td", {}, option.chance || "—"), el("td", {}, option.power === null ? "—" : `${Math.round(option.power)} W`));
  holder.replaceChildren(...[el("h2", {}, passes ? `Fit ${options[0].name}.` : "Nothing passes at the worst service."),
    el("ul", {}, why.map((line) => el("li", {}, line))), second ? el("p", {}, el("b", {}, "Runner-up: "), second) : null,
    sections.map((one) => part(one, fits(one.edits, `Fit it: ${one.title}`))),
    el("h3", {}, "Options, best first"), el("p", { class: "small" }, service),
    table("Options at the worst service", ["pump and hose", "flow", "chance", "power"], options.map(row)),
    el("button", { onclick: () => { holder.hidden = true; } }, "Close")].flat(3).filter(Boolean));
}
