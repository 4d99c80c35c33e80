// Film: a recorded job in the place of the live one; its clock is the media time of the frame that is shown.

const PROBES = 7;
const EDGE_S = 0.001;
const SAME_S = 0.0005;
const UNEVEN = 0.1;
const ROUNDED_S = 0.0021;

class Film {
  constructor(video, facts, changed) {
    this.video = video;
    this.facts = facts;
    this.changed = changed;
    this.mediaTime = 0;
    this.gaps = [];
    this.exact = [];
    video.src = facts.url;
    video.muted = true;
    video.playsInline = true;
    video.preload = "auto";
    this.watch();
  }

  watch() {
    this.video.requestVideoFrameCallback((now, frame) => {
      const gap = frame.mediaTime - this.mediaTime;
      if (gap > 0 && !this.video.paused && !this.seeking) { this.gaps.push(gap); this.closer(gap); }
      if (this.gaps.length > 400) this.gaps.shift();
      this.seeking = false;
      this.mediaTime = frame.mediaTime;
      this.shown = true;
      if (!this.stepping) this.changed();
      this.watch();
    });
    this.video.onseeking = () => { this.seeking = true; };
  }

  framesPerSecond() {
    // Frames may be skipped while playing, never invented: the usual gap is the smallest that keeps coming back.
    if (this.measured) return this.measured;
    if (this.gaps.length < 8) return null;
    const sorted = [...this.gaps].sort((a, b) => a - b);
    const low = sorted[Math.floor(sorted.length / 10)];
    const same = sorted.filter((gap) => Math.abs(gap - low) < 0.2 * low);
    return same.length / same.reduce((a, b) => a + b, 0);
  }

  closer(gap) {
    // Frames nearer to one another than any so far: a player may skip frames, it never invents them.
    if (this.exact.length && gap < Math.min(...this.exact) - this.leeway(gap)) this.exact.push(gap);
  }

  leeway(gap) { return Math.max(UNEVEN * gap, ROUNDED_S); }

  // Distances of neighbouring frames that were found one by one: even, or how far they lie apart.
  spread() {
    if (!this.exact.length) return null;
    const least = Math.min(...this.exact);
    const most = Math.max(...this.exact);
    return most - least > this.leeway(least) ? { low: 1 / most, high: 1 / least } : null;
  }

  async measure() {
    // Played for a moment, unseen by the study, then looked at frame by frame in several places, then put back.
    const at = this.video.currentTime;
    const span = Math.min(1.2, Math.max(0.4, (this.video.duration || 1) - at));
    try { await this.video.play(); } catch (error) { this.ready = true; return; }
    await new Promise((resolve) => setTimeout(resolve, span * 1000));
    this.video.pause();
    const found = this.framesPerSecond();
    for (let probe = 0; probe < PROBES; probe += 1) {
      await this.seek(((probe + 0.5) / PROBES) * (this.video.duration || 0));
      const from = this.mediaTime;
      const next = await this.frameAfter(from, 1 / (found || 30));
      if (next !== null) this.exact.push(next - from);
    }
    this.measured = found;
    await this.seek(at);
    this.ready = true;
    this.changed();
  }

  seek(time) {
    return new Promise((resolve) => {
      let shown = false;
      let sought = false;
      const late = () => { limit = 0; resolve(); };
      let limit = setTimeout(late, 2000);
      // A frame from before the seek may be painted once more: one later than what was sought is such a one.
      const over = () => { if (shown && sought && this.mediaTime <= time + SAME_S) { clearTimeout(limit); limit = 0; resolve(); } };
      const seen = () => { shown = true; over(); if (limit) this.video.requestVideoFrameCallback(seen); };
      this.video.addEventListener("seeked", () => {
        sought = true;
        clearTimeout(limit);
        limit = setTimeout(late, 700);
        over();
      }, { once: true });
      this.video.requestVideoFrameCallback(seen);
      this.video.currentTime = Math.max(0, Math.min(time, this.video.duration || time));
    });
  }

  async frameAfter(from, gap) {
    // One frame may be told with times that differ by microseconds, so times are the same within half a millisecond.
    // Past the next frame, then back from frame to frame until the one before is where it began.
    const end = this.video.duration || Infinity;
    for (let reach = 1.5; this.mediaTime <= from + SAME_S; reach *= 1.5) {
      if (from + reach * gap > end && reach > 1.5) return null;
      await this.seek(from + reach * gap);
    }
    // A player may show a later frame than the one sought, so several moments between the two are tried.
    let next = this.mediaTime;
    for (let between = next; between !== null;) {
      next = between;
      between = null;
      await this.seek(next - EDGE_S);
      if (this.mediaTime <= from + SAME_S) return next;
      if (this.mediaTime < next - SAME_S) { between = this.mediaTime; continue; }
      for (const share of [0.55, 0.7, 0.4, 0.85, 0.25]) {
        await this.seek(from + share * (next - from));
        if (this.mediaTime > from + SAME_S && this.mediaTime < next - SAME_S) { between = this.mediaTime; break; }
      }
    }
    return next;
  }

  async show(time) {
    for (const more of [EDGE_S, 0, 2 * EDGE_S, 8 * EDGE_S, -EDGE_S]) {
      await this.seek(time + more);
      if (Math.abs(this.mediaTime - time) < SAME_S) return;
    }
  }

  stepFrame(direction) {
    // Steps that are asked for while one is done follow it; what is shown on the way is not told.
    this.video.pause();
    this.asked = (this.asked || 0) + direction;
    if (!this.stepping) { this.stepping = true; this.still = this.stepAll(); }
    return this.still;
  }

  async stepAll() {
    try {
      while (this.asked) {
        const direction = Math.sign(this.asked);
        this.asked -= direction;
        await this.stepOnce(direction);
        this.changed();
      }
    } finally { this.asked = 0; this.stepping = false; this.changed(); }
  }

  async stepOnce(direction) {
    const uneven = this.spread();
    const frame = uneven ? 1 / uneven.high : 1 / (this.framesPerSecond() || 30);
    const from = this.mediaTime;
    if (uneven) { await this.stepUneven(direction, from, frame); return; }
    // To the middle of the neighbouring frame; a little further if frames lie unevenly.
    for (let reach = 1; reach < 6 && Math.abs(this.mediaTime - from) < SAME_S; reach += 0.5) {
      const to = direction > 0 ? from + (reach + 0.5) * frame : from - (reach - 0.5) * frame;
      if (to < 0 && from <= 0) break;
      await this.seek(to);
    }
  }

  async stepUneven(direction, from, frame) {
    if (direction < 0) { if (from > 0) await this.seek(from - EDGE_S); return; }
    const next = await this.frameAfter(from, frame);
    await this.show(next === null ? from : next);
  }
}
