// Lines some pixels wide; what the graphics card calls a line is a hair.
import { Line2 } from "three/addons/lines/Line2.js";
import { LineGeometry } from "three/addons/lines/LineGeometry.js";
import { LineMaterial } from "three/addons/lines/LineMaterial.js";

/** @typedef {{colour: number, wide?: number, dash?: number, opacity?: number}} Look  dash: its length [m], gap two thirds of it */

/** A line through points that can be told others later. @param {number[]} points x, y, z one after the other @param {Look} look */
export function line(points, { colour, wide = 2, dash = 0, opacity = 1 }) {
  const material = new LineMaterial({ color: colour, linewidth: wide, transparent: opacity < 1, opacity, dashed: dash > 0, dashSize: dash, gapSize: 0.66 * dash, fog: false });
  const geometry = new LineGeometry();
  geometry.setPositions(points);
  const made = new Line2(geometry, material);
  made.computeLineDistances();
  made.frustumCulled = false;
  return made;
}

/** Other points, as many as before, without new memory. @param {Line2} made @param {Float32Array} points @param {boolean} dashed */
export function move(made, points, dashed) {
  const at = /** @type {import("three").InterleavedBufferAttribute} */ (made.geometry.attributes.instanceStart).data;
  const array = /** @type {Float32Array} */ (at.array);
  for (let i = 0; i + 3 < points.length; i += 3) array.set(points.subarray(i, i + 6), 2 * i);
  at.needsUpdate = true;
  if (dashed) made.computeLineDistances();
}

/** Another line in place of one, of the same look, with as many points as it likes. @param {Line2} made @param {number[]} points */
export function relay(made, points) {
  made.geometry.dispose();
  made.geometry = new LineGeometry();
  made.geometry.setPositions(points);
  made.computeLineDistances();
}

/** A circle about z. @param {number} radius @param {Look} look */
export function circle(radius, look, points = 96) {
  const places = [];
  for (let i = 0; i <= points; i++) {
    const a = (2 * Math.PI * i) / points;
    places.push(radius * Math.cos(a), radius * Math.sin(a), 0);
  }
  return line(places, look);
}
