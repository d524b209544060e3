// Two readings that no listed fault can give together: loop/diagnose/contradiction.py.

/**
 * Deviation of a number from each row's prediction, and its variance there.
 * @param {Study} s @param {Measured} one @param {number} column @returns {OffRows}
 */
function offRows(s, one, column) {
  const [value, width] = held(s, column, one.value, one.half / s.constants.two_sigma), off = new Float64Array(s.h), variance = new Float64Array(s.h);
  for (let row = 0; row < s.h; row += 1) {
    const cell = row * s.c + column;
    off[row] = value - s.mean[cell];
    variance[row] = s.noise[cell] + width * width + shared(s, row, column, column);
  }
  return { column, off, variance };
}

/** Covariance of two readings in a row, from their common factors. @param {Study} s @param {number} row @param {number} one @param {number} other */
function shared(s, row, one, other) {
  let sum = 0;
  for (let i = 0; i < s.k; i += 1) sum += s.factor[(row * s.c + one) * s.k + i] * s.factor[(row * s.c + other) * s.k + i];
  return sum;
}

/** Whether a row fits two numbers at once. @param {Study} s @param {number} row @param {OffRows} one @param {OffRows} other */
function fitsBoth(s, row, one, other) {
  const across = shared(s, row, one.column, other.column), [a, b, va, vb] = [one.off[row], other.off[row], one.variance[row], other.variance[row]];
  return a * a * vb - 2 * a * b * across + b * b * va <= s.constants.far_together * (va * vb - across * across);
}

/**
 * Keys of two readings that no row of the study fits, the one quicker to repeat first; or none.
 * @param {Study} s @param {Readings} taken @returns {string[]}
 */
function contradiction(s, { numbers, words }) {
  const all = s.rows.owner.map((_, row) => row), known = all.filter((row) => s.rows.owner[row] !== s.unknown);
  const fits = [];
  s.columns.forEach(({ key, minutes }, at) => {
    if (!(key in numbers)) return;
    const far = offRows(s, numbers[key], at);
    fits.push({ key, minutes, far, rows: new Set(known.filter((row) => far.off[row] ** 2 <= s.constants.far ** 2 * far.variance[row])) });
  });
  s.words.forEach(({ key, minutes, choices, chance, also }) => {
    if (!(key in words)) return;
    const meant = also[words[key]] ?? [words[key]], likely = (row) => choices.reduce((sum, choice, j) => sum + (meant.includes(choice) ? chance[row * choices.length + j] : 0), 0);
    fits.push({ key, minutes, far: null, rows: new Set(key.split(".")[0] === s.constants.slow ? known : known.filter((row) => likely(row) >= s.constants.by_mistake)) });
  });
  fits.sort((a, z) => a.minutes - z.minutes);
  const never = broken(s, { numbers, words }), isNever = (one, other) => never.some((pair) => pair.includes(one) && pair.includes(other));
  let found = [], least = Infinity;
  fits.forEach((one, i) => fits.slice(i + 1).forEach((other) => {
    const together = (row) => other.rows.has(row) && (!one.far || !other.far || fitsBoth(s, row, one.far, other.far));
    const bothFit = one.rows.size === 0 || other.rows.size === 0 || [...one.rows].some(together);
    if (one.minutes + other.minutes >= least || (bothFit && !isNever(one.key, other.key))) return;
    [found, least] = [[one.key, other.key], one.minutes + other.minutes];
  }));
  return found;
}

/**
 * Pairs of readings of which at least one must be wrong, on any loop: loop/diagnose/never_together.py.
 * @param {Study} s @param {Readings} taken @returns {string[][]}
 */
function broken(s, taken) {
  const { numbers, words } = taken, { laws, far, two_sigma: sigmas, heat: { sea, leaves, flow } } = s.constants;
  const found = laws.filter(({ key, word, number: kind, above, below: under, upto }) => {
    if (words[key] !== word || !s.wordAt.has(key) || !(kind in numbers)) return false;
    const at = s.at.get(kind), row = s.rows.healthy, cell = row * s.c + at, wide = far * Math.sqrt(s.noise[cell] + shared(s, row, at, at));
    const [low, middle, high] = [-wide, 0, wide].map((off) => natural(s, at, s.mean[cell] + off)), { value, half } = numbers[kind], edge = (far * half) / sigmas;
    const least = value - edge;
    return (above !== null && least > above * high && (upto === null || least < upto * middle)) || value + edge < under * low;
  }).map(({ key, number: kind }) => [key, kind]);
  if (standsAndPumps(s, words)) found.push(s.constants.sounds.keys);
  found.push(...Object.keys(words).map((key) => [s.constants.sounds.keys[1], key]).filter((pair) => coolsDry(s, taken, pair)));
  const leaving = Object.keys(numbers).filter((key) => s.at.has(key) && key.split(".")[0] === leaves);
  return [...found, ...leaving.flatMap((key) => [[sea, key], [key, key.replace(leaves, flow)]]).filter((pair) => reasonOf(s, taken, pair))];
}

/** Whether the pump is said not to turn, humming or silent, yet water is said to come. @param {Study} s @param {Record<string, string>} words */
function standsAndPumps(s, words) {
  const { keys: [sound, stream], stands, comes } = s.constants.sounds;
  return stands.includes(words[sound]) && comes.includes(words[stream]);
}

/** The text row that says which law two readings of a unit break; "" for none. @param {Study} s @param {Readings} taken @param {string[]} pair */
function reasonOf(s, taken, pair) {
  if (coolsDry(s, taken, pair)) return "misfit-dry";
  return isColder(s, taken, pair) ? "misfit-colder" : isTooMuchHeat(s, taken, pair) ? "misfit-hotter" : "";
}

/** Whether these two are a stream that does not run and a unit that cools even so. @param {Study} s @param {Readings} taken @param {string[]} pair */
const coolsDry = (s, { words }, [stream, unit]) => stream === s.constants.sounds.keys[1] && words[stream] === "none" && unit.split(".")[0] === "unit" && words[unit] === "cools";

/** Whether these two are a unit's outlet temperature and flow, and carry more heat than the unit can reject. @param {Study} s @param {Readings} taken @param {string[]} pair */
function isTooMuchHeat(s, { numbers }, pair) {
  const { far, two_sigma: sigmas, heat: { sea, leaves, flow, missed, most } } = s.constants;
  const out = pair.find((key) => key.split(".")[0] === leaves) ?? "", through = out.replace(leaves, flow);
  if (!out || !pair.includes(through) || ![out, through].every((key) => numbers[key] && s.at.has(key))) return false;
  const at = [sea, out, through].map((key) => s.at.get(key)), warmest = s.rows.owner.reduce((top, _, row) => Math.max(top, s.mean[row * s.c + at[0]]), -Infinity);
  const rise = numbers[out].value - (numbers[sea]?.value ?? warmest), off = far * Math.hypot(numbers[out].half / sigmas, (numbers[sea]?.half ?? 0) / sigmas, missed);
  const [cold, warm, usual] = at.map((column) => natural(s, column, s.mean[s.rows.healthy * s.c + column]));
  return rise > off && (rise - off) * (numbers[through].value - (far * numbers[through].half) / sigmas) > most * (warm - cold) * usual;
}

/** Whether these two are sea temperature and outlet temperature, and the outlet is colder. @param {Study} s @param {Readings} taken @param {string[]} pair */
function isColder(s, { numbers }, [first, second]) {
  const { far, two_sigma: sigmas, heat: { sea, leaves, missed } } = s.constants;
  if (first !== sea || !second || second.split(".")[0] !== leaves || !numbers[first] || !numbers[second]) return false;
  return numbers[second].value + far * Math.hypot(numbers[first].half / sigmas, numbers[second].half / sigmas, missed) < numbers[first].value;
}

/** Two readings as text. @param {Study} s @param {Odd} odd */
function pairSaid(s, { holding: { numbers, words }, contradiction: pair }) {
  const [one, other] = pair.map((key) => `${titleOf(s, key)} ${shown(s, key, words[key] ?? numbers[key].value)}`);
  return { one, other };
}
