// The one time of the page: what plays, how fast, and who is told.

export const SPEEDS = [1, 1 / 2, 1 / 5, 1 / 10, 1 / 20, 1 / 50];

export class Clock {
  /** @param {number} first @param {number} last @param {() => void} changed */
  constructor(first, last, changed) {
    this.first = first;
    this.last = last;
    this.now = first;
    this.speed = 1;
    this.playing = false;
    this.changed = changed;
  }

  /** @param {number} t */
  seek(t) {
    this.now = Math.min(Math.max(t, this.first), this.last);
    this.changed();
  }

  /** Start or stop; at the end it starts anew. @param {boolean} wanted */
  play(wanted) {
    if (wanted && this.now >= this.last) this.now = this.first;
    this.playing = wanted;
    this.changed();
  }

  /** @param {number} speed */
  go(speed) {
    this.speed = speed;
    this.changed();
  }

  /** Slower (+1) or faster (-1). @param {number} steps */
  shift(steps) {
    const at = SPEEDS.indexOf(this.speed);
    this.go(SPEEDS[Math.min(Math.max(at + steps, 0), SPEEDS.length - 1)]);
  }

  /** Some seconds of the wall have passed. @param {number} seconds */
  pass(seconds) {
    if (!this.playing) return;
    this.now = Math.min(this.now + seconds * this.speed, this.last);
    if (this.now >= this.last) this.playing = false;
  }
}
