// Whether what was done has fixed it: loop/diagnose/put_right.py.

/**
 * Probability that the fault was fixed; the same including a tripped unit that runs again; and the likeliest step to have done so, from 1, 0 for none.
 * @param {Study} s @param {Found} found @param {Heavy} heavy @param {Call} call
 */
function putRight(s, { b }, { rows, weight }, call) {
  const share = call.steps.map(() => 0), tripped = (row) => s.instances[s.rows.owner[row]].faults.includes(s.constants.locked);
  let fixed = 0, runs = 0;
  rows.forEach((r, i) => {
    const right = b.now[r] !== b.origin[r] && !s.rows.troubles[b.now[r]];
    if (right) fixed += weight[i];
    if (!right && !(tripped(b.origin[r]) && !tripped(b.now[r]))) return;
    runs += weight[i];
    share[b.since[r] - 1] += weight[i];
  });
  return { fixed, runs, by: share.length ? best(share.map((one) => near(s, one))) + 1 : 0 };
}

/** Whether some step has most likely fixed it, at least for now. @param {Study} s @param {{ runs: number, by: number }} right */
const over = (s, { runs, by }) => runs >= s.constants.over && by > 0;

/**
 * Whether something was read since the fix, and none of it still shows trouble.
 * @param {Study} s @param {{ runs: number, by: number }} right @param {Call} call @param {Record<string, any>} healthy
 */
function readSince(s, right, call, healthy) {
  const since = call.steps.slice(Math.max(right.by - 1, 0));
  const seen = since.flatMap(({ under_way: away }) => away?.words.stream ?? []);
  return over(s, right) && since.some(readAnywhere) && trouble(s, since, healthy) === "" && (seen.length === 0 || s.constants.enough.includes(seen[seen.length - 1]));
}

/**
 * Probability that some fault other than this one was fixed, and what is left shows no trouble.
 * @param {Study} s @param {{ found: Found, heavy: Heavy }} odd @param {string} fault
 */
function beside(s, { found: { b }, heavy: { rows, weight } }, fault) {
  const kinds = (row) => s.instances[s.rows.owner[row]].faults;
  const other = (r) => !s.rows.troubles[b.now[r]] && kinds(b.origin[r]).some((one) => one !== fault && !kinds(b.now[r]).includes(one));
  return near(s, rows.reduce((sum, r, i) => sum + (other(r) ? weight[i] : 0), 0));
}

/**
 * The action credited with the fix; `by` is the number of the step that did it last. Not the reset of a unit that had locked
 * out because of what an earlier step fixed; and rather the lasting fix of what that step only bypassed or quieted.
 * @param {Study} s @param {Found} rows @param {Heavy} heavy @param {Call} call @param {number} by
 */
function credited(s, rows, heavy, call, by) {
  const of = (/** @type {Step} */ { did }) => s.actions.find(({ name }) => name === did), found = (/** @type {Step} */ one) => one.saw === of(one).answers[0];
  const { reset, locked, fix } = s.constants, lasting = (/** @type {Step} */ one) => one.did.startsWith(fix) || of(call.steps[by - 1]).leaves.some((fault) => mends(of(one), fault) > 0);
  const fixes = call.steps.slice(by).filter((one) => found(one) && lasting(one)), { did } = fixes[fixes.length - 1] ?? call.steps[by - 1];
  if (did !== reset || beside(s, { found: rows, heavy }, locked) < s.constants.over) return did;
  const before = call.steps.slice(0, by - 1).filter(found);
  return before.length ? before[before.length - 1].did : did;
}

/** Number of the step at which too little stream became enough; 0 for none. @param {Study} s @param {Call} call */
function streamCame(s, call) {
  let came = 0, enough = true;
  [call, ...call.steps].forEach(({ words: { stream } }, i) => {
    if (!stream) return;
    const now = s.constants.enough.includes(stream);
    [came, enough] = [now ? (enough ? came : i) : 0, now];
  });
  return came;
}

/** Words last seen in these steps, except those that a later step makes void. @param {Study} s @param {Step[]} since */
function wordsOf(s, since) {
  const words = /** @type {Record<string, string>} */ ({});
  for (const one of since) {
    Object.keys(words).filter(renewedBy(s, one)).forEach((key) => delete words[key]);
    Object.assign(words, one.words);
  }
  return words;
}

/**
 * The reset of a unit that is still stopped although the water is back, if it was not reset since; or none.
 * @param {Study} s @param {Odd} odd @param {End} end @returns {Gain[]}
 */
function resetOf(s, { call, better }, end) {
  const { reset, stopped, of_a_unit: [unit] } = s.constants, one = s.actions.find(({ name }) => name === reset);
  const since = better || streamCame(s, call), later = since ? call.steps.slice(since - 1) : [];
  const stands = Object.entries(wordsOf(s, later)).some(([key, word]) => key.split(".")[0] === unit && stopped.includes(word));
  if (end.left || !stands || later.some(({ did }) => did === reset)) return [];
  return [{ reading: one.name, kind: "action", gain: 0, minutes: one.minutes, cost: one.cost, cure: 0 }];
}

/** Whether a step is a reading that can show that a loop is right again. @param {Study} s @param {string} key */
const proves = (s, key) => s.constants.proof.includes((key.startsWith(s.constants.under_way) ? key.slice(s.constants.under_way.length) : key).split(".")[0]);

/**
 * Key of a latest reading that still shows trouble; "" if none does.
 * @param {Study} s @param {Step[]} since @param {Record<string, any>} healthy
 */
function trouble(s, since, healthy) {
  const { enough, ill } = s.constants, words = wordsOf(s, since), numbers = Object.assign({}, ...since.map((one) => one.numbers));
  const is = (kind) => (key) => key.split(".")[0] === kind, flows = Object.keys(numbers).filter(is("flow"));
  const short = flows.filter((key) => s.at.has(key) && numbers[key].value < healthy[key] && !usual(s, { numbers: { [key]: numbers[key] }, words: {} }, healthy));
  if (words.stream && ![...enough, ...(flows.length ? ["weak"] : [])].includes(words.stream)) return "stream";
  return [...short, ...Object.keys(words).filter((key) => is("unit")(key) && ill.includes(words[key]))][0] ?? "";
}

/**
 * What still shows trouble, and the step since which it is better even so; "" and 0 for none.
 * @param {Study} s @param {Found} found @param {Heavy} heavy @param {Call} call @param {Record<string, any>} healthy
 * @param {{ fixed: number, by: number }} right @param {string[]} pair keys of two contradictory readings
 */
function stillWrong(s, found, { rows, weight }, call, healthy, right, pair) {
  const { b } = found;
  const of = (key, better) => (key ? { still_wrong: key, better } : { still_wrong: "", better: 0 });
  if (right.fixed >= s.constants.over && right.by > 0 && pair.length === 0) {
    const key = trouble(s, call.steps.slice(right.by - 1), healthy);
    return of(key.split(".")[0] === "unit" && standing(s, found, call).keys.has(key) ? key : "", right.by);
  }
  const veiled = (row) => s.instances[s.rows.owner[row]].faults.some((name) => s.constants.hiding.includes(name));
  const back = rows.reduce((sum, r, i) => sum + (veiled(b.origin[r]) && !veiled(b.now[r]) && b.since[r] === call.steps.length ? weight[i] : 0), 0);
  return of(call.steps.length && back >= s.constants.over ? trouble(s, call.steps.slice(-1), healthy) : "", call.steps.length);
}

/** The step that fixed it, if this shows and the readings fit. @param {Odd} odd @param {string} misfit */
const fixedBy = (odd, misfit) => (misfit === "" ? odd.fixed_by : "");

/**
 * Whether the pump hummed when last heard, and nothing done since has cured it; a pump that delivers water turns.
 * @param {Study} s @param {Found} found @param {Call} call @param {{ runs: number, by: number }} right
 * @param {string[]} pair keys of two contradictory readings
 */
function humsStill(s, found, call, right, pair) {
  if (pair.includes(s.constants.sounds.keys[0])) return false;
  const heard = latestOf(s, call).words.pump_sound === "hums";
  return heard || (standing(s, found, call).words.pump_sound === "hums" && !over(s, right));
}

/** Whether anything was done with the pump off since it was last heard. @param {Study} s @param {Call} call */
function isOff(s, call) {
  const heard = [call, ...call.steps].reduce((last, { words }, i) => ("pump_sound" in words ? i : last), 0);
  return call.steps.slice(heard).some(({ did }) => s.constants.breaker_off.includes(did));
}
