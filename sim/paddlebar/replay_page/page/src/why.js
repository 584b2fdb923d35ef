// See why: the spin as an arrow, where it goes and what turns it there; and the pitch that blade 1 had round the disc in its last turn, with
// the place where it rose highest. Nothing is computed of forces here: rate of the shaft, pitch and flapping come from the flight.
import { BufferAttribute, BufferGeometry, Color, DoubleSide, Group, Mesh, MeshBasicMaterial, Vector3 } from "three";
import { Arrow } from "./arrows.js";
import { css } from "./colours.js";
import { words } from "./words.js";

/** @import { CraftShape } from "./types.js" */
/** @import { Theme } from "./colours.js" */
/** @import { Track } from "./track.js" */

const PARTS = 72; // of the ring
const INSIDE = 1.02; // of the radius
const OUTSIDE = 1.1;
const LEAST = 0.15; // degrees of pitch, or of flapping, either way: below that nothing is said
const SPIN_LONG = 0.75; // rotor radii that the spin's arrow is long at its fastest
const GOES = 3; // seconds that the tip would go on for, drawn
const SLOWEST = 0.02; // rad/s; a shaft that goes slower stands still
const BACK_S = 0.5; // a turn that takes longer is not looked back on

export class Why {
  /** @param {CraftShape} shape @param {Theme} theme @param {Track} track */
  constructor(shape, theme, track) {
    this.shape = shape;
    const r = (this.radius = shape.blades.radius);
    this.group = new Group(); // in north, east, down
    this.onHub = new Group(); // in the hub at rest
    const thick = 0.013 * r;
    this.spin = new Arrow("spin", theme.shaft, thick, theme);
    this.goes = new Arrow("its tip goes this way", theme.second, thick, theme);
    this.torque = new Arrow("torque on what spins", theme.force, thick, theme);
    this.group.add(this.spin.group, this.goes.group, this.torque.group);
    const places = [];
    const index = [];
    for (let k = 0; k < PARTS; k++) {
      for (const radius of [INSIDE * r, OUTSIDE * r]) {
        const angle = (2 * Math.PI * k) / PARTS;
        places.push(radius * Math.cos(angle), radius * Math.sin(angle), 0);
      }
      const next = (k + 1) % PARTS;
      index.push(2 * k, 2 * k + 1, 2 * next, 2 * next, 2 * k + 1, 2 * next + 1);
    }
    const geometry = new BufferGeometry();
    geometry.setAttribute("position", new BufferAttribute(new Float32Array(places), 3));
    this.colours = new BufferAttribute(new Float32Array(6 * PARTS), 3);
    geometry.setAttribute("color", this.colours);
    geometry.setIndex(index);
    this.ring = new Mesh(geometry, new MeshBasicMaterial({ vertexColors: true, side: DoubleSide, transparent: true, opacity: 0.9, fog: false }));
    this.more = words("most pitch", theme.ink, theme.paper, css(theme.second));
    this.less = words("least pitch", theme.ink, theme.paper, css(theme.disc));
    this.high = words("blade highest", theme.ink, theme.paper, css(theme.bar));
    this.onHub.add(this.ring, this.more, this.less, this.high);
    this.labels = [this.high, this.more, this.less, this.torque.label, this.goes.label, this.spin.label];
    this.hues = [new Color(theme.disc), new Color(theme.faint), new Color(theme.second)];
    this.pose = track.blank();
    this.seen = { most: NaN, least: NaN, highest: NaN };
    this.fastest = 1;
    this.track = track;
    this.renew(track);
  }

  /** Another flight of the same craft. @param {Track} track */
  renew(track) {
    this.track = track;
    this.fastest = 1;
    for (const speed of track.values("rotor_speed")) this.fastest = Math.max(this.fastest, Math.abs(speed));
  }

  /** @param {number} t @param {Vector3} hub @param {Vector3} shaft unit vector, up the shaft */
  move(t, hub, shaft) {
    const { track, shape, radius } = this;
    const speed = track.scalar("rotor_speed", t);
    const long = (SPIN_LONG * radius * Math.abs(speed)) / this.fastest;
    // the right hand's rule: counter-clockwise seen from above points up
    along.copy(shaft).multiplyScalar(shape.hand * Math.sign(speed) || 1);
    this.spin.set(hub, along, long);
    const rate = track.between("shaft_rate", null, t, three);
    going.set(rate[0], rate[1], rate[2]).multiplyScalar(shape.hand * Math.sign(speed) || 1);
    const fast = going.length();
    this.goes.group.visible = this.torque.group.visible = fast > SLOWEST;
    if (fast > SLOWEST) {
      going.normalize();
      tip.copy(hub).addScaledVector(along, long);
      const size = Math.min(Math.max(GOES * fast * long, 0.25 * radius), 1.2 * radius);
      this.goes.set(tip, going, size);
      this.torque.set(hub, going, size); // the spin's tip goes where the torque's arrow points
    }
    this.sweep(t, speed);
  }

  /** Pitch of blade 1 round its last turn, as colour. @param {number} t @param {number} speed */
  sweep(t, speed) {
    const { track, shape, pose } = this;
    const turn = (2 * Math.PI) / Math.max(Math.abs(speed), 1e-6);
    const there = turn < BACK_S && t - turn >= track.first;
    this.ring.visible = there;
    for (const label of [this.more, this.less, this.high]) label.userData.off = !there;
    this.seen = { most: NaN, least: NaN, highest: NaN };
    if (!there) return;
    const now = track.pose(t, pose).azimuth;
    const rows = [];
    for (let k = 0; k < PARTS; k++) {
      track.pose(t - (turn * k) / PARTS, pose);
      rows.push({ angle: shape.hand * pose.azimuth, back: k / PARTS, pitch: pose.pitch[0], flap: pose.flap[0] });
    }
    track.pose(t, pose);
    const middle = rows.reduce((sum, { pitch }) => sum + pitch, 0) / PARTS;
    const most = rows.reduce((best, row) => (row.pitch > best.pitch ? row : best));
    const least = rows.reduce((best, row) => (row.pitch < best.pitch ? row : best));
    const highest = rows.reduce((best, row) => (row.flap > best.flap ? row : best));
    const lowest = Math.min(...rows.map(({ flap }) => flap));
    const swing = Math.max(most.pitch - middle, middle - least.pitch);
    const colour = new Color();
    for (let k = 0; k < PARTS; k++) {
      // the vertex at this angle of the ring takes the sample that stood nearest to it
      const at = (2 * Math.PI * k) / PARTS;
      const share = (((shape.hand * now - at) * shape.hand) / (2 * Math.PI) + 1e3) % 1;
      const row = rows[Math.min(Math.floor(share * PARTS + 0.5) % PARTS, PARTS - 1)];
      const way = swing > (LEAST * Math.PI) / 180 ? (row.pitch - middle) / swing : 0;
      colour.copy(this.hues[1]).lerp(this.hues[way < 0 ? 0 : 2], Math.abs(way));
      for (const side of [0, 1]) this.colours.setXYZ(2 * k + side, colour.r, colour.g, colour.b);
    }
    this.colours.needsUpdate = true;
    const put = (/** @type {import("three").Object3D} */ label, /** @type {number} */ angle, /** @type {number} */ far, /** @type {boolean} */ says) => {
      label.userData.off = !says;
      label.position.set(far * this.radius * Math.cos(angle), far * this.radius * Math.sin(angle), 0.05 * this.radius);
    };
    const pitches = swing > (LEAST * Math.PI) / 180;
    const flaps = highest.flap - lowest > (2 * LEAST * Math.PI) / 180;
    put(this.more, most.angle, 1.25, pitches);
    put(this.less, least.angle, 1.25, pitches);
    put(this.high, highest.angle, 1.45, flaps);
    const degrees = (/** @type {number} */ back) => 360 * back;
    this.seen = { most: pitches ? degrees(most.back) : NaN, least: pitches ? degrees(least.back) : NaN, highest: flaps ? degrees(highest.back) : NaN };
  }
}

const along = new Vector3();
const going = new Vector3();
const tip = new Vector3();
const three = new Float64Array(3);
