// A round level: which way, and how far, shaft, bar and blade disc lean, seen from above, with what they did in the last seconds.
import { direction } from "./planes.js";
import { css } from "./colours.js";

/** @import { Stage } from "./stage.js" */
/** @import { Theme } from "./colours.js" */

const BACK_S = 2;
const POINTS = 120;
const SCALES = [5, 10, 20, 30, 60, 90]; // degrees at the rim
/** @type {{name: "shaft" | "bar_normal" | "disc_normal", says: string, colour: "shaft" | "bar" | "disc", mark: "square" | "circle" | "triangle", dash: number[]}[]} */
const POINTERS = [
  { name: "disc_normal", says: "blade disc", colour: "disc", mark: "triangle", dash: [1.5, 2.5] },
  { name: "bar_normal", says: "bar", colour: "bar", mark: "circle", dash: [5, 3] },
  { name: "shaft", says: "body (shaft)", colour: "shaft", mark: "square", dash: [] },
];

export class Level {
  /** @param {HTMLElement} place @param {Stage} stage @param {string} letter */
  constructor(place, stage, letter) {
    this.stage = stage;
    this.canvas = document.createElement("canvas");
    this.canvas.setAttribute("role", "img");
    this.name = letter;
    place.append(this.canvas);
    this.shown = /** @type {typeof POINTERS} */ ([]);
    this.scale = 90;
    this.renew();
  }

  /** Another flight: its own scale. */
  renew() {
    const { stage } = this;
    this.shown = POINTERS.filter(({ name }) => name !== "bar_normal" || stage.run.craft.bar);
    const leans = this.shown.flatMap(({ name }) => [...stage.track.time].map((t) => Math.hypot(...lean(stage, name, t)))).sort((a, b) => a - b);
    const most = leans[Math.floor(0.92 * leans.length)]; // a scale that stays over the flight; what goes beyond stands at the rim
    this.scale = SCALES.find((scale) => scale >= most) ?? 90;
  }

  /** @param {Theme} theme */
  dress(theme) {
    this.theme = theme;
    const box = this.canvas.getBoundingClientRect();
    const ratio = window.devicePixelRatio || 1;
    this.canvas.width = Math.round(box.width * ratio);
    this.canvas.height = Math.round(box.height * ratio);
  }

  /** @param {number} t */
  move(t) {
    const { stage, canvas, theme } = this;
    if (!theme) return;
    t = stage.clamp(t);
    const ratio = window.devicePixelRatio || 1;
    const width = canvas.width / ratio;
    const height = canvas.height / ratio;
    const pen = /** @type {CanvasRenderingContext2D} */ (canvas.getContext("2d"));
    pen.setTransform(ratio, 0, 0, ratio, 0, 0);
    pen.clearRect(0, 0, width, height);
    const half = Math.max(Math.min(width, height) / 2 - 12, 10);
    const cx = width / 2;
    const cy = height / 2;
    const track = stage.track;
    const { shown } = this;
    const start = Math.max(track.first, t - BACK_S);
    const curves = shown.map(({ name }) => {
      const points = [];
      for (let i = 0; i <= POINTS; i++) points.push(lean(stage, name, start + ((t - start) * i) / POINTS));
      return points;
    });
    const per = half / this.scale;
    pen.strokeStyle = theme.faint;
    pen.fillStyle = theme.ink;
    pen.font = "11px system-ui, sans-serif";
    pen.textAlign = "center";
    pen.lineWidth = 1;
    for (const part of [0.5, 1]) {
      pen.beginPath();
      pen.arc(cx, cy, part * half, 0, 2 * Math.PI);
      pen.stroke();
      pen.fillText(`${part * this.scale}\u00b0`, cx + part * half * 0.707 + 9, cy + part * half * 0.707 + 6);
    }
    pen.beginPath();
    pen.moveTo(cx - half, cy);
    pen.lineTo(cx + half, cy);
    pen.moveTo(cx, cy - half);
    pen.lineTo(cx, cy + half);
    pen.stroke();
    pen.fillText("N", cx, cy - half - 3);
    /** @type {string[]} */
    const said = [];
    shown.forEach(({ colour, mark, dash, says }, k) => {
      const points = curves[k];
      pen.strokeStyle = pen.fillStyle = css(theme[colour]);
      pen.setLineDash(dash);
      pen.lineWidth = 1.3;
      pen.beginPath();
      for (const point of points) {
        const [n, e] = within(point, this.scale);
        pen.lineTo(cx + e * per, cy - n * per);
      }
      pen.stroke();
      pen.setLineDash([]);
      const [n, e] = points[points.length - 1];
      const [north, east] = within([n, e], this.scale);
      draw(pen, mark, cx + east * per, cy - north * per, theme.paper);
      said.push(`${says} ${Math.hypot(n, e).toFixed(1)} degrees`);
    });
    this.words = `Lean at ${t.toFixed(2)} s: ${said.join(", ")}`;
  }

  /** Put the present lean into words, when nothing moves. */
  say() {
    this.canvas.setAttribute("aria-label", `${this.name ? `Flight ${this.name}. ` : ""}${this.words ?? ""}`);
  }
}

/** The key to the marks. @param {HTMLElement} place @param {Theme} theme */
export function levelKey(place, theme) {
  place.replaceChildren(
    ...[...POINTERS].reverse().map(({ says, colour, mark }) => {
      const item = document.createElement("span");
      const canvas = document.createElement("canvas");
      canvas.width = canvas.height = 32;
      canvas.setAttribute("aria-hidden", "true");
      const pen = /** @type {CanvasRenderingContext2D} */ (canvas.getContext("2d"));
      pen.scale(2, 2);
      pen.strokeStyle = pen.fillStyle = css(theme[colour]);
      draw(pen, mark, 8, 8, theme.paper);
      item.append(canvas, says);
      return item;
    }),
  );
}

/** At most so far from the middle. @param {number[]} point @param {number} most @returns {number[]} */
function within([n, e], most) {
  const far = Math.hypot(n, e);
  return far > most ? [(n * most) / far, (e * most) / far] : [n, e];
}

/** How far a direction leans to the north and to the east [deg]. @param {Stage} stage @param {string} name @param {number} t */
function lean(stage, name, t) {
  const up = direction(stage.track, name, t);
  const across = Math.hypot(up.x, up.y);
  const angle = (Math.atan2(across, -up.z) * 180) / Math.PI;
  return across > 1e-9 ? [(angle * up.x) / across, (angle * up.y) / across] : [0, 0];
}

/** @param {CanvasRenderingContext2D} pen @param {"square" | "circle" | "triangle"} mark @param {number} x @param {number} y @param {string} edge */
function draw(pen, mark, x, y, edge) {
  pen.beginPath();
  if (mark === "circle") pen.arc(x, y, 5.5, 0, 2 * Math.PI);
  else if (mark === "square") pen.rect(x - 5, y - 5, 10, 10);
  else {
    pen.moveTo(x, y - 6.5);
    pen.lineTo(x + 6, y + 5);
    pen.lineTo(x - 6, y + 5);
    pen.closePath();
  }
  pen.fill();
  pen.save();
  pen.strokeStyle = edge;
  pen.lineWidth = 1.2;
  pen.stroke();
  pen.restore();
}
