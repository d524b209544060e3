// The flow to expect once a fault is fixed, as in loop/diagnose/once_fixed.py.

/**
 * Standard normal distribution function: continued fraction in the tail, series near 0 (within 1e-11).
 * @param {number} z
 */
function below(z) {
  const y = Math.abs(z), density = Math.exp(-0.5 * y * y) / Math.sqrt(2 * Math.PI);
  let tail = 0;
  if (y < 3.5) {
    let term = y, sum = y;
    for (let n = 3; Math.abs(term) > 1e-13; n += 2) sum += term *= (y * y) / n;
    tail = 0.5 - density * sum;
  } else if (y < 38) {
    let fraction = y;
    for (let n = 40; n > 0; n -= 1) fraction = y + n / fraction;
    tail = density / fraction;
  }
  return z > 0 ? 1 - tail : tail;
}

/**
 * Flow once this cause is fixed, along with any fault that hides it: 5 %, 50 % and 95 % quantiles [m³/s].
 * @param {Study} s @param {Found} found @param {number} cause @param {Heavy} heavy
 */
function onceFixed(s, found, cause, heavy) {
  const { b } = found, flow = s.at.get("flow"), slots = s.slot[cause];
  const kept = heavy.rows.map((r, i) => [r, heavy.weight[i]]).filter(([r]) => slots[s.rows.owner[blamed(s, b, r)]] >= 0);
  if (kept.length === 0) return [0, 0, 0];
  const left = (now) => {
    const owner = s.rows.owner[now], slot = slots[owner];
    if (slot < 0) return [[now, 1]];
    return slot === 1 && s.instances[owner].behind >= 0 ? [[s.rows.healthy, 1]] : opened(s, now, slot);
  };
  const parts = kept.flatMap(([r, w]) => left(b.now[r]).map(([now, share]) => {
    const [mean, variance] = predicted(s, b, r, flow, now);
    return [mean, Math.sqrt(Math.max(variance, 1e-18)) * (s.known ? 1 : s.constants.wider), w * share];
  }));
  return [0.05, 0.5, 0.95].map((share) => Math.max(natural(s, flow, quantile(s, share, parts)), 0));
}

/**
 * Quantile of a normal mixture [mean, width, weight], by bisection.
 * @param {Study} s @param {number} share @param {number[][]} all
 */
function quantile(s, share, all) {
  const most = all.reduce((heaviest, part) => Math.max(heaviest, part[2]), 0), some = all.filter((part) => part[2] > s.constants.nothing * most);
  const whole = some.reduce((total, part) => total + part[2], 0), parts = some.map(([mean, width, weight]) => [mean, width, weight / whole]);
  let low = Infinity, high = -Infinity;
  for (const [mean, width] of parts) {
    low = Math.min(low, mean - 5 * width);
    high = Math.max(high, mean + 5 * width);
  }
  for (let i = 0; i < s.constants.halvings; i += 1) {
    const middle = (low + high) / 2;
    let sum = 0;
    for (const [mean, width, weight] of parts) sum += weight * below((middle - mean) / width);
    if (sum < share) low = middle;
    else high = middle;
  }
  return (low + high) / 2;
}
