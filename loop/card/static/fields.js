// One field per reading, by kind: buttons, a number with its unit, or a stopwatch.

// Units in which a number may be entered; the call remembers the last choice.
const UNITS = {
  temperature: ["°F", "°C"],
  pressure: ["psi", "kPa", "bar", "inHg"],
  flow: ["gal/h", "gpm", "L/min"],
  voltage: ["V"],
  frequency: ["Hz"],
  power: ["W"],
  current: ["A"],
};
// The unit that a job in SI units starts with.
const SI_UNIT = { temperature: 1, pressure: 1, flow: 2 };

/**
 * A number with its unit, stored as soon as it is valid.
 * @param {Study} s @param {LoopState} state @param {Column} column
 */
function numberField(s, state, column) {
  const { store } = state,
    { quantity: kind } = column,
    unit = () => store.call.units[kind];
  const field = labelled(sentenceCase(column.title), {
    inputmode: column.low < 0 && kind !== "temperature" ? "text" : "decimal",
    maxlength: 30,
    enterkeyhint: "done",
    oninput: typed,
  });
  const units =
    UNITS[kind].length > 1
      ? choices(
          `Unit of ${column.title}`,
          UNITS[kind],
          (one) => one === unit(),
          (one) => {
            if (one) change(one);
          },
          String,
        )
      : null;
  let wrongAt = -1;
  field.root.classList.add("number");
  field.root.classList.toggle("many", UNITS[kind].length > 2);
  field.input.after(units ? units.root : el("span", { class: "unit", text: unit() }));

  function change(next) {
    store.change({ units: { ...store.call.units, [kind]: next } });
    if (field.input.value) typed();
    update();
  }
  function typed() {
    const text = field.input.value.trim(),
      whole = /[a-z°%]/i.test(text.split("±")[0]) ? text : `${text} ${unit()}`;
    let wrong = "";
    try {
      if (text) number(s, whole, column, s.spellings);
    } catch (error) {
      wrong = sentenceCase(error.message);
    }
    say(wrong);
    state.take(column.key, text && !wrong ? whole : "", {}, column.key);
  }
  function say(wrong) {
    wrongAt = wrong ? store.turn : -1;
    field.input.setAttribute("aria-invalid", String(Boolean(wrong)));
    field.note.classList.toggle("wrong", Boolean(wrong));
    field.note.textContent = wrong;
  }
  function update() {
    units?.update();
    // Keep an invalid entry for correction while this call lasts.
    if (document.activeElement === field.input || wrongAt === store.turn) return;
    const earlier = state.earlier(column.key),
      text = state.readings[column.key] ?? earlier;
    say("");
    field.input.readOnly = Boolean(earlier);
    field.note.textContent = earlier ? "Read earlier: it counts for the whole call." : "";
    const bare = text.endsWith(` ${unit()}`) ? text.slice(0, -unit().length - 1) : text;
    if (field.input.value !== bare) field.input.value = bare;
  }
  update();
  return { root: field.root, update };
}

/** Answers whose name in a file is too brief for a button. @type {Record<string, string>} */
const BUTTONS = { hums: "button-hums" };

/** Heading of a word's field. @param {Word} word */
const headingOf = ({ key, title }) => sentenceCase(key.startsWith("unit.") ? `${key.slice("unit.".length)}: the unit` : title);

/**
 * The field for one reading of one state of the loop (store.js).
 * @param {Study} s @param {LoopState} state @param {string} key
 */
function fieldOf(s, state, key) {
  const word = s.words[s.wordAt.get(key) ?? -1];
  if (word) {
    const asked = choices(
      headingOf(word),
      word.choices,
      (answer) => state.readings[key] === answer,
      (answer) => state.take(key, answer),
      (answer) => sentenceCase(s.says[BUTTONS[answer]] ?? answer),
    );
    return {
      root: el(
        "div",
        { class: "field" },
        el("p", { class: "label", text: headingOf(word) }),
        asked.root,
      ),
      update: asked.update,
    };
  }
  const column = s.columns[s.at.get(key)];
  return column.tool === "bucket" ? stopwatch(s, state, column) : numberField(s, state, column);
}

/** @param {string} key */
const named = (key) => key.split(".")[0];
