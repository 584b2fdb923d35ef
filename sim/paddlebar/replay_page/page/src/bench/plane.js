// A map over two sliders: seconds in control, the design as a dot that can be dragged.

/** @import { Theme } from "../colours.js" */
/** @typedef {{x: number[], y: number[], controlled_s: (number | null)[][], most_s: number}} Told */

const LEFT = 52;
const BELOW = 34;

export class Plane {
  /** @param {HTMLCanvasElement} canvas @param {(x: number, y: number, rests: boolean) => void} moved */
  constructor(canvas, moved) {
    this.canvas = canvas;
    /** @type {Told | null} */
    this.told = null;
    this.dot = [0, 0];
    this.names = ["", ""];
    const drag = (/** @type {PointerEvent} */ event, /** @type {boolean} */ rests) => {
      if (!this.told) return;
      const box = canvas.getBoundingClientRect();
      const { x, y } = this.told;
      const share = (/** @type {number} */ v) => Math.min(Math.max(v, 0), 1);
      const across = share((event.clientX - box.left - LEFT) / (box.width - LEFT - 6));
      const up = share(1 - (event.clientY - box.top - 6) / (box.height - BELOW - 6));
      moved(x[0] + across * (x[x.length - 1] - x[0]), y[0] + up * (y[y.length - 1] - y[0]), rests);
    };
    canvas.addEventListener("pointerdown", (event) => {
      canvas.setPointerCapture(event.pointerId);
      drag(event, false);
    });
    canvas.addEventListener("pointermove", (event) => canvas.hasPointerCapture(event.pointerId) && drag(event, false));
    canvas.addEventListener("pointerup", (event) => drag(event, true));
    canvas.addEventListener("keydown", (event) => {
      const way = { ArrowLeft: [-1, 0], ArrowRight: [1, 0], ArrowDown: [0, -1], ArrowUp: [0, 1] }[event.key];
      if (!way || !this.told) return;
      event.preventDefault();
      const { x, y } = this.told;
      const step = [x, y].map((ends) => (ends[ends.length - 1] - ends[0]) / 40);
      moved(this.dot[0] + way[0] * step[0], this.dot[1] + way[1] * step[1], true);
    });
  }

  /** @param {Theme} theme */
  draw(theme) {
    const { canvas, told } = this;
    if (!told || canvas.hidden) return;
    const ratio = window.devicePixelRatio || 1;
    const box = canvas.getBoundingClientRect();
    canvas.width = Math.round(box.width * ratio);
    canvas.height = Math.round(box.height * ratio);
    const pen = /** @type {CanvasRenderingContext2D} */ (canvas.getContext("2d"));
    pen.setTransform(ratio, 0, 0, ratio, 0, 0);
    const [wide, high] = [box.width - LEFT - 6, box.height - BELOW - 6];
    const { x, y } = told;
    const cell = [wide / x.length, high / y.length];
    pen.font = "11px system-ui, sans-serif";
    pen.textAlign = "center";
    pen.textBaseline = "middle";
    told.controlled_s.forEach((row, j) => {
      row.forEach((seconds, i) => {
        const [left, top] = [LEFT + i * cell[0], 6 + high - (j + 1) * cell[1]];
        const share = (seconds ?? 0) / told.most_s;
        pen.fillStyle = seconds === null ? theme.faint : `color-mix(in srgb, ${theme.runs[0]} ${Math.round(12 + 68 * share)}%, ${theme.paper})`;
        pen.fillRect(left, top, cell[0] + 0.5, cell[1] + 0.5);
        pen.fillStyle = share > 0.5 ? theme.paper : theme.ink;
        if (cell[0] > 24) pen.fillText(seconds === null ? "-" : seconds.toFixed(1), left + cell[0] / 2, top + cell[1] / 2);
      });
    });
    // values stand at the middles of cells, the ends of a slider at the middles of the outer ones
    const at = (/** @type {number[]} */ ends, /** @type {number} */ v) => ((v - ends[0]) / (ends[ends.length - 1] - ends[0] || 1)) * (1 - 1 / ends.length) + 0.5 / ends.length;
    const [cx, cy] = [LEFT + at(x, this.dot[0]) * wide, 6 + (1 - at(y, this.dot[1])) * high];
    pen.lineWidth = 2.5;
    pen.strokeStyle = theme.ink;
    pen.fillStyle = theme.paper;
    pen.beginPath();
    pen.arc(cx, cy, 6, 0, 2 * Math.PI);
    pen.fill();
    pen.stroke();
    pen.fillStyle = theme.ink;
    const short = (/** @type {number} */ v) => String(Number(v.toPrecision(3)));
    pen.textAlign = "left";
    pen.fillText(short(x[0]), LEFT, box.height - 24);
    pen.textAlign = "right";
    pen.fillText(short(x[x.length - 1]), box.width - 6, box.height - 24);
    pen.fillText(short(y[0]), LEFT - 5, 6 + high - 8);
    pen.fillText(short(y[y.length - 1]), LEFT - 5, 14);
    pen.textAlign = "center";
    pen.fillText(this.names[0], LEFT + wide / 2, box.height - 9);
    pen.save();
    pen.translate(9, 6 + high / 2);
    pen.rotate(-Math.PI / 2);
    pen.fillText(this.names[1], 0, 0);
    pen.restore();
    canvas.setAttribute("aria-label", `Map of seconds in control, ${this.names[0]} across, ${this.names[1]} up. Arrow keys move the design.`);
  }
}
