// Words in the scene: small plates of text that always face the viewer and keep their size on the screen.
import { CanvasTexture, SRGBColorSpace, Sprite, SpriteMaterial } from "three";

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
