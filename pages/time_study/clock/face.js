// Face: what the clock shows; drawn from presses that are on the disk.

const SPEEDS = [0.5, 1, 2];

function made(tag, attributes, text) {
  const node = document.createElement(tag);
  for (const [name, value] of Object.entries(attributes || {})) node.setAttribute(name, value);
  if (text !== undefined) node.textContent = shown(text);
  return node;
}

function button(act, text, key, more = {}) {
  const node = made("button", { type: "button", "data-do": act, ...more });
  node.append(made("span", { class: "label" }, text));
  if (key) { node.append(made("kbd", {}, key)); node.setAttribute("aria-keyshortcuts", key); }
  return node;
}

Object.assign(Clock.prototype, {
  build() {
    const w = this.words;
    this.get("clock").setAttribute("aria-label", w.region);
    this.get("clock").classList.toggle("dark", darkPage(this.get("clock")));
    this.get("where").textContent = this.data.where;
    const elements = this.get("elements");
    elements.setAttribute("aria-label", w.elements);
    this.data.elements.forEach((element, index) => {
      const key = index < DIGIT_KEYS ? String(index + 1) : "";
      const node = button("element", element.name, key, { "data-name": element.name });
      if (element.occasional) { node.classList.add("occasional"); node.append(made("small", {}, w.occasional)); }
      elements.append(node);
    });
    const deeds = this.get("deeds");
    deeds.setAttribute("aria-label", w.deeds);
    for (const [act, key] of [["foreign", "F"], ["missed", "M"], ["strike", "\u232b"], ["pause", "P"], ["note", "N"], ["stop", "E"], ["again", ""]]) {
      deeds.append(button(act, w[`do_${act}`], key));
    }
    this.get("ratings").setAttribute("aria-label", w.ratings);
    this.get("ratings-keys").append(made("kbd", {}, "["), w.key_lower, made("kbd", {}, "]"), w.key_higher);
    this.drawKeys();
    for (const rating of this.data.ratings) this.get("steps").append(button("rate", String(rating), "", { "data-value": rating }));
    this.get("note-head").textContent = w.note_head;
    this.get("note-keep").textContent = w.note_keep;
    for (const name of ["sound", "flash", "fill"]) {
      const label = made("label", {});
      const box = made("input", { type: "checkbox", "data-switch": name });
      let kept = null;
      try { kept = localStorage.getItem(`coreset-${name}`); } catch (error) { kept = null; }
      box.checked = kept !== "0";
      label.append(box, made("span", {}, w[name]));
      this.get("switches").append(label);
    }
    this.buildPictures();
    if (this.data.video) this.buildFilm();
    this.draw();
  },

  buildPictures() {
    // One picture an element, made once: none is decoded at a press.
    this.pictures = new Map();
    for (const [name, { picture }] of Object.entries(this.data.breakpoints)) {
      if (picture) this.pictures.set(name, made("img", { src: picture, alt: "", hidden: "" }));
    }
    const next = this.get("next");  // its height stays from element to element, so that nothing below it moves
    next.classList.toggle("pictured", this.pictures.size > 0);
    next.classList.toggle("described", Object.values(this.data.breakpoints).some(({ words }) => words));
    this.get("next-pictures").replaceChildren(...this.pictures.values());
  },

  drawKeys() {
    // Every key that the clock listens for.
    const w = this.words;
    const deeds = [["F", "foreign"], ["M", "missed"], ["\u232b", "strike"], ["P", "pause"], ["N", "note"], ["E", "stop"]];
    const keys = [["Space", w.key_next], ["Enter", this.data.video ? w.play : w.key_next], [`1\u2013${DIGIT_KEYS}`, w.key_element],
      ["[", w.key_lower], ["]", w.key_higher], ...deeds.map(([key, act]) => [key, w[`do_${act}`]]), ["Esc", w.key_escape]];
    if (this.data.video) keys.push(["\u2190", w.frame_back], ["\u2192", w.frame_forward]);
    const list = this.get("keys");
    list.setAttribute("aria-label", w.keys);
    list.replaceChildren(...keys.map(([key, what]) => { const item = made("li", {}); item.append(made("kbd", {}, key), what); return item; }));
  },

  buildFilm() {
    const w = this.words;
    const box = this.get("film");
    box.hidden = false;
    this.film = new Film(box.querySelector("video"), this.data.video, () => this.drawFilm());
    this.film.video.setAttribute("aria-label", this.data.video.name);
    this.film.video.addEventListener("loadeddata", () => this.film.measure(), { once: true });
    const keys = this.get("film-keys");
    keys.append(button("back", w.frame_back, "\u2190"), button("play", w.play, "\u21b5"), button("forward", w.frame_forward, "\u2192"));
    for (const speed of SPEEDS) keys.append(button("speed", `${speed}\u00d7`, "", { "data-value": speed, "aria-label": this.fill("speed", { speed }) }));
  },

  drawFilm() {
    const rate = this.film.ready && this.film.framesPerSecond();
    const uneven = this.film.ready && this.film.spread();
    const words = uneven ? this.fill("film_varies", { at: this.film.mediaTime.toFixed(3), low: uneven.low.toFixed(2), high: uneven.high.toFixed(2) }) : rate ? this.fill("film_at", { at: this.film.mediaTime.toFixed(3), frame: Math.round(this.film.mediaTime * rate), rate: rate.toFixed(2) })
      : this.words.film_unmeasured;
    put(this.get("film-facts"), words);
    this.get("clock").dataset.frame = this.film.mediaTime.toFixed(6);
  },

  run() {
    if (this.gone) return;
    this.drawDigits();
    this.frame = requestAnimationFrame(() => this.run());
  },

  drawDigits() {
    const state = this.drawn;
    if (!state) return;
    const at = performance.timeOrigin + performance.now();
    const clock = state.stopped !== null ? state.stopped : this.phaseShown === "idle" ? 0 : this.clockAt(at);
    const own = clock - (state.away ? state.away.clock_s : state.before) + (state.away ? 0 : state.half);
    const snap = this.data.timing === "snapback" && this.phaseShown === "running";
    put(this.get("digits"), mmss(snap ? own : clock));
    const timing = ["running", "away", "paused"].includes(this.phaseShown);
    put(this.get("lap"), timing ? mmss(snap ? clock : own) : "");
    const range = this.phaseShown === "running" && this.range;
    put(this.get("unusual"), range && own > range.high ? this.fill("longer", { high: mmss(range.high) }) : this.lastUnusual || "");
    this.get("now").classList.toggle("warn", Boolean(range && own > range.high));
  },

  draw() {
    const state = this.shown();
    this.drawn = state;
    const phase = this.phase(state);
    this.phaseShown = phase;
    this.range = usual(state.times.get(state.next));
    this.lastUnusual = this.unusualWords(state);
    const w = this.words;
    this.get("clock").dataset.state = this.data.locked ? "locked" : phase;
    this.get("clock").dataset.durable = this.durable;
    this.get("clock").dataset.who = this.data.who;
    this.get("clock").dataset.device = this.session ? this.session.device : "";
    put(this.get("state"), this.data.locked ? w[this.data.locked] : w[`state_${phase}`]);
    put(this.get("under-way"), phase === "running" ? this.fill("under_way", { element: state.next, cycle: cycleOf(this.data.elements, state, state.next) }) : "");
    this.drawNext(phase, state);
    for (const node of this.get("elements").children) {
      node.disabled = phase !== "running" || this.data.locked;
      node.classList.toggle("foreseen", phase === "running" && node.dataset.name === state.next);
    }
    this.drawDeeds(phase, state);
    this.drawRatings(phase, state);
    this.drawGuide(state, phase);
    this.drawLast(state);
    this.drawKept();
    this.drawDigits();
    this.fillScreen();
  },

  unusualWords(state) {
    const row = this.lastRow(state);
    if (!row) return "";
    const times = (state.times.get(row.element) || []).slice(0, -1);
    const range = usual(times);
    if (!range || (row.spent >= range.low && row.spent <= range.high)) return "";
    return this.fill("was_unusual", { element: row.element, time: mmss(row.spent), low: mmss(range.low), high: mmss(range.high) });
  },

  drawNext(phase, state) {
    const w = this.words;
    const node = this.get("next");
    const what = { idle: w.next_start, waiting: w.next_first, running: this.fill("next_end", { element: state.next }),
      away: w.next_back, paused: w.next_back, stopped: w.state_stopped }[phase];
    const nameless = phase === "idle" && !this.data.who;
    // Until what this device holds is read, no press is taken: the largest target says so.
    const unread = !this.live && !this.data.locked;
    put(this.get("next-what"), this.data.locked ? w[this.data.locked] : unread ? w.next_unread : nameless ? w.no_code : what);
    let then = "";
    if (phase === "running") {
      const coming = { ...state, counts: new Map(state.counts) };
      follow(this.data.elements, coming, state.next, cycleOf(this.data.elements, state, state.next));
      then = this.fill("next_then", { element: foreseen(this.data.elements, coming) });
    } else if (phase === "idle" && !this.data.locked && !unread) then = nameless ? w.no_code_then : w.next_start_then;
    put(this.get("next-then"), then);
    const ending = phase === "running" ? state.next : null;
    put(this.get("next-breakpoint"), (this.data.breakpoints[ending] || {}).words || "");
    for (const [name, picture] of this.pictures) picture.hidden = name !== ending;
    node.disabled = phase === "stopped" || nameless || unread || Boolean(this.data.locked);
  },

  drawDeeds(phase, state) {
    const w = this.words;
    const node = (act) => this.root.querySelector(`.deeds [data-do=${act}]`);
    const timing = ["running", "away", "paused"].includes(phase);
    put(node("foreign").querySelector(".label"), phase === "away" ? w.do_foreign_over : w.do_foreign);
    put(node("pause").querySelector(".label"), phase === "paused" ? w.do_pause_over : w.do_pause);
    put(node("stop").querySelector(".label"), this.sure ? w.do_stop_sure : w.do_stop);
    node("foreign").disabled = !timing || phase === "paused";
    node("pause").disabled = !timing || phase === "away";
    node("missed").disabled = phase !== "running";
    node("strike").disabled = !timing || !state.rows.length && !state.away;
    node("note").disabled = !state.rows.length;
    node("stop").disabled = !timing && phase !== "waiting";
    node("again").hidden = phase !== "stopped";
    node("stop").classList.toggle("sure", Boolean(this.sure));
  },

  drawRatings(phase, state) {
    const row = this.lastRow(state);
    const rating = row && (row.rating == null ? this.data.rating : row.rating);
    put(this.get("ratings-head"), row ? this.fill("ratings_of", { element: row.element, rating }) : this.words.ratings);
    for (const node of this.get("steps").children) {
      node.disabled = !row || this.data.locked;
      node.setAttribute("aria-pressed", String(Boolean(row) && Number(node.dataset.value) === rating));
    }
  },

  drawGuide(state, phase) {
    const w = this.words;
    const g = guidance(state, this.data.precision, this.data.t, this.data.dependence);
    const rows = [[w.guide_cycles, String(g.n)]];
    rows.push([w.guide_mean, g.mean === undefined ? w.not_yet : this.fill("seconds", { s: g.mean.toFixed(1) })]);
    rows.push([w.guide_interval, g.low === undefined ? w.not_yet : this.fill("between", { low: g.low.toFixed(1), high: g.high.toFixed(1) })]);
    rows.push([this.fill("guide_need", { precision: Math.round(this.data.precision * 100) }), g.need === undefined ? w.not_yet : String(g.need)]);
    rows.push([w.guide_unread, this.fill("seconds", { s: state.notRead.toFixed(1) })]);
    const list = this.root.querySelector(".guide dl");
    const text = JSON.stringify(rows);
    if (list.dataset.text === text) return;
    list.dataset.text = text;
    list.replaceChildren(...rows.map(([name, value]) => {
      const pair = made("div", {});
      pair.append(made("dt", {}, name), made("dd", {}, value));
      return pair;
    }));
  },

  drawLast(state) {
    const rows = state.rows.slice(-6).reverse();
    this.get("last").replaceChildren(...rows.map((row) => made("li", {}, [row.cycle, row.element,
      row.kind === "missed" ? this.words.mark_missed : mmss(row.spent, 2), row.rating ?? "", row.note || ""].filter((x) => x !== "").join(" \u00b7 "))));
  },

  drawKept() {
    const n = this.journal.unsent;
    const stored = this.durable - n;
    const late = this.session && this.journal.late.get(this.session.device);
    this.get("clock").dataset.unsent = n;
    put(this.get("kept"), n ? this.fill(n === 1 ? "kept_one" : "kept_here", { n }) : this.durable ? this.fill(late ? "all_stored_late" : "all_stored", { n: stored, late: late && late.seqs.size }) : "");
    this.get("kept").classList.toggle("waiting", n > 0);
    const box = this.get("refused");
    const told = this.journal.refusal || (late && late.words);
    if (told) { box.hidden = false; put(box, told); }
    else if (box.textContent && !n) { box.hidden = true; put(box, ""); }
  },
});

function darkPage(node) {
  const colour = getComputedStyle(node).getPropertyValue("--st-background-color").trim();
  const hex = /^#?([0-9a-f]{2})([0-9a-f]{2})([0-9a-f]{2})/i.exec(colour);
  const parts = hex ? hex.slice(1, 4).map((x) => parseInt(x, 16)) : (colour.match(/\d+/g) || [255, 255, 255]).slice(0, 3).map(Number);
  return parts.reduce((a, b) => a + b, 0) < 384;
}

function put(node, text) { if (node.textContent !== shown(text)) node.textContent = shown(text); }

const clocks = new WeakMap();

export default function ({ data, parentElement, setTriggerValue }) {
  decimal = data.decimal === "comma" ? "," : ".";
  const root = parentElement.querySelector(".clock").parentNode;
  const name = JSON.stringify([data.case, data.study, data.timing, data.video && data.video.name, data.locked, data.elements]);
  const running = clocks.get(parentElement);
  if (running && running.name === name && !running.gone) {
    running.tellPage = setTriggerValue;
    if (JSON.stringify(running.data.breakpoints) !== JSON.stringify(data.breakpoints)) { running.data.breakpoints = data.breakpoints; running.buildPictures(); running.draw(); }
    if (running.data.who !== data.who) { running.data.who = data.who; running.draw(); }
    return () => running.destroy();
  }
  if (running) running.destroy();
  for (const part of ["elements", "deeds", "steps", "film-keys", "switches", "ratings-keys", "keys"]) root.querySelector(`.${part}`).replaceChildren();
  const clock = new Clock(root, data, setTriggerValue);
  clock.name = name;
  clocks.set(parentElement, clock);
  return () => clock.destroy();
}
