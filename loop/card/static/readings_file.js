// The call as a readings file: the table for `diagnose`, and its TOML text.

/** The table of a stored call. @param {Kept} call */
function tableOf(call) {
  const table = /** @type {Record<string, unknown>} */ ({ ...call.read });
  if (call.said.length) table.said = call.said;
  table.tools = call.tools;
  if (Object.keys(call.under_way).length) table.under_way = call.under_way;
  if (call.steps.length)
    table.step = call.steps.map((one) => ({
      did: one.did,
      ...(one.saw ? { saw: one.saw } : {}),
      ...one.read,
      ...(Object.keys(one.under_way ?? {}).length ? { under_way: one.under_way } : {}),
    }));
  return table;
}

/** Any text as a TOML basic string. @param {string} text */
function tomlText(text) {
  const whole = String(text).replace(
    /[\ud800-\udbff](?![\udc00-\udfff])|(?<![\ud800-\udbff])[\udc00-\udfff]/g,
    "\ufffd",
  );
  const escaped = whole
    .replace(/["\\]/g, "\\$&")
    .replace(
      /[\u0000-\u001f\u007f-\u009f\u2028\u2029]/g,
      (sign) => `\\u${sign.charCodeAt(0).toString(16).padStart(4, "0")}`,
    );
  return `"${escaped}"`;
}

/** @param {string} key */
const tomlKey = (key) => (/^[A-Za-z0-9_-]+$/.test(key) ? key : tomlText(key));

// A unit's own key, such as "flow.saloon", is quoted: "flow" may stand beside it for the whole loop.
/** @param {Record<string, string>} readings */
const tomlReadings = (readings) =>
  Object.entries(readings).map(([key, text]) => `${tomlKey(key)} = ${tomlText(text)}`);

/** The whole call as TOML, for `loop diagnose JOB FILE --record JOB2`. @param {Study} s @param {Kept} call */
function toml(s, call) {
  const note = [call.who && `customer: ${call.who}`, call.where && `where: ${call.where}`, call.note]
    .filter(Boolean)
    .join("; ");
  const lines = [
    `# ${s.heading.replace(/[\u0000-\u001f\u007f-\u009f\u2028\u2029]/g, " ").slice(0, 80)}: a call, written by the card`,
  ];
  if (/^\d{4}-\d{2}-\d{2}$/.test(call.date)) lines.push(`date = ${tomlText(call.date)}`);
  if (note) lines.push(`note = ${tomlText(note)}`);
  if (call.said.length) lines.push(`said = [${call.said.map(tomlText).join(", ")}]`);
  lines.push(`tools = [${call.tools.map(tomlText).join(", ")}]`, ...tomlReadings(call.read));
  if (Object.keys(call.under_way).length) lines.push("", "[under_way]", ...tomlReadings(call.under_way));
  for (const one of call.steps) {
    lines.push("", "[[step]]", `did = ${tomlText(one.did)}`);
    if (one.saw) lines.push(`saw = ${tomlText(one.saw)}`);
    lines.push(...tomlReadings(one.read), ...tomlReadings(one.under_way ?? {}).map((line) => `under_way.${line}`));
  }
  return `${lines.join("\n")}\n`;
}
