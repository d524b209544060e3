// Causes that the readings cannot tell apart, and what would split them, as in loop/diagnose/groups.py.

/**
 * Evidence for each cause: log of its posterior over its prior probability.
 * @param {Study} s @param {Found} found
 */
function evidenceOf(s, found) {
  const prior = new Float64Array(s.instances.length);
  s.rows.weight.forEach((w, row) => { prior[s.rows.owner[row]] += w; });
  return new Map(s.causes.map((i) => [i, Math.log(present(s, found, i)) - Math.log(present(s, { probability: prior }, i))]));
}

/** Whether anything was read in one state of the loop. @param {State | null} state */
const anyRead = (state) => Boolean(state) && Object.keys({ ...state.numbers, ...state.words }).length + state.odd.length > 0;
/** Whether anything was read in a state of the loop, at the dock or at speed. @param {State} state */
const readAnywhere = (state) => anyRead(state) || anyRead(state.under_way);
/** Whether anything was read with the boat at speed. @param {Call} call */
const anyAtSpeed = (call) => [call, ...call.steps].some(({ under_way: away }) => anyRead(away));

/**
 * Whether something was read, and it favors no fault over a healthy loop.
 * @param {Study} s @param {Found} found @param {Call} call
 */
function allWell(s, found, call) {
  const evidence = evidenceOf(s, found), said = s.statements.filter((one) => call.said.includes(one.text));
  const speaks = (i) => said.reduce((sum, one) => sum - Math.log(Math.max(one.chance[i], s.constants.chance_floor)), evidence.get(i));
  const most = Math.max(...s.causes.map(speaks)), well = speaks(s.rows.owner[s.rows.healthy]);
  return [call, ...call.steps].some(readAnywhere) && most - well <= Math.log(s.constants.group) + 1e-9;
}

/**
 * The likeliest causes in at most two lines, the likelier first.
 * @param {Study} s @param {Found} found
 */
function linesOf(s, found) {
  const fault = (i) => s.instances[i].fault, { listed, negligible } = s.constants;
  const likely = inOrder(s, s.causes, (i) => present(s, found, i)).filter((i) => present(s, found, i) >= negligible), faults = [...new Set(likely.map(fault))];
  return [faults.slice(0, listed), faults.slice(listed, 2 * listed)].map((line) => likely.filter((i) => line.includes(fault(i)))).filter((line) => line.length);
}

/**
 * Causes that the readings cannot tell apart, likeliest group first, each headed by its likeliest cause.
 * @param {Study} s @param {Found} found
 */
function groups(s, found) {
  const { group: bare, negligible, rival } = s.constants, evidence = evidenceOf(s, found);
  const there = new Map(s.causes.map((i) => [i, present(s, found, i)]));
  const both = (one, other) => found.probability.reduce((sum, p, i) => sum + (s.slot[one][i] >= 0 && s.slot[other][i] >= 0 ? p : 0), 0);
  const order = inOrder(s, s.causes, (i) => there.get(i));
  let left = order.filter((i) => there.get(i) >= negligible);
  if (left.length === 0) left = order.slice(0, 1);
  const made = [];
  while (left.length) {
    const lead = left[0], rivals = (i) => Math.abs(evidence.get(i) - evidence.get(lead)) <= Math.log(bare) + 1e-9 && both(lead, i) < rival * there.get(i);
    const group = left.filter((i) => i === lead || rivals(i));
    left = left.filter((i) => !group.includes(i));
    made.push(group);
  }
  return inOrder(s, made, (group) => anyOf(s, found, group));
}

/**
 * Probability that at least one of some causes is present.
 * @param {Study} s @param {Found} found @param {number[]} causes
 */
function anyOf(s, found, causes) {
  return found.probability.reduce((sum, p, i) => sum + (causes.some((cause) => s.slot[cause][i] >= 0) ? p : 0), 0);
}

/**
 * Key of the remaining step that best splits a group, preferring the first of all; "" if none would.
 * @param {Study} s @param {Found} found @param {Call} call @param {number[]} group @param {string} first
 */
function splitting(s, found, call, group, first) {
  if (group.length < 2 || !(anyOf(s, found, group) > 0)) return "";
  const names = [...new Set(group.map((i) => s.instances[i].fault))].slice(0, s.constants.listed), told = group.filter((i) => names.includes(s.instances[i].fault));
  return steps(s, found, call, group).sort((a, z) => Number(a.reading !== first) - Number(z.reading !== first)).find((one) => one.gain >= s.constants.splits && splits(s, found, one.reading, told))?.reading ?? "";
}

/**
 * Whether a step's likeliest answer differs between these causes; for a number it always does.
 * @param {Study} s @param {Found} found @param {string} key @param {number[]} causes
 */
function splits(s, found, key, causes) {
  const action = s.actions.find((one) => one.name === key), away = key === s.at_speed?.key, word = (away ? s.under_way : s).words[s.wordAt.get(away ? s.at_speed.of : key) ?? -1];
  if (!action && !word) return true;
  return new Set(causes.map((cause) => {
    const { rows, within } = rowsWith(s, found, cause), mean = (value) => rows.reduce((sum, row, i) => sum + within[i] * value(row), 0);
    return action ? Number(mean((row) => action.first[row]) <= 0.5 - s.constants.even / 2) : best(word.choices.map((_, j) => mean((row) => word.chance[row * word.choices.length + j])));
  })).size > 1;
}
