// A call: texts as in a readings file → numbers, words and steps; and the answer of the engine.
"use strict";

/** SI value of "150 gal/h", "1,5 bar", "3/4 psi"; NaN where it is none of this kind. */
function quantity(text, measure, units) {
  const match = /^\s*([-−]?)\s*(?:(\d+)[ -])?(\d+)\/(\d+)\s*(.*)$|^\s*([-−]?\s*(?:\d+(?:[.,]\d*)?|[.,]\d+))\s*(.*)$/.exec(text);
  if (!match) return NaN;
  const fraction = match[3] !== undefined;
  const value = fraction ? (match[1] ? -1 : 1) * (Number(match[2] ?? 0) + Number(match[3]) / Number(match[4])) : Number(match[6].replace("−", "-").replace(/\s/g, "").replace(",", "."));
  const unit = (fraction ? match[5] : match[7]).trim().toLowerCase().replace(/\s+/g, "").replace("²", "^2").replace("³", "^3");
  const known = units[measure]?.[unit];
  return known ? value * known[0] + known[1] : NaN;
}

/** A number that was read, with its half-width; throws words where it is not one. */
function number(text, column, units) {
  const wrong = (why) => { throw new Error(`${column.title}: “${text.slice(0, 60)}” ${why}`); };
  if (text.length > 100) wrong("is too long");
  const [plain, width, ...more] = text.split(/±|\+\s*\/?\s*[-−]/);
  if (more.length) wrong("has more than one ±");
  const bucket = column.measure === "flow" ? /^(.+?)\s+in\s+(.+)$/.exec(text) : null;
  if (bucket) return bucketful(bucket[1], bucket[2], column, units, wrong);
  const tail = width?.trim() ?? "", unit = /[^\d.,/\s-].*$/.exec(plain.trim().replace(/^[-−]/, ""))?.[0] ?? "";
  const value = quantity(plain, column.measure, units);
  if (!Number.isFinite(value)) wrong(`is not a number with its unit, such as “${column.example}”`);
  if (value < column.low || value > column.high) wrong("is out of range; check the number and its unit");
  let half = Math.max(column.absolute, column.relative * Math.abs(value));
  if (width !== undefined) {
    const own = /[a-z°%]/i.test(tail) ? tail : `${tail} ${unit}`, difference = column.measure === "temperature" ? "temperature_difference" : column.measure;
    half = quantity(own, difference, units);
    if (!(half > 0)) wrong("has no half-width above zero after ±");
  }
  return { value, half, text };
}

function bucketful(volumeText, timeText, column, units, wrong) {
  const volume = quantity(volumeText, "volume", units), seconds = time(timeText, units);
  if (!(volume > 0 && volume <= 10 && seconds > 0 && seconds <= 86400)) wrong("is not a bucket and a time, such as “1 gal in 24 s”");
  const flow = volume / seconds;
  return { value: flow, half: flow * Math.hypot(0.05, 1 / seconds), text: `${volumeText.trim()} in ${timeText.trim()}` };
}

/** Seconds of "24 s", "1 min 10 s", "2:10". */
function time(text, units) {
  const clock = /^\s*(\d+):([0-5]?\d(?:\.\d+)?)\s*$/.exec(text);
  if (clock) return Number(clock[1]) * 60 + Number(clock[2]);
  const parts = text.match(/\d+(?:[.,]\d+)?\s*[a-z]+/gi) ?? [];
  return parts.length ? parts.reduce((sum, part) => sum + quantity(part, "time", units), 0) : NaN;
}

/** The readings of one state of the loop, from texts by key; units' own as "key.unit" or tables. */
function state(s, table, units) {
  const numbers = {}, words = {};
  const take = (key, text) => {
    if (s.at.has(key)) numbers[key] = number(String(text), s.columns[s.at.get(key)], units);
    else if (s.wordAt.has(key)) {
      const word = s.words[s.wordAt.get(key)], given = String(text);
      if (!word.choices.includes(given) && !(given in word.also)) throw new Error(`${word.title}: “${given.slice(0, 60)}”; one of: ${word.choices.join(", ")}`);
      words[key] = given;
    }
  };
  for (const [key, value] of Object.entries(table)) {
    if (value !== null && typeof value === "object" && !Array.isArray(value)) for (const [unit, text] of Object.entries(value)) take(`${key}.${unit}`, text);
    else take(key, value);
  }
  return { numbers, words };
}

const BESIDE = ["said", "tools", "step", "date", "note", "prior", "under_way", "did", "saw"];

/** A call from the table of a readings file. */
function read(s, table, units) {
  const rest = (one) => Object.fromEntries(Object.entries(one).filter(([key]) => !BESIDE.includes(key)));
  const said = (table.said ?? []).filter((text) => s.said.some((one) => one.text === text));
  return {
    ...state(s, rest(table), units), said, tools: table.tools ?? null,
    steps: (table.step ?? []).map((step) => ({ did: step.did, saw: step.saw ?? "", ...state(s, rest(step), units) })),
  };
}

/** What `loop diagnose --json` says of the causes and of the steps worth taking next. */
function diagnose(s, table, units) {
  const call = read(s, table, units), found = posterior(s, call);
  const unknown = s.instances.findIndex((one) => one.fault === s.constants.unknown);
  const order = s.instances.map((_, i) => i).filter((i) => i !== unknown).sort((a, b) => found.probability[b] - found.probability[a] || a - b);
  const shown = order.filter((i, n) => n < 3 || found.probability[i] >= s.constants.negligible);
  const fixed = found.rows.reduce((sum, row, i) => sum + (row.now === s.constants.healthy ? found.weight[i] : 0), 0);
  return {
    call, fixed, unknown: unknown < 0 ? 0 : found.probability[unknown],
    causes: shown.map((i) => ({ instance: i, ...s.instances[i], probability: found.probability[i], ...severity(s, found, i), ...onceFixed(s, found, i) })),
    groups: groups(s, found).map((group) => group.map((i) => shown.indexOf(i)).filter((i) => i >= 0)).filter((group) => group.length),
    next: steps(s, found, call).map((one) => ({ ...one, ...worded(s, found, one, shown.slice(0, 4)) })),
  };
}

/** Words for a step, and what to expect of it under each leading cause. */
function worded(s, found, one, leading) {
  const action = s.actions.find((a) => a.name === one.reading), { rows, weight } = heaviest(found, 1e-6);
  const source = action ?? s.columns[s.at.get(one.reading) ?? -1] ?? s.words[s.wordAt.get(one.reading)];
  const expected = leading.map((i) => {
    const own = rows.map((row, r) => r).filter((r) => s.owner[rows[r].origin] === i), total = own.reduce((sum, r) => sum + weight[r], 0);
    if (!(total > 0)) return null;
    const mean = (value) => own.reduce((sum, r) => sum + (weight[r] / total) * value(rows[r]), 0);
    if (action) return action.answers[mean((row) => action.first[row.now]) >= 0.5 ? 0 : 1];
    if (s.wordAt.has(one.reading)) {
      const word = s.words[s.wordAt.get(one.reading)], many = word.choices.length;
      const chances = word.choices.map((_, j) => mean((row) => word.chance[row.now * many + j]));
      return word.choices[chances.indexOf(Math.max(...chances))];
    }
    const at = s.at.get(one.reading);
    return natural(s, at, mean((row) => predicted(s, row, at)[0]));
  });
  return { title: source.title, hazard: source.hazard, how: source.how, answers: source.answers ?? source.choices ?? [], leading, expected };
}

/** Middle and 90 % band of the first fault's severity. */
function severity(s, found, instance) {
  const rows = s.owner.map((_, i) => i).filter((i) => s.owner[i] === instance), one = s.instances[instance];
  const total = rows.reduce((sum, i) => sum + found.byOrigin[i], 0);
  const within = rows.map((i) => (total > 0 ? found.byOrigin[i] / total : 1 / rows.length));
  const middle = [0, 1].map((slot) => rows.reduce((sum, i, n) => sum + within[n] * s.severity[2 * i + slot], 0));
  const grid = [...new Set(rows.map((i) => s.severity[2 * i]))].sort((a, b) => a - b);
  if (grid.length < 2) return { severity: middle, severityLow: grid[0], severityHigh: grid[0] };
  const share = [0];
  grid.forEach((g) => share.push(share[share.length - 1] + rows.reduce((sum, i, n) => sum + (s.severity[2 * i] === g ? within[n] : 0), 0)));
  const edges = [one.low, ...grid.slice(1).map((g, i) => (g + grid[i]) / 2), one.high];
  const at = (p) => {
    let i = 1;
    while (i < share.length - 1 && share[i] < p) i += 1;
    const run = share[i] - share[i - 1];
    return edges[i - 1] + (run > 0 ? Math.min(Math.max((p - share[i - 1]) / run, 0), 1) : 0) * (edges[i] - edges[i - 1]);
  };
  return { severity: middle, severityLow: at(0.05), severityHigh: at(0.95) };
}

/** Share of a standard normal below z (Abramowitz & Stegun 7.1.26, within 1e-7). */
function below(z) {
  const y = Math.abs(z) / Math.SQRT2, t = 1 / (1 + 0.3275911 * y);
  const tail = 0.5 * t * (0.254829592 + t * (-0.284496736 + t * (1.421413741 + t * (-1.453152027 + t * 1.061405429)))) * Math.exp(-y * y);
  return z > 0 ? 1 - tail : tail;
}

/** Flow once this instance's faults are fixed: low edge, middle, high edge of the 90 % band [m³/s]. */
function onceFixed(s, found, instance) {
  const names = (i) => s.instances[i].faults.map((f) => `${f.name}@${f.where}`), ours = names(instance), flow = s.at.get("flow");
  const { rows, weight } = heaviest(found, 1e-6);
  const kept = rows.map((row, i) => [row, weight[i]]).filter(([row]) => ours.every((name) => names(s.owner[row.origin]).includes(name)));
  if (kept.length === 0) return { flowFixed: 0, flowFixedLow: 0, flowFixedHigh: 0 };
  const whole = kept.reduce((sum, [, w]) => sum + w, 0);
  let parts = kept.map(([row, w]) => {
    let now = row.now;
    names(s.owner[now]).forEach((name, slot) => { if (ours.includes(name)) now = s.after[row.now][slot]; });
    if (s.instances[s.owner[now]].faults.length === 1 && ours.includes(names(s.owner[now])[0])) now = s.after[now][0];
    const [mean, variance] = predicted(s, { ...row, now }, flow);
    return [mean, Math.sqrt(Math.max(variance, 1e-18)), w / whole];
  });
  if (s.instances[instance].dead) {
    const others = s.owner.map((_, i) => i).filter((i) => s.instances[s.owner[i]].lasting), total = others.reduce((sum, i) => sum + s.weight[i], 0);
    const fresh = begin(s);
    parts = [...parts.map(([m, d, w]) => [m, d, (1 - s.constants.twoFaults) * w]),
      ...others.map((i) => [s.mean[i * s.c + flow], Math.sqrt(predicted(s, fresh[i], flow)[1]), (s.constants.twoFaults * s.weight[i]) / total])];
  }
  const quantile = (share) => {
    let low = Math.min(...parts.map(([m, d]) => m - 5 * d)), high = Math.max(...parts.map(([m, d]) => m + 5 * d));
    for (let i = 0; i < 60; i += 1) {
      const middle = (low + high) / 2;
      if (parts.reduce((sum, [m, d, w]) => sum + w * below((middle - m) / d), 0) < share) low = middle;
      else high = middle;
    }
    return Math.max(natural(s, flow, (low + high) / 2), 0);
  };
  return { flowFixedLow: quantile(0.05), flowFixed: quantile(0.5), flowFixedHigh: quantile(0.95) };
}

if (typeof module !== "undefined") module.exports = { quantity, number, read, diagnose, time };
