// The scene stands with y up; the flight is told in north, east, down. One turn takes the one to the other.
import { Group, Vector3 } from "three";

/** @import { Vec3 } from "./types.js" */

/** A group whose children are placed in north-east-down, or, on the craft, in forward-right-down. */
export function earthFrame() {
  const group = new Group();
  group.rotation.x = Math.PI / 2; // (n, e, d) -> (n, -d, e)
  return group;
}

/** @param {ArrayLike<number>} v */
export const vector = (v) => new Vector3(v[0], v[1], v[2]);

/** Put a group at a place, with its axes along three unit vectors. @param {import("three").Object3D} group
 * @param {ArrayLike<number>} place @param {Vector3} x @param {Vector3} y @param {Vector3} z */
export function stand(group, place, x, y, z) {
  group.matrixAutoUpdate = false;
  group.matrix.makeBasis(x, y, z).setPosition(vector(place));
}

export const X = new Vector3(1, 0, 0);
export const Y = new Vector3(0, 1, 0);
export const Z = new Vector3(0, 0, 1);
