// The craft as a tree of groups, body - hub - (blades, bar) and body - tail rotor, each turned by its own angle.
import { BoxGeometry, CylinderGeometry, Group, Mesh, Quaternion, Vector3 } from "three";
import { X, Y, Z, stand, vector } from "./frames.js";
import { ball, blade, matt, plate, ring, rod, skein } from "./solids.js";

/** @import { CraftShape, BarShape, TailShape } from "./types.js" */
/** @import { Pose } from "./track.js" */
/** @import { Theme } from "./colours.js" */

const HUB_HEIGHT = 0.004; // m, drawn only

export class Craft {
  /** @param {CraftShape} shape @param {Theme} theme */
  constructor(shape, theme) {
    this.shape = shape;
    this.body = new Group();
    this.hub = new Group(); // turns with the shaft; x out along blade 1, z up the shaft
    this.tail = new Group();
    this.bar = new Group(); // x out along arm 1
    /** @type {{hinge: Group, tip: Group, feather: Group, side: Quaternion}[]} */
    this.blades = [];
    /** @type {Record<string, Mesh | Group>} */
    this.losable = {};
    this.materials = {
      balsa: matt(theme.balsa), wire: matt(theme.wire), print: matt(theme.print),
      tissue: matt(theme.tissue, { transparent: true, opacity: 0.8 }), rubber: matt(theme.rubber),
      one: matt(theme.bladeOne), bar: matt(theme.bar),
    };
    this.addBody();
    this.addHub();
    for (let i = 0; i < shape.blades.count; i++) this.addBlade(i);
    if (shape.bar) this.addBar(shape.bar);
    if (shape.tail) this.addTail(shape.tail);
    this.cg = new Vector3();
  }

  addBody() {
    const { balsa, wire, print, tissue, rubber } = this.materials;
    for (const part of this.shape.parts) {
      if (part.kind === "ball") this.body.add(ball(part.at, part.radius, print));
      else if (part.kind === "rod") this.body.add(rod(part.from, part.to, part.diameter, part.diameter < 0.0012 ? wire : part.form === "tube" ? tissue : balsa, part.form === "square"));
      else if (part.kind === "plate") this.body.add(plate(part, tissue, 0x9c8b66));
      else this.body.add(ring(part, wire));
    }
    for (const each of this.shape.skeins) this.body.add(...skein(each.from, each.to, each.section, rubber));
  }

  addHub() {
    const { hub, skeins, bar } = this.shape;
    const axis = vector(hub.axis);
    const place = new Group();
    stand(place, hub.place, vector(hub.aft), vector(hub.right), axis);
    place.add(this.hub);
    this.body.add(place);
    const disc = new Mesh(new CylinderGeometry(hub.diameter / 2, hub.diameter / 2, HUB_HEIGHT, 24), this.materials.print);
    disc.rotation.x = Math.PI / 2;
    this.hub.add(disc);
    // the shaft, from the upper hook of the skein to the bar's hinge
    const below = skeins.length ? vector(skeins[0].from).sub(vector(hub.place)).dot(axis) : -0.02;
    const above = bar ? Math.max(bar.height, 0) : 0;
    this.hub.add(rod([0, 0, Math.min(below, 0)], [0, 0, above + 1e-4], 0.0015, this.materials.wire));
  }

  /** @param {number} i */
  addBlade(i) {
    const { blades, hand } = this.shape;
    const arm = new Group(); // out along this blade
    arm.quaternion.setFromAxisAngle(Z, (hand * 2 * Math.PI * i) / blades.count);
    const hinge = new Group();
    hinge.position.x = blades.offset;
    const feather = new Group();
    const tip = new Group();
    tip.position.x = blades.radius - blades.offset;
    const material = i === 0 ? this.materials.one : this.materials.balsa;
    const root = blades.outline[0];
    feather.add(
      blade(blades.outline, blades.offset, blades.feather_axis, blades.camber, hand, material, 0x6b5a3a),
      rod([0, 0, 0], [root[0] - blades.offset + 0.15 * root[1], 0, 0], 0.0016, this.materials.wire),
      tip,
    );
    hinge.add(feather);
    arm.add(hinge);
    if (blades.offset > 0) arm.add(rod([0, 0, 0], [blades.offset, 0, 0], 0.002, this.materials.print));
    this.hub.add(arm);
    this.blades.push({ hinge, tip, feather, side: arm.quaternion });
  }

  /** @param {BarShape} shape */
  addBar(shape) {
    const { hand } = this.shape;
    const arm = new Group();
    arm.position.z = shape.height;
    arm.quaternion.setFromAxisAngle(Z, hand * shape.lead);
    arm.add(this.bar);
    this.hub.add(arm);
    const { bar, print, one, balsa } = this.materials;
    this.bar.add(rod([-shape.arm, 0, 0], [shape.arm, 0, 0], shape.wire, bar)); // in the colour of its plane
    this.barTips = [1, -1].map((sign, k) => {
      const end = new Group();
      end.position.x = sign * shape.arm;
      this.bar.add(end);
      const [span, chord] = shape.paddle;
      if (span > 0 && chord > 0) {
        const paddle = new Mesh(new BoxGeometry(span, chord, 0.0008), k ? balsa : one);
        paddle.position.x = sign * shape.paddle_centre;
        paddle.rotation.x = sign * hand * shape.paddle_incidence; // nose up in its own sense of motion
        this.bar.add(paddle);
        this.losable[`paddle lost ${k + 1}`] = paddle;
      }
      if (shape.tip > 0) {
        const tip = ball([sign * shape.arm, 0, 0], shape.tip / 2, k ? print : one);
        this.bar.add(tip);
        this.losable[`tip mass lost ${k + 1}`] = tip;
      }
      return end;
    });
  }

  /** @param {TailShape} shape */
  addTail(shape) {
    const place = new Group();
    const axis = vector(shape.axis);
    const second = new Vector3().crossVectors(axis, X);
    stand(place, shape.place, X, second, axis);
    place.add(this.tail);
    this.body.add(place);
    const n = 7;
    const outline = Array.from({ length: n }, (_, i) => {
      const r = shape.root + ((shape.radius - shape.root) * i) / (n - 1);
      return /** @type {[number, number, number]} */ ([r, shape.chord, shape.pitch + shape.twist * (r / shape.radius - 0.75)]);
    });
    for (let i = 0; i < shape.blades; i++) {
      const arm = new Group();
      arm.quaternion.setFromAxisAngle(Z, (2 * Math.PI * i) / shape.blades);
      arm.add(blade(outline, 0, 0.3, 0.04, this.shape.hand, i ? this.materials.balsa : this.materials.one, 0x6b5a3a));
      arm.add(rod([0, 0, 0], [shape.root + 0.002, 0, 0], 0.0012, this.materials.wire));
      this.tail.add(arm);
    }
    this.tail.add(ball([0, 0, 0], 0.003, this.materials.print));
  }

  /** Move everything to a pose. @param {Pose} pose */
  move(pose) {
    const { hand, blades } = this.shape;
    const [w, x, y, z] = pose.attitude;
    this.body.position.set(pose.position[0], pose.position[1], pose.position[2]);
    this.body.quaternion.set(x, y, z, w);
    this.hub.quaternion.setFromAxisAngle(Z, hand * pose.azimuth);
    this.tail.quaternion.setFromAxisAngle(Z, hand * pose.tailAngle);
    this.bar.quaternion.setFromAxisAngle(Y, -pose.barAngle); // arm 1 up
    this.blades.forEach(({ hinge, feather }, i) => {
      hinge.quaternion.setFromAxisAngle(Y, -(blades.precone + pose.flap[i])); // up
      feather.quaternion.setFromAxisAngle(X, hand * pose.pitch[i]); // nose up
    });
  }

  /** Hide what was lost before time t. @param {{time: number, arm: number, what: string}[]} losses @param {number} t */
  lose(losses, t) {
    for (const { time, arm, what } of losses) {
      const part = this.losable[`${what} ${arm}`];
      if (part) part.visible = t < time;
    }
  }
}
