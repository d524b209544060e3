// Sliders that foul a strainer and lower the supply voltage: tried, not kept.
import { el } from "/static/api.js";

/** A slider for each thing to try; `tried` holds edits by address, `attempt(address, edit)` tries another. */
export function trials(view, tried, attempt) {
  const { rows } = view.job, pump = rows.find((row) => row.kind === "pump"), volts = view.volts;
  const fouled = rows.filter((row) => row.kind === "strainer").map((row) =>
    slider(`${row.label}: blocked`, `${row.address}.blocked`, { min: 0, max: 95, step: 1 }, parseFloat(row.given.blocked ?? "0"), "%"));
  // Whole steps from the file's voltage, so that the slider can return to it.
  const step = volts > 60 ? 1 : 0.1, away = (share) => +(volts + step * Math.round((volts * share) / step)).toFixed(1);
  const range = { min: away(-0.3), max: away(0.2), step };
  return [...fouled, slider(view.direct ? "battery: volts at the pump" : "volts at the pump", `${pump.address}.supply`, range, volts, "V")];

  function slider(words, address, limits, value, unit) {
    const now = tried[address] ? parseFloat(tried[address].value) : value;
    const output = el("output", {}, `${now} ${unit}`);
    const input = el("input", { type: "range", ...limits, value: now, "aria-label": words });
    input.addEventListener("input", () => {
      output.textContent = `${input.value} ${unit}`;
      attempt(address, { do: "put", address, value: output.textContent });
    });
    return el("label", { class: "slider" }, el("span", {}, words), input, output);
  }
}
