// Designs: where the sliders stand, the way back and forth, the pinned one; kept over a reload of the page.

/** @typedef {{taken: number, moved: [number, number][]}} Design  advice that it stands on, 0 none; controls moved since */

export class Designs {
  /** @param {string} shelf name under which this tab keeps them */
  constructor(shelf) {
    this.shelf = shelf;
    /** @type {Design[]} */
    this.past = [];
    /** @type {Design[]} */
    this.ahead = [];
    /** @type {Design} */
    this.now = { taken: 0, moved: [] };
    this.pinned = this.now;
    try {
      const kept = JSON.parse(sessionStorage.getItem(shelf) ?? "null");
      if (kept) Object.assign(this, kept);
    } catch {
      // a tab that may keep nothing begins anew
    }
  }

  keep() {
    try {
      const { past, ahead, now, pinned } = this;
      sessionStorage.setItem(this.shelf, JSON.stringify({ past: past.slice(-MOST), ahead, now, pinned }));
    } catch {
      // as above
    }
  }

  /** The present design with one control moved. @param {number} index @param {number} value @returns {Design} */
  moved(index, value) {
    const rest = this.now.moved.filter(([other]) => other !== index);
    return { taken: this.now.taken, moved: [...rest, [index, value]] };
  }

  /** @param {Design} design */
  go(design) {
    if (same(design, this.now)) return;
    this.past.push(this.now);
    this.ahead = [];
    this.now = design;
    this.keep();
  }

  undo() {
    const before = this.past.pop();
    if (!before) return false;
    this.ahead.push(this.now);
    this.now = before;
    this.keep();
    return true;
  }

  redo() {
    const after = this.ahead.pop();
    if (!after) return false;
    this.past.push(this.now);
    this.now = after;
    this.keep();
    return true;
  }

  pin() {
    this.pinned = this.now;
    this.keep();
  }
}

const MOST = 200;

/** @param {Design} a @param {Design} b */
export const same = (a, b) => JSON.stringify(plain(a)) === JSON.stringify(plain(b));

/** @param {Design} design */
const plain = ({ taken, moved }) => [taken, [...moved].sort(([a], [b]) => a - b)];
