// Film: a recorded job in the place of the live one; its clock is the media time of the frame that is shown.

class Film {
  constructor(video, facts, changed) {
    this.video = video;
    this.facts = facts;
    this.changed = changed;
    this.mediaTime = 0;
    this.gaps = [];
    video.src = facts.url;
    video.muted = true;
    video.playsInline = true;
    video.preload = "auto";
    this.watch();
  }

  watch() {
    this.video.requestVideoFrameCallback((now, frame) => {
      const gap = frame.mediaTime - this.mediaTime;
      if (gap > 0 && !this.video.paused && !this.seeking) this.gaps.push(gap);
      if (this.gaps.length > 400) this.gaps.shift();
      this.seeking = false;
      this.mediaTime = frame.mediaTime;
      this.shown = true;
      this.changed();
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

  async measure() {
    // Played for a moment, unseen by the study, then put back to where it was.
    const at = this.video.currentTime;
    const span = Math.min(1.2, Math.max(0.4, (this.video.duration || 1) - at));
    try { await this.video.play(); } catch (error) { this.ready = true; return; }
    await new Promise((resolve) => setTimeout(resolve, span * 1000));
    this.video.pause();
    const found = this.framesPerSecond();
    this.measured = found;
    await this.seek(at);
    this.ready = true;
    this.changed();
  }

  seek(time) {
    return new Promise((resolve) => {
      const limit = setTimeout(resolve, 2000);
      this.video.requestVideoFrameCallback(() => { clearTimeout(limit); resolve(); });
      this.video.currentTime = Math.max(0, Math.min(time, this.video.duration || time));
    });
  }

  async stepFrame(direction) {
    this.video.pause();
    if (this.stepping) return;
    this.stepping = true;
    const frame = 1 / (this.framesPerSecond() || 30);
    const from = this.mediaTime;
    try {
      // To the middle of the neighbouring frame; a little further if frames lie unevenly.
      for (let reach = 1; reach < 6 && this.mediaTime === from; reach += 0.5) {
        const to = direction > 0 ? from + (reach + 0.5) * frame : from - (reach - 0.5) * frame;
        if (to < 0 && from <= 0) break;
        await this.seek(to);
      }
    } finally { this.stepping = false; }
  }
}
