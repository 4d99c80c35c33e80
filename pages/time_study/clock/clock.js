// Clock: the face, its keys, and the moment of each press. Times come from the event, never from a handler or a server.

const TICK_MS = 1000;
const STEP_MS = 200;
const FROZEN_MS = 5000;
const SURE_MS = 3000;
const DIGIT_KEYS = 9;
const OWN_KEYS = new Set(["Space", "Enter", "KeyF", "KeyM", "KeyP", "KeyN", "KeyE", "Backspace", "BracketLeft",
  "BracketRight", "ArrowLeft", "ArrowRight"]);

const ODD = /[\u0000-\u001f\u007f-\u009f\ufffe\uffff]|[\ud800-\udbff](?![\udc00-\udfff])|(?<![\ud800-\udbff])[\udc00-\udfff]/g;

const wall = (event) => performance.timeOrigin + event.timeStamp;
const mmss = (s, digits = 1) => {
  const sign = s < 0 ? "-" : "";
  const unit = 10 ** digits;
  const all = Math.floor(Math.abs(s) * unit + 1e-6);
  const minutes = Math.floor(all / (60 * unit));
  const rest = ((all % (60 * unit)) / unit).toFixed(digits).padStart(digits ? 3 + digits : 2, "0");
  return minutes < 60 ? `${sign}${minutes}:${rest}` : `${sign}${Math.floor(minutes / 60)}:${String(minutes % 60).padStart(2, "0")}:${rest}`;
};
let decimal = ".";
const shown = (text) => decimal === "." ? text : String(text).replace(/(?<![\w.])(\d+)\.(?=\d+(?!\w|\.\d))/g, `$1${decimal}`);
const deviceId = () => {
  const bytes = crypto.getRandomValues(new Uint8Array(9));
  return Array.from(bytes, (b) => b.toString(36).padStart(2, "0")).join("").slice(0, 16);
};
const localIso = (ms) => {
  const date = new Date(ms);
  const offset = -date.getTimezoneOffset();
  const local = new Date(ms + offset * 60000).toISOString().slice(0, 23);
  const pad = (n) => String(Math.floor(Math.abs(n))).padStart(2, "0");
  return `${local}${offset < 0 ? "-" : "+"}${pad(offset / 60)}:${pad(offset % 60)}`;
};

class Clock {
  constructor(root, data, tell) {
    this.root = root;
    this.data = data;
    this.tellPage = tell;
    this.journal = journal();
    this.presses = [];
    this.durable = 0;
    this.session = null;
    this.filling = false;
    this.mono = null;
    this.words = data.words;
    this.get = (name) => root.querySelector(`.${name}`);
    delete this.get("clock").dataset.live;  // a clock before this one may have left it
    this.build();
    this.listen();
    this.refresh = () => this.drawKept();
    this.journal.listeners.add(this.refresh);
    this.ready = this.resume().then(() => {
      if (this.gone) return;
      this.live = true;
      this.get("clock").dataset.live = "1";
      this.draw();
      this.journal.send();
      this.journal.tidy();
    },
      (error) => this.fail(error));
    this.frame = requestAnimationFrame(() => this.run());
    this.watchCover();
    this.ticker = setInterval(() => this.tick(), TICK_MS);
  }

  // ---- sessions: one device and tab, one sequence ----

  async resume() {
    if (this.data.video) { this.session = null; return; }
    for (const session of await this.journal.sessions(this.data.case, this.data.study)) {
      if (session.stopped || session.film || !(await this.hold(session.device))) continue;
      this.session = session;
      this.presses = await this.journal.presses(session.device);
      this.durable = this.presses.length;
      for (const press of this.presses) if (press.apart) this.journal.tellLate(session.device, press.seq, press.apart);
      if (session.origin !== performance.timeOrigin) {
        // A new page has a new origin, laid by the wall clock: the study says so.
        const now = performance.timeOrigin + performance.now();
        session.origin = performance.timeOrigin;
        await this.journal.note(session);
        await this.press("trouble", now, { note: this.fill("reopened", { at: mmss((now - session.begun) / 1000) }) });
      }
      return;
    }
  }

  hold(device) {
    // A sequence belongs to one tab: the lock falls when the tab is closed, reloaded or killed.
    if (!navigator.locks) return Promise.resolve(sessionStorage.getItem("coreset-device") === device);
    return new Promise((resolve) => {
      navigator.locks.request(`coreset-${device}`, { ifAvailable: true }, (lock) => {
        const held = lock && !this.gone;
        resolve(Boolean(held));
        return held ? new Promise((free) => { this.free = free; }) : null;
      });
    });
  }

  async begin(at) {
    const device = deviceId();
    sessionStorage.setItem("coreset-device", device);
    this.session = { device, case: this.data.case, study: this.data.study, begun: at, origin: performance.timeOrigin,
      film: Boolean(this.film) };
    this.presses = [];
    this.durable = 0;
    this.startMedia = this.film ? this.film.mediaTime : 0;
    this.hold(device);
    await this.press("start", at, { note: `${localIso(at)} ${this.data.who}` });
    if (this.film) {
      const { name, bytes, sha256 } = this.data.video;
      const uneven = this.film.spread();
      const rate = this.film.framesPerSecond();
      const told = uneven ? this.fill("film_varying", { low: uneven.low.toFixed(3), high: uneven.high.toFixed(3) }) : rate ? rate.toFixed(3) : "?";
      const from = `${this.startMedia.toFixed(6)} s`;
      await this.press("video", at, { note: this.fill("film_origin", { name, bytes, sha256, rate: told, from }) });
    }
  }

  // ---- presses ----

  clockAt(at) {
    if (this.film) return Math.max(0, this.film.mediaTime - this.startMedia);
    return this.session ? (at - this.session.begun) / 1000 : 0;
  }

  async press(kind, at, more = {}) {
    const seq = this.presses.length ? this.presses[this.presses.length - 1].seq + 1 : 1;
    const clock = Math.max(0, Math.round(this.clockAt(at) * 1e6) / 1e6);
    const press = { seq, kind, clock_s: clock, wall_ms: at, cycle: 0, element: "", rating: null, target: null, note: "", ...more };
    this.presses.push(press);
    const session = this.session;
    try {
      await this.journal.keep(session, press);
    } catch (error) { this.fail(error); return; }
    if (session !== this.session) return;
    this.durable = Math.max(this.durable, seq);
    this.taken(press);
  }

  taken(press) {
    if (!["trouble", "video"].includes(press.kind)) { this.beep(); this.flash(); }
    this.say(this.sentence(press));
    this.draw();
    if (press.kind === "start" && !this.filling) this.get("clock").scrollIntoView({ block: "start" });
    if (press.kind === "stop") this.finish();
  }

  async finish() {
    // The page is drawn anew once, when the study is over and stored; while timing it is left alone.
    const device = this.session.device;
    for (let wait = 0; wait < 240 && this.journal.unsent; wait += 1) await new Promise((go) => setTimeout(go, 250));
    if (!this.journal.unsent) this.tellPage("finished", device);
  }

  state() { return understood(this.presses, this.data.elements); }

  shown() { return understood(this.presses.slice(0, this.durable), this.data.elements); }

  phase(state) {
    if (!this.session || !state.begun) return "idle";
    if (state.stopped !== null) return "stopped";
    if (state.away) return state.away.note === "pause" ? "paused" : "away";
    return state.first === null ? "waiting" : "running";
  }

  do(what, at, more) {
    if (!this.live || this.data.locked || (this.film && !this.film.ready)) return;
    if (this.film && this.film.stepping) { this.film.still.then(() => this.do(what, at, more)); return; }
    const state = this.state();
    const phase = this.phase(state);
    if (phase === "idle" && !this.data.who) { this.say(this.words.no_code); return; }
    const deeds = {
      next: () => this.doNext(phase, state, at),
      element: () => { if (phase === "running") this.end(state, more, at); },
      foreign: () => this.away(phase, state, at, "foreign"),
      pause: () => this.away(phase, state, at, "pause"),
      missed: () => { if (phase === "running") this.end(state, state.next, at, "missed"); },
      strike: () => this.strike(phase, state, at),
      rate: () => this.rate(phase, state, at, more),
      note: () => this.openNote(phase),
      "note-keep": () => this.keepNote(phase, state, at),
      stop: () => this.stop(phase, state, at),
      again: () => { if (phase === "stopped") { this.session = null; this.presses = []; this.durable = 0; if (this.free) this.free(); this.draw(); } },
    };
    deeds[what]();
  }

  doNext(phase, state, at) {
    if (phase === "idle") this.begin(at).then(() => { if (this.film) this.press("first", at); });
    else if (phase === "waiting") this.press("first", at);
    else if (phase === "running") this.end(state, state.next, at);
    else if (phase === "away" || phase === "paused") this.back(state, at);
  }

  end(state, name, at, kind = "end") {
    this.press(kind, at, { element: name, cycle: cycleOf(this.data.elements, state, name) });
  }

  away(phase, state, at, name) {
    if (phase === "away" || phase === "paused") this.back(state, at);
    else if (phase === "running") {
      this.press("split", at, { element: state.next, cycle: cycleOf(this.data.elements, state, state.next), note: name === "pause" ? "pause" : "" });
    }
  }

  back(state, at) {
    const name = state.away.note === "pause" ? "pause" : "foreign";
    this.press("foreign", at, { element: name, cycle: state.away.cycle });
  }

  strike(phase, state, at) {
    if (phase !== "running" && phase !== "away" && phase !== "paused") return;
    const last = [...settled(this.presses)].reverse().find((p) => ["end", "missed", "split", "foreign"].includes(p.kind));
    if (last) this.press("strike", at, { target: last.seq, element: last.element, cycle: last.cycle });
  }

  lastRow(state) { return [...state.rows].reverse().find((row) => row.kind === "end"); }

  rate(phase, state, at, value) {
    const row = this.lastRow(state);
    if (!row || phase === "idle") return;
    const steps = this.data.ratings;
    const from = row.rating == null ? this.data.rating : row.rating;
    const rating = typeof value === "number" ? value : Math.min(Math.max(from + (value === "up" ? 5 : -5), steps[0]), steps[steps.length - 1]);
    this.press("rate", at, { target: row.seq, rating, element: row.element, cycle: row.cycle });
  }

  openNote(phase) {
    if (phase === "idle") return;
    this.get("note").hidden = false;
    this.get("note-text").focus();
  }

  keepNote(phase, state, at) {
    const text = this.get("note-text").value.replace(ODD, " ").trim();
    const row = state.rows[state.rows.length - 1];
    if (text && row) this.press("note", at, { target: row.seq, note: text, element: row.element, cycle: row.cycle });
    this.get("note-text").value = "";
    this.get("note").hidden = true;
  }

  stop(phase, state, at) {
    if (phase === "idle" || phase === "stopped") return;
    if (!this.sure || at - this.sure > SURE_MS) { this.sure = at; this.say(this.words.stop_sure); this.draw(); return; }
    this.sure = 0;
    if (state.away) this.back(state, at);
    this.press("stop", at);
  }

  // ---- what the instrument notices about itself ----

  tick() {
    const seen = performance.timeOrigin + performance.now();
    const lead = Date.now() - seen;
    const gap = this.mono === null ? 0 : seen - this.mono;
    const visible = document.visibilityState === "visible" && this.wasVisible;
    this.wasVisible = document.visibilityState === "visible";
    if (this.running()) {
      if (this.lead !== undefined && Math.abs(lead - this.lead) > STEP_MS) {
        this.press("trouble", seen, { note: this.fill("clock_set", { by: ((lead - this.lead) / 1000).toFixed(1), at: mmss(this.clockAt(seen)) }) });
      }
      if (visible && gap > FROZEN_MS + TICK_MS) this.stoodStill(gap, seen);
    }
    this.lead = lead;
    this.mono = seen;
    if (this.sure && seen - this.sure > SURE_MS) { this.sure = 0; this.draw(); }
  }

  stoodStill(gap, seen) {
    this.press("trouble", seen, { note: this.fill("froze", { by: (gap / 1000).toFixed(1), at: mmss(this.clockAt(seen)) }) });
  }

  thawed() {
    // The browser says itself that it froze the page: told whether the page was in sight or not.
    const seen = performance.timeOrigin + performance.now();
    if (this.frozen && this.running() && seen - this.frozen > FROZEN_MS) { this.stoodStill(seen - this.frozen, seen); this.mono = seen; }
    this.frozen = 0;
  }

  running() { return this.live && this.session && !this.film && !["idle", "stopped"].includes(this.phase(this.state())); }

  fill(key, blanks) { return this.words[key].replace(/\{(\w+)\}/g, (all, name) => blanks[name] ?? all); }

  fail(error) {
    const box = this.get("refused");
    box.hidden = false;
    box.textContent = this.fill("storage_failed", { error: String(error && error.message || error) });
  }

  // The framework lays a dialog over everything when its server is gone; the clock needs no server, so away with it.

  watchCover() {
    this.cover = new MutationObserver(() => this.uncover());
    this.cover.observe(document.body, { childList: true, attributes: true, attributeFilter: ["inert"], subtree: true });
  }

  async uncover() {
    if (!document.querySelector("#root[inert]") || !this.session || this.uncovering) return;
    this.uncovering = true;
    if (!(await this.serverGone())) { this.uncovering = false; return; }
    const close = document.querySelector("[role=dialog] button[aria-label]");
    if (close && close.textContent === "") close.click();
    this.uncovering = false;
  }

  async serverGone() {
    if (this.journal.failures > 0 || !navigator.onLine) return true;
    try {
      await fetch("/_stcore/health", { signal: AbortSignal.timeout(1500) });
      return false;
    } catch (error) { return true; }
  }

  // ---- input ----

  listen() {
    this.onKey = (event) => this.key(event);
    document.addEventListener("keydown", this.onKey, true);
    this.onFreeze = () => { this.frozen = performance.timeOrigin + performance.now(); };
    this.onResume = () => this.thawed();
    document.addEventListener("freeze", this.onFreeze);
    document.addEventListener("resume", this.onResume);
    // Pressed means pointer down; a click that follows one is no second press, one that comes alone (keyboard, aid) is.
    this.root.addEventListener("pointerdown", (event) => {
      const button = event.target.closest("button[data-do]");
      if (!button || event.button !== 0) return;
      event.preventDefault();
      this.leaveOthers();
      this.pointed = button;
      this.act(button, event);
    });
    this.root.addEventListener("click", (event) => {
      if (event.target.matches("input[data-switch]") && event.detail > 0) event.target.blur();
      const button = event.target.closest("button[data-do]");
      if (!button) return;
      const pointed = this.pointed === button && event.detail > 0;
      this.pointed = null;
      if (!pointed) this.act(button, event);
    });
    this.root.addEventListener("contextmenu", (event) => { if (event.target.closest("button")) event.preventDefault(); });
    this.root.addEventListener("change", (event) => {
      const box = event.target.closest("input[data-switch]");
      if (box) { this.fillScreen(); try { localStorage.setItem(`coreset-${box.dataset.switch}`, box.checked ? "1" : "0"); } catch (error) { /* kept for this page only */ } }
    });
  }

  leaveOthers() {
    // Keys belong to the clock again once it is touched, whatever field had them before.
    const focused = document.activeElement;
    if (focused && focused !== document.body && !this.root.contains(focused) && this.root.host !== focused) focused.blur();
  }

  act(button, event) {
    const more = button.dataset.value !== undefined ? Number(button.dataset.value) : button.dataset.name;
    const film = { play: () => this.toggle(), back: () => this.film.stepFrame(-1), forward: () => this.film.stepFrame(1),
      speed: () => { this.film.video.playbackRate = more; this.draw(); } };
    if (film[button.dataset.do]) { film[button.dataset.do](); return; }
    if (button.dataset.do === "next" && button.disabled) return;
    this.do(button.dataset.do, wall(event), more);
  }

  toggle() { if (this.film.video.paused) this.film.video.play(); else this.film.video.pause(); }

  key(event) {
    const target = event.composedPath()[0];
    const inside = event.composedPath().includes(this.root);
    if (event.repeat || event.ctrlKey || event.altKey || event.metaKey || event.isComposing) return;
    if (target === this.get("note-text")) {
      if (event.code === "Enter") { event.preventDefault(); this.do("note-keep", wall(event)); }
      if (event.code === "Escape") { this.get("note").hidden = true; }
      event.stopPropagation();
      return;
    }
    const typing = target.matches && target.matches("input:not([type=checkbox]), textarea, select, [contenteditable=true]");
    if (typing) return;
    const control = target.matches && target.matches("button, a, input, summary, [role=button], [role=tab]");
    if (control && (event.code === "Enter" || (event.code === "Space" && target.tagName !== "A"))) return;
    if (control && !inside && event.code.startsWith("Arrow")) return;
    const digit = /^(?:Digit|Numpad)([1-9])$/.exec(event.code);
    if (!digit && !OWN_KEYS.has(event.code)) return;
    event.preventDefault();
    event.stopPropagation();
    this.keyed(event.code, digit && Number(digit[1]), wall(event));
  }

  keyed(code, digit, at) {
    if (digit) { const element = this.data.elements[digit - 1]; if (element) this.do("element", at, element.name); return; }
    if (this.film && code.startsWith("Arrow")) { this.film.stepFrame(code === "ArrowRight" ? 1 : -1); return; }
    if (this.film && code === "Enter") { this.toggle(); return; }
    const deeds = { Space: "next", Enter: "next", KeyF: "foreign", KeyM: "missed", KeyP: "pause", KeyN: "note", KeyE: "stop", Backspace: "strike" };
    if (deeds[code]) this.do(deeds[code], at);
    else if (code.startsWith("Bracket")) this.do("rate", at, code === "BracketRight" ? "up" : "down");
  }

  // ---- signs ----

  switched(name) { const box = this.root.querySelector(`input[data-switch=${name}]`); return box && box.checked; }

  beep() {
    if (!this.switched("sound")) return;
    try {
      this.audio = this.audio || new AudioContext();
      const tone = this.audio.createOscillator();
      const gain = this.audio.createGain();
      gain.gain.setValueAtTime(0.2, this.audio.currentTime);
      gain.gain.exponentialRampToValueAtTime(0.001, this.audio.currentTime + 0.06);
      tone.frequency.value = 880;
      tone.connect(gain).connect(this.audio.destination);
      tone.start();
      tone.stop(this.audio.currentTime + 0.07);
    } catch (error) { /* a device without sound still times */ }
  }

  fillScreen() {
    // While the clock runs the rest of the page is hidden, from the keyboard and from screen readers too.
    const fills = !this.gone && !this.data.locked && ["waiting", "running", "away", "paused"].includes(this.phaseShown) && this.switched("fill");
    if (this.filling === fills) return;
    this.filling = fills;
    this.get("clock").classList.toggle("fills", fills);
    // The main landmark stays, for screen readers, with the clock alone in it; its study is the heading.
    const main = document.querySelector("main, [role=main]");
    document.body.style.visibility = fills ? "hidden" : "";
    document.body.classList.toggle("clock-alone", fills);  // for what is visible by a rule of its own
    if (main) main.style.visibility = fills ? "visible" : "";
    for (const part of main ? main.children : []) part.style.visibility = fills ? "hidden" : "";
    for (const [name, value] of [["role", "heading"], ["aria-level", "1"]]) {
      if (fills) this.get("where").setAttribute(name, value); else this.get("where").removeAttribute(name);
    }
    if (this.phaseShown === "stopped" && main) main.scrollTop = 0;  // what comes after Stop stands above the clock
    else if (!this.gone) this.get("clock").scrollIntoView({ block: "nearest" });
  }

  flash() {
    if (!this.switched("flash")) return;
    const face = this.get("face");
    face.classList.remove("flash");
    void face.offsetWidth;
    face.classList.add("flash");
  }

  say(text) { if (text) this.get("said").textContent = shown(text); }

  sentence(press) {
    const time = mmss(press.clock_s, 2);
    const key = { start: "took_start", first: "took_first", end: "took_end", missed: "took_missed", split: "took_split",
      foreign: "took_back", strike: "took_strike", rate: "took_rate", note: "took_note", stop: "took_stop", trouble: "took_trouble" }[press.kind];
    return key ? this.fill(key, { time, element: press.element, rating: press.rating, note: press.note, cycle: press.cycle }) : "";
  }

  destroy() {
    document.removeEventListener("keydown", this.onKey, true);
    document.removeEventListener("freeze", this.onFreeze);
    document.removeEventListener("resume", this.onResume);
    this.journal.listeners.delete(this.refresh);
    cancelAnimationFrame(this.frame);
    clearInterval(this.ticker);
    this.cover.disconnect();
    if (this.free) this.free();
    if (this.film) this.film.video.pause();
    this.gone = true;
    this.fillScreen();
  }
}
