// The parts as rows that can be edited, moved, copied and taken out; fields come from the models.
import { el, settings } from "/static/api.js";

const open = new Set();

/** Fills the list of rows; `edit(edits, field)` asks for a change and tells mistakes at the field. */
export function fillRows(list, job, edit) {
  list.replaceChildren(...job.parts.map((part, i) => row(part, i, job, edit)));
  list.append(el("li", { class: "addrow" }, adder(job, edit)));
}

function row(part, index, job, edit) {
  const many = job.parts.length;
  const inner = el("div", { class: "fields" });
  const details = el("details", { "data-address": part.address });
  if (open.has(part.address)) details.open = true;
  details.addEventListener("toggle", () => {
    if (details.open) {
      open.add(part.address);
      if (!inner.firstChild) fields(inner, part, edit);
    } else open.delete(part.address);
  });
  if (details.open) fields(inner, part, edit);
  const facts = Object.entries(part.given).filter(([key]) => key !== "label").slice(0, 3)
    .map(([key, value]) => `${key.replaceAll("_", " ")} ${plain(value)}`).join(" · ");
  details.append(
    el("summary", {}, el("b", {}, part.label), el("span", { class: "facts" }, part.label === part.kind ? facts : `${part.kind} · ${facts}`)),
    inner, tools(part, index, many, job, edit));
  const item = el("li", { class: part.branch ? "inside" : "", draggable: "true", "data-index": index }, details);
  item.addEventListener("dragstart", (event) => {
    event.dataTransfer.setData("text/plain", String(index));
    event.dataTransfer.effectAllowed = "move";
  });
  item.addEventListener("dragover", (event) => {
    event.preventDefault();
    item.classList.add("over");
  });
  item.addEventListener("dragleave", () => item.classList.remove("over"));
  item.addEventListener("drop", (event) => {
    event.preventDefault();
    item.classList.remove("over");
    const from = Number(event.dataTransfer.getData("text/plain"));
    if (Number.isInteger(from) && from !== index) move(job.parts[from], part, edit);
  });
  return item;
}

function move(part, target, edit) {
  edit([{ do: "remove", address: part.address }, { do: "insert", address: target.address, part: { kind: part.kind, ...part.given } }]);
}

function tools(part, index, many, job, edit) {
  const beside = (step) => job.parts[index + step];
  const same = (other) => other && other.address.replace(/\[\d+\]$/, "") === part.address.replace(/\[\d+\]$/, "");
  const after = part.address.replace(/\[(\d+)\]$/, (_, n) => `[${Number(n) + 1}]`);
  const button = (words, name, act, off = false) => el("button", { type: "button", "aria-label": `${name}: ${part.label}`, disabled: off, onclick: act }, words);
  return el("div", { class: "tools" },
    button("Up", "Move up", () => move(part, beside(-1), edit), !same(beside(-1))),
    button("Down", "Move down", () => edit([{ do: "remove", address: part.address }, { do: "insert", address: after.replace(/\[(\d+)\]$/, (_, n) => `[${Number(n) + 1}]`), part: { kind: part.kind, ...part.given } }]), !same(beside(1))),
    button("Copy", "Copy", () => edit([{ do: "insert", address: after, part: { kind: part.kind, ...part.given, label: `${part.label} copy`.slice(0, 60) } }]), !settings.addable.includes(part.kind)),
    button("Take out", "Take out", () => edit([{ do: "remove", address: part.address }]), many <= 2));
}

function adder(job, edit) {
  const kind = el("select", { "aria-label": "Kind of part to add" }, settings.addable.map((name) => el("option", {}, name)));
  const where = el("select", { "aria-label": "Before which part" }, job.parts.slice(1).map((part) => el("option", { value: part.address }, `before ${part.label}`)));
  return el("form", {
    onsubmit: (event) => {
      event.preventDefault();
      const at = job.parts.findIndex((part) => part.address === where.value);
      const before = job.parts[at - 1];
      const part = { kind: kind.value, ...(settings.starters[kind.value] ?? {}) };
      if (kind.value === "hose") part.to = before.given.to ?? before.given.height ?? heightBefore(job, at);
      if (kind.value === "condenser") part.serves = "";
      if (kind.value === "discharge") part.height = heightBefore(job, at);
      edit([{ do: "insert", address: where.value, part }]);
    },
  }, "Add ", kind, " ", where, " ", el("button", {}, "Add"));
}

function heightBefore(job, at) {
  for (let i = at - 1; i >= 0; i -= 1) {
    const height = job.parts[i].given.to ?? job.parts[i].given.height;
    if (height !== undefined) return height;
  }
  return job.units === "us" ? "0 in" : "0 cm";
}

function plain(value) {
  if (Array.isArray(value)) return value.map(plain).join(", ");
  if (value !== null && typeof value === "object") return Object.values(value).map(plain).join(" at ");
  return String(value);
}

function fields(holder, part, edit) {
  for (const form of settings.forms[part.kind] ?? []) holder.append(field(form, part.given[form.name], `${part.address}.${form.name}`, edit));
}

/** One field: what the file says, the default behind it, and a line for what is wrong with it. */
export function field(form, given, address, edit) {
  const wrong = el("span", { class: "wrong", role: "alert" });
  const told = form.name.replaceAll("_", " ");
  const kept = given === undefined ? "" : written(form, given);
  let input;
  if (form.entry === "choice") {
    input = el("select", {}, form.required ? null : el("option", { value: "" }, form.default ? `${form.default} (default)` : "—"),
      form.choices.map((choice) => el("option", { value: String(choice), selected: kept === String(choice) }, String(choice))));
  } else {
    input = el("input", { value: kept, placeholder: form.default || hint(form), autocomplete: "off", spellcheck: "false", inputmode: form.entry === "number" ? "decimal" : "text" });
    if (form.name === "curve") {
      input.setAttribute("list", "pump-names");
    }
  }
  input.addEventListener("change", async () => {
    const value = input.value.trim();
    wrong.replaceChildren();
    input.removeAttribute("aria-invalid");
    const problems = await edit([{ do: "put", address, value: read(form, value) }], true);
    if (problems) {
      wrong.append(problems.map((line) => line.replace(/^change: /, "")).join("; "));
      input.setAttribute("aria-invalid", "true");
    }
  });
  return el("label", {}, el("span", {}, told), input, wrong);
}

function hint(form) {
  return { length: "such as 12 in", flow: "such as 180 gal/h", rating: "such as 0.4 psi at 300 gal/h", angle: "such as 90 deg", ratio: "such as 50 %", voltage: "such as 115 V", temperature: "such as 85 degF" }[form.quantity] ?? "";
}

function written(form, value) {
  return form.entry === "list" && Array.isArray(value) ? value.map((item) => (typeof item === "object" ? `${item.height} at ${item.at}` : item)).join(", ") : plain(value);
}

function read(form, value) {
  if (value === "") return null;
  if (form.entry === "number") return Number.isFinite(Number(value)) ? Number(value) : value;
  if (form.entry !== "list") return value;
  return value.split(/\s*,\s*/).filter(Boolean).map((item) => {
    const placed = /^(.*\S)\s+at\s+(\S.*)$/.exec(item);
    return placed && form.name === "via" ? { at: placed[2], height: placed[1] } : item;
  });
}
