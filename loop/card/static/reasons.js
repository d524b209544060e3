// What a fault would read today, why it is named, and when nothing fits: loop/diagnose/reasons.py.

/**
 * Expected readings on this day under the given rows: an array of values per row, in the study's scale.
 * @param {Study} s @param {Readings} call @param {number[]} rows
 */
function expected(s, call, rows) {
  const b = begin(s, rows), numbers = Object.fromEntries(Object.entries(call.numbers).filter(([key]) => s.of_the_day.includes(key)));
  taken(s, b, { numbers, words: {} }, {}, 0);
  return rows.map((_, r) => s.columns.map((_, column) => {
    const f = (b.now[r] * s.c + column) * s.k;
    let mean = s.mean[b.now[r] * s.c + column];
    for (let i = 0; i < s.k; i += 1) mean += s.factor[f + i] * b.x[r * s.k + i];
    return mean;
  }));
}

/** @param {ArrayLike<number> & Iterable<number> & { indexOf: (one: number) => number }} values */
const best = (values) => values.indexOf(Math.max(...values));
/** @param {Word} word @param {number[]} rows @param {number[]} weight */
const likeliest = (word, rows, weight) => word.choices[best(word.choices.map((_, j) => rows.reduce((sum, row, i) => sum + weight[i] * word.chance[row * word.choices.length + j], 0)))];

/**
 * Expected readings of weighted rows, by key.
 * @param {Study} s @param {Readings} call @param {number[]} rows @param {number[]} weight
 */
function valuesOf(s, call, rows, weight) {
  const means = expected(s, call, rows), values = /** @type {Record<string, any>} */ ({});
  s.columns.forEach((column, at) => { values[column.key] = means.reduce((sum, row, i) => sum + weight[i] * natural(s, at, row[at]), 0); });
  for (const word of s.words) values[word.key] = likeliest(word, rows, weight);
  return values;
}

/**
 * Standard deviation of a reading around the healthy prediction: model and instrument.
 * @param {Study} s @param {Measured} one @param {string} key @param {Record<string, any>} healthy
 */
function sigmaOf(s, one, key, healthy) {
  const at = s.at.get(key), cell = s.rows.healthy * s.c + at;
  let variance = s.noise[cell];
  for (let i = 0; i < s.k; i += 1) variance += s.factor[cell * s.k + i] ** 2;
  if (s.columns[at].scale > 0) variance *= healthy[key] ** 2;
  return Math.sqrt(variance + (one.half / s.constants.two_sigma) ** 2);
}

/**
 * Whether every reading is normal for a healthy loop; `but`: a kind of word to ignore.
 * @param {Study} s @param {Call} call @param {(study: Study) => Record<string, any>} at @param {string} [but]
 */
function asHealthy(s, call, at, but) {
  const some = (/** @type {Readings} */ { numbers, words }) => ({ numbers, words: Object.fromEntries(Object.entries(words).filter(([key]) => key.split(".")[0] !== but)) });
  const healthy = at(s), dock = [call, ...call.steps].every((one) => usual(s, some(one), healthy));
  const speeds = [call, ...call.steps].flatMap(({ under_way: away }) => (away && anyRead(away) ? [away] : []));
  return dock && speeds.every((away) => usual(s.under_way, some(away), at(s.under_way)));
}

/**
 * Whether flow was measured, and everything is healthy except perhaps how the units cool.
 * @param {Study} s @param {Call} call @param {(study: Study) => Record<string, any>} at
 */
function waterIsRight(s, call, at) {
  const read = new Set([call, ...call.steps].flatMap((one) => Object.keys(one.numbers).map((key) => key.split(".")[0])));
  return read.has("flow") && asHealthy(s, call, at, "unit");
}

/**
 * Whether everything read in one state is normal for a healthy loop: too little water is not, more than its own is.
 * @param {Study} s @param {{ numbers: Record<string, Measured>, words: Record<string, string> }} taken
 * @param {Record<string, any>} healthy
 */
function usual(s, { numbers, words }, healthy) {
  const near = ([key, one]) => {
    if (!s.at.has(key)) return true;
    const { need } = s.columns[s.at.get(key)], well = healthy[key], off = well - one.value, short = need !== null && one.value < need && need <= well;
    return !short && (need === null ? Math.abs(off) : off) <= s.constants.two_sigma * sigmaOf(s, one, key, healthy);
  };
  return Object.entries(numbers).every(near) && Object.entries(words).every(([key, word]) => {
    if (!s.wordAt.has(key)) return true;
    const { choices, chance, also } = s.words[s.wordAt.get(key)], meant = also[word] ?? [word], first = s.rows.healthy * choices.length;
    return choices.reduce((sum, choice, j) => sum + (meant.includes(choice) ? chance[first + j] : 0), 0) >= s.constants.usual;
  });
}

/**
 * The readings in one state of the boat that favor a fault over a healthy loop, by key.
 * @param {Study} s @param {{ numbers: Record<string, Measured>, words: Record<string, string> }} read
 * @param {Record<string, any>} predictions
 * @param {Record<string, any>} healthy
 */
function speaking(s, { numbers, words }, predictions, healthy) {
  const meant = (key, word) => (s.words[s.wordAt.get(key)].also[words[key]] ?? [words[key]]).includes(word);
  const most = Object.keys(numbers).filter((key) => s.at.has(key)).map(/** @returns {[number, string]} */ (key) => {
    const { value } = numbers[key], sigma = sigmaOf(s, numbers[key], key, healthy);
    return [Math.abs(value - healthy[key]) / sigma - Math.abs(value - predictions[key]) / sigma, key];
  }).sort((a, z) => z[0] - a[0] || (a[1] < z[1] ? 1 : -1)).slice(0, 2).filter(([gain]) => gain > 1);
  const said = Object.fromEntries(most.map(([, key]) => {
    const [value, well, fault] = [numbers[key].value, healthy[key], predictions[key]].map((one) => shown(s, key, one));
    return [key, tell(s, "why-number", { read: value, healthy: well, fault, reading: titleOf(s, key) })];
  }));
  for (const [key, word] of Object.entries(words)) {
    if (s.wordAt.has(key) && meant(key, predictions[key]) && !meant(key, healthy[key])) said[key] = tell(s, "why-word", { reading: titleOf(s, key), word });
  }
  return said;
}

/**
 * The readings that favor a fault, each key as last read while the fault was there.
 * @param {Study} s @param {Odd} odd @param {number} instance
 * @param {Record<string, any>} predictions @param {Record<string, any>} atSpeed
 */
function favoring(s, { call, found, healthy, healthy_under_way }, instance, predictions, atSpeed) {
  const said = /** @type {Map<string, string>} */ (new Map()), states = [call, ...call.steps], cured = states.findIndex((_, step) => step > 0 && curedBy(s, found, instance, step));
  states.slice(0, cured < 0 ? states.length : cured).forEach((taken, step) => {
    const now = Object.entries(speaking(s, taken, predictions, healthy)), away = taken.under_way;
    if (away && anyRead(away)) now.push(...Object.entries(speaking(s.under_way, away, atSpeed, healthy_under_way)).map(/** @returns {[string, string]} */ ([key, one]) => [s.constants.under_way + key, tell(s, "why-under-way", { said: one })]));
    for (const [key, one] of now) {
      said.delete(key);
      said.set(key, step ? tell(s, "why-after", { done: titleOf(s, call.steps[step - 1].did), said: one }) : one);
    }
  });
  return [...said.values()];
}

/**
 * Whether a cause, if it is to blame, was most likely cured by the step of this number or one before it.
 * @param {Study} s @param {Found} found @param {number} cause @param {number} step
 */
function curedBy(s, { b, weight }, cause, step) {
  const has = (row) => s.slot[cause][s.rows.owner[row]] >= 0;
  let all = 0, cured = 0;
  weight.forEach((w, r) => {
    if (!has(blamed(s, b, r))) return;
    all += w;
    if (!has(b.now[r]) && b.since[r] <= step) cured += w;
  });
  return cured > 0.5 * all;
}

/**
 * The readings that most favor a fault over a healthy loop, or why there are none.
 * @param {Study} s @param {Odd} odd @param {number} instance
 * @param {Record<string, any>} predictions @param {Record<string, any>} atSpeed @param {string} misfit
 * @param {number} beside the other fault in the rows that describe it, or -1
 */
function why(s, odd, instance, predictions, atSpeed, misfit, beside) {
  const { call, order, well } = odd, name = s.instances[instance].fault, said = name === "healthy" ? [] : favoring(s, odd, instance, predictions, atSpeed);
  if (said.length && beside >= 0) return tell(s, "why-beside", { other: s.instances[beside].title, said: said.join("; ") });
  if (said.length) return said.join("; ");
  if (name === "healthy" && misfit) return tell(s, "why-healthy-misfit");
  if (![call, ...call.steps].some(readAnywhere)) return tell(s, "why-nothing-read");
  if (name === "healthy") return tell(s, well ? "why-healthy" : s.instances[order[0]].fault === name ? "why-healthy-leads" : "why-healthy-against");
  return tell(s, misfit ? "why-misfit" : "why-not-against");
}

/**
 * Key of the latest number that lies farthest from the prediction of the likeliest listed fault.
 * @param {Study} s @param {Found} found @param {Call} call @param {Record<string, any>} healthy
 */
function fitsWorst(s, { b, weight }, call, healthy) {
  const known = weight.map((w, r) => (s.rows.owner[blamed(s, b, r)] === s.unknown ? -1 : w)), { numbers } = latestOf(s, call);
  const values = valuesOf(s, call, [b.now[best(known)]], [1]);
  const off = (key) => Math.abs(numbers[key].value - values[key]) / sigmaOf(s, numbers[key], key, healthy);
  return Object.keys(numbers).filter((key) => s.at.has(key)).reduce((most, key) => (most === "" || off(key) > off(most) ? key : most), "");
}

/**
 * A warning if no fault explains the readings, else "".
 * @param {Study} s @param {Odd} odd
 */
function misfitOf(s, odd) {
  if (odd.contradiction.length) {
    const because = reasonOf(s, odd.holding, odd.contradiction);
    return tell(s, "misfit-pair", { because: because ? tell(s, because) : undefined, ...pairSaid(s, odd) });
  }
  const { found, call, healthy } = odd;
  const keys = (state) => Object.keys(state.numbers).filter((key) => s.at.has(key));
  const count = [...[call, ...call.steps].map(({ under_way: away }) => away ?? { numbers: {} }), ...[call, ...call.steps].slice(beforeItFailed(s, call))].flatMap(keys).filter((key) => key !== "sea_temperature").length, wide = 2 / (9 * count);
  const likely = Math.max(...found.b.log) - s.constants.likely, nearest = found.b.far.reduce((least, far, r) => (found.b.log[r] >= likely ? Math.min(least, far) : least), Infinity);
  if (count === 0 || nearest <= count * (1 - wide + s.constants.odd * Math.sqrt(wide)) ** 3) return "";
  const worst = fitsWorst(s, found, call, healthy);
  return tell(s, "misfit-warning", { reading: worst ? titleOf(s, worst) : undefined });
}

/**
 * Title of faults that the readings cannot tell apart: any of them, by their titles.
 * @param {Study} s @param {number[]} group
 */
function groupTitle(s, group) {
  let names = [...new Set(group.map((i) => s.instances[i].title))];
  const { listed } = s.constants;
  if (names.length > listed) names = [...names.slice(0, listed), tell(s, "group-any-more")];
  return anyOfNames(s, names);
}

/**
 * The sentence on faults that the readings cannot tell apart, and what would split them.
 * @param {Study} s @param {Found} found @param {Call} call @param {number[]} group @param {string} split
 * @param {string} first the step shown as the next, "" for none
 */
function sentence(s, found, call, group, split, first) {
  let names = [...new Set(group.map((i) => s.instances[i].title))];
  if (isEmpty(call)) return tell(s, "group-nothing-read");
  if (names.length === 1) return tell(s, anyOf(s, found, group) >= s.constants.singled ? "group-single" : "group-likeliest", { name: names[0] });
  const { listed } = s.constants;
  if (names.length > listed) names = [...names.slice(0, listed), tell(s, "group-more", { count: names.length - listed })];
  const these = { most: names.slice(0, -1).join(", "), last: names[names.length - 1] };
  if (split || first) return tell(s, "group-split", { step: split === first || !first ? askOf(s, split) : undefined, ...these });
  const looks = [...new Set(group.slice(0, 2).map((i) => s.instances[i].look))];
  return tell(s, "group-look", { looks: looks.join("; or "), ...these });
}
