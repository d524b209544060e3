// Back at the office: the call as a readings file, and a page for the customer.

/** Name of the readings file, valid on every phone. @param {Kept} call */
const fileName = (call) => `call-${/^\d{4}-\d{2}-\d{2}$/.test(call.date) ? call.date : "undated"}.toml`;

/** @param {Study} s @param {Store} store */
function office(s, store) {
  const area = el("textarea", {
      readonly: true,
      rows: 12,
      "aria-label": "The call as a readings file",
      spellcheck: "false",
    }),
    told = el("p", { role: "status", class: "result" });
  const warning = el("p", { role: "status", class: "result" });
  const say = (text) => {
    told.textContent = text;
  };
  const parts = el("textarea", {
    id: "parts",
    rows: 3,
    maxlength: 2000,
    oninput: () => store.change({ parts: parts.value }),
  });
  let sure = false;
  const again = button(
    "Begin a new call",
    once(() => {
      if (sure) store.startAgain();
      sure = !sure;
      warning.textContent = sure ? "This call will be erased from the phone. Tap again to begin a new one." : "A new call.";
      again.textContent = sure ? "Yes, begin a new call" : "Begin a new call";
    }),
    { class: "danger" },
  );
  async function copy() {
    area.focus();
    area.select();
    try {
      await navigator.clipboard.writeText(area.value);
      say("Copied.");
    } catch {
      say(document.execCommand?.("copy") ? "Copied." : "Selected: copy it by hand.");
    }
  }
  async function share() {
    const file = new File([area.value], fileName(store.call), { type: "text/plain" });
    try {
      await navigator.share(
        navigator.canShare?.({ files: [file] }) ? { files: [file] } : { title: file.name, text: area.value },
      );
      say("Shared.");
    } catch {
      say("Not shared. Copy or save it instead.");
    }
  }
  function save() {
    const url = URL.createObjectURL(new Blob([area.value], { type: "application/toml" })),
      link = el("a", { href: url, download: fileName(store.call) });
    link.click();
    setTimeout(() => URL.revokeObjectURL(url), 10000);
    say(`Saved as ${fileName(store.call)}, where the browser keeps its downloads.`);
  }
  const root = el(
    "div",
    {},
    el(
      "section",
      {},
      heading(2, "The call as a file"),
      el("p", {
        class: "note",
        text: "For the office: loop diagnose JOB FILE --record JOB2 reads it as it is.",
      }),
      area,
      el(
        "div",
        { class: "choices" },
        button("Copy", copy),
        navigator.share ? button("Share", share) : "",
        button("Save", save),
      ),
      told,
    ),
    el(
      "section",
      {},
      heading(2, "Page for the customer"),
      el("label", { for: "parts", text: "Parts used, one per line" }),
      parts,
      button("Print", () => window.print()),
    ),
    el("section", {}, heading(2, "Done?"), warning, again),
  );
  return {
    root,
    update() {
      area.value = toml(s, store.call);
      if (document.activeElement !== parts) parts.value = store.call.parts;
    },
  };
}
