// The page: its views, the bar that always shows the answer, and the one global entry point.

const VIEWS = { call: "Ask", answer: "Answer", boat: "Loop", office: "Office" };

/** The browser's storage, or null if it is denied. */
function storageAllowed() {
  try {
    const probe = "loop-card probe";
    window.localStorage.setItem(probe, "1");
    window.localStorage.removeItem(probe);
    return window.localStorage;
  } catch {
    return null;
  }
}

/** Attaches the card to the elements already in the page. @param {Study} s */
function mount(s) {
  const store = new Store(s, storageAllowed()),
    $ = (id) => document.getElementById(id);
  const views = {
    call: asking(s, store),
    answer: answering(s, store, toSpeed),
    boat: boat(s, store),
    office: office(s, store),
  };
  const said = el("span"),
    strip = el("button", { type: "button", id: "strip", onclick: () => go("answer") }, said),
    warning = el("p", { class: "hazard", role: "status", hidden: true });
  const undo = button("Undo", () => store.undo(), { id: "undo" });
  const tabs = Object.fromEntries(
    Object.entries(VIEWS).map(([name, text]) => [name, button(text, () => go(name))]),
  );
  let late = 0,
    line = "";
  for (const name of ["call", "answer", "office"]) $(`view-${name}`).append(views[name].root);
  $("bar").append(
    el(
      "div",
      { class: "rows" },
      el("div", { class: "now" }, strip, undo),
      el("div", { class: "tabs" }, Object.values(tabs)),
    ),
  );
  document.querySelector("main").prepend(warning);

  function go(name) {
    store.change({ view: name });
    arrange();
    window.scrollTo(0, 0);
    if (name === "answer") views.answer.line.focus({ preventScroll: true });
  }
  function toSpeed() {
    go("call");
    $("under-way").scrollIntoView();
    $("under-way").querySelector("summary").focus({ preventScroll: true });
  }
  function arrange() {
    const { view } = store.call;
    for (const name of Object.keys(VIEWS)) {
      $(`view-${name}`).hidden = name !== view;
      tabs[name].toggleAttribute("aria-current", false);
      if (name === view) tabs[name].setAttribute("aria-current", "page");
    }
    views[view].update?.();
    if (view === "answer") finish();
  }
  /** Probabilities at once; the next step right afterward, so that no tap waits for it. */
  function answer() {
    const odd = ranked(s, read(s, tableOf(store.call), s.spellings)),
      top = odd.order[0],
      p = present(s, odd.found, top);
    const misfit = misfitOf(s, odd),
      likeliest = () =>
        p >= s.constants.leads
          ? tell(s, "headline-cause", { cause: s.instances[top].title, odds: odds(s, p) })
          : built(s, tell(s, odd.well && !misfit && !foundSoFar(s, odd.call) ? "bar-all-well" : "bar-none-leads"));
    clearTimeout(late);
    said.textContent = isEmpty(odd.call)
      ? tell(s, "bar-nothing-read")
      : endingLine(s, odd, endOf(s, odd, misfit), null) || ordered(s, odd, likeliest());
    strip.dataset.state = "odds";
    late = setTimeout(() => rest(odd), 0);
  }
  function rest(odd) {
    const misfit = misfitOf(s, odd),
      gains = nextSteps(s, odd, misfit),
      lead = cause(s, odd, misfit, odd.order[0]);
    line = headline(s, odd, misfit, lead, gains.length ? step(s, odd, gains[0]) : null);
    said.textContent = line;
    late = 0;
    ready = [odd, gains];
    if (store.call.view === "answer") finish();
    strip.dataset.state = "next";
  }
  let ready = null,
    drawn = null;
  function finish() {
    if (!ready || drawn === ready) return;
    const typing =
      $("view-answer").contains(document.activeElement) &&
      ["INPUT", "TEXTAREA"].includes(document.activeElement.tagName);
    if (typing) return;
    const inside = $("view-answer").contains(document.activeElement);
    views.answer.render(...ready);
    drawn = ready;
    if (inside) views.answer.line.focus({ preventScroll: true });
  }
  $("view-answer").addEventListener("focusout", () => setTimeout(finish, 0));
  store.listeners.push((changed) => {
    undo.disabled = store.before.length === 0;
    views[store.call.view].update?.();
    warn();
    if (changed) answer();
  });
  function warn() {
    const said = {
      denied:
        "This browser stores nothing for this page: what you enter is lost when it is closed. Copy the call (Office) before you leave.",
      unreadable: "The saved call could not be read: this is a new one.",
    }[store.trouble];
    warning.hidden = !said && !store.resumed;
    warning.textContent =
      said ?? (store.resumed ? "This continues the earlier call. To begin a new one: Office." : "");
    warning.classList.toggle("hazard", Boolean(said));
    store.resumed = false;
  }
  window.addEventListener("beforeprint", () =>
    $("print").replaceChildren(...customerPage(s, store, line).filter(Boolean)),
  );
  document.documentElement.classList.add("works");
  undo.disabled = store.before.length === 0;
  warn();
  arrange();
  answer();
}

unpacked(document.getElementById("tables").textContent).then((tables) => {
  const card = study(tables);
  window.loopCard = Object.freeze({ diagnose: (readings) => diagnose(card, readings, card.spellings) });
  mount(card);
});
