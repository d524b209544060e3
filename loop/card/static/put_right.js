// Whether what was done has put it right: loop/diagnose/put_right.py.

/**
 * Probability that what was wrong was put right, and the step that most likely did so, from 1; 0 for none.
 * @param {Study} s @param {Found} found @param {Heavy} heavy @param {Call} call
 */
function putRight(s, { b }, { rows, weight }, call) {
  const share = call.steps.map(() => 0);
  let fixed = 0;
  rows.forEach((r, i) => {
    if (b.now[r] === b.origin[r] || s.rows.troubles[b.now[r]]) return;
    fixed += weight[i];
    share[b.since[r] - 1] += weight[i];
  });
  return { fixed, by: share.length ? best(share.map((one) => near(s, one))) + 1 : 0 };
}

/** Whether some step has most likely put it right. @param {Study} s @param {{ fixed: number, by: number }} right */
const over = (s, { fixed, by }) => fixed >= s.constants.over && by > 0;

/**
 * Whether something was read since it was put right, and nothing speaks of no water.
 * @param {Study} s @param {{ fixed: number, by: number }} right @param {Call} call
 */
function readSince(s, right, call) {
  const since = call.steps.slice(Math.max(right.by - 1, 0)), streams = since.map((one) => one.words.stream).filter(Boolean);
  return over(s, right) && since.some(anyRead) && streams.pop() !== "none";
}

/**
 * Whether what shows it was read since as a healthy loop gives it, and was not so before.
 * @param {Study} s @param {Odd} odd
 */
function proved(s, { call, by, healthy }) {
  const judged = (some) => {
    const found = new Map();
    for (const { numbers, words } of some) {
      for (const key of Object.keys(numbers)) found.set(key, usual(s, { numbers: { [key]: numbers[key] }, words: {} }, healthy));
      for (const key of Object.keys(words)) found.set(key, usual(s, { numbers: {}, words: { [key]: words[key] } }, healthy));
    }
    return new Map([...found].filter(([key]) => s.constants.proof.includes(key.split(".")[0])));
  };
  const states = [call, ...call.steps], before = judged(states.slice(0, by)), since = judged(states.slice(by));
  return [...since.values()].every(Boolean) && [...since.keys()].some((key) => !before.get(key));
}

/** Whether it looks fixed, and what was read since is as it should be. @param {Study} s @param {Odd} odd @param {string} misfit */
const isDone = (s, odd, misfit) => odd.fixed_by !== "" && misfit === "" && proved(s, odd);

/**
 * Whether the pump hummed when it was last heard, and nothing done since has cured that.
 * @param {Study} s @param {Found} found @param {Call} call @param {{ fixed: number, by: number }} right
 */
function humsStill(s, found, call, right) {
  const heard = latestOf(s, call).words.pump_sound === "hums";
  return heard || (standing(s, found, call).words.pump_sound === "hums" && !over(s, right));
}
