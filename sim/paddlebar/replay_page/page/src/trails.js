// Where the craft has been: the path of its centre of gravity, and the last turn or two of blade tip and bar tip.
import { Group, Vector3 } from "three";
import { line, move, relay } from "./lines.js";

/** @import { Theme } from "./colours.js" */
/** @import { Track } from "./track.js" */
/** @import { Craft } from "./craft.js" */

const POINTS = 72;
const TURNS = 1.5;

export class Trails {
  /** @param {Track} track @param {Craft} craft a craft that nobody sees, moved along to find where its tips were @param {Theme} theme */
  constructor(track, craft, theme) {
    this.track = track;
    this.craft = craft;
    this.pose = track.blank();
    this.group = new Group(); // in north, east, down
    const cg = [...track.values("cg")];
    this.ahead = line(cg, { colour: theme.path, opacity: 0.25, wide: 1.2 });
    this.path = line(cg, { colour: theme.path });
    const blank = new Array(3 * POINTS).fill(0);
    this.blade = line(blank, { colour: theme.disc, wide: 2.5 });
    this.bar = line(blank, { colour: theme.bar, wide: 2.5, dash: 0.02 });
    this.points = { blade: new Float32Array(3 * POINTS), bar: new Float32Array(3 * POINTS) };
    this.group.add(this.ahead, this.path, this.blade, this.bar);
    this.bar.visible = craft.shape.bar !== null;
  }

  /** Another flight of the same craft. @param {Track} track */
  renew(track) {
    this.track = track;
    const cg = [...track.values("cg")];
    relay(this.ahead, cg);
    relay(this.path, cg);
  }

  /** @param {number} t */
  move(t) {
    const { track, craft } = this;
    this.path.geometry.instanceCount = track.index(t);
    const speed = Math.abs(track.scalar("rotor_speed", t));
    const back = Math.min((2 * Math.PI * TURNS) / Math.max(speed, 5), 2);
    const start = Math.max(track.first, t - back);
    for (let i = 0; i < POINTS; i++) {
      craft.move(track.pose(start + ((t - start) * i) / (POINTS - 1), this.pose));
      craft.body.updateMatrixWorld(true);
      craft.blades[0].tip.getWorldPosition(place);
      place.toArray(this.points.blade, 3 * i);
      if (craft.barTips) {
        craft.barTips[0].getWorldPosition(place);
        place.toArray(this.points.bar, 3 * i);
      }
    }
    move(this.blade, this.points.blade, false);
    if (craft.barTips) move(this.bar, this.points.bar, true);
  }
}

const place = new Vector3();
