// Floor, walls and ceiling, or open country; and the craft's shadow.
import {
  BackSide, BoxGeometry, BufferGeometry, CircleGeometry, EdgesGeometry, Fog, Group, Line, LineBasicMaterial,
  LineDashedMaterial, LineSegments, Mesh, MeshBasicMaterial, Vector3,
} from "three";

/** @import { Theme } from "./colours.js" */

const OPEN_M = 150; // half width of open country
const GRID_M = 30; // half width of the grid where no wall ends it

export class Room {
  /** @param {{ceiling: number | null, north: number | null, east: number | null}} shape @param {Theme} theme */
  constructor(shape, theme) {
    this.group = new Group(); // in north, east, down
    const open = shape.north === null || shape.east === null;
    const north = shape.north ?? OPEN_M;
    const east = shape.east ?? OPEN_M;
    const floor = new Mesh(new CircleGeometry(1, 4, Math.PI / 4), new MeshBasicMaterial({ color: theme.floor, side: BackSide }));
    floor.scale.set(north * Math.SQRT2, east * Math.SQRT2, 1);
    floor.position.z = 0.002;
    this.group.add(floor, grid(Math.min(north, GRID_M), Math.min(east, GRID_M), theme));
    this.fog = open ? new Fog(theme.sky, 25, OPEN_M * 0.8) : null;
    if (!open) this.addWalls(north, east, shape.ceiling ?? Math.min(north, east), shape.ceiling !== null, theme);
    this.shadow = new Mesh(new CircleGeometry(1, 32), new MeshBasicMaterial({ color: theme.shadow, transparent: true, opacity: 0.3, side: BackSide, depthWrite: false }));
    this.shadow.position.z = -0.003;
    this.drop = new Line(new BufferGeometry().setFromPoints([new Vector3(), new Vector3(0, 0, 1)]), new LineDashedMaterial({ color: theme.shadow, dashSize: 0.04, gapSize: 0.04, transparent: true, opacity: 0.7 }));
    this.group.add(this.shadow, this.drop);
  }

  /** @param {number} north @param {number} east @param {number} height @param {boolean} closed @param {Theme} theme */
  addWalls(north, east, height, closed, theme) {
    const box = new BoxGeometry(2 * north, 2 * east, height);
    const edges = new LineSegments(new EdgesGeometry(box), new LineBasicMaterial({ color: theme.wall }));
    edges.position.z = -height / 2;
    this.group.add(edges);
    const inside = new Mesh(box, new MeshBasicMaterial({ color: theme.wall, transparent: true, opacity: closed ? 0.16 : 0.1, side: BackSide, depthWrite: false }));
    inside.position.z = -height / 2;
    this.group.add(inside);
  }

  /** Shadow and drop line under a place. @param {ArrayLike<number>} place north, east, down @param {number} radius */
  under(place, radius) {
    const height = -place[2];
    this.shadow.position.set(place[0], place[1], -0.003);
    this.shadow.scale.setScalar(radius);
    this.drop.position.set(place[0], place[1], place[2]);
    this.drop.scale.z = Math.max(height, 1e-3);
    const material = /** @type {LineDashedMaterial} */ (this.drop.material);
    material.scale = Math.max(height, 1e-3);
    if (!this.drop.geometry.attributes.lineDistance) this.drop.computeLineDistances();
  }
}

/** Lines a metre apart, every fifth stronger. @param {number} north @param {number} east @param {Theme} theme */
function grid(north, east, theme) {
  const group = new Group();
  for (const strong of [false, true]) {
    const points = [];
    for (let x = -Math.floor(north); x <= north; x++) {
      if ((x % 5 === 0) === strong) points.push(new Vector3(x, -east, 0), new Vector3(x, east, 0));
    }
    for (let y = -Math.floor(east); y <= east; y++) {
      if ((y % 5 === 0) === strong) points.push(new Vector3(-north, y, 0), new Vector3(north, y, 0));
    }
    const material = new LineBasicMaterial({ color: theme.grid, transparent: true, opacity: strong ? 0.9 : 0.35 });
    group.add(new LineSegments(new BufferGeometry().setFromPoints(points), material));
  }
  return group;
}
