// The card's tables, prepared for the arithmetic.

/**
 * What every row reads in one state of the boat: common factors, then the row's own two.
 * @param {any} tables @param {any} own
 */
function predictions(tables, { mean, noise, factor: common, own, pair_from: pairFrom, chances }) {
  const [h, c, k] = tables.shape, { after, single } = tables.rows, shared = k - 2, factor = new Float32Array(h * c * k);
  for (let i = 0; i < h * c; i += 1) {
    const row = Math.floor(i / c), column = i % c, from = row < single ? row : after[row][1 - Number(pairFrom[row - single][column])];
    factor.set(common.subarray((from * c + column) * shared, (from * c + column + 1) * shared), i * k);
    factor.set(own.subarray(2 * i, 2 * i + 2), i * k + shared);
  }
  return { mean, noise, factor, words: tables.words.map((word) => ({ ...word, chance: chances[word.key] })) };
}

/**
 * The card's tables, prepared: h hypotheses, c readings, k factors; `under_way`: the same at speed.
 * @param {any} tables
 */
function study(tables) {
  const [h, c, k] = tables.shape;
  const rowsOf = tables.instances.map(() => []);
  tables.rows.owner.forEach((one, row) => rowsOf[one].push(row));
  const parts = tables.instances.map((one) => one.faults.map((name, i) => `${name}@${one.places[i]}`));
  const made = {
    ...tables, h, c, k, rowsOf, ...predictions(tables, tables),
    // Causes are instances of one known fault. slot[cause][instance]: which of the instance's faults it is, or −1.
    causes: tables.instances.map((one, i) => (one.known && parts[i].length === 1 ? i : -1)).filter((i) => i >= 0),
    slot: parts.map((own) => parts.map((other) => (own.length === 1 ? other.indexOf(own[0]) : -1))),
    cell: cellsOf(tables, rowsOf),
    at: new Map(tables.columns.map((column, i) => [column.key, i])),
    wordAt: new Map(tables.words.map((word, i) => [word.key, i])),
    actions: tables.actions.map((one) => ({ ...one, cure: tables.rows.owner.flatMap((owner) => one.cure[owner]), cures: one.cures.map((cure) => tables.rows.owner.flatMap((owner) => cure[owner])) })),
    unknown: tables.instances.findIndex((one) => !one.known),
  };
  return { ...made, under_way: { ...made, ...predictions(tables, tables.under_way) } };
}

/**
 * Lower and upper edge of each row's severity cell, for its first and second fault.
 * @param {Pick<Study, "instances" | "rows">} tables @param {number[][]} rowsOf
 */
function cellsOf({ instances, rows }, rowsOf) {
  const found = rows.severity.map((own) => own.map((value) => [value, value]));
  instances.forEach(({ range }, i) => range.forEach(([low, high], slot) => {
    const grid = [...new Set(rowsOf[i].map((row) => rows.severity[row][slot]))].sort((a, z) => a - z);
    if (high <= low) return;
    const edges = [low, ...grid.slice(1).map((g, n) => (g + grid[n]) / 2), high];
    for (const row of rowsOf[i]) {
      const place = grid.indexOf(rows.severity[row][slot]);
      found[row][slot] = [edges[place], edges[place + 1]];
    }
  }));
  return found;
}
