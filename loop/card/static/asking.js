// What is asked: one field a reading, and the call's own questions in the order in which they are met.

const DEGREES = ["°F", "°C"], PRESSURES = ["psi", "kPa", "bar", "inHg"];
const ONLY_UNIT = { voltage: "V", frequency: "Hz", power: "W", current: "A" };
const EXTRA_TOOLS = { gauge: "a pressure gauge", meter: "a multimeter or clamp meter", wattmeter: "a wattmeter", display: "the unit's display" };

/** A number with its unit: kept as soon as it reads as one. */
function numberField(s, store, column) {
  const temperature = column.quantity === "temperature", many = temperature ? DEGREES : column.quantity === "pressure" ? PRESSURES : null;
  const setting = temperature ? "degrees" : "pressure", unit = () => (many ? store.call[setting] : ONLY_UNIT[column.quantity]);
  const field = labelled(sentenceCase(column.title), { inputmode: column.low < 0 && !temperature ? "text" : "decimal", maxlength: 30, enterkeyhint: "done", oninput: typed });
  const units = many ? choices(`Unit of ${column.title}`, many, (one) => one === unit(), (one) => { if (one) change(one); }) : null;
  const plain = unit() && !many ? el("span", { class: "unit", text: unit() }) : "";
  field.root.classList.add("number");
  field.input.after(units ? units.root : plain);

  function change(next) {
    store.change({ [setting]: next });
    if (field.input.value) typed();
    update();
  }
  function typed() {
    const text = field.input.value.trim(), whole = /[a-z°%]/i.test(text.split("±")[0]) ? text : `${text} ${unit()}`;
    let wrong = "";
    try {
      if (text) number(s, whole, column, s.spellings);
    } catch (error) {
      wrong = error.message;
    }
    field.input.setAttribute("aria-invalid", String(Boolean(wrong)));
    field.note.classList.toggle("wrong", Boolean(wrong));
    field.note.textContent = wrong;
    store.take(column.key, text && !wrong ? whole : "", {}, column.key);
  }
  function update() {
    units?.update();
    const text = store.now[column.key] ?? "";
    if (document.activeElement === field.input || field.input.getAttribute("aria-invalid") === "true") return;
    const bare = text.endsWith(` ${unit()}`) ? text.slice(0, -unit().length - 1) : text;
    if (field.input.value !== bare) field.input.value = bare;
  }
  update();
  return { root: field.root, update };
}

/** The field of one reading, by its kind. */
function fieldOf(s, store, key) {
  const word = s.words[s.wordAt.get(key) ?? -1];
  if (word) {
    const asked = choices(sentenceCase(word.title), word.choices, (answer) => store.now[key] === answer, (answer) => store.take(key, answer));
    return { root: el("div", { class: "field" }, el("p", { class: "label", text: sentenceCase(word.title) }), asked.root), update: asked.update };
  }
  const column = s.columns[s.at.get(key)];
  return column.measure === "flow" ? stopwatch(s, store, column) : numberField(s, store, column);
}

const named = (key) => key.split(".")[0];

/** The questions of a call, from the customer's door to the tools that few have. */
function asking(s, store) {
  const updates = [], keys = [...s.words, ...s.columns].map((one) => one.key), tools = s.tools.filter((tool) => tool in EXTRA_TOOLS);
  const add = (key) => {
    const field = fieldOf(s, store, key);
    updates.push(field.update);
    return field.root;
  };
  const part = (title, hint, ...children) => el("section", {}, heading(2, title), hint && el("p", { class: "note", text: hint }), ...children);
  const text = (label, name, more = {}) => {
    const field = labelled(label, { maxlength: 200, oninput: () => store.change({ [name]: field.input.value }), ...more });
    updates.push(() => { if (document.activeElement !== field.input) field.input.value = store.call[name]; });
    return field.root;
  };
  const toggles = (label, all, name) => {
    const made = choices(label, Object.values(all), (shownText) => store.call[name].includes(keyFor(all, shownText)), () => {});
    made.root.querySelectorAll("button").forEach((one, i) => one.addEventListener("click", () => toggle(name, Object.keys(all)[i])));
    updates.push(made.update);
    return made.root;
  };
  const toggle = (name, one) => store.change({ [name]: store.call[name].includes(one) ? store.call[name].filter((other) => other !== one) : [...store.call[name], one] });
  const statements = Object.fromEntries(s.statements.map((one) => [one.text, one.text]));
  const seen = keys.filter((key) => s.wordAt.has(key) && named(key) !== "strainer_seen" && named(key) !== "stream");
  const byTool = tools.map((tool) => {
    const fields = el("div", {}, keys.filter((key) => s.at.has(key) && s.columns[s.at.get(key)].tool === tool).map((key) => {
      const { hazard, how } = s.columns[s.at.get(key)];
      return el("div", {}, hazardBox(hazard), add(key), el("p", { class: "note", text: sentenceCase(how) }));
    }));
    updates.push(() => { fields.hidden = !store.call.tools.includes(tool); });
    return fields;
  });
  const again = el("p", { class: "again" });
  updates.push(() => {
    const last = store.call.steps[store.call.steps.length - 1];
    again.hidden = !last;
    again.textContent = last ? `Read again, after: ${titleOf(s, last.did)}${last.saw ? ` (${last.saw})` : ""}` : "";
  });
  const ofTool = (tool, quantity) => keys.filter((key) => s.at.has(key) && s.columns[s.at.get(key)].tool === tool && s.columns[s.at.get(key)].quantity === quantity);
  const called = (key, field) => (s.unit_names.length > 1 ? el("div", {}, heading(3, sentenceCase(titleOf(s, key))), field) : field);
  const root = el("div", {}, again,
    el("details", {}, el("summary", { text: "Who and where" }), text("Customer", "who"), text("Boat and berth", "where"), text("Date", "date", { type: "date" }), text("Note", "note")),
    part("What the customer says", "Tap all that fit.", toggles("What the customer says", statements, "said")),
    keys.includes("stream") ? part("At the outlet", "Pump running: what comes out?", add("stream")) : "",
    part("Pump and unit", "", ...seen.map(add)),
    part("Bucket", "Tap when the water begins to run in, and again when it is full.", ...ofTool("bucket", "flow").map((key) => called(key, add(key)))),
    part("Temperatures", "The unit has run for ten minutes.", ...ofTool("thermometer", "temperature").map(add)),
    part("Instruments", "Tap what you have with you; its readings are asked for then.", toggles("Instruments", Object.fromEntries(tools.map((tool) => [tool, EXTRA_TOOLS[tool]])), "tools"), ...byTool));
  const update = () => { for (const one of updates) one(); };
  update();
  return { root, update };
}

const keyFor = (all, value) => Object.keys(all).find((key) => all[key] === value);
