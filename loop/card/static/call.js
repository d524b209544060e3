// A call: texts as in a readings file → numbers, words and steps, as in loop/diagnose/parse.py.

const LONGEST = 60;
/** @param {string} text */
const cut = (text) => `“${text.length > LONGEST ? `${text.slice(0, LONGEST)}…` : text}”`;
/** @param {string} text */
const spelled = (text) => text.toLowerCase().replace(/[-_:,]/g, " ").split(/\s+/).filter(Boolean).join(" ");

/**
 * The one entry of `known` (text → value) that a text names, in full or by its beginning.
 * @param {Study} s @param {string} text @param {Map<string, any>} known @param {string} where
 * @param {string[]} [listed] the entries to list in an error
 */
function chosen(s, text, known, where, listed = [...known.keys()]) {
  const wanted = spelled(text), begun = [];
  for (const [key, value] of known) {
    const plain = spelled(key);
    if (plain === wanted) return value;
    if (wanted && (plain.startsWith(wanted) || wanted.startsWith(plain))) begun.push(value);
  }
  if (begun.length === 1) return begun[0];
  throw unknown(s, where, text, listed);
}

/** @param {Study} s @param {string} where @param {string} text @param {string[]} known */
const unknown = (s, where, text, known) => new Error(tell(s, "wrong", { where, text: cut(text), hint: tell(s, "wrong-one-of", { known: known.join("; ") }) }));

/**
 * A number reading with its half-width; throws a message if it is not valid.
 * @param {Study} s @param {string} text @param {Column} column @param {Spellings} units
 */
function number(s, text, column, units) {
  const wrong = (row) => { throw new Error(tell(s, "wrong-number-of", { reading: column.title, text: cut(text), wrong: tell(s, row, { example: `“${column.example}”` }) })); };
  const bucket = column.measure === "flow" ? text.split(/\s+in\s+/) : [];
  const found = bucket.length === 2 ? bucketful(s, bucket, units) : withWidth(text, column.measure, units);
  const [value, given] = found, usual = Math.max(column.absolute, column.relative * Math.abs(value));
  if (!Number.isFinite(value)) wrong("wrong-number");
  if (value < column.low || value > column.high) wrong("wrong-range");
  if (!Number.isNaN(given) && !(given >= usual / s.constants.finest && given <= usual * s.constants.coarsest)) wrong(given < usual ? "wrong-too-fine" : "wrong-too-wide");
  return { value, half: Number.isNaN(given) ? usual : given, text };
}

/**
 * Flow and half-width from a bucket's volume and time, as in loop/diagnose/measured.py.
 * @param {Study} s @param {string[]} bucket @param {Spellings} units
 */
function bucketful(s, [volumeText, timeText], units) {
  const [volume, volumeWidth] = withWidth(volumeText.replace(/^an?\s+|\s+buckets?$/gi, ""), "volume", units), [time, timeWidth] = withWidth(timeText, "time", units);
  if (!(volume > 0 && volume <= 10 && time > 0 && time <= 86400)) return [NaN, NaN];
  const share = Math.hypot((Number.isNaN(volumeWidth) ? s.constants.bucket * volume : volumeWidth) / volume, (Number.isNaN(timeWidth) ? s.constants.stopwatch : timeWidth) / time);
  return [volume / time, (share * volume) / time];
}

/**
 * A reading's name as in files, given that name or its printed form.
 * @param {Study} s @param {string} key
 */
function asInFiles(s, key) {
  const [, base, unit] = /^(.*?)(?:(?:\.| of )(.*))?$/s.exec(key), name = base.trim().toLowerCase().replace(/[\s-]+/g, "_").replace("shut_off", "shutoff");
  const known = Object.hasOwn(s.kinds, name) || name === "bucket" || s.beside.includes(name);
  return known ? [name, unit?.trim()].filter((one) => one !== undefined).join(".") : key;
}

/**
 * The readings of one state of the loop, from texts by key; a unit's as "key.unit" or a nested table.
 * @param {Study} s @param {Record<string, any>} table @param {Spellings} units @param {string} where
 */
function state(s, table, units, where) {
  const numbers = /** @type {Record<string, Measured>} */ ({}), words = /** @type {Record<string, string>} */ ({}), odd = [[], []];
  const take = (key, value) => {
    const given = asInFiles(s, key);
    if (s.beside.includes(given)) throw new Error(tell(s, "wrong-place", { key: `${where}${given}` }));
    if (value !== null && typeof value === "object" && !Array.isArray(value)) {
      for (const [unit, inner] of Object.entries(value)) take(`${given}.${unit}`, inner);
      return;
    }
    if (typeof value !== "string") throw new Error(tell(s, "wrong-no-text", { key: `${where}${given}` }));
    const [base, unit] = given.split(/\.(.*)/s), bucket = base === "bucket";
    if (bucket && !/\sin\s/.test(value)) throw new Error(tell(s, "wrong-bucket", { text: cut(value) }));
    const name = bucket ? "flow" : base === "supply" && /hz/i.test(value) ? "frequency" : base, full = keyOf(s, name, unit);
    if (Object.hasOwn(numbers, full)) throw new Error(tell(s, "wrong-twice", { key: `${where}${full}` }));
    if (s.at.has(full)) numbers[full] = number(s, value, s.columns[s.at.get(full)], units);
    else if (s.wordAt.has(full)) {
      const word = s.words[s.wordAt.get(full)], plain = value.trim().toLowerCase();
      if (!word.choices.includes(plain) && !Object.hasOwn(word.also, plain)) throw unknown(s, word.title, value, word.choices);
      words[full] = plain;
    } else if (Object.hasOwn(s.kinds, name)) odd[Number(s.kinds[name].word)].push(full);
    else throw new Error(tell(s, "wrong-key", { key: `${where}${cut(given)}` }));
  };
  for (const [key, value] of Object.entries(table)) take(key, value);
  return { numbers, words, odd: odd.flat() };
}

/**
 * The full key of a reading of the whole loop or of one unit; throws a message if it is wrong.
 * @param {Study} s @param {string} name @param {string} unit
 */
function keyOf(s, name, unit) {
  const perUnit = s.kinds[name]?.per_unit, several = s.unit_names.length > 1;
  if (unit && perUnit === false) throw new Error(tell(s, "wrong-of-loop", { key: `${name}.${unit}`, base: name }));
  if (unit && perUnit && !s.unit_names.includes(unit)) throw new Error(tell(s, "wrong-unit", { key: name, unit: cut(unit), hint: tell(s, "wrong-one-of", { known: s.unit_names.join(", ") }) }));
  if (!unit && perUnit && several && name !== "flow") throw new Error(tell(s, "wrong-no-unit", { key: name, example: `${name}.${s.unit_names[0]}` }));
  return unit && several ? `${name}.${unit}` : name;
}

/** @param {Record<string, any>} table @param {(key: string) => boolean} left */
const butFor = (table, left) => Object.fromEntries(Object.entries(table).filter(([key]) => !left(key)));

/**
 * Throws a message if prior weights are invalid: the card ignores them, but not mistakes in them.
 * @param {Study} s @param {unknown} prior
 */
function checkPrior(s, prior) {
  if (prior === null || typeof prior !== "object" || Array.isArray(prior)) throw new Error(tell(s, "wrong-prior"));
  for (const [fault, weight] of Object.entries(prior)) {
    if (typeof weight !== "number" || !(weight >= 0 && weight <= s.constants.largest_weight)) throw new Error(tell(s, "wrong-weight", { fault: cut(fault), weight: cut(String(weight)) }));
    if (!fault.split(" + ").every((one) => s.faults.includes(one))) throw new Error(tell(s, "wrong-prior-fault", { fault: cut(fault) }));
  }
}

/**
 * What was read with the boat at speed, from its table; null if there is none.
 * @param {Study} s @param {any} table @param {Spellings} units @param {string} where @returns {State | null}
 */
function speeding(s, table, units, where) {
  if (table === undefined) return null;
  if (table === null || typeof table !== "object" || Array.isArray(table)) throw new Error(tell(s, "wrong-readings", { where }));
  return state(s, table, units, `${where}: `);
}

/**
 * The readings of a step's table, including those with the boat at speed.
 * @param {Study} s @param {Record<string, any>} table @param {Spellings} units @param {string} where @returns {State}
 */
function withSpeed(s, table, units, where) {
  const away = (/** @type {string} */ key) => asInFiles(s, key) === "under_way", key = Object.keys(table).find(away);
  return { ...state(s, butFor(table, away), units, `${where}: `), under_way: speeding(s, table[key ?? "under_way"], units, `${where} under_way`) };
}

/** One state of the loop with the readings of another added. @param {State} state @param {State} more */
function added(state, more) {
  Object.assign(state.numbers, more.numbers);
  Object.assign(state.words, more.words);
  state.odd.push(...more.odd);
  return state;
}

/** @param {unknown} value */
const listed = (value) => (Array.isArray(value) ? value : [value]).map(String);

/**
 * A call from the table of a readings file.
 * @param {Study} s @param {Record<string, any>} table @param {Spellings} units
 */
function read(s, table, units) {
  const said = new Map(Object.entries({ ...Object.fromEntries(s.statements.map((one) => [one.text, one.text])), ...s.said_also })), article = /^\s*(?:an?|the)\s+/i;
  const tools = new Map(Object.entries({ ...Object.fromEntries(s.tools.flatMap((tool) => [[tool, tool], [`${tool}s`, tool]])), ...s.tools_also }));
  const actions = new Map(s.actions.flatMap((one) => [[one.name, one], [one.in_files, one]]));
  const split = (value) => (typeof value === "string" ? value.split(/[,;]| and /) : listed(value)).filter((text) => text.trim());
  const beside = /** @type {Record<string, any>} */ ({}), isBeside = (key) => s.beside.includes(asInFiles(s, key));
  for (const [key, value] of Object.entries(table)) if (isBeside(key)) beside[asInFiles(s, key)] = value;
  if (beside.prior !== undefined) checkPrior(s, beside.prior);
  const first = { ...state(s, butFor(table, isBeside), units, ""), under_way: speeding(s, beside.under_way, units, "under_way") }, steps = /** @type {Step[]} */ ([]);
  [beside.step ?? []].flat().forEach((step, i) => {
    if (Object.keys(step).length && step.did === undefined && step.saw === undefined) {
      // Only readings, taken again in the state that the last step left, or as found.
      const again = withSpeed(s, step, units, `step ${i + 1}`), last = steps[steps.length - 1] ?? first;
      added(last, again);
      if (again.under_way) last.under_way = last.under_way ? added(last.under_way, again.under_way) : again.under_way;
      return;
    }
    const action = chosen(s, String(step.did ?? ""), actions, `step ${i + 1}`);
    const saw = step.saw ? chosen(s, String(step.saw), new Map([...action.answers.map((one) => [one, one]), ...Object.entries(action.answers_also)]), `step ${i + 1} saw`, action.answers) : "";
    steps.push({ did: action.name, saw, ...withSpeed(s, butFor(step, (key) => key === "did" || key === "saw"), units, `step ${i + 1}`) });
  });
  return {
    ...first,
    said: [...new Set(listed(beside.said ?? []).map((text) => chosen(s, text, said, "said")))],
    tools: beside.tools === undefined || beside.tools === null ? null : [...new Set(split(beside.tools).map((text) => chosen(s, text.replace(article, ""), tools, "tools")))].filter(Boolean),
    steps,
    left: beside.prior !== undefined,
  };
}
