// The questions of a call, in the order in which they come up.

const TOOLS = {
  bucket: "a bucket",
  thermometer: "a thermometer",
  display: "the unit's display",
  gauge: "a pressure gauge",
  meter: "a multimeter or clamp meter",
  wattmeter: "a wattmeter",
  "flow meter": "a clamp-on flow meter",
};
// Readings possible with the boat at speed; none that needs a lid or a valve opened.
const AT_SPEED = [
  "stream",
  "pump_sound",
  "unit",
  "flow",
  "outlet_temperature",
  "condensing_temperature",
  "pump_inlet_pressure",
  "pump_outlet_pressure",
];
const DOCK_ONLY = "works at the dock, not under way";

/** @param {string} title @param {string} hint @param {...any} children */
const part = (title, hint, ...children) =>
  el("section", {}, heading(2, title), hint ? el("p", { class: "note", text: hint }) : "", ...children);
/** @template T @param {T[]} all @param {T} one */
const without = (all, one) => all.filter((other) => other !== one);

/**
 * The questions of a call, from what the customer says to instruments that few carry.
 * @param {Study} s @param {Store} store
 */
function asking(s, store) {
  const updates = [],
    keys = [...s.words, ...s.columns].map((one) => one.key);
  const keep = ({ root, update }) => {
    updates.push(update);
    return root;
  };
  const field = (key, state = store.now) => keep(fieldOf(s, state, key));
  const column = (key) => s.columns[s.at.get(key) ?? -1];
  const by = (tool) => keys.filter((key) => column(key)?.tool === tool);
  const titled = (key, state) =>
    column(key)?.tool === "bucket" && s.unit_names.length > 1
      ? el("div", {}, heading(3, sentenceCase(titleOf(s, key))), field(key, state))
      : field(key, state);
  const root = el(
    "div",
    {},
    keep(doneBefore(s, store)),
    el(
      "details",
      {},
      el("summary", { text: "Who and where" }),
      keep(remark(store, "Customer", "who")),
      keep(remark(store, "Boat and berth", "where")),
      keep(remark(store, "Date", "date", { type: "date" })),
      keep(remark(store, "Note", "note")),
    ),
    part(
      "What the customer says",
      "Tap all that fit.",
      keep(
        toggles(
          "What the customer says",
          Object.fromEntries(s.statements.filter(({ here }) => here).map(({ text }) => [text, text])),
          store,
          "said",
        ),
      ),
    ),
    keys.includes("stream") ? part("At the outlet", "Pump running: what comes out?", field("stream")) : "",
    part(
      "Pump and unit",
      "",
      ...keys.filter((key) => ["pump_sound", "unit"].includes(named(key))).map((key) => field(key)),
    ),
    part(
      "Bucket",
      "Tap when water starts to run in, and again when the bucket is full.",
      ...by("bucket").map((key) => titled(key)),
    ),
    part("Temperatures", "After the unit has run for ten minutes.", ...by("thermometer").map((key) => field(key))),
    keep(
      underWay(
        store,
        keys
          .filter((key) => AT_SPEED.includes(named(key)))
          .map((key) => [column(key)?.tool, titled(key, store.atSpeed)]),
      ),
    ),
    part(
      "Instruments",
      "Tap what you have with you; its readings then appear below.",
      keep(
        toggles(
          "Instruments",
          Object.fromEntries(s.tools.filter((tool) => by(tool).length).map((tool) => [tool, TOOLS[tool]])),
          store,
          "tools",
        ),
      ),
      ...without(without(s.tools, "bucket"), "thermometer").map((tool) =>
        keep(
          instrument(
            store,
            tool,
            by(tool).map((key) => [column(key), field(key)]),
          ),
        ),
      ),
    ),
  );
  const update = () => {
    for (const one of updates) one();
  };
  update();
  return { root, update };
}

/** The last thing done, after which readings are taken again. @param {Study} s @param {Store} store */
function doneBefore(s, store) {
  const root = el("p", { class: "again" });
  return {
    root,
    update() {
      const last = store.call.steps[store.call.steps.length - 1];
      root.hidden = !last;
      root.textContent = last
        ? `Read again, after: ${titleOf(s, last.did)}${last.saw ? ` (${last.saw})` : ""}`
        : "";
    },
  };
}

/**
 * A line of text that goes with the readings.
 * @param {Store} store @param {string} label @param {string} name @param {Record<string, any>} [more]
 */
function remark(store, label, name, more = {}) {
  const { root, input } = labelled(label, {
    maxlength: 200,
    oninput: () => store.change({ [name]: input.value }),
    ...more,
  });
  return {
    root,
    update() {
      if (document.activeElement !== input) input.value = store.call[name];
    },
  };
}

/**
 * Toggle buttons; `all` maps each value that `store.call[name]` may list to its text.
 * @param {string} label @param {Record<string, string>} all @param {Store} store @param {string} name
 */
function toggles(label, all, store, name) {
  const of = (text) => Object.keys(all).find((key) => all[key] === text),
    has = (text) => store.call[name].includes(of(text));
  const flip = (text) =>
    store.change({
      [name]: has(text) ? without(store.call[name], of(text)) : [...store.call[name], of(text)],
    });
  return choices(label, Object.values(all), has, (chosenText, text) => flip(text));
}

/**
 * The readings of a tool, each with its hazard first, then how to take it; shown if the tool is at hand.
 * @param {Store} store @param {string} tool @param {[Said, HTMLElement][]} fields
 */
function instrument(store, tool, fields) {
  const root = el(
    "div",
    {},
    fields.map(([{ hazard, how }, field]) =>
      el("div", {}, hazardBox(hazard), el("p", { class: "note", text: sentenceCase(how) }), field),
    ),
  );
  return {
    root,
    update() {
      root.hidden = !store.call.tools.includes(tool);
    },
  };
}

/**
 * Readings of the loop as it is now with the boat at speed, for the tools at hand.
 * @param {Store} store @param {[string | undefined, HTMLElement][]} fields
 */
function underWay(store, fields) {
  const root = el(
    "details",
    { id: "under-way" },
    el("summary", { text: "Readings under way, boat at speed" }),
    hazardBox(
      "Someone else steers. Nobody leans over the side: where no bucket can be held safely, look at the stream. Fit gauges at the dock, as described below, never under way.",
    ),
    fields.map(([, field]) => field),
  );
  let said = false;
  return {
    root,
    update() {
      const { call } = store,
        now = call.said.includes(DOCK_ONLY) || Object.keys(store.atSpeed.readings).length > 0;
      for (const [tool, field] of fields) field.hidden = Boolean(tool) && !call.tools.includes(tool);
      if (now && !said) root.open = true;
      said = now;
    },
  };
}
