// Choosing hose and pump, and the job sheet: work of the program that takes a while.
import { ask, el, send, shown, tell } from "/static/api.js";

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

/** Looks for hose and pump, with its progress; can be cancelled. `fit(edits)` fits an option. */
export async function size(holder, text, scales, fit) {
  holder.hidden = false;
  let task = null, stopped = false;
  const bar = el("progress", { max: 1, value: 0, "aria-label": "How far the search is" });
  const stop = async () => {
    stopped = true;
    if (task) await ask("/api/cancel", { task }).catch(() => null);
    task = null;
    holder.hidden = true;
  };
  holder.replaceChildren(el("h2", {}, "Hose and pump"), bar, el("button", { onclick: stop }, "Cancel"));
  holder.scrollIntoView({ block: "nearest" });
  // A page that is left stops its search.
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
    // A search that was cancelled is asked for once more while it ends.
    if (!stopped) tell(error.problems ?? [String(error)]);
  }
}

function showSizing(holder, { passes, why, aside, least, runner_up: second, options }, scales, fit) {
  const row = (option) => el("tr", { class: option.passes ? "passes" : "" },
    el("td", {}, option.passes ? "passes" : "fails"), el("td", {}, option.as_is ? "as it stands" : option.name), el("td", {}, shown(option.flow, "flow", scales)),
    el("td", {}, option.reasons.slice(0, 2).join("; ")),
    el("td", {}, option.edits.length ? el("button", { "aria-label": `Fit it: ${option.name}`, onclick: () => fit(option.edits) }, "Fit it") : null));
  holder.replaceChildren(el("h2", {}, passes ? `Fit ${options[0].name}.` : "Nothing passes at the worst service."),
    el("ul", {}, why.map((line) => el("li", {}, line))),
    aside.length ? el("p", {}, el("b", {}, "Besides, what no hose or pump fixes:")) : "", aside.length ? el("ul", {}, aside.map((line) => el("li", {}, line))) : "", second ? el("p", {}, el("b", {}, "Runner-up: "), second) : "",
    least ? el("p", {}, el("b", {}, "Smallest change that fixes the existing loop: "), `${least.words}. `, least.edits.length ? el("button", { onclick: () => fit(least.edits) }, "Try it") : null) : "",
    el("div", { class: "scroll", tabindex: 0, role: "region", "aria-label": "Options at the worst service" }, el("table", {},
      el("thead", {}, el("tr", {}, ["at the worst service", "pump and hose", "flow", "why", "choose"].map((t) => el("th", { scope: "col" }, t)))), el("tbody", {}, options.map(row)))),
    el("button", { onclick: () => { holder.hidden = true; } }, "Put away"));
}
