// Rater check: known paces shown one after another; a rating is taken for each; all of them go to the page at the end.

const LOOK_MS = 1500; // a scene is seen so long before a rating of it counts
const STORE = "coreset.rater.";

class Check {
  constructor(root, data, tell) {
    this.root = root;
    this.data = data;
    this.tell = tell;
    this.get = (name) => root.querySelector(`.${name}`);
    this.given = this.recall();
    this.onStart = () => this.start();
    this.onStop = () => this.stop();
    this.onKey = (event) => this.key(event);
    this.get("start").addEventListener("click", this.onStart);
    this.get("stop").addEventListener("click", this.onStop);
    this.get("ratings").addEventListener("keydown", this.onKey);
    this.build();
    if (this.given.length === data.scenes.length) this.finish(); else this.rest();
  }

  // What was rated before the page was loaded anew.
  recall() {
    try {
      const kept = JSON.parse(sessionStorage.getItem(STORE + this.data.seed) || "[]");
      return Array.isArray(kept) ? kept.slice(0, this.data.scenes.length) : [];
    } catch { return []; }
  }

  remember() {
    try { sessionStorage.setItem(STORE + this.data.seed, JSON.stringify(this.given)); } catch { /* only a reload would miss it */ }
  }

  build() {
    const { words, offered } = this.data;
    const reduced = matchMedia("(prefers-reduced-motion: reduce)").matches;
    this.get("motion").hidden = !reduced;
    this.get("motion").textContent = words.motion;
    this.get("stop").textContent = words.stop;
    this.get("ratings").setAttribute("aria-label", words.ratings);
    this.buttons = offered.map((rating) => {
      const button = document.createElement("button");
      button.type = "button";
      button.textContent = rating;
      button.dataset.rating = rating;
      button.tabIndex = rating === this.data.middle ? 0 : -1;
      button.addEventListener("click", () => this.rate(rating));
      return button;
    });
    this.get("ratings").replaceChildren(...this.buttons);
  }

  say(text) { this.get("where").textContent = text; }

  state(name) {
    this.get("rater").dataset.state = name;
    this.get("start").hidden = name !== "idle";
    this.get("stop").hidden = name !== "running";
    this.get("ratings").hidden = name !== "running";
  }

  // Nothing moves until somebody asks for it.
  rest() {
    const { words, scenes } = this.data;
    this.state("idle");
    this.get("start").textContent = this.given.length ? words.go_on : words.start;
    this.say(words.ready.replace("{n}", scenes.length - this.given.length));
    this.scene(scenes[this.given.length]);
    this.draw(0);
  }

  start() {
    this.state("running");
    this.show();
    (this.buttons.find((button) => button.tabIndex === 0) || this.buttons[0]).focus({ preventScroll: true });
  }

  stop() {
    cancelAnimationFrame(this.frame);
    this.rest();
    this.get("start").focus({ preventScroll: true });
  }

  scene(scene) {
    const picture = this.get("picture");
    picture.replaceChildren();
    delete picture.dataset.metres;
    delete picture.dataset.cards;
    picture.setAttribute("aria-label", this.data.words[scene.shown]);
    this.draw = scene.shown === "walking" ? walker(picture, scene.metres_s, this.data.words) : dealer(picture, scene.card_s);
  }

  show() {
    const number = this.given.length;
    this.scene(this.data.scenes[number]);
    this.say(this.data.words.scene.replace("{i}", number + 1).replace("{n}", this.data.scenes.length));
    const begun = performance.now();
    this.seen = false;
    this.dim(true);
    const run = () => {
      const gone = performance.now() - begun;
      this.draw(gone / 1000);
      if (!this.seen && gone >= LOOK_MS) { this.seen = true; this.dim(false); }
      this.frame = requestAnimationFrame(run);
    };
    cancelAnimationFrame(this.frame);
    run();
  }

  dim(on) { for (const button of this.buttons) button.setAttribute("aria-disabled", String(on)); }

  rate(rating) {
    if (!this.seen) return;
    this.given.push(rating);
    this.remember();
    if (this.given.length === this.data.scenes.length) this.finish(); else this.show();
  }

  finish() {
    cancelAnimationFrame(this.frame);
    this.state("done");
    this.say(this.data.words.done);
    this.tell("rated", { seed: this.data.seed, given: this.given });
  }

  key(event) {
    const step = { ArrowRight: 1, ArrowUp: 1, ArrowLeft: -1, ArrowDown: -1, Home: -Infinity, End: Infinity }[event.key];
    const here = this.buttons.indexOf(event.target);
    if (step === undefined || here < 0) return;
    event.preventDefault();
    const next = this.buttons[Math.min(this.buttons.length - 1, Math.max(0, here + step))];
    for (const button of this.buttons) button.tabIndex = button === next ? 0 : -1;
    next.focus({ preventScroll: true });
  }

  destroy() {
    cancelAnimationFrame(this.frame);
    this.get("start").removeEventListener("click", this.onStart);
    this.get("stop").removeEventListener("click", this.onStop);
    this.get("ratings").removeEventListener("keydown", this.onKey);
  }
}

const checks = new WeakMap();

export default function ({ data, parentElement, setTriggerValue }) {
  const running = checks.get(parentElement);
  if (running && running.data.seed === data.seed) { running.tell = setTriggerValue; return () => running.destroy(); }
  if (running) running.destroy();
  const check = new Check(parentElement.querySelector(".rater").parentNode, data, setTriggerValue);
  checks.set(parentElement, check);
  return () => { check.destroy(); checks.delete(parentElement); };
}
