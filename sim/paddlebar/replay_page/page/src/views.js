// One canvas for all flights: each is drawn into the rectangle of its own element.
import { WebGLRenderer } from "three";
import { FOV } from "./cameras.js";
import { keepClear } from "./words.js";

/** @import { Stage } from "./stage.js" */
/** @import { Cameras } from "./cameras.js" */

export class Views {
  /** @param {HTMLElement} frame @param {HTMLCanvasElement} canvas @param {HTMLElement[]} places one for each stage */
  constructor(frame, canvas, places) {
    this.frame = frame;
    this.places = places;
    this.renderer = new WebGLRenderer({ canvas, antialias: true, powerPreference: "low-power" });
    this.renderer.setScissorTest(places.length > 1);
  }

  /** The page has another size. @param {Stage[]} stages */
  resize(stages) {
    const box = this.frame.getBoundingClientRect();
    this.renderer.setPixelRatio(Math.min(window.devicePixelRatio || 1, 2));
    this.renderer.setSize(box.width, box.height, false);
    this.boxes = this.places.map((place) => {
      const mine = place.getBoundingClientRect();
      const taken = [...place.children].map((child) => {
        const { left, right, top, bottom } = child.getBoundingClientRect();
        return { left: left - mine.left, right: right - mine.left, top: top - mine.top, bottom: bottom - mine.top };
      });
      return { x: mine.left - box.left, y: box.bottom - mine.bottom, width: mine.width, height: mine.height, taken };
    });
    stages.forEach((stage, i) => {
      const { width, height } = this.boxes?.[i] ?? { width: 1, height: 1 };
      const fov = width >= height ? FOV : (2 * Math.atan((Math.tan((FOV * Math.PI) / 360) * height) / width) * 180) / Math.PI;
      stage.fitWords(height, fov);
    });
  }

  /** @param {Stage[]} stages @param {Cameras} cameras */
  draw(stages, cameras) {
    stages.forEach((stage, i) => {
      const box = this.boxes?.[i];
      if (!box || box.width < 1 || box.height < 1) return;
      this.renderer.setViewport(box.x, box.y, box.width, box.height);
      this.renderer.setScissor(box.x, box.y, box.width, box.height);
      stage.set.scene.updateMatrixWorld();
      const eye = cameras.look(stage, box.width / box.height);
      keepClear(stage.labels(), eye, box.width, box.height, box.taken);
      this.renderer.render(stage.set.scene, eye);
      stage.tidy();
    });
  }
}
