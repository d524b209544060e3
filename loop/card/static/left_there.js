// A fault that was quieted or bypassed but not cured: loop/diagnose/left_there.py.

/** Chance that an action cures a fault for good. @param {Action} action @param {string} fault */
const mends = (action, fault) => (action.leaves.includes(fault) ? 0 : (action.cures_of[fault] ?? 0));

/** Whether an action reveals a fault without ending its trouble even for now. @param {Action} action @param {string} fault */
const onlyFinds = (action, fault) => !(fault in action.cures_of);

/**
 * The likeliest fault still to be fixed, "" for none; and the number of the step that last fixed one, from 1, 0 for none.
 * @param {Study} s @param {Found} found @param {Heavy} heavy @param {Call} call
 */
function leftThere(s, { b }, { rows, weight }, { steps: done }) {
  const { still } = s.constants, of = (did) => s.actions.find(({ name }) => name === did), has = (row, fault) => s.instances[s.rows.owner[row]].faults.includes(fault);
  let left = "", mended = 0, most = still;
  done.forEach((one, i) => of(one.did).leaves.forEach((fault) => {
    const quiet = (r) => has(b.origin[r], fault) && !has(b.now[r], fault) && !s.rows.troubles[b.now[r]] && b.since[r] > i;
    const looks = onlyFinds(of(one.did), fault), share = near(s, rows.reduce((sum, r, n) => sum + ((looks ? has(b.now[r], fault) : quiet(r)) ? weight[n] : 0), 0));
    const odds = looks && (one.saw !== of(one.did).answers[0] || share < s.constants.leads) ? 0 : share, after = done.findIndex(({ did }, n) => n > i && mends(of(did), fault) > 0);
    if (after >= 0 && odds >= still) mended = Math.max(mended, after + 1);
    else if (after < 0 && odds >= most) [left, most] = [fault, odds];
  }));
  return { left, mended };
}

/** Whether it may be the voltage or the generator of an AC supply, and nothing tells which. @param {Study} s @param {Call} call @param {string} fault */
function hertzWouldTell(s, call, fault) {
  const { faults, said, read: hertz } = s.constants.supply, known = [call, ...call.steps].some(({ numbers }) => hertz in numbers) || call.said.includes(said);
  return faults.includes(fault) && !known && s.at.has(hertz);
}

/**
 * The step that best fixes a fault for its minutes and risk, if any is left. What separates the faults comes first: the hertz before
 * a governor is set or a wire traced, which hose it was before one is bought.
 * @param {Study} s @param {Odd} odd @param {string} fault @returns {Gain[]}
 */
function mendOf(s, { found, call }, fault) {
  const hertz = s.constants.supply.read;
  if (hertzWouldTell(s, call, fault)) {
    const { minutes } = s.columns[s.at.get(hertz)];
    return [{ reading: hertz, kind: "reading", gain: 0, minutes, cost: minutes, cure: 0 }];
  }
  const asked = s.actions.find((one) => one.here && recalls(one) && isDue(one, call) && !call.steps.some(({ did }) => did === one.name));
  if (asked) return [{ reading: asked.name, kind: "action", gain: 0, minutes: asked.minutes, cost: asked.cost, cure: 0 }];
  const known = standing(s, found, call), worth = (one) => mends(one, fault) / one.cost;
  const able = s.actions.filter((one) => one.here && mends(one, fault) > 0 && !call.steps.some(({ did }) => did === one.name) && mayFollow(one, call, [fault]) && !ruledOut(s, one.name, known));
  const best = able.reduce((most, one) => (most && worth(most) >= worth(one) ? most : one), /** @type {Action | null} */ (null));
  return best ? [{ reading: best.name, kind: "action", gain: 0, minutes: best.minutes, cost: best.cost, cure: mends(best, fault) }] : [];
}
