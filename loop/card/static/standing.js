// Readings that still hold, and which steps they rule out or put first, as in loop/diagnose.

/**
 * What is known of the loop as it is now: readings since the last step, and those of the day.
 * @param {Study} s @param {Call} call
 */
function latestOf(s, call) {
  if (call.steps.length === 0) return { numbers: call.numbers, words: call.words };
  const numbers = {}, last = call.steps[call.steps.length - 1];
  for (const state of [call, ...call.steps]) {
    for (const [key, one] of Object.entries(state.numbers)) if (s.of_the_day.includes(key)) numbers[key] = one;
  }
  return { numbers: { ...numbers, ...last.numbers }, words: last.words };
}

/**
 * How many states of the loop precede its seen failure: words read then say nothing about the trouble.
 * @param {Study} s @param {Call} call
 */
const beforeItFailed = (s, call) => call.steps.map(({ did, saw }) => `${did}: ${saw}`).lastIndexOf(s.constants.it_fails) + 1;

/**
 * Whether the action that began a state makes an earlier reading void, by its key.
 * @param {Study} s @param {any} taken the call as it started, or a step @returns {(key: string) => boolean}
 */
function renewedBy(s, taken) {
  const action = s.actions.find(({ name }) => name === taken.did);
  return (key) => action !== undefined && taken.saw === action.answers[0] && action.renews.includes(key.split(".")[0]);
}

/**
 * What still holds of everything read at the dock, whatever was done since: loop/diagnose/standing.py.
 * @param {Study} s @param {Found} found @param {Call} call @returns {Standing}
 */
function standing(s, { b, weight }, call) {
  const { again, no_longer: noLonger, same } = s.constants, keys = new Set(), words = /** @type {Record<string, string>} */ ({});
  [call, ...call.steps].forEach((taken, step) => {
    const changed = step < beforeItFailed(s, call) ? 1 : Math.round(weight.reduce((sum, w, r) => sum + (b.since[r] > step ? w : 0), 0) * 10 ** same) / 10 ** same;
    [...keys].filter(renewedBy(s, taken)).forEach((key) => keys.delete(key));
    Object.keys(words).filter(renewedBy(s, taken)).forEach((key) => delete words[key]);
    const away = taken.under_way ?? { numbers: {}, words: {} }, atSpeed = Object.fromEntries(Object.entries(away.words).map(([key, word]) => [s.constants.under_way + key, word]));
    for (const key of [...Object.keys({ ...taken.numbers, ...taken.words, ...atSpeed }), ...Object.keys(away.numbers).map((key) => s.constants.under_way + key)]) {
      if (changed < again || s.of_the_day.includes(key)) keys.add(key);
      else keys.delete(key);
    }
    for (const [key, word] of Object.entries({ ...taken.words, ...atSpeed })) {
      if (changed < noLonger) words[key] = word;
      else delete words[key];
    }
  });
  const stuck = s.causes.filter((cause) => s.constants.stuck.includes(s.instances[cause].fault));
  const odds = weight.reduce((sum, w, r) => sum + (stuck.some((cause) => s.slot[cause][s.rows.owner[b.now[r]]] >= 0) ? w : 0), 0);
  if (Math.round(odds * 10 ** same) / 10 ** same > 0.5) {
    keys.add(s.constants.sounds.keys[0]);
    words[s.constants.sounds.keys[0]] = "hums";
  }
  if (standsAndPumps(s, words)) delete words[s.constants.sounds.keys[0]];
  return { keys, words };
}

/**
 * What is known of the loop as it is now, plus earlier words that nothing done since can have changed.
 * @param {Study} s @param {Found} found @param {Call} call @returns {Readings}
 */
function holding(s, found, call) {
  const { numbers, words } = latestOf(s, call), fresh = standing(s, found, call).keys;
  const before = [call, ...call.steps].flatMap((taken) => Object.entries(taken.words)).filter(([key]) => fresh.has(key));
  return { numbers, words: { ...Object.fromEntries(before), ...words } };
}

/** Whether one of these steps was done, given by name or with its answer. @param {{ did: string, saw: string }[]} done @param {string[]} some */
const anyIs = (done, some) => done.some(({ did, saw }) => some.includes(did) || some.includes(`${did}: ${saw}`));

/** Whether an action's prerequisites were done, or a likely fault needs none, and nothing done excludes it. @param {Action} action @param {Call} call @param {string[]} [likely] */
const mayFollow = ({ after, unless, for_lead: alone }, call, likely = []) => (after.length + alone.length === 0 || anyIs(call.steps, after) || alone.some((fault) => likely.includes(fault))) && !anyIs(call.steps, unless);

/** Whether an action is the response to something that was found. @param {Action | undefined} action @param {Call} call */
const isDue = (action, call) => anyIs(call.steps, (action?.after ?? []).filter((one) => one.includes(":")));

/** Whether an action only says more of what an earlier step found, whether that is cured or not. @param {Action} action */
const recalls = (action) => action.after.some((one) => one.includes(":")) && !Object.keys(action.cures_of).length;

/** Whether an action's answer is about what was wrong, even if that was only bypassed since. @param {Study} s @param {Action} action */
const looksBack = (s, action) => recalls(action) || action.name.startsWith(s.constants.fix);

/** Whether what a step depended on was changed after it. @param {Action} action @param {Step[]} done @param {number} at */
const isOutdone = (action, done, at) => anyIs(done.slice(at + 1), action.again_after);

/** Whether an action is still to be done, or to be done again, and may be done now. @param {Action} action @param {Call} call @param {string[]} likely faults that are likely enough for a fix of their own */
function isLeft(action, call, likely) {
  const done = call.steps.filter(({ did }, at) => did === action.name && !isOutdone(action, call.steps, at)).length, { said } = action;
  return done < (action.twice && likely.some((fault) => mends(action, fault) > 0) ? 2 : 1) && (said.length === 0 || said.some((text) => call.said.includes(text))) && mayFollow(action, call, likely);
}

/**
 * Whether what was seen rules a step out: on its own unit, or for a step without one, on every unit.
 * @param {Study} s @param {string} step @param {Standing} known
 */
function ruledOut(s, step, known) {
  const [name, own] = step.split(/\.(.*)/s);
  const seen = (/** @type {[string, string[]]} */ [key, answers]) => allSay(lookedAt(s, key, own), answers, known);
  const oneHas = (/** @type {[string, string[]]} */ [key, answers]) => lookedAt(s, key, own).some((word) => allSay([word], answers, known));
  return s.ruled_out.some(([ruled, ...one]) => ruled === name && seen(one)) || s.ruled_out_by_any.some(([ruled, ...one]) => ruled === name && oneHas(one)) || s.ruled_out_by_both.some(([ruled, both]) => ruled === name && both.every(seen));
}

/** @param {string[]} keys @param {string[]} answers @param {Standing} known */
const allSay = (keys, answers, known) => keys.length > 0 && keys.every((key) => answers.includes(known.words[key]));

/** Keys of a kind of word for one unit, or without `own` for the whole loop. @param {Study} s @param {string} key @param {string | undefined} own */
const lookedAt = (s, key, own) => [...s.words.map((word) => word.key), ...(s.at_speed ? [s.at_speed.key] : [])].filter((word) => word === key || word === `${key}.${own}` || (!own && word.startsWith(`${key}.`)));

/** Whether the customer says it shows at speed, and nothing was read there since a change; once anything was done, only after a reading at speed. @param {Study} s @param {Call} call @param {Standing} known */
const showsAtSpeed = (s, call, known) => s.at_speed !== null && call.said.some((text) => s.at_speed.said.includes(text)) && !known.keys.has(s.at_speed.key) && (call.steps.length === 0 || anyAtSpeed(call));

/**
 * Rank of a step: 0 or little more to come before all others, however informative those are.
 * @param {Study} s @param {Call} call @param {Standing} known @param {string} key
 */
function placeOf(s, call, known, key) {
  const last = s.first.length, cools = (word) => !word.key.startsWith("unit.") || [undefined, "cools"].includes(known.words[word.key]);
  if (key === s.at_speed?.key) return s.at_speed.of in known.words ? 0 : last;
  if (isDue(s.actions.find(({ name }) => name === key), call)) return 0;
  if (key.startsWith("unit.") && call.said.includes(s.constants.one_unit)) return s.words.every(cools) ? 0 : last;
  const place = known.words.unit === "off" ? -1 : s.first.findIndex(([step, seen, answers]) => step === key && allSay([seen], answers, known));
  return place < 0 ? last : place;
}
