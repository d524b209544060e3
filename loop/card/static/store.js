// What is known of a call, kept in the page's own storage at every tap, and taken back step by step.

const KEPT_STEPS = 20, LONGEST_TEXT = 2000, BASIC = ["bucket", "thermometer", "display"];
const today = () => {
  const now = new Date();
  return [now.getFullYear(), now.getMonth() + 1, now.getDate()].map((n) => String(n).padStart(2, "0")).join("-");
};
const fresh = (s) => ({
  who: "", where: "", date: today(), note: "", said: [], tools: BASIC, read: {}, steps: [], parts: "", bucket: s.us ? "1 gal" : "5 L",
  runs: {}, degrees: s.us ? "°F" : "°C", pressure: s.us ? "psi" : "kPa", view: "call",
});
const FACTS = ["said", "tools", "read", "steps", "runs"];
const facts = (call) => JSON.stringify(FACTS.map((name) => call[name]));

/** A call as it was kept, whatever a storage may hold; null where it is none of ours. */
function revived(s, kept) {
  const base = fresh(s), call = {};
  if (typeof kept !== "object" || kept === null) return null;
  for (const [name, value] of Object.entries(base)) call[name] = typeof kept[name] === typeof value && Array.isArray(kept[name]) === Array.isArray(value) ? kept[name] : value;
  try {
    read(s, tableOf(call), s.spellings);
  } catch {
    return null;
  }
  return call;
}

class Store {
  /** `storage`: as the browser gives it, or null where it is denied. */
  constructor(s, storage) {
    this.s = s;
    this.storage = storage;
    this.key = `loop-card ${s.identity}`;
    this.call = fresh(s);
    this.before = [];
    this.listeners = [];
    this.trouble = storage ? "" : "denied";
    this.resumed = false;
    this.typed = "";
    this.load();
  }

  load() {
    if (!this.storage) return;
    try {
      const kept = JSON.parse(this.storage.getItem(this.key) ?? "null"), call = kept && revived(this.s, kept.call);
      if (!call) return;
      this.call = call;
      this.before = Array.isArray(kept.before) ? kept.before.filter((one) => typeof one === "string").slice(-KEPT_STEPS) : [];
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

  /** Changes the call; what it changes of the facts can be taken back, what is `typed` as a whole. */
  change(update, typed = "") {
    const was = facts(this.call), next = { ...this.call, ...update };
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
    JSON.parse(last).forEach((value, i) => { this.call[FACTS[i]] = value; });
    this.save();
    for (const listener of this.listeners) listener(true);
  }

  startAgain() {
    this.before = [];
    this.call = { ...fresh(this.s), bucket: this.call.bucket, degrees: this.call.degrees, pressure: this.call.pressure, tools: this.call.tools };
    this.save();
    for (const listener of this.listeners) listener(true);
  }

  /** Readings of the loop as it is now: since the last thing done. */
  get now() { return this.call.steps.length ? this.call.steps[this.call.steps.length - 1].read : this.call.read; }

  /** Takes, or with "" takes away, a reading of the loop as it is now. */
  take(key, text, more = {}, typed = "") {
    const given = { ...this.now };
    if (text) given[key] = text;
    else delete given[key];
    const { steps } = this.call;
    const last = steps[steps.length - 1];
    this.change(last ? { ...more, steps: [...steps.slice(0, -1), { ...last, read: given }] } : { ...more, read: given }, typed);
  }

  done(did, saw) { this.change({ steps: [...this.call.steps, { did, saw, read: {} }], runs: {} }); }
}
