// Arithmetic of a diagnosis, as in loop/diagnose/belief.py and bayes.py: rows in flat arrays.

/**
 * Rows of a belief: original row, current row, log weight, mean and covariance.
 * @param {Study} s @param {number[]} rows
 */
function begin(s, rows) {
  const { k } = s, n = rows.length, spread = new Float64Array(n * k * k), log = new Float64Array(n);
  for (let r = 0; r < n; r += 1) {
    for (let j = 0; j < k; j += 1) spread[r * k * k + j * (k + 1)] = 1;
    log[r] = Math.log(s.rows.weight[rows[r]]);
  }
  return { n, origin: Int32Array.from(rows), now: Int32Array.from(rows), log, spread, since: new Int32Array(n), x: new Float64Array(n * k), far: new Float64Array(n) };
}

/** Selected rows of a belief, by number. @param {Study} s @param {Belief} b @param {number[]} rows */
function picked(s, b, rows) {
  const { k } = s, n = rows.length, x = new Float64Array(n * k), spread = new Float64Array(n * k * k);
  rows.forEach((row, i) => {
    x.set(b.x.subarray(row * k, (row + 1) * k), i * k);
    spread.set(b.spread.subarray(row * k * k, (row + 1) * k * k), i * k * k);
  });
  const of = (values, Type) => Type.from(rows, (row) => values[row]);
  return { n, x, spread, origin: of(b.origin, Int32Array), now: of(b.now, Int32Array), since: of(b.since, Int32Array), log: of(b.log, Float64Array), far: of(b.far, Float64Array) };
}

/**
 * Updates on one number: its `column`, value and standard deviation in the study's scale; `before`:
 * the earlier reading of the same kind.
 * @param {Study} s @param {Belief} b @param {number} column @param {number} value @param {number} width
 * @param {((now: number) => number) | null} usual @param {any} before
 */
function measured(s, b, column, value, width, usual, before) {
  const { k, c } = s, { tail } = s.constants, { temper } = s.columns[column], along = new Float64Array(k);
  for (let r = 0; r < b.n; r += 1) {
    const cell = b.now[r] * c + column, f = cell * k, x = r * k, p = r * k * k;
    let variance = s.noise[cell] + width * width, off = value - s.mean[cell];
    for (let i = 0; i < k; i += 1) {
      let sum = 0;
      for (let j = 0; j < k; j += 1) sum += b.spread[p + i * k + j] * s.factor[f + j];
      along[i] = sum;
      variance += s.factor[f + i] * sum;
      off -= s.factor[f + i] * b.x[x + i];
    }
    variance = Math.max(variance, 1e-30);
    const same = before && b.since[r] <= before.step;
    if (same) {
      off = value - before.value;
      variance = width ** 2 + before.width ** 2;
    }
    const far = off * off / variance, scale = variance * Math.max(1, (tail + far) / (tail + 1));
    if (usual) b.log[r] += usual(b.now[r]);
    else {
      b.log[r] -= 0.5 * Math.log(variance) + temper * 0.5 * (tail + 1) * Math.log1p(far / tail);
      b.far[r] += far;
    }
    if (same) continue;
    for (let i = 0; i < k; i += 1) {
      const gain = along[i] / scale;
      if (gain === 0) continue;
      b.x[x + i] += gain * off;
      for (let j = 0; j < k; j += 1) b.spread[p + i * k + j] -= gain * along[j];
    }
  }
}

/**
 * Updates on an observation with a known chance for each row: `rows` are original or current rows.
 * @param {Study} s @param {Belief} b @param {ArrayLike<number>} rows
 * @param {(row: number, r: number) => number} chance
 */
function weighed(s, b, rows, chance) {
  for (let r = 0; r < b.n; r += 1) b.log[r] += Math.log(Math.max(chance(rows[r], r), s.constants.chance_floor));
}

/**
 * Rows left once the first or second fault of a row is fixed, each with its share. If the first
 * fault hid the second, these are all rows of the second, since its severity was hidden too.
 * @param {Study} s @param {number} row @param {number} slot @returns {[number, number][]}
 */
function opened(s, row, slot) {
  const { behind } = s.instances[s.rows.owner[row]];
  if (slot > 0 || behind < 0) return [[s.rows.after[row][slot], 1]];
  const rows = s.rowsOf[behind], whole = rows.reduce((sum, one) => sum + s.rows.weight[one], 0);
  return rows.map((one) => [one, s.rows.weight[one] / whole]);
}

/**
 * Updates on the call's action of this number; `cure`: its chances to cure a row's first or second fault.
 * @param {Study} s @param {Belief} b @param {number[]} cure @param {number} number
 */
function acted(s, b, cure, number) {
  const { k } = s, from = [], now = [], log = [];
  let top = -Infinity;
  const add = (row, becomes, chance, share) => {
    from.push(row);
    now.push(becomes);
    log.push(b.log[row] + Math.log(Math.max(chance, s.constants.cure_floor)) + Math.log(share));
    top = Math.max(top, log[log.length - 1]);
  };
  for (let r = 0; r < b.n; r += 1) add(r, b.now[r], 1 - (cure[2 * b.now[r]] + cure[2 * b.now[r] + 1]), 1);
  for (const slot of [0, 1]) {
    for (let r = 0; r < b.n; r += 1) {
      const chance = cure[2 * b.now[r] + slot];
      if (chance > 0) for (const [row, share] of opened(s, b.now[r], slot)) add(r, row, chance, share);
    }
  }
  const kept = [], least = top + Math.log(s.constants.least);
  log.forEach((one, i) => { if (one > least) kept.push(i); });
  const next = picked(s, b, kept.map((i) => from[i]));
  kept.forEach((i, r) => {
    next.now[r] = now[i];
    next.log[r] = log[i];
    if (i < b.n) return;
    next.since[r] = number;
    // Its position within the severity cell is undetermined again.
    for (let axis = k - 2; axis < k; axis += 1) {
      next.x[r * k + axis] = 0;
      for (let j = 0; j < k; j += 1) next.spread[(r * k + axis) * k + j] = next.spread[(r * k + j) * k + axis] = 0;
      next.spread[(r * k + axis) * k + axis] = 1;
    }
  });
  return next;
}

/** Weights, normalized to 1. @param {Belief} b */
function weights(b) {
  const top = b.log.reduce((most, log) => Math.max(most, log), -Infinity);
  const found = b.log.map((log) => Math.exp(log - top)), sum = found.reduce((a, w) => a + w, 0);
  return found.map((w) => w / sum);
}

/**
 * Predictive mean and variance of one reading under row r, given all readings: [mean, variance].
 * @param {Study} s @param {Belief} b @param {number} r @param {number} column @param {number} [now]
 */
function predicted(s, b, r, column, now = b.now[r]) {
  const { k, c } = s, cell = now * c + column, f = cell * k, x = r * k, p = r * k * k;
  let mean = s.mean[cell], variance = s.noise[cell];
  for (let i = 0; i < k; i += 1) {
    const own = s.factor[f + i];
    if (own === 0) continue;
    mean += own * b.x[x + i];
    let along = 0;
    for (let j = 0; j < k; j += 1) along += b.spread[p + i * k + j] * s.factor[f + j];
    variance += own * along;
  }
  return [mean, variance];
}

/**
 * A value [SI] and its standard deviation in the study's scale.
 * @param {Study} s @param {number} column @param {number} value @param {number} width
 */
function held(s, column, value, width) {
  const { scale } = s.columns[column];
  if (scale <= 0) return [value, width];
  const above = Math.max(value, 0) / scale + s.constants.log_offset;
  return [Math.log(above), width / scale / above];
}

/** SI value of a value in the study's scale. @param {Study} s @param {number} column @param {number} value */
function natural(s, column, value) {
  const { scale } = s.columns[column];
  return scale > 0 ? Math.max(scale * (Math.exp(Math.min(value, 50)) - s.constants.log_offset), 0) : value;
}

/**
 * Log likelihood of the sea's temperature in the row `now`; loop/diagnose/bayes.py gives the reason.
 * @param {Study} s @param {number} now @param {number} value @param {number} width
 */
function seaLikelihood(s, now, value, width) {
  const cell = now * s.c + s.at.get("sea_temperature");
  if (s.rows.sea_set[now]) {
    let variance = s.noise[cell] + width ** 2;
    for (let i = 0; i < s.k; i += 1) variance += s.factor[cell * s.k + i] ** 2;
    return (-0.5 * (value - s.mean[cell]) ** 2) / variance - 0.5 * Math.log(variance);
  }
  const { design, cooler, warmer: wide } = s.constants.sea, above = value - design, warmer = Math.hypot(wide, width);
  return Math.log(2 / (warmer + cooler)) - 0.5 * (above / (above > 0 ? warmer : cooler)) ** 2;
}

/**
 * Updates on the numbers of one state, the sea's first, and its words; `last`: earlier readings, to
 * which these are added.
 * @param {Study} s @param {Belief} b @param {Readings} state @param {Record<string, any>} last
 * @param {number} step
 */
function taken(s, b, state, last, step) {
  const keys = Object.keys(state.numbers).filter((key) => s.at.has(key));
  keys.sort((a, z) => Number(a !== "sea_temperature") - Number(z !== "sea_temperature") || s.at.get(a) - s.at.get(z));
  for (const key of keys) {
    const column = s.at.get(key), one = state.numbers[key];
    const [value, width] = held(s, column, one.value, one.half / s.constants.two_sigma);
    measured(s, b, column, value, width, key === "sea_temperature" && !last[key] ? (now) => seaLikelihood(s, now, value, width) : null, last[key]);
    last[key] = { step, value, width };
  }
  for (const [key, word] of Object.entries(state.words)) {
    if (!s.wordAt.has(key)) continue;
    const { choices, also, chance } = s.words[s.wordAt.get(key)], many = choices.length;
    const meant = (also[word] ?? [word]).map((one) => choices.indexOf(one));
    const before = last[key], { repeats } = s.constants, repeated = before && before.meant.some((i) => meant.includes(i)) ? repeats : 0;
    const own = (now) => meant.reduce((sum, i) => sum + chance[now * many + i], 0);
    weighed(s, b, b.now, (now, r) => (before && !(repeated && before.renewed) && b.since[r] <= before.step ? repeated + (1 - repeats) * own(now) : own(now)));
    last[key] = { step, meant };
  }
}

/**
 * Whether an action's answer matches what the look that it repeats already showed.
 * @param {Study} s @param {Action} action @param {string} answer @param {{ meant: number[] }} looked
 */
const saidBefore = (s, action, answer, looked) => looked.meant.includes(s.words[s.wordAt.get(action.looks)].choices.indexOf(answer));

/**
 * The row to blame for row r: what is left of it, or its original if what is left shows no trouble.
 * @param {Study} s @param {Belief} b @param {number} r
 */
const blamed = (s, b, r) => (s.rows.troubles[b.now[r]] ? b.now[r] : b.origin[r]);

/** The call with the sea's temperature, as it was read first, before anything was done. @param {Call} call @returns {Call} */
function seaFirst(call) {
  const at = call.steps.findIndex((step) => "sea_temperature" in step.numbers);
  if ("sea_temperature" in call.numbers || at < 0) return call;
  const { sea_temperature: sea, ...numbers } = call.steps[at].numbers;
  return { ...call, numbers: { ...call.numbers, sea_temperature: sea }, steps: call.steps.map((step, i) => (i === at ? { ...step, numbers } : step)) };
}

/**
 * Whether nobody says or sees that the trouble shows under way; most who have it say so.
 * @param {Study} s @param {Call} call
 */
const nothingAtSpeed = (s, call) => s.at_speed !== null && !call.said.some((text) => s.at_speed.said.includes(text)) && !anyAtSpeed(call);

/**
 * Posterior of a call: the rows, their weights, and the probability of each instance.
 * @param {Study} s @param {Call} read
 */
function posterior(s, read) {
  const call = seaFirst(read);
  let b = begin(s, s.rows.owner.map((_, row) => row));
  for (const text of call.said) {
    const { chance } = s.statements.find((one) => one.text === text);
    weighed(s, b, b.origin, (origin) => chance[s.rows.owner[origin]]);
  }
  if (nothingAtSpeed(s, call)) {
    const { chance } = s.statements.find((one) => one.text === s.at_speed.said[0]);
    weighed(s, b, b.origin, (origin) => 1 - chance[s.rows.owner[origin]]);
  }
  const last = {}, whole = beforeItFailed(s, call);
  const counting = (/** @type {Readings} */ state, /** @type {number} */ at) => (at >= whole ? state : { numbers: Object.fromEntries(Object.entries(state.numbers).filter(([key]) => s.of_the_day.includes(key))), words: {} });
  taken(s, b, counting(call, 0), last, 0);
  const away = last.sea_temperature ? { sea_temperature: last.sea_temperature } : {}, atSpeed = (/** @type {State} */ state, /** @type {number} */ step) => { if (state.under_way) taken(s.under_way, b, state.under_way, away, step); };
  atSpeed(call, 0);
  call.steps.forEach((step, before) => {
    const action = s.actions.find((one) => one.name === step.did), looked = last[action.looks], { repeats } = s.constants;
    if (step.saw !== action.answers[0] && isOutdone(action, call.steps, before)) { // it could not show anything then
      taken(s, b, counting(step, before + 1), last, before + 1);
      atSpeed(step, before + 1);
      return;
    }
    delete last[action.looks];
    Object.keys(last).filter(renewedBy(s, step)).forEach((key) => { last[key].renewed = true; }); // the same again is news
    if (step.saw) {
      const first = step.saw === action.answers[0], own = (now) => (first ? action.first[now] : 1 - action.first[now]);
      const repeated = looked && saidBefore(s, action, step.saw, looked) ? repeats : 0;
      weighed(s, b, looksBack(s, action) ? [...b.now].map((_, r) => blamed(s, b, r)) : b.now, (now, r) => (looked && b.since[r] <= looked.step ? repeated + (1 - repeats) * own(now) : own(now)));
    }
    b = acted(s, b, step.saw ? action.cures[action.answers.indexOf(step.saw)] : action.cure, before + 1);
    taken(s, b, counting(step, before + 1), last, before + 1);
    atSpeed(step, before + 1);
  });
  const weight = weights(b), byRow = new Float64Array(s.h), probability = new Float64Array(s.instances.length);
  for (let r = 0; r < b.n; r += 1) byRow[blamed(s, b, r)] += weight[r];
  byRow.forEach((w, i) => { probability[s.rows.owner[i]] += w; });
  return { b, last, weight, byRow, probability };
}

/**
 * The same for rows that still show trouble; unchanged if none does.
 * @param {Study} s @param {Found} found @returns {Found}
 */
function stillOf(s, found) {
  const { b } = found, shows = found.weight.map((w, r) => (s.rows.troubles[b.now[r]] ? w : 0)), total = shows.reduce((sum, w) => sum + w, 0);
  if (!(total > 0)) return found;
  const weight = shows.map((w) => w / total), byRow = new Float64Array(s.h), probability = new Float64Array(s.instances.length);
  weight.forEach((w, r) => { byRow[blamed(s, b, r)] += w; });
  byRow.forEach((w, i) => { probability[s.rows.owner[i]] += w; });
  return { ...found, weight, byRow, probability };
}

/**
 * Probability that a cause is present, alone or with another, as it is shown to people.
 * @param {Study} s @param {{ probability: Float64Array }} found @param {number} cause
 */
function present(s, found, cause) {
  return s.slot[cause].reduce((sum, slot, i) => sum + (slot >= 0 ? found.probability[i] : 0), 0);
}

/**
 * The rows without the lightest ones, which together weigh less than `lightest`: numbers and weights.
 * @param {Study} s @param {Found} found @param {number} lightest
 */
function heaviest(s, found, lightest) {
  const rising = Float64Array.from(found.weight).sort();
  let sum = 0, first = 0;
  while (first < rising.length - 1 && (sum += rising[first]) < lightest) first += 1;
  const cut = rising[first] * (1 - s.constants.alike), rows = [];
  found.weight.forEach((w, r) => { if (w >= cut) rows.push(r); });
  const total = rows.reduce((all, r) => all + found.weight[r], 0);
  return { rows, weight: rows.map((r) => found.weight[r] / total) };
}
