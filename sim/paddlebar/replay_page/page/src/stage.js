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
import { Why } from "./why.js";
import { fit } from "./words.js";

/** @import { Run } from "./types.js" */
/** @typedef {{disc: boolean, bar: boolean, horizon: boolean, trails: boolean, forces: boolean, why: boolean, larger: boolean}} Shown */

const PALE = 0.22; // of the ghost

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
  const why = new Why(run.craft, theme, track);
  craft.hub.parent?.add(arrows.onHub, why.onHub);
  earth.add(room.group, craft.body, planes.group, trails.group, arrows.group, why.group);
  const sun = new DirectionalLight(0xffffff, name === "dark" ? 1.5 : 2.0);
  sun.position.set(3, 8, 5);
  scene.add(earth, new HemisphereLight(0xffffff, 0x9a9384, name === "dark" ? 1.1 : 1.7), sun);
  return { scene, earth, craft, room, planes, trails, arrows, why };
}

/** Another design's flight, drawn pale in the same scene. */
export class Ghost {
  /** @param {Run} run @param {"light" | "dark"} theme */
  constructor(run, theme) {
    this.run = run;
    this.track = new Track(run);
    this.pose = this.track.blank();
    this.craft = Ghost.drawn(run, theme);
  }

  /** @param {Run} run @param {"light" | "dark"} theme */
  static drawn(run, theme) {
    const craft = new Craft(run.craft, THEMES[theme]);
    craft.body.traverse((/** @type {any} */ thing) => {
      if (!thing.material) return;
      thing.material.transparent = true;
      thing.material.opacity = PALE;
      thing.material.depthWrite = false;
    });
    return craft;
  }

  /** Time within this flight. @param {number} t */
  clamp(t) {
    return Math.min(Math.max(t, this.track.first), this.track.last);
  }

  /** @param {number} t */
  move(t) {
    t = this.clamp(t);
    this.craft.move(this.track.pose(t, this.pose));
    this.craft.lose(this.run.losses, t);
  }
}

/** Free what a part of a scene holds on the graphics card. @param {import("three").Object3D} from */
function drop(from) {
  from.traverse((/** @type {any} */ thing) => {
    thing.geometry?.dispose();
    thing.material?.map?.dispose();
    thing.material?.dispose();
  });
}

export class Stage {
  /** @param {Run} run @param {"light" | "dark"} theme */
  constructor(run, theme) {
    this.run = run;
    this.theme = theme;
    /** @type {import("three").Object3D[]} */
    this.stale = []; // dropped when what replaces it was drawn, so that no shader is compiled twice
    /** @type {Ghost | null} */
    this.ghost = null;
    this.track = new Track(run);
    this.pose = this.track.blank();
    this.hub = new Vector3();
    this.cg = new Vector3();
    this.tailPlace = new Vector3();
    this.tailAxis = new Vector3();
    this.barHinge = new Vector3();
    this.home = this.launched();
    this.set = build(run, this.track, theme);
  }

  /** The hub at launch. */
  launched() {
    const home = vector(this.run.craft.hub.place);
    const [w, x, y, z] = this.track.pose(this.track.first, this.pose).attitude;
    return home.applyQuaternion(new Quaternion(x, y, z, w)).add(vector(this.pose.position));
  }

  /** Build it anew in the colours of a theme. @param {"light" | "dark"} theme */
  dress(theme) {
    this.stale.push(this.set.scene);
    this.theme = theme;
    this.set = build(this.run, this.track, theme);
    if (this.ghost) {
      this.ghost.craft = Ghost.drawn(this.ghost.run, theme);
      this.set.earth.add(this.ghost.craft.body);
    }
  }

  /** Another flight in place of this one; what looks the same is kept. @param {Run} run */
  renew(run) {
    const looks = (/** @type {Run} */ each) => JSON.stringify([each.craft, each.room]);
    const same = looks(run) === looks(this.run);
    this.run = run;
    this.track = new Track(run);
    this.pose = this.track.blank();
    this.home = this.launched();
    if (!same) this.dress(this.theme);
    else {
      this.set.trails.renew(this.track);
      this.set.arrows.renew(this.track);
      this.set.why.renew(this.track);
    }
  }

  /** A flight beside this one, pale; none. @param {Run | null} run */
  haunt(run) {
    if (this.ghost) {
      this.ghost.craft.body.removeFromParent();
      this.stale.push(this.ghost.craft.body);
    }
    this.ghost = run ? new Ghost(run, this.theme) : null;
    if (this.ghost) this.set.earth.add(this.ghost.craft.body);
  }

  /** Drop what is no longer drawn. */
  tidy() {
    for (const old of this.stale.splice(0)) drop(old);
  }

  /** Time within this flight. @param {number} t */
  clamp(t) {
    return Math.min(Math.max(t, this.track.first), this.track.last);
  }

  /** Put everything where it is at time t. @param {number} t @param {Shown} shown */
  move(t, shown) {
    const { track, run } = this;
    const { craft, planes, room, trails, arrows, why } = this.set;
    this.ghost?.move(t);
    t = this.clamp(t);
    craft.move(track.pose(t, this.pose));
    craft.lose(run.losses, t);
    const body = craft.body;
    body.updateMatrix();
    const cg = track.between("cg", null, t, triple);
    this.cg.set(cg[0], cg[1], cg[2]);
    this.hub.copy(vector(run.craft.hub.place)).applyMatrix4(body.matrix);
    this.barHinge.copy(vector(run.craft.hub.axis)).multiplyScalar(run.craft.bar?.height ?? 0).add(vector(run.craft.hub.place)).applyMatrix4(body.matrix);
    planes.move(track, t, this.hub, this.barHinge, shown.larger);
    planes.show(shown);
    room.under(track.between("cg", null, t, triple), run.craft.blades.radius);
    trails.group.visible = shown.trails;
    if (shown.trails) trails.move(t);
    why.group.visible = why.onHub.visible = shown.why;
    if (shown.why) why.move(t, this.hub, shaft.copy(direction(track, "shaft", t)));
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
    return [...this.set.why.labels, ...this.set.planes.labels, ...this.set.arrows.labels];
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
