// Rows to edit, move, copy and take out; their fields come from the models.
import { el, settings } from "/static/api.js";
import { field, inWords, plain } from "/static/fields.js";

const open = new Set();
const WORDS = { up: "Up", down: "Down", copy: "Copy", "take out": "Remove", split: "Split into branches", branch: "Add a branch", join: "Back into one line" };

/** The fields shown: marks of guesses are shown with the fields they mark. */
const shown = (forms) => forms.filter((form) => form.entry !== "marks");

/** Fills the list of rows; `change(edits or command, atField)` asks for a change and returns the problems. */
export function fillRows(list, job, change) {
  list.replaceChildren(...job.rows.map((row, i) => (row.kind === "end" ? end(row, change) : item(row, i, change))));
  list.append(el("li", { class: "addrow" }, adder(job, change)));
}

/** After a row has moved, keeps only that row open. */
export function openOnly(address, old) {
  const was = open.has(old);
  open.clear();
  if (was) open.add(address);
}

function item(row, index, change) {
  const inner = el("div", { class: "fields" });
  const details = el("details", { "data-address": row.address, open: open.has(row.address) });
  const fill = () => {
    if (inner.firstChild) return;
    inner.append(...shown(settings.forms[row.kind] ?? []).map((form) => field(form, row.given, `${row.address}.${form.name}`, change)));
  };
  if (open.has(row.address)) fill();
  details.addEventListener("toggle", () => {
    if (details.open) {
      open.add(row.address);
      fill();
    } else open.delete(row.address);
  });
  const facts = Object.entries(row.given).filter(([key]) => !["label", "name", "guessed"].includes(key)).slice(0, 3)
    .map(([key, value]) => `${inWords(key)} ${plain(value)}`);
  if (row.label !== row.kind && row.kind !== "branch") facts.unshift(row.kind);
  const moves = row.can.includes("up") || row.can.includes("down");
  const title = row.kind === "branch" ? `branch: ${row.label}` : row.label;
  details.append(el("summary", {}, el("b", {}, title), el("span", { class: "facts" }, facts.join(" · "))), inner,
    el("div", { class: "tools" }, row.can.map((what) => el("button", {
      type: "button", "data-key": `${row.label}/${what}`, "aria-label": `${WORDS[what]}: ${title}`,
      onclick: () => change({ do: what, address: row.address }),
    }, WORDS[what]))));
  const made = el("li", { class: row.kind === "branch" ? "branch" : "", "data-depth": row.depth, draggable: String(moves) }, details);
  made.addEventListener("dragstart", (event) => {
    event.dataTransfer.setData("text/plain", row.address);
    event.dataTransfer.effectAllowed = "move";
  });
  if (index > 0) dropped(made, row, change);
  return made;
}

/** The end of a branch that rejoins: a place to drop a part. */
function end(row, change) {
  const made = el("li", { class: "end", "data-depth": row.depth }, `end of branch: ${row.label}`);
  dropped(made, row, change);
  return made;
}

function dropped(made, row, change) {
  made.addEventListener("dragover", (event) => {
    event.preventDefault();
    made.classList.add("over");
  });
  made.addEventListener("dragleave", () => made.classList.remove("over"));
  made.addEventListener("drop", (event) => {
    event.preventDefault();
    made.classList.remove("over");
    const from = event.dataTransfer.getData("text/plain");
    if (from && from !== row.address) change({ do: "move", address: from, to: row.address });
  });
}

function adder(job, change) {
  const before = job.rows.filter((row, i) => i > 0 && row.kind !== "branch");
  const kind = el("select", { "aria-label": "Kind of part to add", "data-key": "add kind" }, settings.addable.map((name) => el("option", {}, name)));
  const where = el("select", { "aria-label": "Where to add it", "data-key": "add where" }, before.map((row) =>
    el("option", { value: row.address }, row.kind === "end" ? `at the end of branch: ${row.label}` : `before ${row.label}`)));
  where.value = before[before.length - 1].address;
  return el("form", {
    onsubmit: (event) => {
      event.preventDefault();
      change({ do: "add", address: where.value, kind: kind.value });
    },
  }, "Add ", kind, " ", where, " ", el("button", { "data-key": "add" }, "Add"));
}

/** Redraws, keeping the focus and whatever was being typed. */
export function keepingFocus(holder, fill) {
  const here = document.activeElement;
  const key = holder.contains(here) ? here.dataset.key : undefined;
  const typed = here.tagName === "INPUT" && here.value !== here.defaultValue ? here.value : null;
  fill();
  if (key === undefined) return;
  const again = holder.querySelector(`[data-key="${CSS.escape(key)}"]`);
  if (again === null) return;
  if (typed !== null) again.value = typed;
  again.focus();
}

/** The tables other than parts, one fold each; renaming a unit also renames it in its condensers. */
export function fillTables(holder, job, change) {
  const opened = new Set([...holder.querySelectorAll("details[open]")].map((d) => d.dataset.table));
  const block = (title, form, given, address) => el("details", { "data-table": address, open: opened.has(address) }, el("summary", {}, el("b", {}, title)),
    el("div", { class: "fields" }, shown(settings.tables[form]).map((f) => field(f, given, `${address}.${f.name}`,
      form === "condenser" && f.name === "name" ? (edits, atField) => change({ do: "rename", address, value: edits[0].value ?? "" }, atField) : change))));
  holder.replaceChildren(...["water", "boat", "defaults"].map((name) => block(name, name, job.tables[name], name)),
    ...job.units_cooled.map((unit, i) => block(`unit: ${unit.name}`, "condenser", unit, `condenser[${i + 1}]`)));
}

export function namePumps() {
  document.body.append(el("datalist", { id: "pump-names" }, settings.pumps.map((pump) => el("option", { value: pump }))));
}
