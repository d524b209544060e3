// The answer: headline, next steps, likely causes, what was read and done.

const STEPS_SHOWN = 3,
  CAUSES_SHOWN = 3;

/**
 * One cause: probability, severity, why, fix, how to check, flow once fixed.
 * @param {Study} s @param {Cause} one @param {boolean} open
 */
function causeCard(s, one, open) {
  const flow = (value) => show(s, value, "flow"),
    band = tell(s, "with-band", {
      middle: flow(one.flow_fixed),
      low: flow(one.flow_fixed_low),
      high: flow(one.flow_fixed_high),
    });
  const full = el("div"),
    bar = el("div", { class: "bar", "aria-hidden": "true" }, full);
  full.style.inlineSize = `${Math.round(100 * one.present)}%`;
  const rows = [
    ["cause-how-bad", one.severity_words],
    ["cause-why", one.why],
    ["cause-fix", one.fix],
    ["cause-look", one.look],
    ["cause-flow", band],
  ];
  return el(
    "details",
    { class: "cause", open },
    el(
      "summary",
      {},
      el("span", { text: `${sentenceCase(one.title)} (${one.where})` }),
      el("strong", { text: odds(s, one.present) }),
      bar,
    ),
    el(
      "dl",
      {},
      rows.flatMap(([name, text]) => [el("dt", { text: tell(s, name) }), el("dd", { text })]),
    ),
  );
}

/**
 * What loop check says of a loop with a shortcoming as built, which the first line names.
 * @param {Study} s
 */
const checked = (s) =>
  s.as_built && s.checked.length
    ? el("details", {}, el("summary", { text: tell(s, "checked-title") }), s.checked.map((text, i) => el("p", {}, i ? el("strong", { text: `${tell(s, "cause-fix")}: ` }) : "", text)))
    : "";

/**
 * The fix of a leading cause that no step shown is for, so that nobody has to look for it further down.
 * @param {Study} s @param {Cause | undefined} lead @param {NextStep[]} next
 */
function fixAhead(s, lead, next) {
  const least = next.length ? s.constants.over : s.constants.leads;
  if (!lead || lead.fault === "healthy" || lead.present < least) return "";
  const actions = next.flatMap(({ reading }) => actionOf(s, reading) ?? []);
  return actions.some((one) => mends(one, lead.fault) > 0) ? "" : el("p", { class: "ahead" }, el("strong", { text: `${tell(s, "cause-fix")}: ` }), sentenceCase(lead.fix));
}

/**
 * The lines of likeliest causes, if any line names several.
 * @param {Study} s @param {Odd} odd
 */
function groupLines(s, odd) {
  const found = linesOf(s, odd.found);
  if (found.every((group) => group.length < 2)) return "";
  const line = (group) => [el("span", { text: sentenceCase(groupTitle(s, group)) }), el("strong", { text: odds(s, anyOf(s, odd.found, group)) })];
  const lines = el("ol", { class: "groups" }, found.map((group) => el("li", {}, line(group))));
  if (found.reduce((sum, group) => sum + anyOf(s, odd.found, group), 0) <= s.constants.overlap) return lines;
  return el("div", {}, lines, el("p", { class: "note", text: tell(s, "causes-together") }));
}

/** What was read and done so far, each reading with a button to remove it. @param {Study} s @param {Store} store */
function soFar(s, store) {
  const { call } = store,
    items = call.said.map((text) => el("li", {}, `“${sentenceCase(text)}”`));
  const read = (readings, state) =>
    Object.entries(readings).map(([key, text]) =>
      el(
        "li",
        {},
        `${sentenceCase(titleOf(s, key))}: `,
        el("bdi", { text }),
        state
          ? button(
              "Remove",
              () => state.take(key, "", { runs: { ...call.runs, [`${state.name}${key}`]: [] } }),
              { class: "small", "aria-label": `Remove ${state.name}${titleOf(s, key)}` },
            )
          : "",
      ),
    );
  items.push(...read(call.read, call.steps.length ? null : store.now));
  const fast = (readings, last) => {
    if (Object.keys(readings).length)
      items.push(
        el("li", {}, el("strong", { text: "Under way" })),
        ...read(readings, last ? store.atSpeed : null),
      );
  };
  fast(call.under_way, !call.steps.length);
  call.steps.forEach((one, i) => {
    const last = i === call.steps.length - 1;
    items.push(
      el("li", {}, el("strong", { text: sentenceCase(titleOf(s, one.did)) }), one.saw ? `: ${one.saw}` : ""),
      ...read(one.read, last ? store.now : null),
    );
    fast(one.under_way ?? {}, last);
  });
  return items.length ? el("section", {}, heading(2, "So far"), el("ul", { class: "sofar" }, items)) : "";
}

/**
 * The answer view, redrawn for every answer.
 * @param {Study} s @param {Store} store @param {() => void} toSpeed
 */
function answering(s, store, toSpeed) {
  const root = el("div"),
    line = heading(2, "", { class: "headline", tabindex: -1 });
  let updates = [],
    more = false;
  function render(odd, gains) {
    const { call } = odd,
      misfit = misfitOf(s, odd),
      end = endOf(s, odd, misfit),
      last = call.steps[call.steps.length - 1];
    const next = gains.slice(0, more ? gains.length : STEPS_SHOWN).map((gain) => step(s, odd, gain));
    const causes = odd.order.slice(0, CAUSES_SHOWN).map((instance) => cause(s, odd, misfit, instance));
    const group = listedGroups(s, odd)[0],
      first = gains.length ? gains[0].reading : "",
      split = splitting(s, odd.found, call, group, first),
      none = isEmpty(call);
    line.replaceChildren(unbroken(headline(s, odd, misfit, causes[0], next[0])));
    updates = [];
    root.replaceChildren(
      line,
      checked(s),
      misfit || !end.done ? el("p", { class: "sentence", text: misfit || sentence(s, odd.found, call, group, split, first) }) : "",
      last
        ? el("p", {
            class: "again",
            text: `Done: ${titleOf(s, last.did)}.${next.length ? " Read again what you can: the odds follow." : ""}`,
          })
        : "",
      misfit || end.over || end.left ? "" : fixAhead(s, causes[0], next),
      el(
        "section",
        {},
        heading(2, tell(s, "next-title")),
        next.length
          ? [
              el("p", { class: "note", text: tell(s, "next-order") }),
              ...next.map((one, i) => stepCard(s, store, one, updates, i === 0)),
            ]
          : el("p", { text: tell(s, whyNoStep(end)) }),
        unfinished(s, store, updates, toSpeed),
        somethingElse(
          s,
          store,
          next.map(({ reading }) => reading),
        ),
        gains.length > STEPS_SHOWN
          ? button(more ? "Fewer" : `All ${gains.length} steps`, () => {
              more = !more;
              render(odd, gains);
            })
          : "",
      ),
      none
        ? ""
        : el(
            "section",
            {},
            heading(2, tell(s, "causes-title")),
            groupLines(s, odd),
            causes.map((one, i) => causeCard(s, one, i === 0 && one.present >= s.constants.leads)),
            el("p", { text: tell(s, "cause-unknown", { odds: odds(s, odd.unknown) }) }),
          ),
      soFar(s, store),
      el(
        "section",
        {},
        heading(2, "Cautions"),
        el(
          "ul",
          {},
          s.cautions.map((text) => el("li", { text })),
        ),
      ),
    );
    return line.textContent;
  }
  return {
    root,
    render,
    line,
    update: () => {
      for (const one of updates) one();
    },
  };
}
