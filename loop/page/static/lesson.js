// A lesson for the wall: the class predicts, sees the result, changes the loop, explains.
import { ask, by, el, problemsOf, settings, tell } from "/static/api.js";
import { recall, remember } from "/static/kept.js";
import { moved } from "/static/marks.js";
import { showFlows } from "/static/panels.js";
import { draw } from "/static/picture.js";

const LETTERS = "abcdefgh";
let lesson = null, now = 0, changed = null, range = null, drawn = null, busy = false;
const looked = new Set();
// Progress of the class: hands for each choice, loops in the order viewed, and what was opened since.
const place = `lesson ${settings.number} ${settings.units}`;
const far = { hands: [], looks: [], explained: false, answered: false, ...recall(place) };
const keep = (more = {}) => remember(place, Object.assign(far, more));

const step = (title, ...inside) => el("section", { "aria-label": title }, el("h2", {}, title), ...inside);

function predict() {
  const hands = lesson.choices.map((_, i) => Number(far.hands[i]) || 0);
  const counts = hands.map((count) => el("output", {}, count));
  const choices = lesson.choices.map((choice, i) => {
    const count = (by_) => () => {
      hands[i] = Math.max(0, hands[i] + by_);
      counts[i].textContent = hands[i];
      keep({ hands });
    };
    return el("li", {}, el("button", { class: "choice", onclick: count(1) }, el("b", {}, `${LETTERS[i]}) `), choice, " ", counts[i]),
      el("button", { "aria-label": `One hand fewer for ${LETTERS[i]}`, onclick: count(-1) }, "−"));
  });
  const reveal = el("button", { id: "reveal", class: "strong", onclick: () => {
    reveal.remove();
    shown(hands);
  } }, "Reveal");
  by("steps").append(step("Predict", el("p", {}, lesson.predict), el("p", { class: "small" }, "Press a choice once for each raised hand."), el("ol", { class: "choices" }, choices), reveal));
}

function shown(hands) {
  const right = lesson.right, all = hands.reduce((a, b) => a + b, 0);
  document.querySelectorAll(".choices li")[right].classList.add("right");
  const said = all ? `${hands[right]} of ${all} predicted it.` : "";
  by("steps").append(step("Reveal", el("p", {}, el("b", {}, `${LETTERS[right]}) ${lesson.choices[right]}. `), lesson.reveal, " ", said)));
  looked.add(0);
  change();
  look(0);
}

function change() {
  const buttons = lesson.columns.map((column, i) => el("button", { "aria-pressed": "false", "data-column": i, onclick: () => look(i) }, column.name));
  by("steps").append(step("Change", el("p", { class: "tools" }, buttons), el("p", { class: "small" }, "Press each in turn to see what happens. Or drag a ring in the drawing, or move it with the arrow keys", el("span", { class: "tomiddle" }, "; a small ring makes a high or low point"), ".")));
}

/** Shows one of the lesson's loops, with its figures beside those viewed before. */
function look(index) {
  now = index;
  if (far.looks.at(-1) !== index) keep({ looks: [...far.looks.filter((one) => one !== index), index] });
  changed = range = null;
  looked.add(index);
  document.querySelectorAll("[data-column]").forEach((button) => button.setAttribute("aria-pressed", String(Number(button.dataset.column) === index)));
  figures();
  picture();
  if (looked.size === lesson.columns.length && !by("explain")) see();
}

function figures() {
  const seen = lesson.columns.filter((_, i) => looked.has(i));
  by("seen").hidden = false;
  by("figures").replaceChildren(el("thead", {}, el("tr", {}, el("th", { scope: "col" }, "what you see"), seen.map((column) => el("th", { scope: "col" }, column.name)))),
    el("tbody", {}, lesson.measures.map((measure, i) => el("tr", {}, el("th", { scope: "row" }, measure), seen.map((column) => el("td", {}, column.figures[i]))))));
}

/** The table of the exercise, with a column to fill in; null if it has none. */
function given() {
  const [head, ...rows] = lesson.given;
  return head && el("div", { class: "scroll" }, el("table", { class: "given" }, el("thead", {}, el("tr", {}, head.map((one) => el("th", { scope: "col" }, one)))),
    el("tbody", {}, rows.map((row) => el("tr", {}, row.map((cell) => el("td", {}, cell)))))));
}

function see() {
  const bars = URL.createObjectURL(new Blob([lesson.bars], { type: "image/svg+xml" }));
  by("seen").append(el("div", { class: "scroll", tabindex: 0, role: "region", "aria-label": "Where the head goes" }, el("img", { src: bars, alt: "Where the pump’s head goes, before and after each change" })));
  const explain = el("button", { id: "explain", class: "strong", onclick: () => {
    explain.hidden = true;
    keep({ explained: true });
    const answer = el("button", { id: "answer", onclick: () => {
      keep({ answered: true });
      answer.replaceWith(el("p", {}, el("b", {}, "Answer: "), lesson.answer));
    } }, "Show the answer");
    by("steps").append(step("Explain", el("p", {}, lesson.explain)), step("One more", el("p", {}, lesson.exercise), given(), answer));
  } }, "Explain");
  by("steps").append(step("See", el("p", {}, lesson.see), el("p", {}, "Why? Let the class say it first."), explain));
}

function picture() {
  const column = lesson.columns[now], view = changed ?? column, revealed = looked.size > 0;
  const svg = by("picture"), wide = Math.max(svg.clientWidth || 640, 300);
  by("column-name").textContent = changed ? `${column.name}, then moved by hand` : column.name;
  drawn = draw(svg, view.picture.ways[0], view.picture.scales, { width: wide, height: Math.max(280, wide * 0.42), onmove: revealed ? drag : null, range, plain: !revealed, big: 1.35 });
  by("flows").replaceChildren();
  if (revealed) showFlows(by("flows"), view.check, view.picture.scales);
}

/** Restores the progress of the class after a reload. */
function goOn({ looks, explained, answered }) {
  if (looks.length === 0) return;
  by("reveal").click();
  looks.forEach(look);
  if (explained) by("explain")?.click();
  if (answered) by("answer")?.click();
}

async function drag(point, height, done) {
  if (busy && !done) return;
  const base = changed ?? lesson.columns[now];
  if (!done) range ??= drawn;
  busy = true;
  try {
    changed = await ask("/api/answer", { text: base.text, edits: moved(point, height) });
    if (done) range = null;
    tell("");
    picture();
  } catch (error) {
    tell(problemsOf(error));
  } finally {
    busy = false;
  }
}

by("again").addEventListener("click", () => {
  keep({ hands: [], looks: [], explained: false, answered: false });
  location.reload();
});

try {
  lesson = await ask("/api/lesson", { number: settings.number, units: settings.units });
  by("title").textContent = document.title = `Lesson ${lesson.number}: ${lesson.title}`;
  const before = { ...far, looks: far.looks.filter((index) => lesson.columns[index]) };
  predict();
  picture();
  goOn(before);
  let resized = 0;
  window.addEventListener("resize", () => { clearTimeout(resized); resized = setTimeout(picture, 120); });
} catch (error) {
  by("column-name").textContent = "";
  tell(problemsOf(error));
}
