// The step worth taking next, as in loop/diagnose/next_reading.py and step_order.py.

/**
 * Sorted, greatest first; values equal but for rounding keep their order.
 * @param {Study} s @param {any} values @param {(one: any) => number} of
 */
function inOrder(s, values, of) {
  const round = (value) => Math.round(of(value) * 10 ** s.constants.same);
  return [...values].sort((a, z) => round(z) - round(a));
}

/**
 * Standard normal distribution function, logistic approximation, as in loop/diagnose/next_reading.py.
 * @param {number} z @param {number[]} terms
 */
function normal(z, [first, third]) {
  const y = Math.max(-8, Math.min(8, z));
  return 1 / (1 + Math.exp(-y * (first + third * y * y)));
}

/** Joint distribution of owner and answer, summed over rows; and its mutual information [bits]. */
class Joint {
  constructor(owners, answers) {
    this.answers = answers;
    this.sums = new Float64Array(owners * answers);
  }
  add(owner, answer, chance) { this.sums[owner * this.answers + answer] += chance; }
  bits() {
    const { sums, answers } = this, total = new Float64Array(answers);
    sums.forEach((p, i) => { total[i % answers] += p; });
    let bits = 0;
    for (let first = 0; first < sums.length; first += answers) {
      let own = 0;
      for (let j = 0; j < answers; j += 1) own += sums[first + j];
      for (let j = 0; j < answers; j += 1) {
        const p = sums[first + j], product = own * total[j];
        if (p > 0 && product > 0) bits += p * Math.log2(p / product);
      }
    }
    return Math.max(bits, 0);
  }
}

/**
 * Whether a reading may have changed, can be taken, and is possible after what was seen.
 * @param {Study} s @param {Column | Word} column @param {Standing} known
 * @param {string[] | null} tools @param {Set<string>} done
 */
function mayBeAsked(s, column, known, tools, done) {
  if (known.keys.has(column.key) || s.actions.some((one) => one.looks === column.key && done.has(one.name))) return false;
  return (s.constants.fetched.includes(column.tool) || isHad(s, column, known, tools)) && !ruledOut(s, column.key, known);
}

/** Whether a reading's tool is at hand, or is sent for in any case. @param {Study} s @param {Column | Word} column @param {Standing} known @param {string[] | null} tools */
const isHad = (s, column, known, tools) => atHand(column, tools) || s.sent_for.some(([key, seen, answers]) => key === column.key && allSay([seen], answers, known));

/** Whether a reading's tool is at hand. @param {{ tool?: string }} column @param {string[] | null} tools */
const atHand = ({ tool }, tools) => !tool || !tools || tools.includes(tool);

/**
 * Information gain of a number: its chance in each small interval under each row.
 * @param {Study} s @param {Found} found @param {number} at @param {number[]} rows @param {number[]} weight
 * @param {number[]} place @param {number} owners
 */
function ofNumber(s, { b, last }, at, rows, weight, place, owners) {
  const column = s.columns[at], { bins, two_sigma: sigma, log_offset: offset } = s.constants, n = rows.length;
  const mean = new Float64Array(n), width = new Float64Array(n);
  let low = Infinity, high = -Infinity;
  for (let i = 0; i < n; i += 1) {
    const before = last[column.key], same = before && b.since[rows[i]] <= before.step;
    const [middle, variance] = same ? [before.value, before.width ** 2] : predicted(s, b, rows[i], at), value = natural(s, at, middle);
    let own = Math.max(column.absolute, column.relative * Math.abs(value)) / sigma;
    if (column.scale > 0) own /= value + offset * column.scale;
    mean[i] = middle;
    width[i] = Math.max(Math.sqrt(Math.max(variance, 0) + own ** 2), 1e-9 + 1e-6 * Math.abs(middle));
    low = Math.min(low, middle - 3 * width[i]);
    high = Math.max(high, middle + 3 * width[i]);
  }
  const joint = new Joint(owners, bins + 1), step = (high - low) / (bins - 1), sea = column.key === "sea_temperature" && !last[column.key];
  for (let i = 0; i < n; i += 1) {
    const usual = sea && !s.rows.sea_set[b.now[rows[i]]], first = usual ? 0 : Math.max(0, Math.ceil((mean[i] - 8 * width[i] - low) / step));
    let before = 0;
    for (let j = Math.min(first, bins); j < bins && before < 1; j += 1) {
      const edge = j === bins - 1 ? high : low + j * step, below = usual ? seaBelow(s, edge, column.absolute / sigma) : normal((edge - mean[i]) / width[i], s.constants.normal);
      joint.add(place[i], j, weight[i] * (below - before));
      before = below;
    }
    joint.add(place[i], bins, weight[i] * (1 - before));
  }
  return joint.bits();
}

/** Chance that a sea that is not the fault reads below an edge, as it is weighed. @param {Study} s @param {number} edge @param {number} width */
function seaBelow(s, edge, width) {
  const { design, cooler, warmer: wide } = s.constants.sea, above = edge - design, warmer = Math.hypot(wide, width), share = cooler / (cooler + warmer);
  return above > 0 ? share + (1 - share) * (2 * normal(above / warmer, s.constants.normal) - 1) : 2 * share * normal(above / cooler, s.constants.normal);
}

/**
 * @param {Study} s @param {Word} word @param {Found} found @param {number[]} rows @param {number[]} weight
 * @param {number[]} place @param {number} owners
 */
function ofWord(s, word, { b, last }, rows, weight, place, owners) {
  const many = word.choices.length, joint = new Joint(owners, many), before = last[word.key], { repeats } = s.constants;
  const again = (j) => (before.meant.includes(j) ? repeats / before.meant.length : 0);
  rows.forEach((r, i) => {
    const same = before && b.since[r] <= before.step;
    for (let j = 0; j < many; j += 1) {
      const own = word.chance[b.now[r] * many + j];
      joint.add(place[i], j, weight[i] * (same ? again(j) + (1 - repeats) * own : own));
    }
  });
  return joint.bits();
}

/**
 * Information gain of an action, and the chance that it cures.
 * @param {Study} s @param {Action} action @param {Found} found @param {number[]} rows @param {number[]} weight
 * @param {number[]} place @param {number} owners
 */
function ofAction(s, action, { b, last }, rows, weight, place, owners) {
  const joint = new Joint(owners, 4), before = last[action.looks], { repeats } = s.constants;
  const again = before ? repeats * Number(saidBefore(s, action, action.answers[0], before)) : 0;
  let cured = 0;
  rows.forEach((r, i) => {
    const now = b.now[r], own = action.first[looksBack(s, action) ? blamed(s, b, r) : now], first = before && b.since[r] <= before.step ? again + (1 - repeats) * own : own;
    const [better, other] = action.cures.map((cure) => cure[2 * now] * s.shows[2 * now] + cure[2 * now + 1] * s.shows[2 * now + 1]);
    cured += weight[i] * (action.cure[2 * now] + action.cure[2 * now + 1]);
    joint.add(place[i], 0, weight[i] * first * better);
    joint.add(place[i], 1, weight[i] * first * (1 - better));
    joint.add(place[i], 2, weight[i] * (1 - first) * other);
    joint.add(place[i], 3, weight[i] * (1 - first) * (1 - other));
  });
  return [joint.bits(), cured];
}

/**
 * All remaining steps, best first for their minutes and risk; `among`: to tell these causes apart.
 * @param {Study} s @param {Found} found @param {Call} call @param {number[] | null} [among]
 */
function steps(s, found, call, among = null) {
  const { b } = found;
  let { rows, weight } = heaviest(s, found, s.constants.left_out);
  const ownerOf = (r) => (among ? among.findIndex((cause) => s.slot[cause][s.rows.owner[blamed(s, b, r)]] >= 0) : s.rows.owner[blamed(s, b, r)]);
  if (among) {
    const inside = rows.map((r) => ownerOf(r) >= 0);
    rows = rows.filter((_, i) => inside[i]);
    weight = weight.filter((_, i) => inside[i]);
    const total = Math.max(weight.reduce((sum, w) => sum + w, 0), 1e-300);
    weight = weight.map((w) => w / total);
  }
  if (rows.length === 0) return [];
  const places = new Map();
  const place = rows.map((r) => {
    const owner = ownerOf(r);
    if (!places.has(owner)) places.set(owner, places.size);
    return places.get(owner);
  });
  const known = standing(s, found, call), done = new Set(call.steps.map((step) => step.did)), likely = likelyFaults(s, found), gains = [];
  const reading = (column, gain) => gains.push({ reading: column.key, kind: "reading", gain, minutes: column.minutes, cost: column.minutes, cure: 0, fetched: !isHad(s, column, known, call.tools) });
  s.columns.forEach((column, at) => { if (mayBeAsked(s, column, known, call.tools, done)) reading(column, ofNumber(s, found, at, rows, weight, place, places.size)); });
  for (const word of s.words) if (mayBeAsked(s, word, known, call.tools, done)) reading(word, ofWord(s, word, found, rows, weight, place, places.size));
  for (const action of s.actions) {
    if (!action.here || !isLeft(action, call, likely) || ruledOut(s, action.name, known)) continue;
    const [gain, cure] = ofAction(s, action, found, rows, weight, place, places.size);
    gains.push({ reading: action.name, kind: "action", gain, minutes: action.minutes, cost: action.cost, cure });
  }
  if (showsAtSpeed(s, call, known)) {
    const word = { ...s.under_way.words[s.wordAt.get(s.at_speed.of)], key: s.at_speed.key };
    reading(s.at_speed, ofWord(s, word, found, rows, weight, place, places.size));
  }
  const order = inOrder(s, gains, (one) => worthOf(s, one)).map((one) => [placeOf(s, call, known, one.reading), one]).sort((a, z) => a[0] - z[0]).map(([, one]) => one);
  return among ? order.filter(({ fetched }) => !fetched) : worthIt(s, found, order, known, call);
}

/** Bits per minute, including the value of a cure and the risk. @param {Study} s @param {Gain} one */
const worthOf = (s, one) => (one.gain + s.constants.cure_bits * one.cure) / one.cost;

/**
 * The steps still worth taking; the lead's own fix comes first if little else is left.
 * Free looks come before the steps that depend on them, and informative readings before drastic steps.
 * @param {Study} s @param {Found} found @param {Gain[]} order @param {Standing} known
 * @param {Call} call
 */
function worthIt(s, found, order, { keys }, call) {
  const { known, little, trifle, telling, in_the_line: inTheLine, leads, same } = s.constants, { b, weight } = found, of = (one) => s.actions.find(({ name }) => name === one.reading);
  const lead = inOrder(s, s.causes, (i) => present(s, found, i))[0];
  let odds = 0, left = order.filter((one) => !one.fetched && !(one.cure < (of(one)?.least_cure ?? 0)));
  weight.forEach((w, r) => { if (s.slot[lead][s.rows.owner[b.now[r]]] >= 0) odds += w; });
  odds = Math.round(odds * 10 ** same) / 10 ** same;
  const cures = (one) => (of(one)?.cures_of[s.instances[lead].fault] ?? 0) / one.cost;
  const fix = left.reduce((best, one) => (cures(one) > (best ? cures(best) : 0) ? one : best), /** @type {Gain | null} */ (null));
  const least = odds >= known ? little : odds >= leads ? trifle : 0;
  left = left.filter((one) => one === fix || (odds >= known ? one.gain / one.cost : worthOf(s, one)) >= least || one.reading === s.at_speed?.key || of(one)?.said.length);
  if (odds >= known && s.instances[lead].fault !== "healthy") left = left.filter((one) => one.reading !== s.constants.waits);
  if (fix && (odds >= known || (odds >= leads && left.every((one) => worthOf(s, one) < little)))) left = [fix, ...left.filter((one) => one !== fix)];
  const able = order.filter((one) => left.includes(one) || !of(one)?.opens || (odds < known && worthOf(s, one) >= trifle)), tells = order.filter((one) => (one.fetched || left.includes(one)) && !of(one) && odds < known && worthOf(s, one) >= (s.columns[s.at.get(one.reading) ?? -1]?.tool === inTheLine ? little : telling));
  const first = /** @type {Gain[]} */ ([]), put = (/** @type {Gain} */ gain) => {
    if (first.includes(gain)) return;
    const due = isDue(of(gain), call) || anyIs(call.steps, of(gain)?.shown_by ?? []);
    for (const earlier of due ? [] : (of(gain)?.earlier ?? [])) able.filter((one) => one.reading.split(".")[0] === earlier && !keys.has(of(one)?.looks ?? "")).forEach(put);
    if (of(gain)?.drastic && !due) tells.forEach(put);
    first.push(gain);
  };
  left.forEach(put);
  return first;
}

/** The faults that are likely enough for a fix of their own; one whose fix should follow a finding must lead. @param {Study} s @param {Found} found */
function likelyFaults(s, { probability }) {
  const { fix, fixable, leads } = s.constants, follows = (fault) => s.actions.some(({ name, after }) => name === fix + fault && after.length > 0);
  return s.causes.filter((i) => present(s, { probability }, i) >= (follows(s.instances[i].fault) ? leads : fixable)).map((i) => s.instances[i].fault);
}

/** The leading fault, "" if none is likely enough. @param {Study} s @param {Found} found */
function leadOf(s, found) {
  const lead = inOrder(s, s.causes, (i) => present(s, found, i))[0];
  return present(s, found, lead) >= s.constants.leads ? s.instances[lead].fault : "";
}

/** These steps; if one is to wait for the trouble, it comes first, after what shows the trouble by eye. @param {Study} s @param {Gain[]} order */
function waitsFirst(s, order) {
  const { waits, by_eye: byEye } = s.constants, some = order.filter((one) => one.reading === waits);
  const ahead = [...order.filter((one) => some.length && byEye.includes(one.reading.split(".")[0])), ...some];
  return [...ahead, ...order.filter((one) => !ahead.includes(one))];
}
