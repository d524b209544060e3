// A drill for a class: the lines entered are the state; the program replays them each time.
import { ask, by, el, problemsOf, settings, tell } from "/static/api.js";
import { recall, remember } from "/static/kept.js";

const call = { job: "", level: 1, seed: 0, lines: [], over: false };
by("seed").value = String(Math.floor(Math.random() * 1e6));

by("start").addEventListener("submit", (event) => {
  event.preventDefault();
  Object.assign(call, { job: by("job").value, level: Number(by("level").value), seed: Number(by("seed").value), lines: [], over: false });
  play([]);
});

/** Plays the call with these lines; if one is refused, the call stays as it was. */
async function play(lines, over = false) {
  try {
    const state = await ask("/api/drill", { ...call, lines, over, units: settings.units });
    Object.assign(call, { lines, over });
    remember("drill", call);
    tell("");
    show(state);
  } catch (error) {
    tell(problemsOf(error));
  }
}

const say = (line) => play([...call.lines, line]);

function show(state) {
  const opened = new Set([...document.querySelectorAll("#call details[open]")].map((d) => d.dataset.key));
  const fold = (title, ...inside) => el("details", { "data-key": title, open: opened.has(title) || (opened.size === 0 && title === "Take a reading") }, el("summary", {}, el("b", {}, title)), ...inside);
  by("call").replaceChildren(
    el("section", { "aria-label": "The call" }, el("h2", {}, state.title), el("blockquote", {}, `“${state.complaint}”`),
      el("ol", { class: "log", "aria-live": "polite" }, state.entries.map(entry)),
      el("p", {}, el("b", {}, `${state.minutes} min so far. `), state.belief ? `You believe: ${state.belief}` : "")),
    ...(state.end ? [ended(state.end)] : [
      fold("Take a reading", el("div", { class: "tiles" }, state.readings.map((reading) =>
        el("button", { title: reading.how, onclick: () => say(reading.key) }, reading.ask, el("small", {}, ` ${reading.minutes}\u00a0min`))))),
      fold("Say what you believe", believe(state)),
      fold("Do or repair something", act(state)),
      el("p", { class: "tools" }, el("button", { onclick: () => say("hint") }, "A hint (5 min)"), el("button", { class: "strong", onclick: () => play(call.lines, true) }, "Done: leave the boat")),
    ]));
}

function entry({ what, showed, minutes, clean }) {
  return el("li", {}, `${what}: `, el("b", {}, showed), clean ? ` (clean last season: ${clean})` : "", minutes ? el("small", {}, ` ${minutes} min`) : "");
}

/** A form for three faults with their chances in 100. */
function believe(state) {
  const rows = [0, 1, 2].map((i) => ({
    fault: el("select", { "aria-label": `Fault ${i + 1}` }, state.faults.map((fault, j) => el("option", { value: fault.name, selected: i === j }, fault.title))),
    odds: el("input", { "aria-label": `How many in 100 for fault ${i + 1}`, type: "number", min: 0, max: 100, value: [50, 25, 10][i] }),
  }));
  return el("form", { onsubmit: (event) => {
    event.preventDefault();
    say(`rank ${rows.map(({ fault, odds }) => `${fault.value} ${odds.value || 0}`).join(", ")}`);
  } }, rows.map(({ fault, odds }) => el("p", { class: "odds" }, fault, odds, " in 100")), el("button", {}, "We believe this"));
}

/** A form for an action, with the safety steps that come before it. */
function act(state) {
  const how = el("p", { class: "hint" });
  const what = el("select", { "aria-label": "What to do" }, state.actions.map(({ name, title, minutes }) => el("option", { value: `do ${name}` }, `${title} (${minutes} min)`)),
    state.faults.map((fault) => el("option", { value: `repair ${fault.name}` }, `repair: ${fault.title}`)));
  const tell_ = () => { how.textContent = state.actions.find(({ name }) => what.value === `do ${name}`)?.how ?? ""; };
  what.addEventListener("change", tell_);
  tell_();
  const steps = state.safety.map(({ name, step }) => ({ name, box: el("input", { type: "checkbox" }), step }));
  return el("form", { onsubmit: (event) => {
    event.preventDefault();
    say(`${what.value}: ${steps.filter(({ box }) => box.checked).map(({ name }) => name).join(", ")}`);
  } }, what, how, el("fieldset", {}, el("legend", {}, "First, for safety"), steps.map(({ box, step }) => el("label", { class: "check" }, box, ` ${step}`))), el("button", {}, "Do it"));
}

function ended(end) {
  const again = () => {
    by("seed").value = String(Math.floor(Math.random() * 1e6));
    by("start").requestSubmit();
  };
  return el("section", { "aria-label": "How it ended" }, el("h2", {}, end.outcome), el("p", {}, el("b", {}, `${end.points} points of 100`)),
    el("ul", {}, end.for.map((line) => el("li", {}, line))), el("p", {}, `To confirm: ${end.sure}.`), el("p", {}, el("b", {}, "The fix: "), `${end.fix}.`),
    end.cautions.map((line) => el("p", { class: "hint" }, line)), el("button", { class: "strong", onclick: again }, "Another call"));
}

// Resume a call that was started in this window.
const before = recall("drill");
if (before) {
  Object.assign(call, before, { lines: [], over: false });
  for (const name of ["job", "level", "seed"]) by(name).value = String(before[name]);
  play(before.lines, before.over);
}
