// The three planes that the whole matter is about: blade disc, bar, horizon; each with its upright, beside the shaft itself.
import { CircleGeometry, DoubleSide, Group, Mesh, MeshBasicMaterial, Quaternion, Vector3 } from "three";
import { css } from "./colours.js";
import { Z } from "./frames.js";
import { circle, line } from "./lines.js";
import { words } from "./words.js";

/** @import { CraftShape } from "./types.js" */
/** @import { Theme } from "./colours.js" */

const UP = new Vector3(0, 0, -1);

/** One plane: rings, pale sheet, upright, name. Local z is its normal. */
class Plane {
  /** @param {string} name @param {number[]} radii @param {number} colour @param {Theme} theme
   * @param {{dash?: number, sheet?: number, upright: number}} look */
  constructor(name, radii, colour, theme, { dash = 0, sheet = 0, upright }) {
    this.group = new Group();
    for (const radius of radii) this.group.add(circle(radius, { colour, dash, wide: 2.2 }));
    if (sheet) {
      const material = new MeshBasicMaterial({ color: colour, transparent: true, opacity: sheet, side: DoubleSide, depthWrite: false });
      this.group.add(new Mesh(new CircleGeometry(radii[0], 64), material));
    }
    this.group.add(line([0, 0, 0, 0, 0, upright], { colour, dash, wide: 2.2 }));
    this.label = words(name, theme.ink, theme.paper, css(colour));
    this.label.position.set(0, 0, upright * 1.04);
    this.group.add(this.label);
  }

  /** @param {Vector3} place @param {Vector3} normal */
  face(place, normal) {
    this.group.position.copy(place);
    this.group.quaternion.copy(turn.setFromUnitVectors(Z, normal));
  }
}

/** So many times as large are leans drawn on wish. */
export const LARGER = 4;

const turn = new Quaternion();
const up = new Vector3();
const normal = new Vector3();

export class Planes {
  /** @param {CraftShape} shape @param {Theme} theme */
  constructor(shape, theme) {
    const r = shape.blades.radius;
    this.group = new Group(); // in north, east, down
    this.disc = new Plane("blade disc", [r], theme.disc, theme, { sheet: 0.14, upright: 0.66 * r });
    this.horizon = new Plane("horizon", [1.28 * r], theme.horizon, theme, { dash: 0.008, upright: 1.14 * r });
    this.bar = shape.bar ? new Plane("bar", [1.14 * r, shape.bar.arm], theme.bar, theme, { dash: 0.03, sheet: 0.08, upright: 0.9 * r }) : null;
    this.shaft = words("shaft", theme.ink, theme.paper, css(theme.shaft));
    this.shaftLine = line([0, 0, 0, 0, 0, 0.42 * r], { colour: theme.shaft, wide: 2.2 });
    this.shaft.position.z = 0.44 * r;
    this.shaftLine.add(this.shaft);
    this.group.add(this.disc.group, this.horizon.group, this.shaftLine);
    if (this.bar) this.group.add(this.bar.group);
    this.labels = [...(this.bar ? [this.bar.label] : []), this.shaft, this.disc.label, this.horizon.label];
  }

  /** @param {import("./track.js").Track} track @param {number} t @param {Vector3} hub @param {Vector3} barHinge @param {boolean} larger lean of disc and bar against the shaft drawn larger */
  move(track, t, hub, barHinge, larger = false) {
    this.horizon.face(hub, UP);
    up.copy(direction(track, "shaft", t));
    const leans = (/** @type {string} */ name) => (larger ? direction(track, name, t).sub(up).multiplyScalar(LARGER).add(up).normalize() : direction(track, name, t));
    this.disc.face(hub, leans("disc_normal"));
    if (this.bar) this.bar.face(barHinge, leans("bar_normal"));
    this.shaftLine.position.copy(hub);
    this.shaftLine.quaternion.copy(turn.setFromUnitVectors(Z, direction(track, "shaft", t)));
  }

  /** @param {{disc: boolean, bar: boolean, horizon: boolean}} shown */
  show(shown) {
    this.disc.group.visible = shown.disc;
    this.horizon.group.visible = shown.horizon;
    if (this.bar) this.bar.group.visible = shown.bar;
    this.shaftLine.visible = shown.disc || shown.horizon || shown.bar;
  }
}

const three = new Float64Array(3);

/** A unit vector of the track at a moment. @param {import("./track.js").Track} track @param {string} name @param {number} t */
export function direction(track, name, t) {
  const v = track.between(name, null, t, three);
  return normal.set(v[0], v[1], v[2]).normalize();
}
