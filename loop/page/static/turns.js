// One request at a time, each based on the result of the one before.
const line = [];
let working = null;

/**
 * Runs `work` once everything before it is done, and returns its result. Of the trials that wait,
 * only the last one runs, so that a drag never lags; the others return null.
 */
export function inTurn(work, trial = false) {
  for (const old of line.filter((one) => one.trial)) {
    line.splice(line.indexOf(old), 1);
    old.drop();
  }
  const done = new Promise((resolve, reject) => {
    line.push({ trial, go: () => work().then(resolve, reject), drop: () => resolve(null) });
  });
  working ??= run();
  return done;
}

async function run() {
  document.getElementById("bench").setAttribute("aria-busy", "true");
  while (line.length > 0) await line.shift().go();
  document.getElementById("bench").setAttribute("aria-busy", "false");
  working = null;
}
