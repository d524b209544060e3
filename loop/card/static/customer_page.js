// A printed page of the call for the customer: complaint, readings, work, finding, parts, signatures.

const RULED_LINES = 3;

/** A table of names and texts. @param {string[][]} rows */
const factTable = (rows) =>
  el(
    "table",
    {},
    el(
      "tbody",
      {},
      rows.map(([name, text]) => el("tr", {}, el("th", { scope: "row", text: name }), el("td", { text }))),
    ),
  );

/**
 * Readings as a table, a bucket time with its flow.
 * @param {Study} s @param {Record<string, string>} readings
 */
function readingsTable(s, readings) {
  return factTable(
    Object.entries(readings).map(([key, text]) => {
      const column = s.columns[s.at.get(key) ?? -1],
        flow =
          column && / in /.test(text)
            ? ` (${show(s, number(s, text, column, s.spellings).value, "flow")})`
            : "";
      return [sentenceCase(titleOf(s, key)), text + flow];
    }),
  );
}

/**
 * The page, rebuilt for every printing.
 * @param {Study} s @param {Store} store @param {string} line
 */
function customerPage(s, store, line) {
  const { call } = store,
    parts = call.parts.split("\n").filter((text) => text.trim());
  const block = (title, ...children) => el("section", {}, heading(2, title), ...children);
  const who = [
    ["Customer", call.who],
    ["Boat and berth", call.where],
    ["Date", call.date],
    ["Note", call.note],
  ];
  return [
    heading(1, "Service call: seawater loop"),
    el("p", {}, el("bdi", { text: s.heading })),
    factTable(who),
    call.said.length ? block("What was said", el("p", { text: call.said.map(sentenceCase).join("; ") })) : "",
    block("What was read", readingsTable(s, call.read)),
    Object.keys(call.under_way).length ? block("Read under way", readingsTable(s, call.under_way)) : "",
    ...call.steps.map((one) =>
      block(
        `Done: ${titleOf(s, one.did)}`,
        one.saw ? el("p", { text: `Seen: ${one.saw}` }) : "",
        readingsTable(s, one.read),
        Object.keys(one.under_way ?? {}).length ? heading(3, "Read under way") : "",
        readingsTable(s, one.under_way ?? {}),
      ),
    ),
    block("Finding", el("p", { text: line })),
    block(
      "Parts used",
      el(
        "ul",
        { class: "lines" },
        (parts.length ? parts : Array(RULED_LINES).fill("")).map((text) => el("li", { text })),
      ),
    ),
    el("div", { class: "signatures" }, el("p", { text: "Technician" }), el("p", { text: "Customer" })),
    el("p", { class: "note", text: s.colophon }),
  ];
}
