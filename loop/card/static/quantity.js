// Numbers with units as people write them, read with the patterns of loop/units/number.py and text.py.

/**
 * Digits with a decimal point and no thousands separators; null if the marks are ambiguous.
 * @param {string} digits @param {string} unit @param {Spellings} units
 */
function plainDigits(digits, unit, units) {
  const marks = [...digits].filter((sign) => sign === "." || sign === ","), big = new RegExp(`^(?:${units.thousands})$`).test(unit.toLowerCase().replace(/\.+$/, ""));
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

/** Text with plain signs, and single-character fractions written out. @param {string} text @param {Spellings} units */
function tidied(text, units) {
  let clean = text.trim();
  for (const [sign, plain] of Object.entries(units.signs)) clean = clean.replaceAll(sign, plain);
  for (const [sign, fraction] of Object.entries(units.fractions)) clean = clean.replace(new RegExp(`(\\d)\\s*${sign}`, "g"), `$1-${fraction}`).replaceAll(sign, fraction);
  return clean;
}

/** Number and unit of a text; null if it has none. @param {string} text @param {Spellings} units */
function split(text, units) {
  const match = text.length > 100 ? null : new RegExp(`^${units.quantity}`, "i").exec(tidied(text, units));
  if (!match?.groups) return null;
  const { sign, whole, top, bottom, number, power } = match.groups, unit = (match.groups.unit ?? "").trim();
  if (number !== undefined && whole !== undefined) return null;
  const digits = number === undefined ? "" : plainDigits(number, unit, units);
  if (digits === null) return null;
  const value = number === undefined ? Number(whole ?? 0) + Number(top) / Number(bottom) : Number(digits + (power ?? ""));
  return Number.isFinite(value) ? { value: sign === "-" ? -value : value, unit } : null;
}

/**
 * Scale and offset to SI of a unit of a kind of quantity; undefined if it is not one.
 * @param {string} unit @param {string} kind @param {Spellings} units
 */
function scaleOf(unit, kind, units) {
  let plain = unit.trim().toLowerCase();
  for (const [pattern, text] of [...units.rules, ...(units.rules_of[kind] ?? [])]) plain = plain.replace(new RegExp(pattern, "g"), text);
  const own = (of, name) => (Object.hasOwn(units.scales[of] ?? {}, name) ? units.scales[of][name] : undefined), known = own(kind, plain);
  if (known) return known;
  const [top, bottom, ...more] = plain.split("/"), over = more.length || bottom === undefined ? undefined : units.over[kind];
  const above = over && own(over[0], top), below = over && own(over[1], bottom);
  return above && below ? [above[0] / below[0], 0] : undefined;
}

/**
 * SI value of "150 gal/h", "1,5 bar", "1-1/4 gal"; NaN if it is not of this kind.
 * @param {string} text @param {string} kind @param {Spellings} units
 */
function quantity(text, kind, units) {
  const found = split(text, units), scale = found?.unit ? scaleOf(found.unit, kind, units) : undefined;
  return scale ? found.value * scale[0] + scale[1] : NaN;
}

/**
 * Seconds of "24 s", "1 min 10 s", "1 h 5 min", "2:10"; NaN if it is not a time.
 * @param {string} text @param {Spellings} units
 */
function seconds(text, units) {
  const clean = tidied(text, units), match = new RegExp(`^${units.clock}`).exec(clean) ?? new RegExp(`^${units.in_turn}`, "i").exec(clean), given = match?.groups ?? {};
  if (Object.values(given).filter((one) => one !== undefined).length < 2) return quantity(text, "time", units);
  const [hours, minutes, rest] = [given.h, given.min, given.s].map((one) => Number((one ?? "0").replace(",", ".")));
  return rest >= 60 || (given.h !== undefined && minutes >= 60) ? NaN : hours * 3600 + minutes * 60 + rest;
}

/**
 * A text split at ±: [value's text, half-width's text or undefined].
 * @param {string} text @returns {any[]}
 */
function halves(text) {
  const [head, tail, ...more] = text.split(/±|\+\s*\/?\s*[-−]/);
  return more.length ? [NaN] : [head, tail];
}

/**
 * Value and half-width [SI] of "150 gal/h ± 10"; the half-width is NaN if not written.
 * @param {string} text @param {string} kind @param {Spellings} units
 */
function withWidth(text, kind, units) {
  const [head, tail] = halves(text);
  if (tail === undefined) return [kind === "time" ? seconds(text, units) : quantity(String(head), kind, units), NaN];
  const width = split(tail, units), own = split(head, units);
  if (!width || !own) return [NaN, NaN];
  const unit = own.unit || width.unit, scale = scaleOf(width.unit || own.unit, kind, units);
  const half = scale && width.value * scale[0] > 0 ? width.value * scale[0] : undefined;
  return half === undefined ? [NaN, NaN] : [quantity(own.unit ? head : `${head} ${unit}`, kind, units), half];
}
