// Simple solids from measures: rods, plates, rings, balls, blades.
import {
  BoxGeometry, BufferAttribute, BufferGeometry, CylinderGeometry, DoubleSide, EdgesGeometry, LineBasicMaterial,
  LineLoop, LineSegments, Mesh, MeshStandardMaterial, SphereGeometry, TorusGeometry, TubeGeometry, Vector3, Curve,
} from "three";
import { Z, vector } from "./frames.js";

/** @param {number} colour */
export const matt = (colour, more = {}) => new MeshStandardMaterial({ color: colour, roughness: 0.85, metalness: 0, ...more });

const THIN = 0.002; // m; thinner wire is drawn so thick, to be seen

/** A round or square rod between two points. @param {ArrayLike<number>} from @param {ArrayLike<number>} to
 * @param {number} diameter or side @param {import("three").Material} material */
export function rod(from, to, diameter, material, square = false) {
  const a = vector(from);
  const along = vector(to).sub(a);
  const wide = Math.max(diameter, THIN);
  const geometry = square ? new BoxGeometry(wide, along.length(), wide) : new CylinderGeometry(wide / 2, wide / 2, along.length(), 10);
  const mesh = new Mesh(geometry, material);
  mesh.position.copy(a).addScaledVector(along, 0.5);
  mesh.quaternion.setFromUnitVectors(new Vector3(0, 1, 0), along.normalize());
  return mesh;
}

/** @param {ArrayLike<number>} at @param {number} radius @param {import("three").Material} material */
export function ball(at, radius, material) {
  const mesh = new Mesh(new SphereGeometry(radius, 18, 12), material);
  mesh.position.copy(vector(at));
  return mesh;
}

/** @param {import("./types.js").Plate} part @param {import("three").Material} material @param {number} edge */
export function plate(part, material, edge) {
  const along = vector(part.along);
  const normal = vector(part.normal);
  const side = new Vector3().crossVectors(normal, along);
  const geometry = new BoxGeometry(...part.size);
  const mesh = new Mesh(geometry, material);
  mesh.add(new LineSegments(new EdgesGeometry(geometry), new LineBasicMaterial({ color: edge })));
  mesh.matrixAutoUpdate = false;
  mesh.matrix.makeBasis(along, side, normal).setPosition(vector(part.at));
  return mesh;
}

/** @param {import("./types.js").Ring} part @param {import("three").Material} material */
export function ring(part, material) {
  const mesh = new Mesh(new TorusGeometry(part.diameter / 2, part.wire / 2, 6, 48), material);
  mesh.position.copy(vector(part.at));
  mesh.quaternion.setFromUnitVectors(Z, vector(part.normal));
  return mesh;
}

/**
 * A blade: outline and built-in pitch along the span, arched across it. Axes: out, towards rising azimuth, up.
 * @param {[number, number, number][]} outline distance from the shaft, chord, pitch @param {number} offset of the hinge
 * @param {number} ahead share of the chord ahead of the feathering axis @param {number} camber rise over chord
 * @param {number} hand +1 if the front edge is towards rising azimuth, which is to the left of the span
 * @param {import("three").Material} material @param {number} edge colour of the outline
 */
export function blade(outline, offset, ahead, camber, hand, material, edge) {
  const across = 8;
  /** @type {number[]} */
  const points = [];
  /** @type {number[]} */
  const faces = [];
  outline.forEach(([x, chord, pitch], i) => {
    for (let k = 0; k <= across; k++) {
      const s = k / across; // 0 front edge, 1 rear edge
      const forward = (ahead - s) * chord;
      const rise = 4 * camber * s * (1 - s) * chord;
      const c = Math.cos(pitch);
      const n = Math.sin(pitch);
      points.push(x - offset, hand * (forward * c - rise * n), forward * n + rise * c);
      if (i && k) {
        const here = i * (across + 1) + k;
        const below = here - across - 1;
        faces.push(below - 1, below, here, below - 1, here, here - 1);
      }
    }
  });
  const geometry = new BufferGeometry();
  geometry.setAttribute("position", new BufferAttribute(new Float32Array(points), 3));
  geometry.setIndex(faces);
  geometry.computeVertexNormals();
  const mesh = new Mesh(geometry, material);
  material.side = DoubleSide;
  const width = across + 1;
  const last = (outline.length - 1) * width;
  const rim = [];
  for (let i = 0; i < outline.length; i++) rim.push(i * width);
  for (let k = 1; k < width; k++) rim.push(last + k);
  for (let i = outline.length - 2; i >= 0; i--) rim.push(i * width + across);
  const corners = rim.map((i) => new Vector3(points[3 * i], points[3 * i + 1], points[3 * i + 2]));
  mesh.add(new LineLoop(new BufferGeometry().setFromPoints(corners), new LineBasicMaterial({ color: edge })));
  return mesh;
}

/** A strand that winds about a straight line. @extends {Curve<Vector3>} */
class Twist extends Curve {
  /** @param {Vector3} from @param {Vector3} to @param {number} radius @param {number} turns @param {number} phase */
  constructor(from, to, radius, turns, phase) {
    super();
    const along = new Vector3().subVectors(to, from);
    const first = new Vector3(along.y, along.z, along.x).cross(along).normalize();
    const second = new Vector3().crossVectors(along, first).normalize();
    Object.assign(this, { from, along, first, second, radius, turns, phase });
  }

  /** @param {number} s @param {Vector3} out */
  getPoint(s, out = new Vector3()) {
    const me = /** @type {any} */ (this);
    const angle = 2 * Math.PI * me.turns * s + me.phase;
    const wide = me.radius * Math.min(1, 12 * s, 12 * (1 - s)); // gathered at the hooks
    return out
      .copy(me.from).addScaledVector(me.along, s)
      .addScaledVector(me.first, wide * Math.cos(angle)).addScaledVector(me.second, wide * Math.sin(angle));
  }
}

/** A skein as two strands wound about each other. @param {ArrayLike<number>} from @param {ArrayLike<number>} to
 * @param {number} section of all its rubber @param {import("three").Material} material */
export function skein(from, to, section, material) {
  const strand = Math.sqrt(section / 2 / Math.PI);
  return [0, Math.PI].map((phase) => {
    const curve = new Twist(vector(from), vector(to), strand, 9, phase);
    return new Mesh(new TubeGeometry(curve, 160, strand, 7), material);
  });
}
