// The steps that an answer lists: to end the call, to repeat, or most informative: loop/diagnose/next_steps.py.

/** The action with this name, if any. @param {Study} s @param {string} name @returns {Action | undefined} */
const actionOf = (s, name) => s.actions.find((one) => one.name === name);

/** Whether it confirms something known only from the customer. @param {Study} s @param {Gain} one */
const isHearsay = (s, one) => one.reading === s.at_speed?.key || Boolean(actionOf(s, one.reading)?.said.length);

/**
 * Whether a step is still worth its minutes while the water is right, and opens and buys nothing: loop/diagnose/step_order.py.
 * @param {Study} s @param {Gain} one @param {string} lead the leading fault, "" for none
 * @param {boolean} well whether everything is right, not only the water
 */
function isEnough(s, one, lead, well) {
  const action = actionOf(s, one.reading), { little, fairly } = s.constants;
  if (!action) return true;
  const mending = mends(action, lead) > 0, able = !well || mends(/** @type {Action} */ (actionOf(s, "fit-sound-pump")), lead) > 0;
  const harmless = !action.risks || (!well && one.cure >= fairly) || (able && mending);
  return harmless && (worthOf(s, one) >= little || isHearsay(s, one) || mending);
}

/**
 * Of these, the readings that show how the loop does and whose kind has not been read yet.
 * @param {Study} s @param {Call} call @param {Gain[]} left
 */
function unseen(s, call, left) {
  const read = [call, ...call.steps].flatMap(({ numbers, words }) => [...Object.keys(numbers), ...Object.keys(words)]), kind = (/** @type {string} */ key) => key.split(".")[0];
  const measured = read.some((key) => kind(key) === "flow"), { water, heat } = s.constants;
  const isHot = (/** @type {string} */ key) => heat.kinds.includes(kind(key)) && heat.kinds.some((one) => read.includes(one + key.slice(kind(key).length)));
  return left.filter(({ reading: key }) => !actionOf(s, key) && proves(s, key) && !isHot(key) && !(measured && water.includes(kind(key))));
}

/**
 * Whether water and heat were read as far as possible, and indicate a loop without a fault.
 * @param {Study} s @param {Odd} odd @param {string} misfit @param {Gain[]} left
 */
function isSound(s, { call, found, order, well }, misfit, left) {
  const measured = [call, ...call.steps].some((one) => Object.keys(one.numbers).some((key) => key.includes("flow")));
  const told = present(s, found, order[0]) >= s.constants.leads && s.instances[order[0]].fault !== "healthy";
  return well && misfit === "" && measured && !told && !left.some((one) => isHearsay(s, one)) && unseen(s, call, left).length === 0;
}

/**
 * The steps that fix what is left, end the call, or tell most about the cause.
 * @param {Study} s @param {Odd} odd @param {string} misfit @param {End} end @returns {Gain[]}
 */
function leftToDo(s, odd, misfit, end) {
  if (end.left) return mendOf(s, odd, end.left);
  if ((end.unknown && !end.goes_on) || end.asks.length) return end.asks;
  const well = odd.well && misfit === "", lead = leadOf(s, odd.found), all = steps(s, odd.still_wrong ? stillOf(s, odd.found) : odd.found, odd.call);
  const left = well || odd.water_is_right ? all.filter((one) => isEnough(s, one, lead, well)) : all;
  if (!well) return left;
  const waited = waitsFirst(s, left);
  if (waited.some(({ reading }) => reading === s.constants.waits) || waited.slice(0, 1).some((one) => isHearsay(s, one))) return waited;
  const shows = unseen(s, odd.call, waited);
  return [...shows, ...waited.filter((one) => !shows.includes(one))];
}

/**
 * Every step, best first; if no listed fault fits, what to read again comes before them.
 * @param {Study} s @param {Odd} odd @param {string} misfit
 */
function nextSteps(s, odd, misfit) {
  const end = endOf(s, odd, misfit);
  if (end.done || end.recurs) return [];
  const doubted = odd.contradiction.length > 0 && (over(s, odd) || odd.contradiction.some((key) => s.constants.sounds.keys.includes(key)) || odd.contradiction.every((key) => key in odd.holding.words));
  const left = leftToDo(s, odd, misfit, end), ahead = (/** @type {Gain[]} */ first) => (first.length === 0 && isSound(s, odd, misfit, left) ? [] : [...first, ...left.filter((one) => !first.some(({ reading }) => reading === one.reading))]);
  if (!doubted && !fitsNone(s, odd, misfit)) {
    const reset = resetOf(s, odd, end);
    return ahead(reset.length || !end.unread ? reset : toShow(s, odd));
  }
  const worst = fitsWorst(s, odd.found, odd.call, odd.healthy), keys = odd.contradiction.length ? odd.contradiction : [worst].filter(Boolean);
  const again = keys.map((key) => ({ key, minutes: (s.columns[s.at.get(key) ?? -1] ?? s.words[s.wordAt.get(key)]).minutes }));
  return ahead(again.map(({ key, minutes }) => ({ reading: key, kind: "reading", gain: 0, minutes, cost: minutes, cure: 0 })));
}
