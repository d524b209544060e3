// Taps and types at random; gives the number of taps done.
async ({ taps, seed }) => {
  window.print = () => {};
  HTMLAnchorElement.prototype.click = () => {};
  let state = seed;
  const random = (n) => {
    state = (Math.imul(state, 1664525) + 1013904223) >>> 0;
    return Math.floor((state / 2 ** 32) * n);
  };
  const texts = ["", "24", "-3", "1e9", "85", "3/4", "1,5", "<b>x</b>", "\u202e", "12.000", "5 gal", "2:10", "𝒳".repeat(40), "99 °C ± 1", "\u0000"];
  const press = (text) => [...document.querySelectorAll("button")].find((one) => one.textContent === text)?.click();
  for (let done = 0; done < taps; done += 1) {
    // No call is as long as this; and the next one begins on the same page.
    if (done % 100 === 99) {
      for (const text of ["Office", "Begin a new call", "Yes, begin a new call", "Ask"]) {
        press(text);
        // Sooner it would be a bounce.
        await new Promise((next) => setTimeout(next, 300));
      }
    }
    const all = [...document.querySelectorAll("button, summary, input, textarea")].filter((one) => one.getClientRects().length && !one.disabled && !one.readOnly);
    const one = all[random(all.length)];
    if (one.tagName === "INPUT" || one.tagName === "TEXTAREA") {
      one.focus();
      one.value = texts[random(texts.length)];
      one.dispatchEvent(new Event("input", { bubbles: true }));
      one.dispatchEvent(new Event("change", { bubbles: true }));
      one.blur();
    } else one.click();
    if (done % 40 === 0) await new Promise((next) => setTimeout(next, 0));
  }
  await new Promise((next) => setTimeout(next, 300));
  return taps;
}
