// The answer to a call, with the keys and texts of `loop diagnose --json`.

/**
 * Rows that contain a cause, alone or paired; which of the row's faults it is; the rows' weights.
 * @param {Study} s @param {Found} found @param {number} cause
 */
function rowsWith(s, found, cause) {
  const rows = s.rows.owner.map((_, row) => row).filter((row) => s.slot[cause][s.rows.owner[row]] >= 0);
  const total = rows.reduce((sum, row) => sum + found.byRow[row], 0);
  return { rows, slot: rows.map((row) => s.slot[cause][s.rows.owner[row]]), within: rows.map((row) => (total > 0 ? found.byRow[row] / total : 1 / rows.length)) };
}

/**
 * Rows that describe a cause, their weights, and the cause paired with it there, -1 for none: its
 * single-fault rows if they hold at least half of its weight, else those of its likeliest pair.
 * @param {Study} s @param {number} cause @param {{ rows: number[], within: number[] }} having
 */
function toldBy(s, cause, { rows, within }) {
  const share = s.instances.map(() => 0);
  rows.forEach((row, i) => { share[s.rows.owner[row]] += within[i]; });
  const most = share.map((one, i) => (i === cause ? -1 : near(s, one)));
  const shown = near(s, share[cause]) >= 0.5 ? cause : most.indexOf(Math.max(...most));
  const kept = rows.map((_, i) => i).filter((i) => s.rows.owner[rows[i]] === shown), total = kept.reduce((sum, i) => sum + within[i], 0);
  return {
    rows: kept.map((i) => rows[i]), within: kept.map((i) => (total > 0 ? within[i] / total : 1 / kept.length)),
    beside: s.causes.find((one) => one !== cause && s.slot[one][shown] >= 0) ?? -1,
  };
}

/**
 * Mean and 90 % band of a cause's severity, uniform within each row's cell.
 * @param {Study} s @param {number} cause @param {{ rows: number[], slot: number[], within: number[] }} having
 */
function severity(s, cause, { rows, slot, within }) {
  const [[low, high]] = s.instances[cause].range, middle = near(s, rows.reduce((sum, row, i) => sum + within[i] * s.rows.severity[row][slot[i]], 0));
  if (high <= low) return { middle, band: [low, low] };
  const cells = rows.map((row, i) => s.cell[row][slot[i]]), edges = [...new Set(cells.flat())].sort((a, z) => a - z);
  const share = edges.map((edge) => cells.reduce((sum, [from, to], i) => sum + within[i] * Math.min(Math.max((edge - from) / (to - from), 0), 1), 0));
  return { middle, band: s.constants.band.map((p) => near(s, between(p, share, edges))) };
}

/**
 * A number rounded to ignore floating-point noise, so that rounding decides nothing that is shown.
 * @param {Study} s @param {number} value
 */
const near = (s, value) => Math.round(value * 10 ** s.constants.same) / 10 ** s.constants.same;

/**
 * Linear interpolation in rising `xs`, like numpy.interp; of equal ones the last counts.
 * @param {number} x @param {number[]} xs @param {number[]} ys
 */
function between(x, xs, ys) {
  let i = xs.length - 1;
  while (i > 0 && xs[i] > x) i -= 1;
  if (i === xs.length - 1 || xs[i] > x) return ys[i];
  return ys[i] + ((ys[i + 1] - ys[i]) / (xs[i + 1] - xs[i])) * (x - xs[i]);
}

/** @param {Study} s @param {number} cause @param {number} middle @param {number[]} [band] */
function severityWords(s, cause, middle, band) {
  const { severity: [says], quantity: [name] } = s.instances[cause], [bad, low, high] = [middle, ...(band ?? [])].map((edge) => show(s, edge, name));
  return filled(says, { bad: band ? tell(s, "with-band", { middle: bad, low, high }) : bad });
}

/** @param {Call} call */
const isEmpty = (call) => !call.under_way && Object.keys(call.numbers).length + Object.keys(call.words).length + call.odd.length + call.said.length + call.steps.length === 0;

/**
 * The probabilities alone: causes ranked by their probability to be present, and those worth showing.
 * @param {Study} s @param {Call} call
 */
function ranked(s, call) {
  const found = posterior(s, call), at = (study) => valuesOf(study, call, [s.rows.healthy], [1]), order = inOrder(s, s.causes, (i) => present(s, found, i));
  const heavy = heaviest(s, found, s.constants.light), right = putRight(s, found, heavy, call), healthy = at(s), now = holding(s, found, call), pair = contradiction(s, now);
  return {
    call, found, heavy,
    order: order.filter((i, n) => n < 3 || present(s, found, i) >= s.constants.negligible),
    unknown: s.unknown < 0 ? 0 : found.probability[s.unknown],
    ...right, ...leftThere(s, found, heavy, call), fixed_by: readSince(s, right, call, healthy) ? credited(s, found, heavy, call, right.by) : "", ...stillWrong(s, found, heavy, call, healthy, right, pair), hums: humsStill(s, found, call, right, pair),
    well: allWell(s, found, call) && asHealthy(s, call, at), water_is_right: waterIsRight(s, call, at), healthy, healthy_under_way: anyAtSpeed(call) ? at(s.under_way) : {},
    contradiction: pair, holding: now,
  };
}

/** One cause with all its fields. @param {Study} s @param {Odd} odd @param {string} misfit @param {number} instance */
function cause(s, odd, misfit, instance) {
  const { found, call } = odd, one = s.instances[instance], having = rowsWith(s, found, instance), bad = severity(s, instance, having);
  const told = toldBy(s, instance, having);
  const at = (study) => valuesOf(study, call, told.rows, told.within), predictions = at(s), fast = anyAtSpeed(call) ? at(s.under_way) : {}, flow = onceFixed(s, found, instance, odd.heavy);
  return {
    fault: one.fault, where: one.where, title: one.title, probability: found.probability[instance], present: present(s, found, instance),
    severity: bad.middle, severity_low: bad.band[0], severity_high: bad.band[1], severity_words: severityWords(s, instance, bad.middle, bad.band[1] > bad.band[0] ? bad.band : undefined),
    predicted: predictions, predicted_under_way: fast, why: why(s, odd, instance, predictions, fast, misfit, told.beside), fix: one.fix, look: one.look,
    flow_fixed: flow[1], flow_fixed_low: flow[0], flow_fixed_high: flow[2], cautions: one.cautions,
  };
}

/**
 * A step as text, with what to expect of it under each leading cause.
 * @param {Study} s @param {Odd} odd @param {Gain} gain
 */
function step(s, odd, { fetched, ...gain }) {
  const { b } = odd.found, { rows, weight } = odd.heavy, key = gain.reading, expectations = /** @type {Record<string, Value>} */ ({});
  const away = key === s.at_speed?.key ? { ...s.at_speed, chance: s.under_way.words[s.wordAt.get(s.at_speed.of)].chance } : null;
  const source = /** @type {any} */ (away ?? s.actions.find((one) => one.name === key) ?? s.columns[s.at.get(key) ?? -1] ?? s.words[s.wordAt.get(key)]);
  for (const [place, instance] of odd.order.entries()) {
    const more = place >= s.constants.leading;
    if (more && !alikeFor(source, Object.values(expectations))) break;
    const own = rows.map((r, i) => [r, weight[i]]).filter(([r]) => s.rows.owner[blamed(s, b, r)] === instance);
    if (own.length === 0) continue;
    const total = own.reduce((sum, [, w]) => sum + w, 0), mean = (value) => own.reduce((sum, [r, w]) => sum + (w / total) * value(r), 0);
    const value = expectation(s, key, source, b, mean);
    if (!more || !alikeFor(source, [...Object.values(expectations), value])) expectations[s.instances[instance].called] = value;
  }
  const how = source.hazard ? `${source.hazard} ${source.how[0].toUpperCase()}${source.how.slice(1)}` : source.how;
  return { ...gain, title: askOf(s, key), hazard: source.hazard, how, answers: source.answers ?? source.choices ?? [], expected: expectations };
}

/** Whether a step's results are the same answer, or numbers within one half-width of it. @param {any} source @param {Value[]} values */
function alikeFor(source, values) {
  const numbers = /** @type {number[]} */ (values.filter((one) => typeof one !== "string"));
  if (!numbers.length) return new Set(values).size < 2;
  return Math.max(...numbers) - Math.min(...numbers) <= Math.max(source.absolute, source.relative * Math.abs(numbers[0]));
}

/**
 * @param {Study} s @param {string} key @param {any} source @param {Belief} b
 * @param {(value: (row: number) => number) => number} mean
 */
function expectation(s, key, source, b, mean) {
  if (source.first) return source.answers[mean((r) => source.first[looksBack(s, source) ? blamed(s, b, r) : b.now[r]]) > 0.5 - s.constants.even ? 0 : 1];
  const many = source.choices?.length;
  if (many) return source.choices[best(source.choices.map((_, j) => mean((r) => source.chance[b.now[r] * many + j])))];
  const at = s.at.get(key);
  return natural(s, at, mean((r) => predicted(s, b, r, at)[0]));
}

/**
 * Whether something not in the list leads; then the readings are doubted first.
 * @param {Study} s @param {Odd} odd @param {string} misfit
 */
function fitsNone(s, { found, order, unknown }, misfit) {
  return unknown >= s.constants.leads || (misfit !== "" && present(s, found, order[0]) < s.constants.leads);
}

/**
 * The first line: the likeliest cause, or the next step while nothing leads.
 * @param {Study} s @param {Odd} odd @param {string} misfit @param {Cause | undefined} lead
 * @param {NextStep | null} first
 */
function headline(s, odd, misfit, lead, first) {
  const { leads } = s.constants, todo = first ? brief(s, first) : tell(s, "no-step");
  if (isEmpty(odd.call)) return tell(s, "headline-nothing-read", { step: todo });
  const end = endOf(s, odd, misfit), to = end.unread, noFit = fitsNone(s, odd, misfit), ending = endingLine(s, odd, end, first);
  if (ending) return ending;
  if (to && first && proves(s, first.reading) && !odd.contradiction.length) return ordered(s, odd, tell(s, "headline-unread", { done: titleOf(s, to), step: todo }));
  const told = lead && lead.fault !== "healthy" && lead.present >= leads;
  if (odd.well && !misfit && !first && !odd.hums && !told) return ordered(s, odd, built(s, tell(s, "headline-sound")));
  if (odd.contradiction.length && (odd.fixed >= s.constants.over || noFit || odd.contradiction.includes(first?.reading ?? ""))) return ordered(s, odd, tell(s, "headline-pair", { step: todo, ...pairSaid(s, odd) }));
  if (noFit) return ordered(s, odd, tell(s, "headline-no-fit", { step: todo }));
  if (!lead || lead.present < leads || (odd.still_wrong && (s.constants.hiding.includes(lead.fault) || odd.fixed >= s.constants.over))) return ordered(s, odd, built(s, noneLeads(s, odd, misfit, todo)));
  const [cause, other] = odd.order, share = odd.order.length > 1 ? present(s, odd.found, other) : 0;
  const named = tell(s, "headline-cause", {
    cause: lead.title, odds: odds(s, lead.present), bad: lead.severity_high > lead.severity_low && s.instances[cause].severity[0].includes("{bad}") ? severityWords(s, cause, lead.severity) : undefined,
    ...(share < leads ? {} : { other: s.instances[other].title, other_odds: odds(s, share) }),
  });
  const said = lead.fault === "healthy" ? built(s, named) : named;
  return ordered(s, odd, misfit ? tell(s, "headline-doubtful", { said }) : said);
}

/** What was done and found faulty, as text; "" for nothing. @param {Study} s @param {Call} call */
const foundSoFar = (s, call) => call.steps.filter(({ did, saw }) => saw === s.actions.find(({ name }) => name === did).answers[0]).map(({ did, saw }) => `${titleOf(s, did)}, ${saw}`).join("; ");

/** A first line without a cause: whether all is well so far, and what was found even so. @param {Study} s @param {Odd} odd @param {string} misfit @param {string} todo */
function noneLeads(s, odd, misfit, todo) {
  if (!odd.well || misfit) return tell(s, "headline-none-leads", { step: todo });
  const found = foundSoFar(s, odd.call);
  return tell(s, found ? "headline-all-well-but" : "headline-all-well", { step: todo, found });
}

/** A first line without a fault, preceded by any shortcoming of the loop as built. @param {Study} s @param {string} said */
const built = (s, said) => (s.as_built ? tell(s, "headline-as-built", { built: s.as_built, said }) : said);

/** A first line, preceded by what runs again but is still wrong, and the order to switch off a humming pump. @param {Study} s @param {Odd} odd @param {string} said */
function ordered(s, odd, said) {
  const key = odd.still_wrong, read = (kind) => Object.assign({}, ...odd.call.steps.map((one) => one[kind])), numbers = read("numbers"), words = read("words"), still = key && `${titleOf(s, key)} ${shown(s, key, words[key] ?? numbers[key].value)}`;
  const whole = key ? tell(s, "headline-runs-again", { done: titleOf(s, odd.call.steps[odd.better - 1].did), still, said }) : said;
  return odd.hums ? tell(s, isOff(s, odd.call) ? "headline-hums-off" : "headline-hums", { said: whole }) : whole;
}

/** A step with its minutes. @param {Study} s @param {{ title: string, minutes: number }} one */
const brief = (s, { title, minutes }) => tell(s, "step-brief", { title, minutes });

/** First line if the trouble is over for now but its cause remains. @param {Study} s @param {Odd} odd @param {string} fault */
function leftLine(s, odd, fault) {
  const fed = oneOfTheSupply(s, odd, fault), left = fed.length ? fed : odd.order.filter((i) => s.instances[i].fault === fault).slice(0, 1), titles = left.map((i) => s.instances[i].title), [next] = mendOf(s, odd, fault);
  const share = Math.min(left.reduce((sum, i) => sum + present(s, odd.found, i), 0), 1), then = fed.length ? s.constants.supply.look : s.instances[left[0]].fix;
  const row = share >= s.constants.leads ? "headline-left" : "headline-perhaps-left";
  return tell(s, odd.fixed_by ? row : "headline-found", {
    done: odd.fixed_by ? titleOf(s, odd.fixed_by) : undefined, odds: odds(s, share), cause: anyOfNames(s, titles),
    then: next && !fed.length && !next.reading.startsWith(s.constants.fix) ? tell(s, "left-next", { step: brief(s, { title: askOf(s, next.reading), minutes: next.minutes }) }) : sentenceCase(then),
  });
}

/** Possible faults of an AC pump's supply, while neither hertz nor a generator tells which. @param {Study} s @param {Odd} odd @param {string} left */
function oneOfTheSupply(s, { call, order }, left) {
  return hertzWouldTell(s, call, left) ? order.filter((i) => s.constants.supply.faults.includes(s.instances[i].fault)) : [];
}

/** First line once the trouble is over for now: ended, or why not yet; "" if not over, or if it needs a first step still unknown. @param {Study} s @param {Odd} odd @param {End} end @param {NextStep | null} first */
function endingLine(s, odd, end, first) {
  if (end.left) return ordered(s, odd, leftLine(s, odd, end.left));
  if (!end.over || end.unread || (end.goes_on && !first)) return "";
  const done = titleOf(s, odd.fixed_by), [ask] = end.asks, next = ask ? brief(s, { title: askOf(s, ask.reading), minutes: ask.minutes }) : end.goes_on ? brief(s, first) : undefined, said = (row, more = {}) => ordered(s, odd, tell(s, row, { done, ...more }));
  if (end.recurs) return said("headline-recurs", { built: s.as_built });
  if (!end.unknown) return said(end.done ? "headline-done" : "headline-fixed", { step: end.done ? undefined : next });
  return said("headline-unknown", { unknown: tell(s, s.constants.then[end.unknown].unknown), then: next ? tell(s, "headline-next", { step: next }) : tell(s, end.watch) });
}

/** What a call leaves unused, as text. @param {Study} s @param {Call} call */
function notes(s, call) {
  const odd = call.odd.length ? [tell(s, "note-ignored", { readings: call.odd.join(", ") })] : [];
  const [first, rest] = s.as_built ? [s.notes.slice(0, 1), s.notes.slice(1)] : [[], s.notes];
  return [...first, ...odd, ...(call.left ? [tell(s, "note-ignored-prior")] : []), ...rest];
}

/**
 * The result of `loop diagnose --json` for a call given as the table of a readings file.
 * @param {Study} s @param {Record<string, any>} table @param {Spellings} units
 */
function diagnose(s, table, units) {
  const call = read(s, table, units), odd = ranked(s, call), misfit = misfitOf(s, odd);
  const causes = odd.order.map((instance) => cause(s, odd, misfit, instance));
  const end = endOf(s, odd, misfit), next = nextSteps(s, odd, misfit).map((gain) => step(s, odd, gain)), line = headline(s, odd, misfit, causes[0], next[0]);
  return {
    headline: line, causes, next, groups: groupsOf(s, odd, next[0]?.reading ?? ""), lines: linesOf(s, odd.found).map((line) => causesOf(s, odd, line)), unknown: odd.unknown, fixed: odd.fixed, fixed_by: fixedBy(odd, misfit), done: end.done, left: end.left, hums: odd.hums, as_built: s.as_built,
    misfit, contradiction: odd.contradiction, well: odd.well && !misfit, healthy: odd.healthy, healthy_under_way: odd.healthy_under_way, notes: notes(s, call), cautions: s.cautions, tools: call.tools,
  };
}

/** Groups of the listed causes, likeliest first. @param {Study} s @param {Odd} odd */
const listedGroups = (s, odd) => groups(s, odd.found).map((group) => group.filter((i) => odd.order.includes(i))).filter((group) => group.length);

/** Causes by fault name and place. @param {Study} s @param {Odd} odd @param {number[]} some */
const causesOf = (s, odd, some) => ({
  faults: some.map((i) => s.instances[i].fault), where: some.map((i) => s.instances[i].where),
  title: groupTitle(s, some), probability: anyOf(s, odd.found, some),
});

/** Groups by fault name and place. @param {Study} s @param {Odd} odd @param {string} first */
function groupsOf(s, odd, first) {
  return listedGroups(s, odd).map((group) => {
    const split = splitting(s, odd.found, odd.call, group, first);
    return { ...causesOf(s, odd, group), split, sentence: sentence(s, odd.found, odd.call, group, split, first) };
  });
}
