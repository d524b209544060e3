// The loop at a glance: what a healthy one reads at today's sea temperature.

/**
 * Fills the table of healthy readings; the rest of the view is in the page as it is written.
 * @param {Study} s @param {Store} store
 */
function boat(s, store) {
  const place = document.getElementById("healthy"),
    sea = fieldOf(s, store.now, "sea_temperature");
  const body = el("tbody"),
    table = el(
      "table",
      {},
      el("caption", { text: "Readings to expect where nothing is wrong" }),
      el("tbody"),
    );
  table.lastChild.replaceWith(body);
  place.replaceChildren(sea.root, table);
  return {
    update() {
      sea.update();
      const healthy = valuesOf(
        s,
        latestOf(s, read(s, tableOf(store.call), s.spellings)),
        [s.rows.healthy],
        [1],
      );
      body.replaceChildren(
        ...s.columns
          .filter((column) => named(column.key) !== "sea_temperature")
          .map((column) => {
            const value = healthy[column.key],
              volume = quantity(store.call.bucket, "volume", s.spellings);
            const bucket =
              named(column.key) === "flow" && value > 0
                ? ` (${store.call.bucket} in ${(volume / value).toFixed(0)} s)`
                : "";
            return el(
              "tr",
              {},
              el("th", { scope: "row", text: sentenceCase(column.title) }),
              el("td", { text: shown(s, column.key, value) + bucket }),
            );
          }),
      );
    },
  };
}
