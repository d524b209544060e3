// A stopwatch for the bucket: one tap starts, the next stops; the last two runs are averaged.

const BUCKETS = ["1 gal", "2 gal", "5 gal", "5 L", "10 L"],
  SHORTEST = 1,
  LONGEST_RUN = 3600,
  LARGEST = 0.1;

/**
 * A flow reading: bucket, stopwatch, and a field for seconds timed with another watch.
 * @param {Study} s @param {LoopState} state @param {Column} column
 */
function stopwatch(s, state, column) {
  const { store } = state,
    place = `${state.name}${column.key}`;
  let timer = 0,
    said = "";
  const runs = () => store.call.runs[place] ?? [],
    face = el("span", { class: "face", text: "0.0 s" });
  const big = button("", once(tap), { class: "big" }),
    result = el("p", { class: "result", role: "status" }),
    clear = button("Time it again", () => keep([]));
  const size = choices(
    "Size of the bucket",
    BUCKETS,
    (one) => one === store.call.bucket,
    (one) => {
      if (one) keep(runs(), one);
    },
  );
  const typed = labelled("Or seconds to fill it", { inputmode: "decimal", maxlength: 8, onchange: type });
  const own = labelled("Another bucket", { maxlength: 20, onchange: resize }, "such as 3 qt or 12 L");

  function keep(list, bucket = store.call.bucket) {
    const kept = list.slice(-2),
      mean = kept.reduce((sum, run) => sum + run, 0) / kept.length;
    state.take(column.key, kept.length ? `${bucket} in ${mean.toFixed(1)} s` : "", {
      bucket,
      runs: { ...store.call.runs, [place]: kept },
    });
  }
  function tap() {
    said = "";
    const running = store.running[place];
    if (!running) store.running[place] = { at: performance.now(), clock: Date.now() };
    else {
      const taken = (performance.now() - running.at) / 1000,
        clock = (Date.now() - running.clock) / 1000;
      delete store.running[place];
      if (Math.abs(clock - taken) > 1.5) said = "The phone slept, or its clock changed: time it again.";
      else if (taken < SHORTEST || taken > LONGEST_RUN)
        said = "Too short or too long for a bucket: time it again.";
      else keep([...runs(), Math.round(taken * 10) / 10]);
    }
    update();
  }
  function type() {
    const value = quantity(`${typed.input.value} s`, "time", s.spellings);
    said =
      typed.input.value && !(value >= SHORTEST && value <= LONGEST_RUN)
        ? `“${typed.input.value}” is not seconds, such as 24`
        : "";
    if (!said && typed.input.value) keep([...runs(), value]);
    typed.input.value = "";
    update();
  }
  function resize() {
    const value = quantity(own.input.value, "volume", s.spellings);
    said =
      own.input.value && !(value > 0 && value <= LARGEST)
        ? `“${own.input.value}” is not a bucket, such as 2 gal`
        : "";
    if (!said && own.input.value) keep(runs(), own.input.value.trim());
    update();
  }
  function tick() {
    const running = store.running[place];
    if (!running || !big.isConnected) return;
    face.textContent = `${((performance.now() - running.at) / 1000).toFixed(1)} s`;
    timer = setTimeout(tick, 100);
  }
  function update() {
    clearTimeout(timer);
    const running = store.running[place];
    big.replaceChildren(
      running ? "Stop: it is full" : runs().length === 1 ? "Start the second run" : "Start",
      face,
    );
    big.setAttribute("aria-pressed", String(Boolean(running)));
    if (!running) face.textContent = runs().length ? `${runs()[runs().length - 1].toFixed(1)} s` : "0.0 s";
    tick();
    size.update();
    const text = state.readings[column.key];
    result.textContent =
      said ||
      (text
        ? `${text}: ${show(s, number(s, text, column, s.spellings).value, "flow")}${runs().length === 1 ? ". Once more, and the two are averaged." : ""}`
        : "");
    result.classList.toggle("wrong", Boolean(said));
    clear.hidden = !text;
  }
  update();
  return {
    root: el(
      "div",
      { class: "stopwatch" },
      size.root,
      big,
      result,
      clear,
      el("details", {}, el("summary", { text: "Another bucket or watch" }), own.root, typed.root),
    ),
    update,
  };
}
