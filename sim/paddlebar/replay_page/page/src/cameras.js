// Where one looks from. Each camera orbits in a frame of its own: still in the room, along with the craft, on the body, on the turning hub.
import { Matrix4, PerspectiveCamera, Vector3 } from "three";
import { OrbitControls } from "three/addons/controls/OrbitControls.js";

/** @import { Stage } from "./stage.js" */

export const FOV = 40; // degrees

/** @typedef {"follow" | "room" | "body" | "hub" | "above"} Seat */

/** @type {{seat: Seat, name: string, says: string}[]} */
export const SEATS = [
  { seat: "follow", name: "Follow", says: "goes along with the craft, but does not turn with it" },
  { seat: "room", name: "Free", says: "stands in the room where you put it" },
  { seat: "body", name: "On the body", says: "rides with the body: the room tilts, the body stands still" },
  { seat: "hub", name: "On the hub", says: "rides with the turning hub: blades and bar stand still but for their tilting" },
  { seat: "above", name: "From above", says: "looks straight down, north at the top" },
];

export class Cameras {
  /** @param {HTMLElement} element where mouse and fingers act @param {Stage[]} stages @param {() => void} changed */
  constructor(element, stages, changed) {
    this.stages = stages;
    this.orbit = new PerspectiveCamera(FOV, 1, 0.01, 400); // in the frame of its seat, y up
    this.eye = new PerspectiveCamera(FOV, 1, 0.01, 400); // in the scene
    this.eye.matrixAutoUpdate = false;
    this.eye.matrixWorldAutoUpdate = false;
    this.controls = new OrbitControls(this.orbit, element);
    this.controls.enableDamping = false;
    this.controls.minDistance = 0.05;
    this.controls.maxDistance = 120;
    this.controls.addEventListener("change", changed);
    /** @type {Seat} */
    this.seat = "follow";
    /** @type {Partial<Record<Seat, {position: Vector3, target: Vector3}>>} */
    this.kept = {};
    this.frame = new Matrix4();
    this.radius = 0;
    this.renew();
    this.sit("follow");
  }

  /** Other craft: as far off as suits their size, when a seat is taken anew. */
  renew() {
    this.radius = Math.max(...this.stages.map((stage) => stage.run.craft.blades.radius));
  }

  /** Take a seat, as it was left. @param {Seat} seat */
  sit(seat) {
    this.kept[this.seat] = { position: this.orbit.position.clone(), target: this.controls.target.clone() };
    this.seat = seat;
    const kept = this.kept[seat];
    if (kept && kept.position.lengthSq() > 0) {
      this.orbit.position.copy(kept.position);
      this.controls.target.copy(kept.target);
      this.controls.update();
    } else this.reset();
  }

  /** Put the seat back to where it was in the beginning. */
  reset() {
    const r = this.radius;
    const { position } = this.orbit;
    const { target } = this.controls;
    target.set(0, -0.15 * r, 0);
    if (this.seat === "follow") position.set(-1.9 * r, 1.2 * r, 4.2 * r);
    else if (this.seat === "body") position.set(-4.2 * r, 1.5 * r, 2.2 * r);
    else if (this.seat === "hub") {
      position.set(2.5 * r, 1.4 * r, 2.3 * r); // blades and bar, about a quarter turn apart, both seen from the side
      target.set(0, 0, 0);
    } else if (this.seat === "above") {
      position.set(-1e-4, 6.5 * r, 0);
      target.set(0, 0, 0);
    } else {
      const { hub } = this.stages[0];
      target.set(hub.x, -hub.z, hub.y);
      position.copy(target).add(new Vector3(-8 * r, 2.5 * r, 14 * r));
    }
    this.controls.update();
  }

  /** Turn and approach by keys. @param {number} right degrees @param {number} up degrees @param {number} closer factor */
  nudge(right, up, closer) {
    const { target } = this.controls;
    const arm = this.orbit.position.clone().sub(target);
    const distance = arm.length() * closer;
    const round = Math.atan2(arm.x, arm.z) + (right * Math.PI) / 180;
    const rise = Math.min(Math.max(Math.asin(arm.y / arm.length()) + (up * Math.PI) / 180, -1.55), 1.55);
    this.orbit.position.set(Math.sin(round) * Math.cos(rise), Math.sin(rise), Math.cos(round) * Math.cos(rise)).multiplyScalar(distance).add(target);
    this.controls.update();
  }

  /** The eye for one stage. @param {Stage} stage @param {number} aspect width over height of its view */
  look(stage, aspect) {
    const { frame, eye, orbit } = this;
    const { craft } = stage.set;
    frame.identity();
    if (this.seat === "body") frame.copy(craft.body.matrix).premultiply(DOWN_TO_UP).multiply(UP_TO_DOWN).setPosition(here(stage));
    else if (this.seat === "hub") {
      craft.hub.updateWorldMatrix(true, false);
      frame.copy(craft.hub.matrixWorld).multiply(HUB_Y_UP);
    } else if (this.seat === "room") {
      // each flight in its own room, seen from the same side of its launch
      const a = this.stages[0].home;
      const b = stage.home;
      frame.makeTranslation(b.x - a.x, a.z - b.z, b.y - a.y);
    } else frame.setPosition(here(stage));
    orbit.updateMatrix();
    eye.matrixWorld.multiplyMatrices(frame, orbit.matrix);
    eye.matrixWorldInverse.copy(eye.matrixWorld).invert();
    // narrow views see as much sideways as square ones do
    eye.fov = aspect >= 1 ? FOV : (2 * Math.atan(Math.tan((FOV * Math.PI) / 360) / aspect) * 180) / Math.PI;
    eye.aspect = aspect;
    eye.updateProjectionMatrix();
    return eye;
  }
}

const DOWN_TO_UP = new Matrix4().makeRotationX(Math.PI / 2); // north-east-down to the scene
const UP_TO_DOWN = new Matrix4().makeRotationX(-Math.PI / 2); // forward, up, right to forward-right-down
const HUB_Y_UP = new Matrix4().makeRotationX(Math.PI / 2); // (x, y up, z) to (x, -z, y): the hub's z is up the shaft
const spot = new Vector3();

/** The hub in the scene. @param {Stage} stage */
function here(stage) {
  return spot.set(stage.hub.x, -stage.hub.z, stage.hub.y);
}
