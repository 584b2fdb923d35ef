// Forces as arrows: weight, thrust of the rotor, thrust of the tail; and, as arcs, what the rubber and the air do to the shaft.
import { ConeGeometry, CylinderGeometry, Group, Mesh, MeshBasicMaterial, TorusGeometry, Vector3 } from "three";
import { css } from "./colours.js";
import { Y, Z, vector } from "./frames.js";
import { words } from "./words.js";

/** @import { CraftShape } from "./types.js" */
/** @import { Theme } from "./colours.js" */
/** @import { Track } from "./track.js" */

const GRAVITY = 9.80665; // m/s^2, as in craft/numbers.py
const WEIGHT_LONG = 1.3; // rotor radii that the craft's weight is drawn long
const TAIL_TIMES = 5; // the tail's arrow is drawn so many times as long, and says so

export class Arrow {
  /** @param {string} name @param {number} colour @param {number} thick @param {Theme} theme */
  constructor(name, colour, thick, theme) {
    this.group = new Group(); // along y
    const material = new MeshBasicMaterial({ color: colour });
    this.rod = new Mesh(new CylinderGeometry(thick, thick, 1, 10), material);
    this.head = new Mesh(new ConeGeometry(3 * thick, 8 * thick, 14), material);
    this.thick = thick;
    this.label = words(name, theme.ink, theme.paper, css(colour));
    this.group.add(this.rod, this.head, this.label);
  }

  /** @param {Vector3} from @param {Vector3} along unit vector @param {number} length signed */
  set(from, along, length) {
    const long = Math.abs(length);
    this.group.visible = long > 1e-4;
    this.group.position.copy(from);
    this.group.quaternion.setFromUnitVectors(Y, length < 0 ? along.clone().negate() : along);
    const stem = Math.max(long - 8 * this.thick, 1e-5);
    this.rod.scale.y = stem;
    this.rod.position.y = stem / 2;
    this.head.position.y = Math.max(long - 4 * this.thick, 0);
    this.label.position.y = long + 4 * this.thick;
  }
}

class Arc {
  /** A torque about z: an arc whose length shows its size. @param {string} name @param {number} colour @param {number} radius @param {Theme} theme */
  constructor(name, colour, radius, theme) {
    this.group = new Group();
    this.radius = radius;
    this.material = new MeshBasicMaterial({ color: colour });
    this.arc = new Mesh(new TorusGeometry(radius, 0.018 * radius, 6, 40, 1), this.material);
    this.head = new Mesh(new ConeGeometry(0.06 * radius, 0.16 * radius, 12), this.material);
    this.label = words(name, theme.ink, theme.paper, css(colour));
    this.group.add(this.arc, this.head, this.label);
    this.drawn = NaN;
  }

  /** @param {number} angle how far the arc goes, right-handed about z [rad] */
  set(angle) {
    const size = Math.min(Math.abs(angle), 5.5);
    this.group.visible = size > 0.02;
    const rounded = Math.round(size * 40) / 40; // a new geometry only when it would look different
    if (rounded !== this.drawn) {
      this.arc.geometry.dispose();
      this.arc.geometry = new TorusGeometry(this.radius, 0.018 * this.radius, 6, 40, Math.max(rounded, 0.02));
      this.drawn = rounded;
    }
    const sign = angle < 0 ? -1 : 1;
    this.arc.rotation.x = sign < 0 ? Math.PI : 0;
    this.head.position.set(this.radius * Math.cos(size), sign * this.radius * Math.sin(size), 0);
    this.head.rotation.z = sign < 0 ? Math.PI - size : size;
    this.label.position.set(1.3 * this.radius * Math.cos(size / 2), 1.3 * sign * this.radius * Math.sin(size / 2), 0);
  }
}

export class Arrows {
  /** @param {CraftShape} shape @param {Theme} theme @param {Track} track */
  constructor(shape, theme, track) {
    this.shape = shape;
    this.track = track;
    this.group = new Group(); // in north, east, down
    this.onHub = new Group(); // in the hub at rest: to be hung on the body
    const r = shape.blades.radius;
    const thick = 0.011 * r;
    this.thrust = new Arrow("thrust", theme.disc, thick, theme);
    this.weight = new Arrow("weight", theme.horizon, thick, theme);
    this.tail = shape.tail ? new Arrow(`tail thrust \u00d7 ${TAIL_TIMES}`, theme.force, thick, theme) : null;
    this.rubber = new Arc("rubber on the shaft", theme.second, 0.42 * r, theme);
    this.air = new Arc("air on the rotor", theme.shaft, 0.3 * r, theme);
    this.group.add(this.thrust.group, this.weight.group);
    if (this.tail) this.group.add(this.tail.group);
    this.onHub.add(this.rubber.group, this.air.group);
    this.onHub.position.z = -0.12 * r; // below the blades
    this.perNewton = (WEIGHT_LONG * r) / (shape.mass * GRAVITY);
    this.perNewtonMetre = 0;
    this.renew(track);
    this.labels = [this.thrust, this.weight, this.rubber, this.air, ...(this.tail ? [this.tail] : [])].map((each) => each.label);
  }

  /** Another flight of the same craft: its largest torque goes most of the way round. @param {Track} track */
  renew(track) {
    this.track = track;
    let most = 1e-9;
    for (const value of track.values("skein_torque")) most = Math.max(most, Math.abs(value));
    this.perNewtonMetre = 4.5 / most;
  }

  /** @param {number} t @param {Vector3} hub @param {Vector3} cg @param {Vector3} tail @param {Vector3} tailAxis @param {Vector3} shaft */
  move(t, hub, cg, tail, tailAxis, shaft) {
    const { track, shape } = this;
    this.thrust.set(hub, shaft, track.scalar("rotor_thrust", t) * this.perNewton);
    this.weight.set(cg, Z, shape.mass * GRAVITY * this.perNewton);
    if (this.tail) this.tail.set(tail, tailAxis, TAIL_TIMES * track.scalar("tail_thrust", t) * this.perNewton);
    this.rubber.set(shape.hand * track.scalar("skein_torque", t) * this.perNewtonMetre);
    this.air.set(-shape.hand * track.scalar("rotor_torque", t) * this.perNewtonMetre);
  }
}

/** @param {CraftShape} shape */
export const tailAxis = (shape) => (shape.tail ? vector(shape.tail.axis) : new Vector3());
