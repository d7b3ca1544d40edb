// The instant that is shown, and whether it runs.

export class Clock {
  constructor(end) {
    Object.assign(this, { end, t: 0, speed: 1, playing: false, listeners: [], last: null });
  }

  onChange(listener) {
    this.listeners.push(listener);
  }

  seek(t) {
    this.t = Math.min(this.end, Math.max(0, t));
    this.tell("seek");
  }

  play() {
    if (this.playing || this.end === 0) return;
    if (this.t >= this.end) this.t = 0;
    this.playing = true;
    this.last = null;
    requestAnimationFrame((now) => this.frame(now));
    this.tell("play");
  }

  pause() {
    if (!this.playing) return;
    this.playing = false;
    this.tell("pause");
  }

  toggle() {
    if (this.playing) this.pause();
    else this.play();
  }

  frame(now) {
    if (!this.playing) return;
    if (this.last !== null) this.t = Math.min(this.end, this.t + ((now - this.last) / 1000) * this.speed);
    this.last = now;
    this.tell("frame");
    if (this.t >= this.end) this.pause();
    else requestAnimationFrame((next) => this.frame(next));
  }

  tell(why) {
    for (const listener of this.listeners) listener(this.t, why);
  }
}
