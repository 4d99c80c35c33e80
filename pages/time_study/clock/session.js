// Session: what the presses so far mean - cycle, element under way, element foreseen, times of elements.

function settled(presses) {
  const struck = new Set(presses.filter((p) => p.kind === "strike").map((p) => p.target));
  return presses.filter((p) => !struck.has(p.seq));
}

function namesNow(elements) {
  // A press carries the name of its element as it was then; what that element is called now.
  const current = new Set(elements.map((e) => e.name));
  const now = new Map();
  for (const e of elements) for (const old of e.earlier || []) if (!current.has(old)) now.set(old, e.name);
  return now;
}

function needed(element) { return Math.max(1, Math.ceil(element.per_mold || 1)); }

function complete(elements, counts) {
  return elements.every((e) => e.occasional || (counts.get(e.name) || 0) >= needed(e));
}

function foreseen(elements, state) {
  // Within a cycle: the last regular element again while it is still due, else the next one after it that the cycle
  // lacks, else the first. Where none is stored yet, or all are: the first, or the one where the last cycle began if
  // that cycle ran in order from there. Occasional, foreign and unknown elements change nothing.
  const regular = elements.filter((e) => !e.occasional);
  const first = regular.length ? regular[0].name : elements.length ? elements[0].name : "";
  if (state.last === null || complete(elements, state.counts)) return state.start ?? first;
  const lacks = (e) => (state.counts.get(e.name) || 0) < needed(e);
  const at = regular.findIndex((e) => e.name === state.last);
  const after = regular.slice(lacks(regular[at]) ? at : at + 1).find(lacks);
  return after ? after.name : first;
}

function follow(elements, state, name, cycle) {
  // Take an element into the cycle that it belongs to.
  if (cycle !== state.cycle) { state.cycle = cycle; state.counts = new Map(); state.last = null; }
  state.counts.set(name, (state.counts.get(name) || 0) + 1);
  const names = elements.filter((e) => !e.occasional).map((e) => e.name);
  const at = names.indexOf(name);
  if (at >= 0) {
    if (state.last === null) state.opened = name;
    state.last = name;
  }
  state.open = !complete(elements, state.counts);
  if (!state.open && at >= 0) state.start = names[(at + 1) % names.length] === state.opened ? state.opened : names[0];
}

function cycleOf(elements, state, name) {
  // A new cycle begins when its elements are all done, or one that is done comes again.
  const element = elements.find((e) => e.name === name);
  if (element && element.occasional) return state.open ? state.cycle : state.cycle + 1;
  const again = element && (state.counts.get(name) || 0) >= needed(element);
  return state.cycle === 0 || complete(elements, state.counts) || again ? state.cycle + 1 : state.cycle;
}

function understood(presses, elements) {
  const state = { begun: null, first: null, stopped: null, cycle: 0, counts: new Map(), last: null, opened: null, start: null, open: false,
    before: 0, away: null, half: 0, times: new Map(), cycles: [], spent: 0, rows: [], notRead: 0, lost: false };
  const now = namesNow(elements);
  for (const press of settled(presses)) step(state, { ...press, element: now.get(press.element) ?? press.element }, elements);
  state.next = foreseen(elements, state);
  return state;
}

function step(state, press, elements) {
  const clock = press.clock_s;
  if (press.kind === "start") { state.begun = press; state.before = clock; }
  if (press.kind === "first") { state.first = clock; state.before = clock; }
  if (press.kind === "stop") state.stopped = clock;
  if (press.kind === "rate") { const row = state.rows.find((r) => r.seq === press.target); if (row) row.rating = press.rating; }
  if (press.kind === "note") { const row = state.rows.find((r) => r.seq === press.target); if (row) row.note = press.note; }
  if (!["end", "missed", "split", "foreign"].includes(press.kind)) return;
  const spent = clock - state.before;
  state.before = clock;
  if (press.kind === "split") { state.half += spent; state.away = press; return; }
  if (press.kind === "foreign") { state.away = null; push(state, press, spent); return; }
  arrive(state, press, elements, spent + state.half);
  state.half = 0;
}

function push(state, press, spent) {
  state.rows.push({ seq: press.seq, kind: press.kind, element: press.element, cycle: press.cycle, spent,
    rating: press.rating, note: press.note });
}

function arrive(state, press, elements, spent) {
  if (press.cycle !== state.cycle) { state.spent = 0; state.whole = true; state.closed = false; }
  const whole = press.kind === "end" && !state.lost;
  state.lost = press.kind === "missed";
  if (whole) {
    if (!state.times.has(press.element)) state.times.set(press.element, []);
    state.times.get(press.element).push(spent);
  } else state.notRead += spent;
  follow(elements, state, press.element, press.cycle);
  state.spent += spent;
  state.whole = state.whole && whole;
  push(state, press, spent);
  if (!state.open) closeCycle(state);
}

function closeCycle(state) {
  if (state.whole && !state.closed) state.cycles.push(state.spent);
  else if (state.whole) state.cycles[state.cycles.length - 1] = state.spent;
  state.closed = true;
}

const MOST_CYCLES = 1e6;

function shareCounting(x, mean, [grid, prior]) {
  // Share of the cycles that counts as independent, as coreset/study/dependence.py has it: (1 - r)/(1 + r), r shrunk.
  const off = x.map((value) => value - mean), n = off.length;
  if (Math.max(...x) === Math.min(...x)) return 1;
  const sum = (f) => off.reduce((a, value, i) => a + f(value, i), 0);
  const squares = sum((a) => a * a), lagged = sum((a, i) => (i ? a * off[i - 1] : 0));
  const inner = squares - off[0] ** 2 - off[n - 1] ** 2, ends = off[0] + off[n - 1];
  const logs = grid.map((r) => {
    const one = (n - (n - 2) * r) / (1 + r);
    const square = (squares + r * r * inner - 2 * r * lagged) / (1 - r * r) - (r * ends / (1 + r)) ** 2 / one;
    return -(n - 1) / 2 * (Math.log1p(-r * r) + Math.log(Math.max(square, 1e-300))) - Math.log(one) / 2;
  });
  const top = Math.max(...logs);
  const weights = prior.map((p, i) => (n < 3 ? p : p * Math.exp(logs[i] - top)));
  const r = weights.reduce((a, w, i) => a + w * grid[i], 0) / weights.reduce((a, w) => a + w, 0);
  return (1 - r) / (1 + r);
}

function guidance(state, precision, tTable, dependence) {
  // Mean of whole cycles, its 95 % interval, and the least number of cycles for the wanted precision (t form); as
  // after Stop, both are stretched by what cycles depend on each other.
  const n = state.cycles.length;
  if (!n) return { n };
  const mean = state.cycles.reduce((a, b) => a + b, 0) / n;
  if (n < 2) return { n, mean };
  const plain = Math.sqrt(state.cycles.reduce((a, x) => a + (x - mean) ** 2, 0) / (n - 1));
  const sd = plain / Math.sqrt(shareCounting(state.cycles, mean, dependence));
  const t = (count) => tTable[Math.min(Math.max(count - 1, 1), tTable.length) - 1];
  const reaches = (count) => t(count) * sd / Math.sqrt(count) <= precision * mean;
  let least = 1, need = 2;
  while (!reaches(need) && need < MOST_CYCLES) [least, need] = [need, need * 2];
  while (need - least > 1) {
    const middle = (least + need) >> 1;
    if (reaches(middle)) need = middle; else least = middle;
  }
  const half = t(n) * sd / Math.sqrt(n);
  return { n, mean, low: Math.max(0, mean - half), high: mean + half, need: Math.max(0, need - n) };
}

function usual(times) {
  // Median and three scaled median deviations: the range an element usually stays in; null below five readings.
  if (!times || times.length < 5) return null;
  const middle = (values) => {
    const sorted = [...values].sort((a, b) => a - b);
    const half = sorted.length >> 1;
    return sorted.length % 2 ? sorted[half] : (sorted[half - 1] + sorted[half]) / 2;
  };
  const median = middle(times);
  const spread = 3 * 1.4826 * middle(times.map((x) => Math.abs(x - median)));
  return { low: Math.max(0, median - Math.max(spread, 0.1 * median)), high: median + Math.max(spread, 0.1 * median) };
}
