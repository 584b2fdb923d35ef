// Words in the scene: small plates of text that always face the viewer and keep their size on the screen.
import { CanvasTexture, SRGBColorSpace, Sprite, SpriteMaterial, Vector3 } from "three";

const SCALE = 3; // drawn larger than shown, for sharp edges
const SIZE_PX = 13;

/** @param {string} text @param {string} ink @param {string} paper @param {string} edge */
export function words(text, ink, paper, edge) {
  const canvas = document.createElement("canvas");
  const pen = /** @type {CanvasRenderingContext2D} */ (canvas.getContext("2d"));
  const font = `600 ${SIZE_PX * SCALE}px system-ui, sans-serif`;
  pen.font = font;
  const wide = Math.ceil(pen.measureText(text).width) + 12 * SCALE;
  const high = Math.ceil(1.6 * SIZE_PX * SCALE);
  canvas.width = wide;
  canvas.height = high;
  pen.font = font;
  pen.fillStyle = paper;
  pen.strokeStyle = edge;
  pen.lineWidth = 1.5 * SCALE;
  pen.beginPath();
  pen.roundRect(SCALE, SCALE, wide - 2 * SCALE, high - 2 * SCALE, 4 * SCALE);
  pen.globalAlpha = 0.85;
  pen.fill();
  pen.globalAlpha = 1;
  pen.stroke();
  pen.fillStyle = ink;
  pen.textBaseline = "middle";
  pen.fillText(text, 6 * SCALE, high / 2 + SCALE / 2);
  const map = new CanvasTexture(canvas);
  map.colorSpace = SRGBColorSpace;
  const material = new SpriteMaterial({ map, sizeAttenuation: false, depthTest: false, transparent: true, fog: false, toneMapped: false });
  const sprite = new Sprite(material);
  sprite.renderOrder = 10;
  sprite.userData = { wide: wide / SCALE, high: high / SCALE };
  return sprite;
}

/** Give words their size for a view that is so many pixels high. @param {Sprite} sprite @param {number} height @param {number} fov degrees */
export function fit(sprite, height, fov) {
  const a_pixel = (2 * Math.tan((fov * Math.PI) / 360)) / Math.max(height, 1);
  sprite.scale.set(sprite.userData.wide * a_pixel, sprite.userData.high * a_pixel, 1);
}

/**
 * Hide words that would lie over others; the first in the list have the right of way.
 * @param {Sprite[]} sprites @param {import("three").Camera} eye @param {number} width @param {number} height of the view
 * @param {{left: number, top: number, right: number, bottom: number}[]} taken what stands in the view already [px]
 */
export function keepClear(sprites, eye, width, height, taken) {
  const boxes = [...taken];
  for (const sprite of sprites) {
    sprite.visible = !sprite.userData.off;
    if (!sprite.visible || !shownAbove(sprite)) continue;
    sprite.getWorldPosition(spot).project(eye);
    const x = (spot.x * 0.5 + 0.5) * width;
    const y = (0.5 - spot.y * 0.5) * height;
    const { wide, high } = sprite.userData;
    const box = { left: x - wide / 2, right: x + wide / 2, top: y - high / 2, bottom: y + high / 2 };
    sprite.visible = spot.z < 1 && !boxes.some((b) => box.left < b.right && b.left < box.right && box.top < b.bottom && b.top < box.bottom);
    if (sprite.visible) boxes.push(box);
  }
}

const spot = new Vector3();

/** @param {import("three").Object3D} thing */
function shownAbove(thing) {
  for (let above = thing.parent; above; above = above.parent) if (!above.visible) return false;
  return true;
}
