// Shared by every page: settings, requests, elements built without markup.
export const settings = JSON.parse(document.getElementById("settings").textContent);

/** Posts a table with the page's token. */
export const send = (path, body, more = {}) => fetch(path, {
  method: "POST", headers: { "content-type": "application/json", "x-loop-token": settings.token },
  body: more.method === "GET" ? undefined : JSON.stringify(body ?? {}), ...more,
});

/** Asks the program; returns its answer, or throws {problems, status}. */
export async function ask(path, body, method = "POST") {
  let response;
  try {
    response = await send(path, body, { method });
  } catch {
    throw { status: 0, problems: ["The program behind this page has stopped. Your changes are kept in this browser: start “loop page” again."] };
  }
  if (!response.ok) {
    const told = await response.json().catch(() => ({ problems: [`the program answered ${response.status}`] }));
    throw { status: response.status, problems: told.problems };
  }
  return response.json();
}

/** What went wrong, as lines to show: the program's answer, or an error of this page. */
export const problemsOf = (error) => error.problems ?? [String(error)];

const SVG = "http://www.w3.org/2000/svg";
const DRAWN = new Set(["svg", "g", "path", "line", "rect", "circle", "text", "polyline", "title", "defs", "pattern"]);

// Elements that hold plain text alone.
const PLAIN = new Set([...DRAWN, "option", "textarea"]);
const MEASURED = /(\d+ in 100|[−-]?\d[\d.,]*(?:-\d+\/\d+|\/\d+)? (?:[°A-Za-z]{1,3}(?:\/[A-Za-z]{1,3})?)(?![A-Za-z/])|\d+-\d+\/\d+)/;

/** A text in which a number and its unit, such as 1-1/2 in, stay on one line. */
function unbroken(text) {
  const pieces = text.split(MEASURED);
  return pieces.length === 1 ? text : el("span", {}, pieces.map((piece, i) => {
    if (i % 2 === 0) return piece;
    const number = el("span", { class: "mixed" });
    number.textContent = piece;
    return number;
  }));
}

/** An element with attributes and children; strings become text, never markup. */
export function el(name, attributes = {}, ...children) {
  const made = DRAWN.has(name) ? document.createElementNS(SVG, name) : document.createElement(name);
  for (const [key, value] of Object.entries(attributes)) {
    if (key.startsWith("on")) made.addEventListener(key.slice(2), value);
    else if (value === true) made.setAttribute(key, "");
    else if (value !== false && value !== null && value !== undefined) made.setAttribute(key, value);
  }
  const given = children.flat().filter((child) => child !== null && child !== undefined && child !== false);
  made.append(...given.map((child) => (typeof child === "string" && !PLAIN.has(name) ? unbroken(child) : child)));
  return made;
}

export const by = (id) => document.getElementById(id);

/** Shows a message of what went wrong or was done; "" hides it. */
export function tell(words, kind = "wrong") {
  const line = by("told");
  line.replaceChildren(...(Array.isArray(words) ? words : [words]).map((word) => (typeof word === "string" ? el("span", {}, word) : word)));
  line.className = kind;
  line.hidden = words.length === 0;
}

/** A number in the job's units, without its unit. */
export function bare(value, quantity, scales, digits) {
  if (value === null || value === undefined || !Number.isFinite(value)) return "—";
  const { scale, offset, decimals } = scales[quantity], places = digits ?? decimals;
  const text = (value * scale + offset).toLocaleString("en-US", { minimumFractionDigits: places, maximumFractionDigits: places });
  return text.replace("-", /[1-9]/.test(text) ? "−" : "");
}

/** The same with its unit: the scales come with each answer. */
export function shown(value, quantity, scales, digits) {
  const number = bare(value, quantity, scales, digits);
  return number === "—" ? number : `${number} ${scales[quantity].label}`;
}

/** Shows something without an element, and what a finger holds in it, moving, however much is added above. */
export function steady(id, show) {
  const top = () => by(id).getBoundingClientRect().top, stood = top();
  show();
  scrollBy(0, top() - stood);
}
