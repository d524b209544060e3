// The arithmetic of a diagnosis, as loop/diagnose/belief.py has it: the same rows, sums and order.
"use strict";

/** Numbers from base64: single precision, kept as doubles. */
function unpacked(text) {
  const raw = atob(text), bytes = new Uint8Array(raw.length);
  for (let i = 0; i < raw.length; i += 1) bytes[i] = raw.charCodeAt(i);
  return Float64Array.from(new Float32Array(bytes.buffer));
}

/** Numbers of which each stands once, with where it stands. */
function decoded(coded) {
  const each = unpacked(coded.each), raw = atob(coded.at);
  const values = new Float64Array(raw.length / 2);
  for (let i = 0; i < values.length; i += 1) values[i] = each[raw.charCodeAt(2 * i) + 256 * raw.charCodeAt(2 * i + 1)];
  return values;
}

/** The tables of a card, unpacked once. */
function study(tables) {
  const [h, c, k] = tables.shape, common = k - 2;
  const factor = new Float64Array(h * c * k), kept = unpacked(tables.factor), cells = decoded(tables.cells);
  const place = new Map(tables.single.map((row, i) => [row, i]));
  const copy = (row, column, from) => {
    const source = (place.get(from) * c + column) * common;
    factor.set(kept.subarray(source, source + common), (row * c + column) * k);
  };
  tables.single.forEach((row) => { for (let i = 0; i < c; i += 1) copy(row, i, row); });
  tables.chosen.forEach(([row, ...sources]) => sources.forEach((from, i) => copy(row, i, from)));
  for (let i = 0; i < h * c; i += 1) factor.set(cells.subarray(2 * i, 2 * i + 2), i * k + common);
  return {
    ...tables, h, c, k, factor,
    mean: unpacked(tables.mean), noise: unpacked(tables.noise), weight: unpacked(tables.weight), severity: unpacked(tables.severity),
    differs: decoded(tables.differs),
    at: new Map(tables.columns.map((column, i) => [column.key, i])),
    wordAt: new Map(tables.words.map((word, i) => [word.key, i])),
    words: tables.words.map((word) => ({ ...word, chance: decoded(word.chance) })),
    actions: tables.actions.map((action) => ({ ...action, first: decoded(action.first), cure: decoded(action.cure) })),
  };
}

/** A row: where it began, what it is by now, logarithm of its weight, mean and covariance of the factors. */
function begin(s) {
  const rows = [];
  for (let i = 0; i < s.h; i += 1) {
    const spread = new Float64Array(s.k * s.k);
    for (let j = 0; j < s.k; j += 1) spread[j * s.k + j] = 1;
    rows.push({ origin: i, now: i, log: Math.log(s.weight[i]), x: new Float64Array(s.k), spread, far: 0 });
  }
  return rows;
}

/** After one number: `column` of the study, its value and standard deviation as the study holds them. */
function measured(s, rows, column, value, width, usual = null) {
  const { k, c } = s, tail = s.constants.tail;
  return rows.map((row) => {
    const at = (row.now * c + column) * k, f = s.factor.subarray(at, at + k);
    const along = new Float64Array(k);
    let variance = s.noise[row.now * c + column] + width ** 2, off = value - s.mean[row.now * c + column];
    for (let i = 0; i < k; i += 1) {
      let sum = 0;
      for (let j = 0; j < k; j += 1) sum += row.spread[i * k + j] * f[j];
      along[i] = sum;
    }
    for (let i = 0; i < k; i += 1) {
      variance += f[i] * along[i];
      off -= f[i] * row.x[i];
    }
    variance = Math.max(variance, 1e-30);
    const far = off ** 2 / variance;
    const log = usual ? usual(row) : -0.5 * Math.log(variance) - 0.5 * (tail + 1) * Math.log1p(far / tail);
    const gain = variance * Math.max(1, (tail + far) / (tail + 1));
    const x = row.x.map((v, i) => v + (along[i] / gain) * off);
    const spread = Float64Array.from(row.spread);
    for (let i = 0; i < k; i += 1) for (let j = 0; j < k; j += 1) spread[i * k + j] -= (along[i] / gain) * along[j];
    return { ...row, log: row.log + log, x, spread, far: usual ? row.far : row.far + far };
  });
}

const least = (s, chance) => Math.log(Math.max(chance, s.constants.chance));
const seen = (s, rows, chance) => rows.map((row) => ({ ...row, log: row.log + least(s, chance(row.now)) }));
const told = (s, rows, chance) => rows.map((row) => ({ ...row, log: row.log + least(s, chance(row.origin)) }));

/** After an action that cures a row's first or second fault with the chances `cure`. */
function acted(s, rows, cure) {
  const log = (chance) => Math.log(Math.max(chance, 1e-12));
  const found = rows.map((row) => ({ ...row, log: row.log + log(1 - (cure[2 * row.now] + cure[2 * row.now + 1])) }));
  for (const slot of [0, 1]) {
    for (const row of rows) {
      const chance = cure[2 * row.now + slot];
      if (!(chance > 0)) continue;
      const x = Float64Array.from(row.x), spread = Float64Array.from(row.spread);
      for (let axis = s.k - 2; axis < s.k; axis += 1) {
        x[axis] = 0;
        for (let j = 0; j < s.k; j += 1) spread[axis * s.k + j] = spread[j * s.k + axis] = 0;
      }
      for (let axis = s.k - 2; axis < s.k; axis += 1) spread[axis * s.k + axis] = 1;
      found.push({ origin: row.origin, now: s.after[row.now][slot], log: row.log + log(chance), x, spread, far: row.far });
    }
  }
  const top = Math.max(...found.map((row) => row.log)) + Math.log(s.constants.least);
  return found.filter((row) => row.log > top);
}

/** Weights that sum to 1. */
function weights(rows) {
  const top = rows.reduce((most, row) => Math.max(most, row.log), -Infinity);
  const found = rows.map((row) => Math.exp(row.log - top)), sum = found.reduce((a, b) => a + b, 0);
  return found.map((w) => w / sum);
}

/** Mean and variance of one reading under a row, given all that was read. */
function predicted(s, row, column) {
  const { k, c } = s, at = (row.now * c + column) * k;
  let mean = s.mean[row.now * c + column], variance = s.noise[row.now * c + column];
  for (let i = 0; i < k; i += 1) {
    const f = s.factor[at + i];
    if (f === 0) continue;
    mean += f * row.x[i];
    let along = 0;
    for (let j = 0; j < k; j += 1) along += row.spread[i * k + j] * s.factor[at + j];
    variance += f * along;
  }
  return [mean, variance];
}

/** A value [SI] and its standard deviation as the study holds them; and back. */
function held(s, column, value, width) {
  const scale = s.columns[column].scale;
  if (scale <= 0) return [value, width];
  const above = Math.max(value, 0) / scale + s.constants.offset;
  return [Math.log(above), width / scale / above];
}
function natural(s, column, value) {
  const scale = s.columns[column].scale;
  return scale > 0 ? Math.max(scale * (Math.exp(Math.min(value, 50)) - s.constants.offset), 0) : value;
}

/** What a call leaves: the rows, and the probability of each instance. */
function posterior(s, call) {
  let rows = begin(s);
  for (const text of call.said) {
    const chance = s.said.find((one) => one.text === text).chance;
    rows = told(s, rows, (origin) => chance[s.owner[origin]]);
  }
  rows = taken(s, rows, call, true);
  for (const step of call.steps) {
    const action = s.actions.find((one) => one.name === step.did);
    if (action) {
      if (step.saw) {
        const first = step.saw === action.answers[0];
        rows = seen(s, rows, (now) => (first ? action.first[now] : 1 - action.first[now]));
      }
      rows = acted(s, rows, action.cure);
    }
    rows = taken(s, rows, step, false);
  }
  const weight = weights(rows), byOrigin = new Float64Array(s.h), probability = new Float64Array(s.instances.length);
  rows.forEach((row, i) => { byOrigin[row.origin] += weight[i]; });
  byOrigin.forEach((w, i) => { probability[s.owner[i]] += w; });
  return { rows, weight, byOrigin, probability };
}

function taken(s, before, call, fresh) {
  let rows = before;
  const keys = Object.keys(call.numbers).filter((key) => s.at.has(key))
    .sort((a, b) => (a !== "sea_temperature") - (b !== "sea_temperature") || s.at.get(a) - s.at.get(b));
  for (const key of keys) {
    const column = s.at.get(key), [value, width] = held(s, column, call.numbers[key].value, call.numbers[key].half / s.constants.sigma);
    const usual = fresh && key === "sea_temperature" ? (row) => seaLikelihood(s, row, value, width) : null;
    rows = measured(s, rows, column, value, width, usual);
  }
  for (const [key, word] of Object.entries(call.words)) {
    if (!s.wordAt.has(key)) continue;
    const table = s.words[s.wordAt.get(key)], many = table.choices.length;
    const meant = (table.also[word] ?? [word]).map((one) => table.choices.indexOf(one));
    rows = seen(s, rows, (now) => meant.reduce((sum, i) => sum + table.chance[now * many + i], 0));
  }
  return rows;
}

function seaLikelihood(s, row, value, width) {
  const column = s.at.get("sea_temperature"), at = (row.now * s.c + column) * s.k;
  let variance = s.noise[row.now * s.c + column] + width ** 2;
  for (let i = 0; i < s.k; i += 1) variance += s.factor[at + i] ** 2;
  if (s.seaset[row.now]) return (-0.5 * (value - s.mean[row.now * s.c + column]) ** 2) / variance - 0.5 * Math.log(variance);
  const { sea, cooler } = s.constants, above = value - sea, warmer = Math.hypot(s.constants.warmer, width);
  return Math.log(2 / (warmer + cooler)) - 0.5 * (above / (above > 0 ? warmer : cooler)) ** 2;
}

/** Standard normal distribution function by a logistic, as loop/diagnose/next_reading.py has it. */
function normal(z) {
  const y = Math.max(-8, Math.min(8, z));
  return 1 / (1 + Math.exp(-1.5976 * y - 0.070565992 * y ** 3));
}


/** The rows without the lightest, which together weigh `lightest`, and their weights. */
function heaviest(found, lightest) {
  const order = found.weight.map((_, i) => i).sort((a, b) => found.weight[a] - found.weight[b]);
  const dropped = new Set();
  let sum = 0;
  for (const i of order) {
    sum += found.weight[i];
    if (sum < lightest) dropped.add(i);
  }
  const keep = found.weight.map((_, i) => i).filter((i) => !dropped.has(i));
  const total = keep.reduce((a, i) => a + found.weight[i], 0);
  return { rows: keep.map((i) => found.rows[i]), weight: keep.map((i) => found.weight[i] / total) };
}

/** Mutual information [bits] of the owner and the answer; `chance[row]` gives each answer's chance. */
function information(chance, weight, owner) {
  const places = new Map(), answers = chance[0].length;
  owner.forEach((one) => { if (!places.has(one)) places.set(one, places.size); });
  const joint = Array.from({ length: places.size }, () => new Float64Array(answers));
  chance.forEach((row, i) => {
    const sum = joint[places.get(owner[i])];
    for (let j = 0; j < answers; j += 1) sum[j] += weight[i] * row[j];
  });
  const total = new Float64Array(answers);
  joint.forEach((row) => row.forEach((p, j) => { total[j] += p; }));
  let bits = 0;
  for (const row of joint) {
    const own = row.reduce((a, b) => a + b, 0);
    row.forEach((p, j) => { if (p > 0 && own * total[j] > 0) bits += p * Math.log2(p / (own * total[j])); });
  }
  return Math.max(bits, 0);
}

/** Every step that is left, best for its minutes and risk first. */
function steps(s, found, call, among = null) {
  let { rows, weight } = heaviest(found, s.constants.leftOut);
  if (among) {
    const inside = rows.map((row) => among.includes(s.owner[row.origin]));
    rows = rows.filter((_, i) => inside[i]);
    weight = weight.filter((_, i) => inside[i]);
    const total = Math.max(weight.reduce((a, b) => a + b, 0), 1e-300);
    weight = weight.map((w) => w / total);
  }
  const owner = rows.map((row) => s.owner[row.origin]), latest = latestOf(s, call), gains = [];
  if (rows.length === 0) return [];
  s.columns.forEach((column, at) => {
    if (!mayBeAsked(s, column, latest, call)) return;
    const gain = information(intervals(s, column, at, rows), weight, owner);
    gains.push({ reading: column.key, kind: "reading", gain, cure: 0, minutes: column.minutes, cost: column.minutes });
  });
  s.words.forEach((word) => {
    if (!mayBeAsked(s, word, latest, call)) return;
    const many = word.choices.length, chance = rows.map((row) => word.chance.subarray(row.now * many, row.now * many + many));
    gains.push({ reading: word.key, kind: "reading", gain: information(chance, weight, owner), cure: 0, minutes: word.minutes, cost: word.minutes });
  });
  const done = new Set(call.steps.map((step) => step.did));
  for (const action of s.actions) {
    if (done.has(action.name)) continue;
    const better = rows.map(({ now }) => action.cure[2 * now] * s.differs[2 * now] + action.cure[2 * now + 1] * s.differs[2 * now + 1]);
    const chance = rows.map(({ now }, i) => {
      const first = action.first[now];
      return [first * better[i], first * (1 - better[i]), (1 - first) * better[i], (1 - first) * (1 - better[i])];
    });
    const cure = better.reduce((sum, b, i) => sum + weight[i] * b, 0);
    gains.push({ reading: action.name, kind: "action", gain: information(chance, weight, owner), cure, minutes: action.minutes, cost: action.cost });
  }
  const worth = (one) => (one.gain + s.constants.cure * one.cure) / one.cost;
  return gains.map((one, i) => [one, i]).sort((a, b) => worth(b[0]) - worth(a[0]) || a[1] - b[1]).map(([one]) => one);
}

/** What is known of the loop as it is now: read since the last step, and of the day. */
function latestOf(s, call) {
  if (call.steps.length === 0) return { numbers: call.numbers, words: call.words };
  const numbers = {};
  for (const taken of [call, ...call.steps]) {
    for (const [key, one] of Object.entries(taken.numbers)) if (s.constants.day.includes(key)) numbers[key] = one;
  }
  const last = call.steps[call.steps.length - 1];
  return { numbers: { ...numbers, ...last.numbers }, words: last.words };
}

function mayBeAsked(s, column, latest, call) {
  const has = (key) => key in latest.numbers || key in latest.words;
  if (has(column.key) || (column.key === "flow" && has("flow"))) return false;
  if (column.tool && call.tools && !call.tools.includes(column.tool)) return false;
  const dot = column.key.indexOf("."), name = dot < 0 ? column.key : column.key.slice(0, dot), own = dot < 0 ? "" : column.key.slice(dot + 1);
  return !s.constants.ruled.some(([reading, key, answers]) =>
    reading === name && [latest.words[key], own ? latest.words[`${key}.${own}`] : latest.words[key]].some((word) => answers.includes(word)));
}

/** Chance of each small interval of a number under each row. */
function intervals(s, column, at, rows) {
  const moments = rows.map((row) => predicted(s, row, at));
  const sigma = moments.map(([mean, variance]) => {
    const value = natural(s, at, mean);
    let width = Math.max(column.absolute, column.relative * Math.abs(value)) / s.constants.sigma;
    if (column.scale > 0) width /= value + s.constants.offset * column.scale;
    return Math.max(Math.sqrt(Math.max(variance, 0) + width ** 2), 1e-9 + 1e-6 * Math.abs(mean));
  });
  let low = Infinity, high = -Infinity;
  moments.forEach(([mean], i) => {
    low = Math.min(low, mean - 3 * sigma[i]);
    high = Math.max(high, mean + 3 * sigma[i]);
  });
  const { bins } = s.constants, step = (high - low) / (bins - 1);
  return moments.map(([mean], i) => {
    const chance = new Float64Array(bins + 1);
    let before = 0;
    for (let j = 0; j < bins; j += 1) {
      const edge = j === bins - 1 ? high : low + j * step, below = normal((edge - mean) / sigma[i]);
      chance[j] = below - before;
      before = below;
    }
    chance[bins] = 1 - before;
    return chance;
  });
}

/** Instances that the readings cannot tell apart, likeliest first, each led by its likeliest. */
function groups(s, found) {
  const prior = new Float64Array(s.instances.length);
  s.weight.forEach((w, i) => { prior[s.owner[i]] += w; });
  const evidence = found.probability.map((p, i) => Math.log(p) - Math.log(prior[i]));
  const known = s.instances.map((_, i) => i).filter((i) => s.instances[i].fault !== s.constants.unknown).sort((a, b) => found.probability[b] - found.probability[a]);
  let left = known.filter((i) => found.probability[i] >= s.constants.negligible);
  if (left.length === 0) left = known.slice(0, 1);
  const made = [];
  while (left.length) {
    const [leader] = left, group = left.filter((i) => Math.abs(evidence[i] - evidence[leader]) <= Math.log(s.constants.bare));
    left = left.filter((i) => !group.includes(i));
    made.push(group);
  }
  const sum = (group) => group.reduce((a, i) => a + found.probability[i], 0);
  return made.sort((a, b) => sum(b) - sum(a));
}

if (typeof module !== "undefined") module.exports = { study, posterior, steps, groups, natural, predicted, heaviest, normal, weights };
