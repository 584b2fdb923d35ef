// Strip charts, linked to the time cursor. Each is a canvas with its name and present value as text beside it.

/** @import { Stage } from "./stage.js" */
/** @import { Theme } from "./colours.js" */

/** @typedef {Pick<Stage, "run" | "track" | "clamp">} Shown a flight, on a stage or not */
/** @typedef {{key: string, name: string, unit: string, times: number, digits: number, says: string}} Strip */

const DEG = 180 / Math.PI;
/** @type {Strip[]} */
export const STRIPS = [
  { key: "tilt", name: "Tilt of the body", unit: "deg", times: DEG, digits: 1, says: "from upright" },
  { key: "bar_angle", name: "Bar to hub", unit: "deg", times: DEG, digits: 1, says: "arm 1 up positive" },
  { key: "feathering", name: "Feathering, blade 1", unit: "deg", times: DEG, digits: 1, says: "pitch at 75 % radius" },
  { key: "skein_torque", name: "Torque of the rubber", unit: "mN m", times: 1e3, digits: 2, says: "on the shaft" },
  { key: "spin", name: "Spin of the body", unit: "deg/s", times: DEG, digits: 0, says: "over the ground, nose to the right positive" },
];

const LEFT = 44;
const DASHES = [[], [5, 3]];

export class Charts {
  /** @param {HTMLElement} place @param {Shown[]} stages @param {(t: number) => void} seek @param {string[]} names of the flights */
  constructor(place, stages, seek, names = ["A", "B"]) {
    this.stages = stages;
    this.names = names;
    this.span = 0; // seconds shown; 0: the whole flight
    this.first = 0;
    this.last = 1e-3;
    this.rows = STRIPS.map((strip) => {
      const figure = document.createElement("figure");
      const caption = document.createElement("figcaption");
      const name = document.createElement("span");
      name.textContent = `${strip.name} [${strip.unit}]`;
      name.title = strip.says;
      const value = document.createElement("span");
      value.className = "value";
      caption.append(name, value);
      const canvas = document.createElement("canvas");
      canvas.setAttribute("role", "img");
      const pick = (/** @type {PointerEvent} */ event) => {
        const box = canvas.getBoundingClientRect();
        const [from, to] = this.window(this.now);
        seek(from + ((event.clientX - box.left - LEFT) / (box.width - LEFT - 4)) * (to - from));
      };
      canvas.addEventListener("pointerdown", (event) => {
        canvas.setPointerCapture(event.pointerId);
        pick(event);
      });
      canvas.addEventListener("pointermove", (event) => {
        if (canvas.hasPointerCapture(event.pointerId) && this.span === 0) pick(event);
      });
      figure.append(caption, canvas);
      place.append(figure);
      const still = document.createElement("canvas");
      return { strip, canvas, value, still, bounds: /** @type {[number, number]} */ ([0, 1]) };
    });
    this.now = this.first;
    this.renew(stages);
  }

  /** Other flights. @param {Shown[]} stages */
  renew(stages) {
    this.stages = stages;
    this.first = Math.min(...stages.map(({ track }) => track.first));
    this.last = Math.max(...stages.map(({ track }) => track.last), this.first + 1e-3);
    for (const row of this.rows) {
      const { strip, canvas } = row;
      row.bounds = bounds(stages, strip);
      canvas.setAttribute("aria-label", `${strip.name}, ${strip.says}, against time. ${stages.map((stage, i) => range(stage, strip, stages.length > 1 ? this.names[i] : "")).join(" ")}`);
      if (this.theme && this.span === 0 && row.still.width) this.curves(row, row.still, this.first, this.last);
    }
  }

  /** Everything is to be drawn anew: size, colours or span changed. @param {Theme} theme */
  dress(theme) {
    this.theme = theme;
    for (const row of this.rows) {
      const box = row.canvas.getBoundingClientRect();
      const ratio = window.devicePixelRatio || 1;
      for (const canvas of [row.canvas, row.still]) {
        canvas.width = Math.round(box.width * ratio);
        canvas.height = Math.round(box.height * ratio);
      }
      if (this.span === 0) this.curves(row, row.still, this.first, this.last);
    }
  }

  /** Seconds from and to. @param {number} t @returns {[number, number]} */
  window(t) {
    if (this.span === 0) return [this.first, this.last];
    const from = Math.min(Math.max(t - 0.7 * this.span, this.first), Math.max(this.last - this.span, this.first));
    return [from, from + this.span];
  }

  /** Cursor and values at time t. @param {number} t */
  move(t) {
    this.now = t;
    const theme = this.theme;
    if (!theme) return;
    const [from, to] = this.window(t);
    for (const row of this.rows) {
      const pen = /** @type {CanvasRenderingContext2D} */ (row.canvas.getContext("2d"));
      pen.setTransform(1, 0, 0, 1, 0, 0);
      pen.clearRect(0, 0, row.canvas.width, row.canvas.height);
      if (this.span === 0 && row.still.width) pen.drawImage(row.still, 0, 0);
      else if (this.span !== 0) this.curves(row, row.canvas, from, to);
      const ratio = window.devicePixelRatio || 1;
      pen.setTransform(ratio, 0, 0, ratio, 0, 0);
      const x = LEFT + ((t - from) / (to - from)) * (row.canvas.width / ratio - LEFT - 4);
      pen.fillStyle = theme.ink;
      pen.fillRect(x - 0.75, 0, 1.5, row.canvas.height / ratio);
      const words = this.stages.map((stage) => {
        const value = stage.track.scalar(row.strip.key, stage.clamp(t)) * row.strip.times;
        return plain(value, row.strip.digits);
      });
      row.value.textContent = words.length > 1 ? words.map((word, i) => `${this.names[i]} ${word}`).join("   ") : words[0];
    }
  }

  /** @param {{strip: Strip, bounds: [number, number]}} row @param {HTMLCanvasElement} canvas @param {number} from @param {number} to */
  curves(row, canvas, from, to) {
    const theme = /** @type {Theme} */ (this.theme);
    const pen = /** @type {CanvasRenderingContext2D} */ (canvas.getContext("2d"));
    const ratio = window.devicePixelRatio || 1;
    const width = canvas.width / ratio;
    const height = canvas.height / ratio;
    const [low, high] = row.bounds;
    pen.setTransform(ratio, 0, 0, ratio, 0, 0);
    pen.clearRect(0, 0, width, height);
    const x = (/** @type {number} */ t) => LEFT + ((t - from) / (to - from)) * (width - LEFT - 4);
    const y = (/** @type {number} */ v) => height - 4 - ((v - low) / (high - low)) * (height - 8);
    pen.font = "11px system-ui, sans-serif";
    pen.textAlign = "right";
    pen.textBaseline = "middle";
    for (const mark of marks(low, high)) {
      pen.fillStyle = theme.faint;
      pen.fillRect(LEFT, y(mark) - 0.5, width - LEFT - 4, mark === 0 ? 1.5 : 1);
      pen.fillStyle = theme.ink;
      pen.fillText(plain(mark, 6).replace(/\.?0+$/, ""), LEFT - 5, Math.min(Math.max(y(mark), 6), height - 6));
    }
    pen.save();
    pen.beginPath();
    pen.rect(LEFT, 0, width - LEFT - 4, height);
    pen.clip();
    this.stages.forEach((stage, i) => {
      pen.strokeStyle = theme.runs[i];
      pen.lineWidth = 1;
      pen.globalAlpha = 0.55;
      pen.setLineDash([2, 3]);
      for (const { time } of stage.run.events) {
        pen.beginPath();
        pen.moveTo(x(time), 0);
        pen.lineTo(x(time), height);
        pen.stroke();
      }
      pen.globalAlpha = 1;
      pen.lineWidth = 1.4;
      line(pen, stage, row.strip, x, y, from, to, DASHES[i]);
    });
    pen.restore();
  }
}

/** A curve; where many samples fall into one column of pixels, the range that they cover.
 * @param {CanvasRenderingContext2D} pen @param {Shown} stage @param {Strip} strip @param {(t: number) => number} x
 * @param {(v: number) => number} y @param {number} from @param {number} to @param {number[]} dash */
function line(pen, stage, strip, x, y, from, to, dash) {
  const { track } = stage;
  const values = track.values(strip.key);
  const start = track.index(Math.max(from, track.first));
  const stop = Math.min(track.index(Math.min(to, track.last)) + 1, values.length - 1);
  const crowded = stop - start > 1.2 * (x(to) - x(from));
  pen.setLineDash(crowded ? [] : dash);
  pen.beginPath();
  if (!crowded) {
    for (let i = start; i <= stop; i++) pen.lineTo(x(track.time[i]), y(values[i] * strip.times));
  } else {
    let column = NaN;
    let low = Infinity;
    let high = -Infinity;
    for (let i = start; i <= stop; i++) {
      const here = Math.round(x(track.time[i]));
      if (here !== column && !Number.isNaN(column)) {
        pen.lineTo(column, y(low));
        pen.lineTo(column, y(high));
        low = Infinity;
        high = -Infinity;
      }
      column = here;
      low = Math.min(low, values[i] * strip.times);
      high = Math.max(high, values[i] * strip.times);
    }
    pen.lineTo(column, y(low));
    pen.lineTo(column, y(high));
  }
  pen.stroke();
  pen.setLineDash([]);
}

/** Lowest and highest value over all flights, a little widened. @param {Shown[]} stages @param {Strip} strip @returns {[number, number]} */
function bounds(stages, strip) {
  let low = 0;
  let high = 0;
  for (const { track } of stages) {
    for (const value of track.values(strip.key)) {
      low = Math.min(low, value * strip.times);
      high = Math.max(high, value * strip.times);
    }
  }
  const room = 0.06 * (high - low || 1);
  return [low < 0 ? low - room : low, high + room];
}

/** Two to four even marks. @param {number} low @param {number} high */
function marks(low, high) {
  const raw = (high - low) / 4;
  const ten = 10 ** Math.floor(Math.log10(raw));
  const step = ten * ([1, 2, 5].find((each) => each * ten >= raw) ?? 10);
  const found = [];
  for (let k = Math.ceil(low / step); k * step <= high; k++) found.push(k * step);
  return found;
}

/** @param {number} value @param {number} digits */
function plain(value, digits) {
  const text = value.toFixed(digits);
  return Number(text) === 0 ? (0).toFixed(digits) : text.replace("-", "\u2212");
}

/** @param {Shown} stage @param {Strip} strip @param {string} name "" for the only one */
function range(stage, strip, name) {
  let low = Infinity;
  let high = -Infinity;
  for (const value of stage.track.values(strip.key)) {
    low = Math.min(low, value);
    high = Math.max(high, value);
  }
  const who = name ? `Flight ${name}` : "Over the flight";
  return `${who}: from ${plain(low * strip.times, strip.digits)} to ${plain(high * strip.times, strip.digits)} ${strip.unit}.`;
}
