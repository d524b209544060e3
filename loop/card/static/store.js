// The state of a call, stored in the browser at every tap, with undo.

const KEPT_STEPS = 20,
  LONGEST_TEXT = 2000,
  BASIC = ["bucket", "thermometer", "display"];
const today = () => {
  const now = new Date();
  return [now.getFullYear(), now.getMonth() + 1, now.getDate()]
    .map((n) => String(n).padStart(2, "0"))
    .join("-");
};
/** A new call. @param {Study} s @returns {Kept} */
const fresh = (s) => ({
  who: "",
  where: "",
  date: today(),
  note: "",
  said: [],
  tools: BASIC,
  read: {},
  steps: [],
  under_way: {},
  parts: "",
  bucket: s.units === "us" ? "1 gal" : "5 L",
  runs: {},
  units: Object.fromEntries(
    Object.entries(UNITS).map(([kind, all]) => [kind, all[s.units === "us" ? 0 : (SI_UNIT[kind] ?? 0)]]),
  ),
  view: "call",
});
const FACTS = ["said", "tools", "read", "under_way", "steps", "runs"];
/** @param {Kept} call */
const facts = (call) => JSON.stringify(FACTS.map((name) => call[name]));

/**
 * A stored call, whatever the storage holds; null if it is not a valid one.
 * @param {Study} s @param {any} kept
 */
function revived(s, kept) {
  const base = fresh(s),
    call = /** @type {Kept} */ ({});
  if (typeof kept !== "object" || kept === null) return null;
  for (const [name, value] of Object.entries(base))
    call[name] =
      typeof kept[name] === typeof value && Array.isArray(kept[name]) === Array.isArray(value)
        ? kept[name]
        : value;
  try {
    read(s, tableOf(call), s.spellings);
  } catch {
    return null;
  }
  return call;
}

/** Readings of one state of the loop: since the last action or, if it has a name, under way. */
class LoopState {
  constructor(store, name = "") {
    this.store = store;
    this.name = name;
  }

  get readings() {
    const { steps, read, under_way } = this.store.call;
    if (this.name) return steps.length ? (steps[steps.length - 1].under_way ?? {}) : under_way;
    return steps.length ? steps[steps.length - 1].read : read;
  }

  /** A reading of the day taken before the last action: it holds for the whole call. */
  earlier(key) {
    const { steps, read } = this.store.call;
    if (!steps.length || !this.store.s.of_the_day.includes(key)) return "";
    return [read, ...steps.slice(0, -1).map((one) => one.read)].reduce((text, one) => one[key] ?? text, "");
  }

  /** Sets a reading; "" removes it. */
  take(key, text, more = {}, typed = "") {
    const given = { ...this.readings },
      { steps } = this.store.call,
      last = steps[steps.length - 1];
    if (text) given[key] = text;
    else delete given[key];
    const put = { [this.name ? "under_way" : "read"]: given };
    this.store.change({ ...more, ...(last ? { steps: [...steps.slice(0, -1), { ...last, ...put }] } : put) }, typed && `${this.name}${typed}`);
  }
}

class Store {
  /** `storage`: the browser's, or null if denied. */
  constructor(s, storage) {
    this.s = s;
    this.storage = storage;
    this.key = `loop-card ${s.identity}`;
    this.call = fresh(s);
    this.before = [];
    this.listeners = [];
    this.trouble = storage ? "" : "denied";
    this.resumed = false;
    this.turn = 0;
    this.running = {};
    this.typed = "";
    this.now = new LoopState(this);
    this.atSpeed = new LoopState(this, "under way ");
    this.load();
  }

  load() {
    if (!this.storage) return;
    try {
      const kept = JSON.parse(this.storage.getItem(this.key) ?? "null"),
        call = kept && revived(this.s, kept.call);
      if (!call) return;
      this.call = call;
      this.before = Array.isArray(kept.before)
        ? kept.before.filter((one) => typeof one === "string").slice(-KEPT_STEPS)
        : [];
      this.resumed = facts(call) !== facts(fresh(this.s)) || Boolean(call.who || call.where);
    } catch {
      this.trouble = "unreadable";
    }
  }

  save() {
    if (!this.storage) return;
    try {
      this.storage.setItem(this.key, JSON.stringify({ call: this.call, before: this.before }));
      this.trouble = "";
    } catch {
      this.trouble = "denied";
    }
  }

  /** Changes the call. Changes of facts can be undone; consecutive input to one `typed` field counts as one. */
  change(update, typed = "") {
    const was = facts(this.call),
      next = { ...this.call, ...update };
    for (const name of ["who", "where", "note", "parts"]) next[name] = next[name].slice(0, LONGEST_TEXT);
    this.call = next;
    const changed = facts(next) !== was;
    if (changed && !(typed && typed === this.typed)) this.before = [...this.before, was].slice(-KEPT_STEPS);
    if (changed) this.typed = typed;
    this.save();
    for (const listener of this.listeners) listener(changed);
  }

  undo() {
    const last = this.before.pop();
    if (last === undefined) return;
    this.turn += 1;
    JSON.parse(last).forEach((value, i) => {
      this.call[FACTS[i]] = value;
    });
    this.save();
    for (const listener of this.listeners) listener(true);
  }

  startAgain() {
    this.before = [];
    this.running = {};
    this.turn += 1;
    this.call = {
      ...fresh(this.s),
      bucket: this.call.bucket,
      units: this.call.units,
      tools: this.call.tools,
    };
    this.save();
    for (const listener of this.listeners) listener(true);
  }

  done(did, saw) {
    this.change({ steps: [...this.call.steps, { did, saw, read: {} }], runs: {} });
  }
}
