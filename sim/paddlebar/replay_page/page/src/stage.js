// One flight on its stage: craft, room, planes, trails, arrows, light.
import { Color, DirectionalLight, HemisphereLight, Quaternion, Scene, Vector3 } from "three";
import { Arrows } from "./arrows.js";
import { THEMES } from "./colours.js";
import { Craft } from "./craft.js";
import { earthFrame, vector } from "./frames.js";
import { Planes, direction } from "./planes.js";
import { Room } from "./room.js";
import { Track } from "./track.js";
import { Trails } from "./trails.js";
import { fit } from "./words.js";

/** @import { Run } from "./types.js" */
/** @typedef {{disc: boolean, bar: boolean, horizon: boolean, trails: boolean, forces: boolean}} Shown */

/** @param {Run} run @param {Track} track @param {"light" | "dark"} name */
function build(run, track, name) {
  const theme = THEMES[name];
  const scene = new Scene();
  scene.background = new Color(theme.sky);
  const earth = earthFrame();
  const craft = new Craft(run.craft, theme);
  const room = new Room(run.room, theme);
  scene.fog = room.fog;
  const planes = new Planes(run.craft, theme);
  const trails = new Trails(track, new Craft(run.craft, theme), theme);
  const arrows = new Arrows(run.craft, theme, track);
  craft.hub.parent?.add(arrows.onHub);
  earth.add(room.group, craft.body, planes.group, trails.group, arrows.group);
  const sun = new DirectionalLight(0xffffff, name === "dark" ? 1.5 : 2.0);
  sun.position.set(3, 8, 5);
  scene.add(earth, new HemisphereLight(0xffffff, 0x9a9384, name === "dark" ? 1.1 : 1.7), sun);
  return { scene, craft, room, planes, trails, arrows };
}

export class Stage {
  /** @param {Run} run @param {"light" | "dark"} theme */
  constructor(run, theme) {
    this.run = run;
    this.track = new Track(run);
    this.pose = this.track.blank();
    this.hub = new Vector3();
    this.cg = new Vector3();
    this.tailPlace = new Vector3();
    this.tailAxis = new Vector3();
    this.barHinge = new Vector3();
    this.home = vector(run.craft.hub.place); // the hub at launch
    const [w, x, y, z] = this.track.pose(this.track.first, this.pose).attitude;
    this.home.applyQuaternion(new Quaternion(x, y, z, w)).add(vector(this.pose.position));
    this.set = build(run, this.track, theme);
  }

  /** Build it anew in the colours of a theme. @param {"light" | "dark"} theme */
  dress(theme) {
    this.set.scene.traverse((/** @type {any} */ thing) => {
      thing.geometry?.dispose();
      thing.material?.map?.dispose();
      thing.material?.dispose();
    });
    this.set = build(this.run, this.track, theme);
  }

  /** Time within this flight. @param {number} t */
  clamp(t) {
    return Math.min(Math.max(t, this.track.first), this.track.last);
  }

  /** Put everything where it is at time t. @param {number} t @param {Shown} shown */
  move(t, shown) {
    const { track, run } = this;
    const { craft, planes, room, trails, arrows } = this.set;
    t = this.clamp(t);
    craft.move(track.pose(t, this.pose));
    craft.lose(run.losses, t);
    const body = craft.body;
    body.updateMatrix();
    const cg = track.between("cg", null, t, triple);
    this.cg.set(cg[0], cg[1], cg[2]);
    this.hub.copy(vector(run.craft.hub.place)).applyMatrix4(body.matrix);
    this.barHinge.copy(vector(run.craft.hub.axis)).multiplyScalar(run.craft.bar?.height ?? 0).add(vector(run.craft.hub.place)).applyMatrix4(body.matrix);
    planes.move(track, t, this.hub, this.barHinge);
    planes.show(shown);
    room.under(track.between("cg", null, t, triple), run.craft.blades.radius);
    trails.group.visible = shown.trails;
    if (shown.trails) trails.move(t);
    arrows.group.visible = arrows.onHub.visible = shown.forces;
    if (shown.forces) {
      if (run.craft.tail) {
        this.tailPlace.copy(vector(run.craft.tail.place)).applyMatrix4(body.matrix);
        this.tailAxis.copy(vector(run.craft.tail.axis)).applyQuaternion(body.quaternion);
      }
      arrows.move(t, this.hub, this.cg, this.tailPlace, this.tailAxis, shaft.copy(direction(track, "shaft", t)));
    }
  }

  /** Sizes of words for a view of so many pixels. @param {number} height @param {number} fov */
  fitWords(height, fov) {
    for (const label of this.labels()) fit(label, height, fov);
  }

  /** Words in the scene, the most wanted first. */
  labels() {
    return [...this.set.planes.labels, ...this.set.arrows.labels];
  }

  /** Where marked points of the craft are in the scene, told in north, east, down: for tests and for the curious. */
  landmarks() {
    const { scene, craft } = this.set;
    scene.updateMatrixWorld(true);
    const at = (/** @type {import("three").Object3D} */ thing) => {
      thing.getWorldPosition(spot);
      return [spot.x, spot.z, -spot.y];
    };
    const turn = craft.body.getWorldQuaternion(new Quaternion());
    const axis = (/** @type {[number, number, number]} */ v) => {
      spot.copy(vector(v)).applyQuaternion(turn);
      return [spot.x, spot.z, -spot.y];
    };
    return {
      datum: at(craft.body),
      hub: at(craft.hub),
      blades: craft.blades.map(({ tip }) => at(tip)),
      bar: (craft.barTips ?? []).map(at),
      forward: axis([1, 0, 0]),
      right: axis([0, 1, 0]),
      cg: this.cg.toArray(),
    };
  }
}

const triple = new Float64Array(3);
const spot = new Vector3();
const shaft = new Vector3();
