// The bench: the text of the job is the state; every change is sent to the program, and its answer shown.
import { ask, by, el, problemsOf, settings, steady, tell } from "/static/api.js";
import { forget, keep as keepCopy, remembered as keptCopy, takeName } from "/static/kept.js";
import { legend, moved } from "/static/marks.js";
import { showCurves, showFindings, showFlows, showFound, showVerdict } from "/static/panels.js";
import { draw } from "/static/picture.js";
import { fillRows, fillTables, keepingFocus, namePumps, openOnly } from "/static/rows.js";
import { saveSheet, size } from "/static/sizing.js";
import { trials } from "/static/trials.js";
import { inTurn } from "/static/turns.js";

const name = settings.name, wall = settings.wall;
const state = { text: "", mark: null, saved: "", view: null, way: null, undo: [], redo: [], whatIf: {}, found: null, range: null, drawn: null };
let looked = 0, resized = 0;
const whatIf = () => Object.values(state.whatIf);

/** The program's answer for a text after a change: edits, or a row command. */
const query = (change = [], text = state.text) => ask("/api/answer", { text, what_if: whatIf(), ...(Array.isArray(change) ? { edits: change } : { wish: change }) });

/** Runs something that asks the program when its turn comes, and shows any error. */
const turn = (what) => inTurn(what).catch((error) => tell(problemsOf(error)));

/** Makes a lasting change; returns the problems if it is refused. */
async function edit(change, atField = false) {
  try {
    await inTurn(async () => {
      // Sliders refer to addresses, which change when a row moves.
      if (!Array.isArray(change)) state.whatIf = {};
      const view = await query(change);
      if (view.at) openOnly(view.at, change.address);
      commit(view);
    });
    return null;
  } catch (error) {
    if (!atField || error.status === 0) tell(problemsOf(error));
    else if (!by("verdict").querySelector(".unused")) by("verdict").append(el("p", { class: "wrong unused" }, "A value that is wrong, marked below, is not used here."));
    return problemsOf(error);
  }
}

function commit(view, undoable = true) {
  if (undoable && view.text !== state.text) {
    state.undo.push(state.text);
    state.redo.length = 0;
    if (state.undo.length > 300) state.undo.shift();
  }
  state.text = view.text;
  keep();
  tell("");
  render(view);
}

function keep() {
  // What a class drags on the wall is not saved.
  if (wall) return;
  try {
    if (state.text === state.saved) forget(name);
    else keepCopy(name, state.text, state.mark);
  } catch {
    tell("This browser stores nothing for this page: save often.");
  }
}

function render(view) {
  state.view = view;
  by("bench").classList.remove("unread");
  const { job } = view;
  by("title").textContent = document.title = job.title;
  const acts = wall || view.what_if ? null : act;
  showVerdict(by("verdict"), view, acts);
  showFindings(by("findings"), view, acts);
  renderDrawings();
  renderTrials();
  if (wall) return;
  keepingFocus(by("rows"), () => fillRows(by("rows"), job, edit));
  keepingFocus(by("tables"), () => fillTables(by("tables"), job, edit));
  showSource();
  const off = { undo: state.undo.length === 0, redo: state.redo.length === 0, save: state.text === state.saved, keep: false, compare: false, size: false, sheet: false };
  Object.entries(off).forEach(([id, none]) => { by(id).disabled = none; });
}

/** Shows the file's text as it is now, unless somebody is editing it. */
function showSource() {
  if (by("use").disabled) by("sourcetext").value = state.text;
}

/** Applies the edited text: a change like any other. */
async function useSource() {
  const text = by("sourcetext").value;
  await turn(async () => {
    state.whatIf = {};
    const view = await query([], text);
    by("use").disabled = true;
    commit(view);
  });
}

/** Everything that is drawn as wide as it is shown. */
function renderDrawings() {
  const { check, picture } = state.view;
  renderPicture();
  showFlows(by("flows"), check, picture.scales);
  showCurves(by("curves"), picture);
  showFound(by("found"), state.found, { ...state.view, title: "As it is now" }, state.way, putAway);
}

function renderPicture() {
  const { picture } = state.view;
  state.way = Math.min(state.way ?? picture.opens, picture.ways.length - 1);
  by("ways").replaceChildren(...(picture.ways.length > 1 ? picture.ways.map((way, i) =>
    el("button", { role: "tab", "aria-selected": String(i === state.way), onclick: () => { state.way = i; renderPicture(); } }, way.branch || "main")) : []));
  const svg = by("picture");
  const wide = Math.max(svg.clientWidth || 640, 320);
  const size = { width: wide, height: wall ? Math.max(360, Math.min(wide * 0.55, innerHeight * 0.6)) : Math.max(280, Math.min(420, wide * 0.6)) };
  state.drawn = draw(svg, picture.ways[state.way], picture.scales, { ...size, onmove: drag, range: state.range, big: wall ? 1.35 : 1 });
  by("legend").replaceChildren(
    el("span", { class: "key over2" }), "water under pressure ", el("span", { class: "key under" }), "below atmospheric pressure: a valve opened here draws air in ",
    el("span", { class: "key airkey" }), "air. Marks: ", legend(picture.ways[state.way]), ".");
}

/** A point of a hose is dragged: the picture follows at once, the answer as fast as it comes. */
async function drag(point, height, done) {
  // Keep the scale while a point moves, so that its ring stays under the finger.
  if (!done) state.range ??= state.drawn;
  const edits = moved(point, height);
  try {
    const view = await inTurn(() => query(edits), !done);
    if (done) state.range = null;
    if (!view) return;
    steady("stage", () => {
      if (done) commit(view);
      else render(view);
      tell("");
    });
  } catch (error) {
    steady("stage", () => tell(problemsOf(error)));
    if (done) {
      state.range = null;
      refresh();
    }
  }
}

/** Shows another loop of the folder beside this one. */
async function compare() {
  const other = by("compare").value;
  if (!other) return;
  try {
    const { text } = await ask(`/api/file/${encodeURIComponent(other)}`, null, "GET");
    const view = await ask("/api/answer", { text });
    state.found = { ...view, title: view.job.title };
    render(state.view);
  } catch (error) {
    tell(problemsOf(error));
  }
}

function putAway() {
  by("compare").value = "";
  state.found = null;
  render(state.view);
}

const act = (finding, action, words) => turn(async () => commit(await ask("/api/act", { text: state.text, finding, action, words })));

function renderTrials() {
  by("untry").hidden = whatIf().length === 0 && !(wall && state.text !== state.saved);
  // Keep a slider that is being moved; once nothing is tried, show the file's value again.
  if (whatIf().length > 0 && by("trials").contains(document.activeElement)) return;
  by("trials").replaceChildren(...trials(state.view, state.whatIf, (address, edit) => { state.whatIf[address] = edit; tell(""); refresh(); }));
}

async function refresh() {
  try {
    const view = await inTurn(() => query(), true);
    if (view) steady("stage", () => render(view));
  } catch (error) {
    tell(problemsOf(error));
  }
}

async function save(force = false) {
  try {
    await inTurn(async () => {
      const { text } = state;
      const mark = force ? (await ask(`/api/file/${encodeURIComponent(name)}`, null, "GET")).mark : state.mark;
      state.mark = (await ask("/api/save", { name, text, mark })).mark;
      state.saved = text;
    });
    keep();
    by("save").disabled = state.text === state.saved;
    tell("Saved.", "done");
  } catch (error) {
    if (error.status === 409) changedOutside();
    else tell(problemsOf(error));
  }
}

function changedOutside() {
  tell(["The file was changed outside this page. ",
    el("button", { onclick: () => load(false) }, "Show the file’s version"), el("button", { onclick: () => save(true) }, "Keep mine and overwrite it")]);
}

async function look() {
  if (document.hidden || Date.now() - looked < 4000) return;
  looked = Date.now();
  try {
    const file = await ask(`/api/file/${encodeURIComponent(name)}`, null, "GET");
    if (file.mark === state.mark) return;
    if (wall || state.text === state.saved) await load(false);
    else changedOutside();
  } catch (error) {
    if (error.status === 0) tell(problemsOf(error));
  }
}

async function load(offer = true) {
  try {
    const file = await ask(`/api/file/${encodeURIComponent(name)}`, null, "GET");
    state.saved = file.text;
    const before = offer ? remembered() : null;
    // Changes made to another version of the file do not silently overwrite this one.
    state.mark = before?.mark ?? file.mark;
    state.text = file.text;
    const view = await inTurn(() => query([], before?.text ?? file.text));
    if (before) state.undo.push(file.text);
    commit(view, false);
    if (before) tell(["Your unsaved changes are back. ", el("button", { onclick: () => { forget(name); load(false); } }, "Discard them")], "done");
  } catch (error) {
    tell(problemsOf(error));
    if (state.view) return;
    by("verdict").replaceChildren(el("p", {}, "This file cannot be read. What is wrong is listed above", wall ? "." : "; fix it in the text below."));
    by("bench").classList.add("unread"); // nothing to move or list yet, only its text
    if (wall) return;
    by("source").open = true;
    showSource();
  }
}

function remembered() {
  if (wall) return null;
  try {
    const found = keptCopy(name);
    return found && typeof found.text === "string" && found.text !== state.saved ? found : null;
  } catch {
    return null;
  }
}

async function step(from, to) {
  await turn(async () => {
    if (from.length === 0) return;
    state.whatIf = {};
    const view = await query([], from.at(-1));
    from.pop();
    to.push(state.text);
    commit(view, false);
  });
}

if (!wall) {
  namePumps();
  by("more").addEventListener("click", () => by("more").setAttribute("aria-expanded", String(by("more").getAttribute("aria-expanded") === "false")));
  by("undo").addEventListener("click", () => step(state.undo, state.redo));
  by("redo").addEventListener("click", () => step(state.redo, state.undo));
  by("save").addEventListener("click", () => save());
  by("keep").addEventListener("click", () => {
    state.found = { ...state.view, title: "As found" };
    render(state.view);
    tell("Kept as found: change the loop and compare.", "done");
  });
  by("sourcetext").addEventListener("input", () => { by("use").disabled = by("sourcetext").value === state.text; });
  by("use").addEventListener("click", useSource);
  by("compare").addEventListener("change", compare);
  by("call").addEventListener("click", (event) => {
    if (state.text === state.saved) return;
    event.preventDefault();
    tell("Save first: the card is made from the saved file.");
  });
  by("sheet").addEventListener("click", () => saveSheet(state.text, name));
  by("size").addEventListener("click", () => size(by("sizing"), state.text, state.view.picture.scales, edit));
  document.addEventListener("keydown", (event) => {
    if (!(event.ctrlKey || event.metaKey) || event.target.matches("input, textarea")) return;
    if (event.key === "z") { event.preventDefault(); step(event.shiftKey ? state.redo : state.undo, event.shiftKey ? state.undo : state.redo); }
    if (event.key === "y") { event.preventDefault(); step(state.redo, state.undo); }
    if (event.key === "s") { event.preventDefault(); save(); }
  });
}
by("untry").addEventListener("click", () => {
  state.whatIf = {};
  if (wall) state.text = state.saved;
  by("trials").replaceChildren();
  refresh();
});
window.addEventListener("focus", look);
setInterval(look, 5000);
window.addEventListener("resize", () => { clearTimeout(resized); resized = setTimeout(() => state.view && renderDrawings(), 120); });
// A browser that stores nothing says so at the first change.
takeName().catch(() => {}).then(() => load());
