// Shapes of the data that the Python side writes (replay/data.py, replay/shape.py). Metres, radians, seconds.

/** @typedef {[number, number, number]} Vec3  body axes: forward, right, down; earth axes: north, east, down */

/**
 * @typedef {{kind: "ball", name: string, at: Vec3, radius: number}} Ball
 * @typedef {{kind: "rod", name: string, from: Vec3, to: Vec3, diameter: number, form: "round" | "square" | "tube"}} Rod
 * @typedef {{kind: "plate", name: string, at: Vec3, along: Vec3, normal: Vec3, size: Vec3}} Plate
 * @typedef {{kind: "ring", name: string, at: Vec3, normal: Vec3, diameter: number, wire: number}} Ring
 */

/**
 * @typedef {object} BarShape
 * @property {number} lead arm 1 ahead of blade 1, in the sense of rotation
 * @property {number} height hinge above the hub along the shaft
 * @property {number} arm @property {number} wire @property {number} tip diameter, 0 none
 * @property {[number, number]} paddle span, chord
 * @property {number} paddle_centre @property {number} paddle_incidence @property {boolean} tilts
 */

/**
 * @typedef {object} TailShape
 * @property {Vec3} place @property {Vec3} axis @property {number} blades @property {number} radius
 * @property {number} root @property {number} chord @property {number} pitch @property {number} twist
 */

/**
 * @typedef {object} CraftShape
 * @property {string} name @property {string} note @property {number} mass
 * @property {number} hand +1 counter-clockwise seen from above
 * @property {{place: Vec3, axis: Vec3, aft: Vec3, right: Vec3, diameter: number}} hub
 * @property {(Ball | Rod | Plate | Ring)[]} parts
 * @property {{from: Vec3, to: Vec3, section: number}[]} skeins
 * @property {{count: number, radius: number, offset: number, precone: number, feather_axis: number, camber: number,
 *   outline: [number, number, number][]}} blades  outline: distance from the shaft, chord, built-in pitch
 * @property {BarShape | null} bar @property {TailShape | null} tail
 */

/**
 * @typedef {object} Run
 * @property {string} title @property {string} outcome @property {string} sentence
 * @property {{name: string, time: number, sentence: string}[]} events
 * @property {{time: number, arm: 1 | 2, what: string}[]} losses
 * @property {CraftShape} craft
 * @property {{ceiling: number | null, north: number | null, east: number | null}} room
 * @property {number} samples
 * @property {{name: string, kind: "float64" | "float32", width: number, offset: number}[]} columns
 * @property {string | ArrayBuffer} data base64, or the bytes themselves
 */

export {};
