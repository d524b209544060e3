// A pump's curve from a picture: three corners of its grid, then marks along the line, or its color.
import { ask, by, el, problemsOf, settings, tell } from "/static/api.js";
import { drawPump } from "/static/curves.js";
import { followColor, inside, statedSize, thinned, values } from "/static/trace.js";

const paper = by("paper"), pen = paper.getContext("2d", { willReadFrequently: true });
const MOST_PIXELS = 60e6;
const STEPS = ["corner", "right", "top"];
const WORDS = {
  corner: "Click the grid’s lower left corner.", right: "Click the grid’s lower right corner.", top: "Click the grid’s upper left corner.",
  line: "Fill in what the grid reads at its corners. Then click along the curve, from no flow to the end; or follow the line’s color.",
};
let image = null, marks = [], cross = { x: 20, y: 20 }, following = false;

const AXES = [["flow-left", "Flow at the left edge", "0"], ["flow-right", "Flow at the right edge", ""], ["head-foot", "Head at the lower edge", "0"], ["head-top", "Head at the upper edge", ""]];
by("axes").append(...AXES.map(([key, words, value]) => el("label", {}, words, " ", el("input", { id: `at-${key}`, value, inputmode: "decimal", oninput: read }))));

by("file").addEventListener("change", () => open(1));
by("page").addEventListener("change", () => open(Number(by("page").value) || 1));

async function open(number) {
  const file = by("file").files[0];
  if (!file) return;
  tell("");
  let blob = file;
  by("page-row").hidden = file.type !== "application/pdf";
  if (file.type === "application/pdf") {
    const response = await fetch(`/api/paper?page=${number}`, { method: "POST", body: file, headers: { "x-loop-token": settings.token } });
    if (!response.ok) { tell((await response.json()).problems); return; }
    blob = await response.blob();
  }
  try {
    // Check the stated size before decoding: a picture may be built to exhaust memory.
    const size = statedSize(new Uint8Array(await blob.slice(0, 1e6).arrayBuffer()));
    if (size === null || size[0] * size[1] > MOST_PIXELS) throw new Error();
    image = await createImageBitmap(blob);
  } catch {
    tell("This picture cannot be shown.");
    return;
  }
  const scale = Math.min(1, 1600 / Math.max(image.width, image.height));
  paper.width = Math.round(image.width * scale);
  paper.height = Math.round(image.height * scale);
  marks = [];
  by("capture").hidden = false;
  redraw();
}

/** The picture's pixels without the marks drawn on it. */
function pixels() {
  pen.drawImage(image, 0, 0, paper.width, paper.height);
  return pen.getImageData(0, 0, paper.width, paper.height);
}

function redraw() {
  if (!image) return;
  pen.drawImage(image, 0, 0, paper.width, paper.height);
  // The curve as read, drawn on the picture.
  const line = marks.filter((m) => m.step === "line").sort((p, q) => p.x - q.x);
  pen.strokeStyle = "rgba(200, 90, 20, 0.7)";
  pen.lineWidth = 4;
  pen.beginPath();
  line.forEach((m, i) => (i ? pen.lineTo(m.x, m.y) : pen.moveTo(m.x, m.y)));
  pen.stroke();
  // The grid that the corners span, so that a misplaced click shows.
  if (corners().length === STEPS.length) {
    const [corner, right, , top] = frame();
    pen.strokeStyle = "rgba(11, 61, 145, 0.35)";
    pen.lineWidth = 2;
    pen.beginPath();
    [right, corner, top, { x: top.x + right.x - corner.x, y: top.y + right.y - corner.y }, right].forEach((p, i) => (i ? pen.lineTo(p.x, p.y) : pen.moveTo(p.x, p.y)));
    pen.stroke();
  }
  marks.forEach((mark) => {
    pen.strokeStyle = mark.step === "line" ? "#8c1313" : "#0b3d91";
    pen.lineWidth = 2;
    pen.beginPath();
    pen.moveTo(mark.x - 7, mark.y); pen.lineTo(mark.x + 7, mark.y); pen.moveTo(mark.x, mark.y - 7); pen.lineTo(mark.x, mark.y + 7);
    pen.stroke();
  });
  if (document.activeElement === paper) { pen.strokeStyle = "#000"; pen.strokeRect(cross.x - 4, cross.y - 4, 8, 8); }
  const step = STEPS[corners().length] ?? "line";
  by("step").textContent = following ? "Click the line: its color is traced to both ends." : WORDS[step];
  by("follow").disabled = step !== "line";
  by("back").disabled = by("again").disabled = marks.length === 0;
}

const corners = () => marks.filter((m) => m.step !== "line");

/** The ends of both axes, which meet in the first corner. */
function frame() {
  const [corner, right, top] = corners();
  return [corner, right, corner, top];
}

function mark(x, y) {
  if (!image) return;
  const step = STEPS[corners().length] ?? "line";
  if (step === "line" && following) {
    following = false;
    marks = corners().concat(thinned(inside(followColor(pixels(), x, y), frame())).map((p) => ({ ...p, step: "line" })));
  } else marks.push({ x, y, step });
  redraw();
  read();
}

paper.addEventListener("click", (event) => {
  const box = paper.getBoundingClientRect();
  mark(((event.clientX - box.left) / box.width) * paper.width, ((event.clientY - box.top) / box.height) * paper.height);
});
paper.addEventListener("keydown", (event) => {
  const far = event.shiftKey ? 20 : 1;
  const by = { ArrowLeft: [-far, 0], ArrowRight: [far, 0], ArrowUp: [0, -far], ArrowDown: [0, far] }[event.key];
  if (by) { cross = { x: cross.x + by[0], y: cross.y + by[1] }; event.preventDefault(); redraw(); }
  if (event.key === "Enter") { event.preventDefault(); mark(cross.x, cross.y); }
});
by("back").addEventListener("click", () => { marks.pop(); redraw(); read(); });
by("again").addEventListener("click", () => { marks = []; following = false; redraw(); read(); });
by("follow").addEventListener("click", () => { following = true; redraw(); });

function read() {
  const line = marks.filter((m) => m.step === "line");
  const numbers = AXES.map(([key]) => Number(by(`at-${key}`).value.replace(",", ".")));
  if (corners().length < STEPS.length || line.length === 0 || AXES.some(([key]) => by(`at-${key}`).value === "") || numbers.some((n) => !Number.isFinite(n))) return;
  const points = line.map((p) => values(frame(), numbers, p, [by("flow-log").checked, by("head-log").checked])).sort((p, q) => p[0] - q[0]);
  // A first mark within 2 % of the axis is zero flow: a click is no finer.
  if (Math.abs(points[0][0]) < 0.02 * Math.abs(numbers[1])) points[0][0] = 0;
  by("points").value = points.map(([q, h]) => `${+q.toPrecision(5)}, ${+h.toPrecision(5)}`).join("\n");
}

function pump() {
  const text = (id) => by(id).value.trim();
  const given = Object.fromEntries(["name", "runs_on", "port", "note"].map((id) => [id, text(id)]));
  given.self_priming = by("self_priming").checked ? "yes" : "no";
  if (plate()) for (const id of ["most_flow", "most_head", "power"]) given[id] = text(id);
  else given.points = titled(text("points"));
  return given;
}

/** Rows of bare numbers get a title row with the chosen units. */
function titled(points) {
  return /^[\d.,;\s+-]*$/.test(points.split("\n")[0]) ? `flow ${by("flow-unit").value}, head ${by("head-unit").value}\n${points}` : points;
}

const plate = () => document.querySelector("[name=known]:checked").value === "plate";

document.querySelectorAll("[name=known]").forEach((choice) => choice.addEventListener("change", () => {
  by("by-points").hidden = plate();
  by("by-plate").hidden = !plate();
}));

by("check").addEventListener("click", async () => {
  try {
    const checked = await ask("/api/pump/check", { pump: pump(), units: /L|m/.test(by("flow-unit").value.replace("gal/min", "")) ? "si" : "us" });
    drawPump(by("curve"), checked);
    by("remarks").replaceChildren(el("li", {}, `Dashed: ${checked.beside.name}, the most similar pump in the catalog.`), ...checked.remarks.map((line) => el("li", {}, line)));
    tell("The curve can be used.", "done");
  } catch (error) { tell(problemsOf(error)); }
});
by("save").addEventListener("click", async () => {
  try {
    const saved = await ask("/api/pump/save", { pump: pump() });
    tell(`Saved as ${saved.name}. In a loop, choose it as the pump’s curve.`, "done");
  } catch (error) { tell(error.status === 409 ? "A file with that name already exists." : problemsOf(error)); }
});
redraw();
