// The loop at a glance: healthy readings at today's sea temperature, or the job's if none was read.

// Half-width [K] for a sea temperature that is given rather than read.
const EXACT = 1e-3;

/**
 * Fills the table of healthy readings; the rest of the view is already in the page.
 * @param {Study} s @param {Store} store
 */
function boat(s, store) {
  const place = document.getElementById("healthy"),
    sea = fieldOf(s, store.now, "sea_temperature");
  const body = el("tbody"),
    caption = el("caption"),
    table = el("table", {}, caption, body);
  place.replaceChildren(sea.root, table);
  return {
    update() {
      sea.update();
      const { key, design } = s.constants.sea,
        { numbers, words } = latestOf(s, read(s, tableOf(store.call), s.spellings)),
        today = numbers[key] ?? { value: design, half: EXACT, text: "" };
      const healthy = valuesOf(s, { numbers: { ...numbers, [key]: today }, words }, [s.rows.healthy], [1]);
      caption.textContent = `Readings to expect when nothing is wrong, sea ${shown(s, key, today.value)}`;
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
