import { ask, by, tell } from "/static/api.js";

by("new")?.addEventListener("submit", async (event) => {
  event.preventDefault();
  try {
    const made = await ask("/api/new", { name: by("new-name").value.trim(), units: by("new-units").value });
    location.href = `/bench/${encodeURIComponent(made.name)}`;
  } catch (error) {
    tell(error.status === 409 ? "There is a file of that name already." : error.problems);
  }
});
