// Sliders that foul a strainer and lower the battery: tried, and not kept.
import { el } from "/static/api.js";

/** A slider for each thing that can be tried; `tried` holds edits by address, `refresh` asks. */
export function trials(view, tried, refresh) {
  const { rows } = view.job, pump = rows.find((row) => row.kind === "pump"), volts = view.volts;
  const fouled = rows.filter((row) => row.kind === "strainer").map((row) =>
    slider(`${row.label}: blocked`, `${row.address}.blocked`, { min: 0, max: 95, step: 1 }, parseFloat(row.given.blocked ?? "0"), "%"));
  const range = { min: +(volts * 0.7).toFixed(1), max: +(volts * 1.2).toFixed(1), step: volts > 60 ? 1 : 0.1 };
  return [...fouled, slider(view.direct ? "battery: volts at the pump" : "volts at the pump", `${pump.address}.supply`, range, volts, "V")];

  function slider(words, address, limits, value, unit) {
    const now = tried[address] ? parseFloat(tried[address].value) : value;
    const output = el("output", {}, `${now} ${unit}`);
    const input = el("input", { type: "range", ...limits, value: now, "aria-label": words });
    input.addEventListener("input", () => {
      output.textContent = `${input.value} ${unit}`;
      tried[address] = { do: "put", address, value: output.textContent };
      refresh();
    });
    return el("label", { class: "slider" }, el("span", {}, words), input, output);
  }
}
