// Changes that are not saved yet, kept in this browser: a copy for each window, so that no two share one.
// And how far a class is, which a window keeps through a reload.
const NAME = "loop:window";
let mine = "", open = new Set();

const key = (job, window_ = mine) => `loop:${job}:${window_}`;

/** Takes a name for this window that no other open one has; where the browser cannot tell, any name. */
export async function takeName() {
  const { locks } = navigator, before = sessionStorage.getItem(NAME);
  if (locks) open = new Set((await locks.query()).held.map((lock) => lock.name));
  // A window that was made as a copy of another comes with its name.
  mine = before && !open.has(`${NAME}:${before}`) ? before : Math.random().toString(36).slice(2);
  sessionStorage.setItem(NAME, mine);
  locks?.request(`${NAME}:${mine}`, () => new Promise(() => {}));
}

/** Keeps the text of a job, and the mark of the file that it was made from. */
export const keep = (job, text, mark) => localStorage.setItem(key(job), JSON.stringify({ text, mark, at: Date.now() }));

export const forget = (job) => localStorage.removeItem(key(job));

/** What this window kept of a job, or else the newest copy of a window that is closed; null where none is. */
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

/** What this window kept under a name; null where nothing is, or the browser keeps nothing. */
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
    // A class goes on without it.
  }
}
