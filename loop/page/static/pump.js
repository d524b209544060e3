// A pump's curve from a picture: two marks on each axis, then marks along the line, or its color.
import { ask, by, el, tell } from "/static/api.js";

const paper = by("paper"), pen = paper.getContext("2d", { willReadFrequently: true });
const STEPS = ["x1", "x2", "y1", "y2"];
const WORDS = {
  x1: "Click a low mark on the flow axis.", x2: "Click a high mark on the flow axis.",
  y1: "Click a low mark on the head axis.", y2: "Click a high mark on the head axis.",
  line: "Fill in what those four marks say. Then click along the curve, from no flow to the end; or follow the line’s color.",
};
let image = null, marks = [], cross = { x: 20, y: 20 }, following = false;

const AXES = [["x1", "Flow at the low mark"], ["x2", "Flow at the high mark"], ["y1", "Head at the low mark"], ["y2", "Head at the high mark"]];
by("axes").append(...AXES.map(([key, words]) => el("label", {}, words, " ", el("input", { id: `at-${key}`, inputmode: "decimal", oninput: read }))));

by("file").addEventListener("change", () => open(1));
by("page").addEventListener("change", () => open(Number(by("page").value) || 1));

async function open(number) {
  const file = by("file").files[0];
  if (!file) return;
  tell("");
  let blob = file;
  by("page-row").hidden = file.type !== "application/pdf";
  if (file.type === "application/pdf") {
    const settings = JSON.parse(by("settings").textContent);
    const response = await fetch(`/api/paper?page=${number}`, { method: "POST", body: file, headers: { "x-loop-token": settings.token } });
    if (!response.ok) { tell((await response.json()).problems); return; }
    blob = await response.blob();
  }
  try {
    // A picture made to fill the memory is refused by its size, before it is drawn.
    image = await createImageBitmap(blob);
    if (image.width * image.height > 60e6) throw new Error();
  } catch {
    tell("This is not a picture that can be shown.");
    return;
  }
  const scale = Math.min(1, 1600 / Math.max(image.width, image.height));
  paper.width = Math.round(image.width * scale);
  paper.height = Math.round(image.height * scale);
  marks = [];
  redraw();
}

function redraw() {
  if (!image) return;
  pen.drawImage(image, 0, 0, paper.width, paper.height);
  marks.forEach((mark) => {
    pen.strokeStyle = mark.step === "line" ? "#8c1313" : "#0b3d91";
    pen.lineWidth = 2;
    pen.beginPath();
    pen.moveTo(mark.x - 7, mark.y); pen.lineTo(mark.x + 7, mark.y); pen.moveTo(mark.x, mark.y - 7); pen.lineTo(mark.x, mark.y + 7);
    pen.stroke();
  });
  if (document.activeElement === paper) { pen.strokeStyle = "#000"; pen.strokeRect(cross.x - 4, cross.y - 4, 8, 8); }
  const step = STEPS[marks.filter((m) => m.step !== "line").length] ?? "line";
  by("step").textContent = following ? "Click on the line: its color is followed to both ends." : WORDS[step];
  by("follow").disabled = step !== "line";
  by("back").disabled = by("again").disabled = marks.length === 0;
}

function mark(x, y) {
  if (!image) return;
  const step = STEPS[marks.filter((m) => m.step !== "line").length] ?? "line";
  if (step === "line" && following) {
    following = false;
    const frame = marks.filter((m) => m.step !== "line");
    marks = frame.concat(thinned(inside(followColor(x, y), frame)).map((p) => ({ ...p, step: "line" })));
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

/** Middle of the line's color in each column, walked from the click to both sides. */
export function followColor(x, y) {
  pen.drawImage(image, 0, 0, paper.width, paper.height);
  const { width, height } = paper, data = pen.getImageData(0, 0, width, height).data;
  const at = (px, py) => { const i = (py * width + px) * 4; return [data[i], data[i + 1], data[i + 2]]; };
  const seed = darkest(Math.round(x), Math.round(y), at, width, height);
  const color = at(seed.x, seed.y);
  const near = (px, py) => at(px, py).reduce((sum, v, k) => sum + (v - color[k]) ** 2, 0) < 4500;
  const middle = (px, from) => {
    // The run of the line's color nearest to where the last column had it.
    for (let reach = 0; reach <= 14; reach += 1) {
      for (const py of [from - reach, from + reach]) {
        if (py < 1 || py >= height - 1 || !near(px, Math.round(py))) continue;
        let top = Math.round(py), low = top;
        while (top > 0 && near(px, top - 1) && low - top < 40) top -= 1;
        while (low < height - 1 && near(px, low + 1) && low - top < 40) low += 1;
        if (low - top < 40) return (top + low) / 2;
      }
    }
    return null;
  };
  const found = [];
  for (const side of [-1, 1]) {
    let at_y = seed.y, slope = 0, missed = 0;
    for (let px = seed.x + (side < 0 ? 0 : 1); px > 0 && px < width - 1 && missed < 6; px += side) {
      const here = middle(px, at_y + slope);
      if (here === null) { missed += 1; at_y += slope; continue; }
      slope = 0.8 * slope + 0.2 * (here - at_y);
      at_y = here;
      missed = 0;
      found.push({ x: px, y: here });
    }
  }
  return found.sort((a, b) => a.x - b.x);
}

/** Those marks that lie in the frame: a dark line runs on into the dark axes. */
function inside(found, [x1, x2, y1, y2]) {
  const turn = Math.atan2(x2.y - x1.y, x2.x - x1.x);
  const across = (p) => p.x * Math.cos(turn) + p.y * Math.sin(turn), down = (p) => -p.x * Math.sin(turn) + p.y * Math.cos(turn);
  const left = Math.max(across(y1), across(y2)), floor = Math.min(down(x1), down(x2));
  return found.filter((p) => across(p) > left + 3 && down(p) < floor - 3);
}

/** A dozen marks, both ends among them. */
function thinned(found) {
  const many = Math.min(12, found.length);
  return Array.from({ length: many }, (_, i) => found[Math.round((i * (found.length - 1)) / Math.max(many - 1, 1))]);
}

function darkest(x, y, at, width, height) {
  let best = { x, y, depth: Infinity };
  for (let dx = -4; dx <= 4; dx += 1) for (let dy = -4; dy <= 4; dy += 1) {
    const px = x + dx, py = y + dy;
    if (px < 0 || py < 0 || px >= width || py >= height) continue;
    const depth = at(px, py).reduce((a, b) => a + b, 0) + dx * dx + dy * dy;
    if (depth < best.depth) best = { x: px, y: py, depth };
  }
  return best;
}

/** Flow and head of a mark: the four axis marks span a frame that may be turned by a few degrees. */
export function values(frame, numbers, point, logs) {
  const [x1, x2, y1, y2] = frame;
  const turn = Math.atan2(x2.y - x1.y, x2.x - x1.x);
  const turned = (p) => ({ u: p.x * Math.cos(turn) + p.y * Math.sin(turn), v: -p.x * Math.sin(turn) + p.y * Math.cos(turn) });
  const [a, b, c, d, p] = [x1, x2, y1, y2, point].map(turned);
  const between = (share, low, high, log) => (log ? low * (high / low) ** share : low + share * (high - low));
  return [between((p.u - a.u) / (b.u - a.u), numbers[0], numbers[1], logs[0]), between((p.v - c.v) / (d.v - c.v), numbers[2], numbers[3], logs[1])];
}

function read() {
  const frame = marks.filter((m) => m.step !== "line"), line = marks.filter((m) => m.step === "line");
  const numbers = AXES.map(([key]) => Number(by(`at-${key}`).value.replace(",", ".")));
  if (frame.length < 4 || line.length === 0 || AXES.some(([key]) => by(`at-${key}`).value === "") || numbers.some((n) => !Number.isFinite(n))) return;
  const points = line.map((p) => values(frame, numbers, p, [by("flow-log").checked, by("head-log").checked])).sort((p, q) => p[0] - q[0]);
  // A first mark within two hundredths of the axis is no flow: a click is no finer.
  if (Math.abs(points[0][0]) < 0.02 * Math.abs(numbers[1])) points[0][0] = 0;
  by("points").value = points.map(([q, h]) => `${+q.toPrecision(5)}, ${+h.toPrecision(5)}`).join("\n");
}

function pump() {
  const rows = by("points").value.split(/\n/).map((row) => row.trim().split(/[\s;,\t]+/).map(Number)).filter((row) => row.length >= 2 && row.every(Number.isFinite));
  const made = {
    name: by("name").value.trim() || "pump", note: by("note").value.trim(), drive: by("drive").value, rated_supply: by("supply").value.trim(),
    self_priming: by("priming").checked, port: by("port").value.trim(),
    curve: { flow: { unit: by("flow-unit").value, values: rows.map((r) => r[0]) }, head: { unit: by("head-unit").value, values: rows.map((r) => r[1]) } },
  };
  if (made.drive === "ac") made.rated_frequency = by("frequency").value.trim();
  return made;
}

by("check").addEventListener("click", async () => {
  try {
    const checked = await ask("/api/pump/check", { pump: pump() });
    show(checked);
    tell("The points make a curve.", "done");
  } catch (error) { tell(error.problems); }
});
by("save").addEventListener("click", async () => {
  try {
    const saved = await ask("/api/pump/save", { pump: pump() });
    tell(`Saved as ${saved.name}. A loop takes it as curve = "${saved.name}".`, "done");
  } catch (error) { tell(error.status === 409 ? "There is a file of that name already." : error.problems); }
});

function show(checked) {
  const width = 420, height = 220, svg = by("curve");
  svg.setAttribute("viewBox", `0 0 ${width} ${height}`);
  const x = (q) => 10 + (q / checked.last_flow) * (width - 20), y = (h) => height - 12 - (h / (checked.shutoff_head * 1.1)) * (height - 24);
  svg.replaceChildren(el("line", { class: "axis", x1: 10, x2: width - 10, y1: height - 12, y2: height - 12 }), el("line", { class: "axis", x1: 10, x2: 10, y1: 12, y2: height - 12 }),
    el("polyline", { class: "pumpline", points: checked.points.map(([q, h]) => `${x(q)},${y(h)}`).join(" ") }));
}
redraw();
