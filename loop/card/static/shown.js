// Numbers, probabilities and sentences as text, as in loop/units/shown.py and loop/words/template.py.

/**
 * Number with this many decimals, ties to even, thousands separated by commas.
 * @param {number} value @param {number} decimals
 */
function fixed(value, decimals) {
  const size = Math.abs(value), digits = size.toFixed(decimals + 30), cut = digits.length - 30;
  const tie = /^50*$/.test(digits.slice(cut)), down = digits.slice(0, cut).replace(/\.$/, "");
  const text = tie && Number(down.slice(-1)) % 2 === 0 ? down : size.toFixed(decimals);
  const [whole, part] = text.split("."), parted = whole.replace(/\B(?=(\d{3})+$)/g, ",");
  return `${value < 0 && Number(text) !== 0 ? "−" : ""}${parted}${part ? `.${part}` : ""}`;
}

/**
 * A quantity as text with its unit, in the card's units.
 * @param {Study} s @param {number} value @param {string} name @param {number} [decimals]
 */
function show(s, value, name, decimals) {
  const how = s.shown[name];
  if (!Number.isFinite(value)) return "—";
  const places = decimals ?? how.decimals; // beyond six more digits is conversion noise
  let text = fixed(Number(((value - how.offset) / how.scale).toFixed(places + 6)), places);
  if (name === "voltage" && decimals === undefined) text = text.replace(/\.0$/, "");
  return how.label === "%" ? `${text}%` : `${text} ${how.label}`;
}

/** A reading's value as text; a word unchanged. @param {Study} s @param {string} key @param {Value} value */
function shown(s, key, value) {
  if (typeof value === "string") return value;
  const { quantity: name } = s.columns[s.at.get(key)];
  return show(s, value, name, s.digits[name]);
}

/** Texts of a reading or an action. @param {Study} s @param {string} key @returns {Said} */
const saidOf = (s, key) => (key === s.at_speed?.key ? s.at_speed : null) ?? s.columns[s.at.get(key) ?? -1] ?? s.words[s.wordAt.get(key) ?? -1] ?? s.actions.find((one) => one.name === key);
/** @param {Study} s @param {string} key */
const titleOf = (s, key) => saidOf(s, key).title;
/** Its title as an instruction. @param {Study} s @param {string} key */
const askOf = (s, key) => saidOf(s, key).ask ?? titleOf(s, key);

/**
 * A sentence of loop/words/diagnosis.py with its values filled in; brackets with a missing value are dropped.
 * @param {Study} s @param {string} row @param {Record<string, Value | undefined>} [values]
 */
const tell = (s, row, values = {}) => filled(s.says[row], values);

/** These names as alternatives. @param {Study} s @param {string[]} names */
const anyOfNames = (s, names) => tell(s, "group-any", { most: names.slice(0, -1).join(", ") || undefined, last: names[names.length - 1] });

/** @param {string} template @param {Record<string, Value | undefined>} values */
function filled(template, values) {
  const kept = template.replace(/\[([^[\]]*)\]/g, (_, inner) => ([...inner.matchAll(/\{(\w+)\}/g)].every(([, name]) => values[name] !== undefined) ? inner : ""));
  return kept.replace(/\{(\w+)\}/g, (_, name) => String(values[name]));
}

/** A probability as text, "62 in 100"; never certain. @param {Study} s @param {number} p */
function odds(s, p) {
  if (p > s.constants.sure) return tell(s, "odds-most", { part: fixed(100 * s.constants.sure, 0) });
  return p < 0.01 ? tell(s, "odds-least") : tell(s, "odds", { part: fixed(100 * p, 0) });
}

/** @param {string} text */
const sentenceCase = (text) => text.charAt(0).toUpperCase() + text.slice(1);
