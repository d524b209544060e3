// One field of a row: the file's value, the default behind it, what is wrong with it.
import { el } from "/static/api.js";

/** A value of the file as text. */
export function plain(value) {
  if (Array.isArray(value)) return value.map(plain).join(", ");
  if (value !== null && typeof value === "object") return Object.values(value).map(plain).join(" at ");
  return String(value);
}

/** A key as read: files keep the spelling that they began with. */
export const inWords = (key) => key.replaceAll("_", " ").replace("centre", "center");

/** One field: the file's value, the default behind it, whether it is a guess, and what is wrong with it. */
export function field(form, table, address, change) {
  const given = table[form.name];
  const wrong = el("span", { class: "wrong", role: "alert" });
  const told = inWords(form.name);
  const kept = given === undefined ? "" : written(form, given);
  const marks = { "data-key": address, "aria-label": told, title: form.means };
  let input;
  if (form.entry === "choice") {
    input = el("select", marks, form.required ? null : el("option", { value: "" }, form.default ? `${form.default} (default)` : "—"),
      form.choices.map((choice) => el("option", { value: String(choice), selected: kept === String(choice) }, String(choice))));
  } else {
    input = el("input", { ...marks, value: kept, placeholder: form.default || hint(form), autocomplete: "off", spellcheck: "false", inputmode: form.entry === "number" ? "decimal" : "text" });
    if (form.name === "curve") input.setAttribute("list", "pump-names");
  }
  const put = async () => {
    const value = input.value.trim();
    wrong.replaceChildren();
    input.removeAttribute("aria-invalid");
    const problems = await change([{ do: "put", address, value: read(form, value) }], true);
    if (problems) {
      wrong.append(problems.join("; "));
      input.setAttribute("aria-invalid", "true");
    }
  };
  input.addEventListener("change", put);
  const guess = table.guessed?.includes(form.name) && el("span", { class: "guess" }, "a guess ",
    el("button", { type: "button", "data-key": `${address}/measured`, "aria-label": `${told}: measured`, onclick: put }, "Measured"));
  return el("div", { class: "field" }, el("label", {}, el("span", {}, told, el("small", {}, form.means)), input, wrong), guess);
}

function hint(form) {
  const own = { bore: "such as 3/4 in", port: "such as 3/4 in", barb_bore: "such as 3/4 in", tube_bore: "such as 1/2 in", bend_radius: "such as 4 in", roughness: "such as 0.01 mm", length: "such as 6 ft", condensing_watch: "such as 104 degF", condensing_stop: "such as 115 degF", via: "such as -2 in, 4 in at 3 ft", sweeps: "such as 90 deg, 45 deg" };
  if (form.name in own) return own[form.name];
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
