// Page elements built from text only: nothing that a job or a person writes ever becomes markup.

// Elements that hold plain text alone.
const PLAIN = ["option", "textarea", "title"];

/**
 * A text in which a number and its unit, such as 1-1/2 in, stay on one line.
 * @param {string} text @returns {string | HTMLElement}
 */
function unbroken(text) {
  const pieces = text.split(/(\d+ in 100|[−-]?\d[\d.,]*(?:-\d+\/\d+|\/\d+)? (?:[°A-Za-z]{1,3}(?:\/[A-Za-z]{1,3})?)(?![A-Za-z/])|\d+-\d+\/\d+)/);
  if (pieces.length === 1) return text;
  const whole = document.createElement("span");
  whole.append(...pieces.map((piece, i) => {
    if (i % 2 === 0) return piece;
    const number = document.createElement("span");
    number.className = "mixed";
    number.textContent = piece;
    return number;
  }));
  return whole;
}

/**
 * An element with attributes (`on…`: listeners; `text`) and children.
 * @template {keyof HTMLElementTagNameMap} T @param {T} tag @param {Record<string, any>} [attributes]
 * @param {...any} children
 */
function el(tag, attributes = {}, ...children) {
  const made = document.createElement(tag),
    put = (child) => (typeof child === "string" && !PLAIN.includes(tag) ? unbroken(child) : child);
  for (const [name, value] of Object.entries(attributes)) {
    if (name === "text") made.append(put(String(value ?? "")));
    else if (name.startsWith("on")) made.addEventListener(name.slice(2), value);
    else if (value === true) made.setAttribute(name, "");
    else if (value !== false && value !== undefined && value !== null) made.setAttribute(name, String(value));
  }
  made.append(...children.flat().filter((child) => child !== null && child !== undefined && child !== "").map(put));
  return made;
}

// A second touch of a button within this time [ms] is a bounce of a heavy thumb.
const BOUNCE = 250;

/** A touch handler that runs only once for a bounce. @param {() => void} chosen */
function once(chosen) {
  let last = -Infinity;
  return ({ timeStamp }) => {
    if (timeStamp - last >= BOUNCE) chosen();
    last = timeStamp;
  };
}

/** @param {string} text @param {(event: any) => void} onclick @param {Record<string, any>} [more] */
const button = (text, onclick, more = {}) => el("button", { type: "button", onclick, ...more, text });
/** @param {1 | 2 | 3} level @param {string} text @param {Record<string, any>} [more] */
const heading = (level, text, more = {}) => el(`h${level}`, { ...more, text });

/** A hazard, set off to stand out; it goes first. @param {string} text */
const hazardBox = (text) =>
  text ? el("p", { class: "hazard" }, el("strong", { text: "Hazard. " }), text) : "";

/**
 * Buttons for one of several answers, at most one pressed; a second tap releases it.
 * @param {string} label @param {string[]} answers @param {(answer: string) => boolean} isDown
 * @param {(given: string, answer: string) => void} choose @param {(answer: string) => string} [shownAs]
 */
function choices(label, answers, isDown, choose, shownAs = sentenceCase) {
  const buttons = answers.map((answer) =>
    button(
      shownAs(answer),
      once(() => choose(isDown(answer) ? "" : answer, answer)),
    ),
  );
  const update = () =>
    answers.forEach((answer, i) => buttons[i].setAttribute("aria-pressed", String(isDown(answer))));
  update();
  return { root: el("div", { class: "choices", role: "group", "aria-label": label }, buttons), update };
}

let made = 0;
/**
 * A text field with a label above it.
 * @param {string} label @param {Record<string, any>} attributes @param {string} [hint]
 */
function labelled(label, attributes, hint = "") {
  const id = `field-${(made += 1)}`,
    input = el("input", { id, autocomplete: "off", ...attributes });
  const note = el("p", { id: `${id}-note`, class: "note", text: hint });
  input.setAttribute("aria-describedby", note.id);
  return {
    root: el("div", { class: "field" }, el("label", { for: id, text: label }), input, note),
    input,
    note,
  };
}
