// Unsaved changes, kept in this browser: one copy per window, so that no two windows share one.
// Also the progress of a class, which a window keeps across a reload.
const NAME = "loop:window";
let mine = "", open = new Set();

const key = (job, window_ = mine) => `loop:${job}:${window_}`;

/** Gives this window a name that no other open one has; if the browser cannot tell, any name. */
export async function takeName() {
  const { locks } = navigator, before = sessionStorage.getItem(NAME);
  if (locks) open = new Set((await locks.query()).held.map((lock) => lock.name));
  // A duplicated window arrives with the name of its original.
  mine = before && !open.has(`${NAME}:${before}`) ? before : Math.random().toString(36).slice(2);
  sessionStorage.setItem(NAME, mine);
  locks?.request(`${NAME}:${mine}`, () => new Promise(() => {}));
}

/** Keeps the text of a job, and the mark of the file it was made from. */
export const keep = (job, text, mark) => localStorage.setItem(key(job), JSON.stringify({ text, mark, at: Date.now() }));

export const forget = (job) => localStorage.removeItem(key(job));

/** What this window kept of a job, else the newest copy of a closed window; null if there is none. */
export function remembered(job) {
  const read = (name) => JSON.parse(localStorage.getItem(name) ?? "null");
  const own = read(key(job));
  if (own) return own;
  const closed = Object.keys(localStorage).filter((name) => name.startsWith(key(job, "")) && !open.has(`${NAME}:${name.slice(key(job, "").length)}`));
  const newest = closed.sort((a, z) => read(z).at - read(a).at)[0];
  if (!newest) return null;
  const found = read(newest);
  keep(job, found.text, found.mark);
  localStorage.removeItem(newest);
  return found;
}

/** What this window kept under a name; null if there is nothing, or the browser stores nothing. */
export function recall(name) {
  try {
    return JSON.parse(sessionStorage.getItem(`loop:${name}`));
  } catch {
    return null;
  }
}

export function remember(name, value) {
  try {
    sessionStorage.setItem(`loop:${name}`, JSON.stringify(value));
  } catch {
    // A class carries on without it.
  }
}
