// Numbers with units as people write them, as loop/units/number.py and text.py read them.

const THOUSANDS = /^(k?btus?|w|watts?|gal\w*|l|lit\w*)(\/hr?|\s+per\s+h\w*)?$|^(gph|lph|btuh|mm)$/;
const FRACTIONS = { "½": "1/2", "¼": "1/4", "¾": "3/4", "⅛": "1/8", "⅜": "3/8", "⅝": "5/8", "⅞": "7/8" };

/**
 * Digits with a point for decimals and nothing for thousands; null where they could be either.
 * @param {string} digits @param {string} unit
 */
function plainDigits(digits, unit) {
  const marks = [...digits].filter((sign) => sign === "." || sign === ","), big = THOUSANDS.test(unit.toLowerCase().replace(/\.$/, ""));
  if (marks.length === 0 || (marks.length === 1 && marks[0] === ".")) return /^[1-9]\d{0,2}\.\d\d0$/.test(digits) && big ? null : digits;
  if (marks.length === 1) {
    if (!/^[1-9]\d{0,2},\d{3}$/.test(digits)) return digits.replace(",", ".");
    return unit && !big ? null : digits.replace(",", "");
  }
  const [first] = marks, last = marks[marks.length - 1], escape = (sign) => (sign === "." ? "\\." : ",");
  const grouped = `\\d{1,3}(?:${escape(first)}\\d{3})+`;
  if (new Set(marks).size === 1 && new RegExp(`^${grouped}$`).test(digits)) return digits.replaceAll(first, "");
  const decimals = marks.filter((sign) => sign === last).length === 1 && new RegExp(`^${grouped}${escape(last)}\\d*$`).test(digits);
  return decimals ? digits.replaceAll(first, "").replace(last, ".") : null;
}

/** A text's number and unit; null where it has none. @param {string} text */
function split(text) {
  if (text.length > 100) return null;
  let clean = text.trim().replace(/[−–]/g, "-").replace(/[\u00a0\u202f]/g, " ").replace(/⁄/g, "/");
  for (const [sign, fraction] of Object.entries(FRACTIONS)) clean = clean.replace(new RegExp(`(\\d)\\s*${sign}`, "g"), `$1-${fraction}`).replaceAll(sign, fraction);
  const match = /^([+-]?)\s*(?:(\d+)(?:\s*-\s*|\s+))??(?:(\d+)\s*\/\s*(\d+)|(\d[\d.,]*|[.,]\d+)(e[+-]?\d+)?)\s*([^\d\s,.+-].*)?$/i.exec(clean);
  if (!match) return null;
  const [, sign, whole, top, bottom, number, power, rest] = match, unit = (rest ?? "").trim();
  if (number !== undefined && whole !== undefined) return null;
  const digits = number === undefined ? "" : plainDigits(number, unit);
  if (digits === null) return null;
  const value = number === undefined ? Number(whole ?? 0) + Number(top) / Number(bottom) : Number(digits + (power ?? ""));
  return Number.isFinite(value) ? { value: sign === "-" ? -value : value, unit } : null;
}

/**
 * Scale and offset to SI of a unit of a kind of quantity; undefined where it is none.
 * @param {string} unit @param {string} kind @param {Spellings} units
 */
function scaleOf(unit, kind, units) {
  const plain = unit.toLowerCase().replace(/º/g, "°").replace(/\bdeg(?:rees?|\.)?\s+([cf])\b/, "deg$1").replace(/°\s*([cf])\b/, "deg$1").replace(/\s+per\s+/, "/")
    .replace(/²/g, "^2").replace(/³/g, "^3").replace(/\b(m|in|ft)([23])\b/, "$1^$2").replace(/\b(v|volts?)\s*[ad]\.?c\b\.?/, "v").replace(/\bmb\b/, "mbar")
    .replace(/\bu\.?s\.?\s*(?=g)/, "").replace(/\b(mm|cm|m|ft|in)\s*(?:of\s+)?(?:h2o|water|wc|wg)\b/, "$1h2o").replace(/\b(mm|in)\s*(?:of\s+)?(?:hg|mercury)\b/, "$1hg")
    .replace(/\s*\/\s*/, "/").replace(/\.$/, "").trim();
  const own = (kinds, name) => (Object.hasOwn(kinds, name) ? kinds[name] : undefined), known = own(units[kind] ?? {}, plain);
  if (known) return known;
  const [volume, time] = plain.split("/"), over = kind === "flow" && time !== undefined;
  const above = over && own(units.volume, volume), below = over && own(units.time, time);
  return above && below ? [above[0] / below[0], 0] : undefined;
}

/**
 * SI value of "150 gal/h", "1,5 bar", "1-1/4 gal"; NaN where it is none of this kind.
 * @param {string} text @param {string} kind @param {Spellings} units
 */
function quantity(text, kind, units) {
  const found = split(text), scale = found?.unit ? scaleOf(found.unit, kind, units) : undefined;
  return scale ? found.value * scale[0] + scale[1] : NaN;
}

/**
 * Seconds of "24 s", "1 min 10 s", "2:10"; NaN where it is no time.
 * @param {string} text @param {Spellings} units
 */
function seconds(text, units) {
  const clock = /^\s*(?:(\d{1,3}):)?(\d{1,3}):(\d{2}(?:[.,]\d+)?)\s*$/.exec(text);
  const turns = clock ?? /^\s*(?:(\d{1,3})\s*(?:h|hrs?|hours?)\s*)?(?:(\d{1,4})\s*(?:m|mins?|minutes?|['′’])\s*)(?:(\d{1,4}(?:[.,]\d+)?)\s*(?:s|secs?|seconds?|["″”]|'')?)\s*$/i.exec(text);
  if (!turns) return quantity(text, "time", units);
  const value = Number((turns[3] ?? "0").replace(",", "."));
  return value < 60 ? Number(turns[1] ?? 0) * 3600 + Number(turns[2]) * 60 + value : NaN;
}

/**
 * A text of a value and a half-width after ±: [value's text, half-width's text or undefined].
 * @param {string} text @returns {any[]}
 */
function halves(text) {
  const [head, tail, ...more] = text.split(/±|\+\s*\/?\s*[-−]/);
  return more.length ? [NaN] : [head, tail];
}

/**
 * Value and half-width (NaN where none is written) [SI] of "150 gal/h ± 10".
 * @param {string} text @param {string} kind @param {Spellings} units
 */
function withWidth(text, kind, units) {
  const [head, tail] = halves(text);
  if (tail === undefined) return [kind === "time" ? seconds(text, units) : quantity(String(head), kind, units), NaN];
  const width = split(tail), own = split(head);
  if (!width || !own) return [NaN, NaN];
  const unit = own.unit || width.unit, scale = scaleOf(width.unit || own.unit, kind, units);
  const half = scale && width.value * scale[0] > 0 ? width.value * scale[0] : undefined;
  return half === undefined ? [NaN, NaN] : [quantity(own.unit ? head : `${head} ${unit}`, kind, units), half];
}
