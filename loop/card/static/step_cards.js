// Steps as cards: what to measure or do next, and where to enter the result.

/**
 * What to expect under the leading causes, causes with the same value together; for a flow also the bucket time.
 * @param {Study} s @param {Store} store @param {NextStep} one
 */
function expectations(s, store, one) {
  const titles = new Map(
    s.instances.map((instance) => [
      instance.called,
      instance.title + (instance.called === instance.fault ? "" : ` (${instance.where})`),
    ]),
  );
  const alike = /** @type {Map<string, string[]>} */ (new Map());
  for (const [called, value] of Object.entries(one.expected)) {
    const volume = quantity(store.call.bucket, "volume", s.spellings),
      seconds =
        named(one.reading) === "flow" && typeof value === "number" && value > 0 ? volume / value : NaN;
    const bucket = seconds < 600 ? `, ${store.call.bucket} in ${seconds.toFixed(0)} s` : "";
    const text = shown(s, one.reading, value) + bucket;
    alike.set(text, [...(alike.get(text) ?? []), titles.get(called) ?? called]);
  }
  return [...alike].map(([text, causes]) => {
    return el("li", {}, el("strong", { text }), ` if ${anyOfNames(s, causes)}`);
  });
}

/**
 * One step: its hazard, how to do it, what to expect, and where to enter the result.
 * @param {Study} s @param {Store} store @param {NextStep} one @param {(() => void)[]} updates
 * @param {boolean} first
 */
function stepCard(s, store, one, updates, first) {
  const how = one.hazard ? one.how.slice(one.hazard.length).trim() : one.how;
  const parts = /** @type {(HTMLElement | string)[]} */ ([
    heading(3, `${sentenceCase(one.title)}, ${one.minutes} min`),
    hazardBox(one.hazard),
    el("p", { text: sentenceCase(how) }),
  ]);
  if (one.kind === "action") {
    parts.push(
      el("p", { class: "label", text: "Done? Say what you saw:" }),
      sawChoices(store, one.reading, one.title, one.answers),
    );
  } else {
    const away = one.reading === s.at_speed?.key,
      field = away ? fieldOf(s, store.atSpeed, s.at_speed.of) : fieldOf(s, store.now, one.reading);
    updates.push(field.update);
    parts.push(field.root);
  }
  const expected = expectations(s, store, one);
  if (expected.length)
    parts.push(
      el("details", { open: first }, el("summary", { text: "What to expect" }), el("ul", {}, expected)),
    );
  return el("article", { class: `step ${one.kind}`, "data-step": one.reading }, parts);
}

/**
 * Buttons for what an action showed.
 * @param {Store} store @param {string} did @param {string} title @param {string[]} answers
 */
const sawChoices = (store, did, title, answers) =>
  el(
    "div",
    { class: "choices", role: "group", "aria-label": `What you saw: ${title}` },
    [...answers, ""].map((answer) =>
      button(
        answer ? sentenceCase(answer) : "Done, cannot tell",
        once(() => store.done(did, answer)),
      ),
    ),
  );

/**
 * Entry for an action that is not among the steps shown: done before the call, or a fix by hand.
 * @param {Study} s @param {Store} store @param {string[]} shown names of the steps
 */
function somethingElse(s, store, shown) {
  const able = s.actions.filter(
      (one) => one.here && !shown.includes(one.name) && (!recalls(one) || anyIs(store.call.steps, one.after)),
    ),
    saw = el("div");
  const choose = ({ target }) => {
    const one = able.find(({ name }) => name === target.value);
    saw.replaceChildren(one ? sawChoices(store, one.name, one.title, one.answers) : "");
  };
  const option = (value, text) => el("option", { value, text });
  return el(
    "details",
    { id: "something-else" },
    el("summary", { text: "Something else was done" }),
    el(
      "select",
      { "aria-label": "What was done", onchange: choose },
      option("", "What was done"),
      able.map(({ name, title }) => option(name, sentenceCase(title))),
    ),
    saw,
  );
}

/**
 * What does not wait for the probabilities: a bucket to time once more, and readings under way.
 * @param {Study} s @param {Store} store @param {(() => void)[]} updates @param {() => void} toSpeed
 */
function unfinished(s, store, updates, toSpeed) {
  const { call } = store,
    single = s.columns.filter(
      (column) =>
        column.tool === "bucket" && store.now.readings[column.key] && call.runs[column.key]?.length === 1,
    );
  const again = single.map((column) => {
    const field = fieldOf(s, store.now, column.key);
    updates.push(field.update);
    return el(
      "article",
      { class: "step", "data-step": column.key },
      heading(3, `${sentenceCase(column.title)}, once more`),
      field.root,
    );
  });
  const hidden = call.said.includes(DOCK_ONLY) && !Object.keys(call.under_way).length && !call.steps.length;
  return [
    ...again,
    hidden
      ? el(
          "article",
          { class: "step" },
          heading(3, "Read it under way"),
          el("p", { text: "Read at speed what shows only at speed: the stream first." }),
          button("Readings under way", toSpeed),
        )
      : "",
  ];
}
