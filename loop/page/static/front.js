import { ask, by, el, problemsOf, tell } from "/static/api.js";

// Verdict of each loop, checked one at a time as it scrolls into view.
const waiting = [];
let asking = false;

async function next() {
  if (asking) return;
  asking = true;
  while (waiting.length) await judge(waiting.shift());
  asking = false;
}

async function judge(line) {
  const { job } = line.dataset;
  try {
    const { text } = await ask(`/api/file/${encodeURIComponent(job)}`, null, "GET");
    const { check, first } = await ask("/api/answer", { text });
    line.className = `stands ${check.verdict}`;
    line.replaceChildren(el("b", {}, check.verdict.toUpperCase()), ` ${first.cause}`);
  } catch (error) {
    line.className = "stands bad";
    line.replaceChildren(el("b", {}, "CANNOT BE READ"), ` ${error.problems?.[0] ?? error}`);
  }
}

const seen = new IntersectionObserver((entries) => {
  for (const { isIntersecting, target } of entries) {
    if (!isIntersecting) continue;
    seen.unobserve(target);
    waiting.push(target);
  }
  next();
});
document.querySelectorAll(".stands").forEach((line) => seen.observe(line));

by("new")?.addEventListener("submit", async (event) => {
  event.preventDefault();
  try {
    const made = await ask("/api/new", { name: by("new-name").value.trim(), units: by("new-units").value });
    location.href = `/bench/${encodeURIComponent(made.name)}`;
  } catch (error) {
    tell(error.status === 409 ? "A file with that name already exists." : problemsOf(error));
  }
});
