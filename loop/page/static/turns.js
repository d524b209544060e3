// One question at a time, each on what the one before it made of the loop.
const line = [];
let working = null;

/**
 * Does `work` when all before it is done, and gives what it gives. Of trials that wait only the
 * last is done, so that a drag never lags; the others give null.
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
