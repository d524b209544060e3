// What a call still needs before it ends as fixed, once the trouble is over for now: loop/diagnose/ends.py.

/**
 * How a call that is over for now ends, or what it still asks for.
 * @param {Study} s @param {Odd} odd @param {string} misfit @returns {End}
 */
function endOf(s, odd, misfit) {
  const { call, fixed, by: first } = odd, none = { over: false, unread: "", left: "", recurs: false, unknown: "", watch: "", goes_on: false, asks: [], done: false };
  if (fixedBy(odd, misfit) === "") {
    if (misfit === "" && call.steps.map(({ did }) => s.actions.find(({ name }) => name === did)).some((one) => one.leaves.includes(odd.left) && onlyFinds(one, odd.left))) return { ...none, left: odd.left };
    const likely = first > 0 && fixed >= s.constants.may_be && !call.steps.slice(first - 1).some(readAnywhere);
    return { ...none, unread: likely ? call.steps[first - 1].did : "" };
  }
  const over = { ...none, over: true }, then = followed(s, call, first).filter(([, one]) => one.only === "" || beside(s, odd, one.only) < s.constants.over);
  const by = Math.max(first, odd.mended, ...then.map(([number, one]) => doneBy(call, number, one)));
  if (!call.steps.slice(by - 1).some(readAnywhere)) return { ...over, unread: call.steps[by - 1].did };
  if (odd.left) return { ...over, left: odd.left };
  if (s.keeps_air && s.constants.lets_air_out.includes(call.steps[first - 1].did)) return { ...over, recurs: true };
  const all = call.steps.map(({ did }, i) => (s.constants.of_all_units.includes(did) ? i + 1 : 0)), shown = shownSince(s, odd, Math.max(by, ...all));
  const missing = then.flatMap(([number, one]) => spread(s, call, one).map((want) => ({ number, want }))).filter(({ want }) => !shown.has(want));
  const proofs = proofsOf(s, odd).filter((want) => !shown.has(want)), asks = shown.asks([...missing.map(({ want }) => want), ...proofs]);
  if (missing.length) {
    const why = call.steps[missing[0].number - 1].did;
    return { ...over, unknown: why, watch: s.constants.then[why].watch, goes_on: asks.length === 0 && missing.some(({ want }) => shown.isOdd(want)), asks };
  }
  const [unseen] = then.filter(([, one]) => one.well).map(([number]) => call.steps[number - 1].did);
  if (unseen) {
    const runs = call.said.some((text) => s.constants.comes_later.includes(text)) && !shown.has([s.constants.runs]) ? shown.asks([[s.constants.runs]]) : [];
    return { ...over, unknown: unseen, watch: s.constants.then[unseen].well, asks: runs.length ? runs : asks };
  }
  const before = usualIn(s, odd, 0, first), news = [...usualIn(s, odd, by).keys()].some((key) => proves(s, key) && !before.get(key));
  if (asks.length || proofs.length || news) return { ...over, asks, done: proofs.length === 0 && shown.well };
  const unknown = shown.asks([quickest(s).filter((key) => !before.get(key))]);
  return { ...over, asks: unknown, done: shown.well && unknown.length === 0 };
}

/**
 * The steps, by number, that only restored operation, and either fixed it or found what they look for.
 * @param {Study} s @param {Call} call @param {number} by @returns {[number, Then][]}
 */
const followed = (s, { steps: done, said }, by) => done.flatMap(({ did, saw }, i) => {
  const then = s.constants.then[did], found = i + 1 === by || saw === s.actions.find(({ name }) => name === did).answers[0];
  if (!then || !found) return [];
  if (then.again.length && ranBetween(s, done.slice(0, i), then)) return [/** @type {[number, Then]} */ ([i + 1, { ...then, wants: then.again }])];
  return said.some((text) => then.told.includes(text)) ? [] : [/** @type {[number, Then]} */ ([i + 1, then])];
});

/** Whether the same was found earlier among these steps, and enough water has come since. @param {Study} s @param {Step[]} before @param {Then} then */
function ranBetween(s, before, then) {
  const first = before.findIndex(({ did, saw }) => JSON.stringify(s.constants.then[did]) === JSON.stringify(then) && saw === s.actions.find(({ name }) => name === did).answers[0]);
  return first >= 0 && before.slice(first).some(({ words }) => s.constants.enough.includes(words.stream));
}

/** Number of the last later step that this one asks for, 0 for none. @param {Call} call @param {number} after @param {Then} then */
const doneBy = (call, after, { wants }) => call.steps.reduce((last, { did, saw }, i) => (i + 1 > after && wants.flat().some((one) => one === did || one === `${did}: ${saw}`) ? i + 1 : last), 0);

/**
 * Whether each reading of these states of the loop was normal when last taken.
 * @param {Study} s @param {Odd} odd @param {number} first @param {number} [last] @returns {Map<string, boolean>}
 */
function usualIn(s, { call, healthy, healthy_under_way: healthyAway }, first, last) {
  const found = new Map(), { under_way: before } = s.constants;
  for (const taken of [call, ...call.steps].slice(first, last)) {
    const { numbers, words } = taken;
    [...found.keys()].filter(renewedBy(s, taken)).forEach((key) => found.delete(key));
    for (const [key, one] of Object.entries(numbers)) if (s.at.has(key)) found.set(key, usual(s, { numbers: { [key]: one }, words: {} }, healthy));
    for (const [key, one] of Object.entries(words)) if (s.wordAt.has(key)) found.set(key, usual(s, { numbers: {}, words: { [key]: one } }, healthy));
    const away = taken.under_way ?? { numbers: {}, words: {} };
    for (const [key, one] of Object.entries(away.numbers)) if (s.at.has(key)) found.set(before + key, usual(s.under_way, { numbers: { [key]: one }, words: {} }, healthyAway));
    for (const [key, one] of Object.entries(away.words)) if (s.wordAt.has(key)) found.set(before + key, usual(s.under_way, { numbers: {}, words: { [key]: one } }, healthyAway));
  }
  return found;
}

/**
 * Readings that were wrong before the fix; and each unit, if one had trouble. One key of each want is enough.
 * @param {Study} s @param {Odd} odd @returns {string[][]}
 */
function proofsOf(s, odd) {
  const { call, by } = odd, { water, of_a_unit: ofUnit, one_unit: oneUnit, trips, of_all_units: all } = s.constants, before = usualIn(s, odd, 0, by);
  const ill = [...s.columns, ...s.words].map(({ key }) => key).filter((key) => proves(s, key) && before.get(key) === false);
  const away = [...before].some(([key, well]) => !well && proves(s, key) && key.startsWith(s.constants.under_way)) || call.said.some((text) => s.at_speed?.said.includes(text));
  const units = s.words.map(({ key }) => key).filter((key) => key.split(".")[0] === ofUnit[0]), ofOne = (key) => ofUnit.map((kind) => kind + key.slice(ofUnit[0].length));
  const each = (units.length > 1 && (ill.some((key) => key.includes(".")) || call.said.includes(oneUnit) || call.steps.some(({ did }) => all.includes(did)))) || call.said.some((text) => trips.includes(text));
  const wants = [...(each ? units.map(ofOne) : []), ...(s.at_speed && away ? [[s.at_speed.key]] : []), ...ill.map((key) => (water.includes(key) ? ofWater(s, call, ill) : units.includes(key) ? ofOne(key) : [key]))];
  return [...new Map(wants.map((want) => [want.join(), want])).values()];
}

/** Readings that prove the water is back; after a low bucket reading a look is not enough. @param {Study} s @param {Call} call @param {string[]} ill @returns {string[]} */
function ofWater(s, call, ill) {
  const { water } = s.constants, measured = s.columns.filter((one) => water.includes(one.key) && ill.includes(one.key) && atHand(one, call.tools));
  return measured.length ? measured.map(({ key }) => key) : water;
}

/**
 * The keys that a step wants; a unit's reading is wanted of each unit that stopped, or of every unit.
 * @param {Study} s @param {Call} call @param {Then} then @returns {string[][]}
 */
function spread(s, call, { wants }) {
  const { of_a_unit: [unit], stopped } = s.constants, words = [call, ...call.steps].flatMap((one) => Object.entries(one.words));
  const stood = s.unit_names.filter((name) => words.some(([key, word]) => key === `${unit}.${name}` && stopped.includes(word)));
  return wants.flatMap((want) => {
    if (s.unit_names.length < 2 || !want.some((kind) => s.kinds[kind]?.per_unit)) return [want];
    return (stood.length ? stood : s.unit_names).map((name) => want.map((kind) => `${kind}.${name}`));
  });
}

/**
 * What was read since a step, and what may still be asked for.
 * @param {Study} s @param {Odd} odd @param {number} by
 */
function shownSince(s, odd, by) {
  const { call } = odd, usuals = usualIn(s, odd, by), did = new Set(call.steps.flatMap((one) => [one.did, `${one.did}: ${one.saw}`]));
  return {
    well: [...usuals].every(([key, well]) => well || !proves(s, key)),
    has: (want) => want.some((key) => did.has(key) || usuals.get(key)),
    isOdd: (want) => !want.some((key) => did.has(key) || usuals.get(key)) && want.some((key) => usuals.has(key)),
    asks: (wants) => {
      const found = wants.filter((want) => !want.some((key) => usuals.has(key))).flatMap((want) => askFor(s, odd, want));
      return [...new Map(found.map((one) => [one.reading, one])).values()];
    },
  };
}

/**
 * The first reading or action of a want that is at hand and possible now, if any.
 * @param {Study} s @param {Odd} odd @param {string[]} want @returns {Gain[]}
 */
function askFor(s, { found, call }, want) {
  const known = standing(s, found, call), readings = [...s.columns, ...s.words, ...(s.at_speed ? [s.at_speed] : [])].filter((one) => want.includes(one.key) && atHand(one, call.tools));
  const gains = [
    ...readings.map(({ key, minutes }) => ({ reading: key, kind: "reading", gain: 0, minutes, cost: minutes, cure: 0 })),
    ...s.actions.filter((one) => one.here && want.includes(one.name) && mayFollow(one, call)).map(({ name, minutes, cost }) => ({ reading: name, kind: "action", gain: 0, minutes, cost, cure: 0 })),
  ].filter(({ reading }) => !ruledOut(s, reading, known));
  return gains.sort((a, z) => want.indexOf(a.reading) - want.indexOf(z.reading)).slice(0, 1);
}

/** Readings that show whether a loop is right again, quickest first. @param {Study} s @returns {string[]} */
const quickest = (s) => [...s.columns, ...s.words].filter(({ key }) => proves(s, key)).sort((a, z) => a.minutes - z.minutes).map(({ key }) => key);

/** The quickest of these at hand, preferably one that was wrong before anything was done; or none. @param {Study} s @param {Odd} odd */
function toShow(s, odd) {
  const began = usualIn(s, odd, 0, 1), well = (/** @type {string} */ key) => Number(began.get(key) !== false);
  return askFor(s, odd, quickest(s).sort((a, z) => well(a) - well(z)));
}

/** The text row that says why an answer has no next step. @param {End} end */
const whyNoStep = ({ done, left, recurs, unknown: why }) => (done ? "next-done" : left || recurs ? "next-left" : why ? "next-watch" : "next-none");
