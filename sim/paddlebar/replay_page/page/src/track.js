// Samples of a flight, and the pose between them.

/** @import { Run } from "./types.js" */

/**
 * @typedef {object} Pose everything that moves, at one moment
 * @property {number} time
 * @property {Float64Array} position datum, north-east-down
 * @property {Float64Array} attitude body to earth, scalar first
 * @property {number} azimuth @property {number} tailAngle @property {number} barAngle
 * @property {Float64Array} flap of each blade
 * @property {Float64Array} pitch of each blade, on top of what is built in
 */

/** Bytes of a base64 text. @param {string} text */
function bytes(text) {
  const raw = atob(text);
  const out = new Uint8Array(raw.length);
  for (let i = 0; i < raw.length; i++) out[i] = raw.charCodeAt(i);
  return out;
}

export class Track {
  /** @param {Run} run */
  constructor(run) {
    const buffer = typeof run.data === "string" ? bytes(run.data).buffer : run.data;
    /** @type {Record<string, {values: Float64Array | Float32Array, width: number}>} */
    this.columns = {};
    for (const { name, kind, width, offset } of run.columns) {
      const Kind = kind === "float64" ? Float64Array : Float32Array;
      this.columns[name] = { values: new Kind(buffer, offset, run.samples * width), width };
    }
    this.time = /** @type {Float64Array} */ (this.columns.time.values);
    this.first = this.time[0];
    this.last = this.time[run.samples - 1];
    this.guess = 0;
  }

  /** Numbers of a column. @param {string} name */
  values(name) {
    return this.columns[name].values;
  }

  /** Index of the last sample at or before t, at most the last but one. @param {number} t */
  index(t) {
    const time = this.time;
    const top = Math.max(time.length - 2, 0);
    let low = this.guess;
    if (time[low] <= t && (low >= top || t < time[low + 1])) return low; // the next frame mostly falls into the same step
    low = 0;
    let high = top;
    while (low < high) {
      const middle = (low + high + 1) >> 1;
      if (time[middle] <= t) low = middle;
      else high = middle - 1;
    }
    this.guess = low;
    return low;
  }

  /**
   * Cubic through a column and its rates (Hermite's basis), or a straight line where no rates are kept.
   * @param {string} name @param {string | null} rates @param {number} t @param {Float64Array} out one number for each entry
   */
  between(name, rates, t, out) {
    const { values, width } = this.columns[name];
    const i = this.index(t);
    const j = Math.min(i + 1, this.time.length - 1);
    const h = this.time[j] - this.time[i];
    const s = h > 0 ? Math.min(Math.max((t - this.time[i]) / h, 0), 1) : 0;
    const late = rates ? s * s * (3 - 2 * s) : s;
    for (let k = 0; k < width; k++) {
      const a = values[i * width + k];
      let v = a + late * (values[j * width + k] - a);
      if (rates) {
        const rate = this.columns[rates].values;
        v += h * s * (1 - s) * ((1 - s) * rate[i * width + k] - s * rate[j * width + k]);
      }
      out[k] = v;
    }
    return out;
  }

  /** One number at a moment, by a straight line. @param {string} name @param {number} t */
  scalar(name, t) {
    return this.between(name, null, t, one)[0];
  }

  /** A pose to be filled by `pose`. @returns {Pose} */
  blank() {
    const blades = this.columns.flap.width;
    return {
      time: 0,
      position: new Float64Array(3),
      attitude: new Float64Array(4),
      azimuth: 0,
      tailAngle: 0,
      barAngle: 0,
      flap: new Float64Array(blades),
      pitch: new Float64Array(blades),
    };
  }

  /** Everything that moves at time t. @param {number} t @param {Pose} out */
  pose(t, out) {
    out.time = t;
    this.between("position", "velocity", t, out.position);
    const q = this.between("attitude", "attitude_rate", t, out.attitude);
    const size = Math.hypot(q[0], q[1], q[2], q[3]);
    for (let k = 0; k < 4; k++) q[k] /= size;
    out.azimuth = this.between("azimuth", "rotor_speed", t, one)[0];
    out.tailAngle = this.between("tail_angle", "tail_speed", t, one)[0];
    out.barAngle = this.between("bar_angle", "bar_rate", t, one)[0];
    this.between("flap", "flap_rate", t, out.flap);
    this.between("pitch", "pitch_rate", t, out.pitch);
    return out;
  }
}

const one = new Float64Array(1);
