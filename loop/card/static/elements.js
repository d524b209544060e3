// Elements of the page, made of text only: nothing that a job or a person writes is ever markup.

/** An element with attributes (`on…`: listeners; `text`), and children. */
function el(tag, attributes = {}, ...children) {
  const made = document.createElement(tag);
  for (const [name, value] of Object.entries(attributes)) {
    if (name === "text") made.textContent = value;
    else if (name.startsWith("on")) made.addEventListener(name.slice(2), value);
    else if (value === true) made.setAttribute(name, "");
    else if (value !== false && value !== undefined && value !== null) made.setAttribute(name, String(value));
  }
  made.append(...children.flat().filter((child) => child !== null && child !== undefined && child !== ""));
  return made;
}

const button = (text, onclick, more = {}) => el("button", { type: "button", onclick, ...more, text });
const sentenceCase = (text) => text.charAt(0).toUpperCase() + text.slice(1);
const heading = (level, text, more = {}) => el(`h${level}`, { ...more, text });

/** Hazard first, and so that it is seen. */
const hazardBox = (text) => (text ? el("p", { class: "hazard" }, el("strong", { text: "Hazard. " }), text) : "");

/** One of several answers: buttons of which at most one is down; a second tap lets it go. */
function choices(label, answers, isDown, choose, shownAs = sentenceCase) {
  const buttons = answers.map((answer) => button(shownAs(answer), () => choose(isDown(answer) ? "" : answer, answer)));
  const update = () => answers.forEach((answer, i) => buttons[i].setAttribute("aria-pressed", String(isDown(answer))));
  update();
  return { root: el("div", { class: "choices", role: "group", "aria-label": label }, buttons), update };
}

let made = 0;
/** A label over a text field. */
function labelled(label, attributes, hint = "") {
  const id = `field-${(made += 1)}`, input = el("input", { id, autocomplete: "off", ...attributes });
  const note = el("p", { id: `${id}-note`, class: "note", text: hint });
  input.setAttribute("aria-describedby", note.id);
  return { root: el("div", { class: "field" }, el("label", { for: id, text: label }), input, note), input, note };
}
