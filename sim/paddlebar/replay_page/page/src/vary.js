// Sliders over flights that were flown beforehand: the nearest flight, the clock kept, a small map below.
import { THEMES } from "./colours.js";
import { get, player } from "./player.js";

/** @import { Run } from "./types.js" */
/** @typedef {{key: string, noun: string, unit: string, values: number[], own: number}} Slider */
/** @typedef {{name: string, width: number, low: number, step: number, often: boolean}} Column */

/** What Python packed (packing.py): a head, and a function that gives a flight. @param {string} text base64 of a gzip */
async function unpack(text) {
  const packed = Uint8Array.from(atob(text), (sign) => sign.charCodeAt(0));
  const bytes = await new Response(new Blob([packed]).stream().pipeThrough(new DecompressionStream("gzip"))).arrayBuffer();
  const long = new DataView(bytes).getUint32(0, true);
  const head = JSON.parse(new TextDecoder().decode(new Uint8Array(bytes, 4, long)));
  const body = new Uint8Array(bytes, 4 + long);
  const half = body.length / 2;
  /** @type {{slow: number}[]} */
  const flights = head.flights;
  const sizes = flights.map(({ slow }) => head.columns.reduce((/** @type {number} */ sum, /** @type {Column} */ c) => sum + c.width * ((c.often ? head.often : 1) * slow + 1), 0));
  const starts = sizes.map((_, i) => sizes.slice(0, i).reduce((a, b) => a + b, 0));
  const run = (/** @type {number} */ i) => flight(head, body, half, starts[i], i);
  return { told: head.told, run };
}

/** One flight as the player takes it, every column at the times of the fast ones.
 * @param {any} head @param {Uint8Array} body @param {number} half @param {number} at @param {number} i @returns {Run} */
function flight(head, body, half, at, i) {
  const { first, last, slow } = head.flights[i];
  const fine = slow * head.often + 1;
  /** @type {Run["columns"]} */
  const columns = [];
  /** @type {Float64Array[]} */
  const parts = [];
  let offset = 0;
  /** @param {string} name @param {number} width @param {Float64Array} values */
  const add = (name, width, values) => {
    columns.push({ name, kind: "float64", width, offset });
    parts.push(values);
    offset += values.byteLength;
  };
  add("time", 1, Float64Array.from({ length: fine }, (_, k) => first + ((last - first) * k) / (fine - 1)));
  for (const { name, width, low, step, often } of /** @type {Column[]} */ (head.columns)) {
    const count = often ? fine : slow + 1;
    const values = new Float64Array(fine * width);
    for (let c = 0; c < width; c++) {
      let slope = 0;
      let whole = 0;
      let before = 0;
      for (let k = 0; k < count; k++, at++) {
        slope += ((body[at] | (body[half + at] << 8)) << 16) >> 16;
        whole += slope;
        const value = low + step * whole;
        if (often) values[k * width + c] = value;
        else if (k === 0) values[c] = value;
        else for (let part = 1; part <= head.often; part++) values[((k - 1) * head.often + part) * width + c] = before + ((value - before) * part) / head.often;
        before = value;
      }
    }
    add(name, width, values);
  }
  const data = new Uint8Array(offset);
  parts.forEach((each, k) => data.set(new Uint8Array(each.buffer), columns[k].offset));
  return { ...head.told[i], samples: fine, columns, data: data.buffer };
}

/** @param {{vary: Slider[], packed: string}} page */
export async function vary({ vary: sliders, packed }) {
  const { told, run } = await unpack(packed);
  const places = sliders.map(({ values, own }) => values.reduce((best, value, k) => (Math.abs(value - own) < Math.abs(values[best] - own) ? k : best), 0));
  const second = sliders[1]?.values.length ?? 1;
  const index = () => places[0] * second + (places[1] ?? 0);
  const own = run(index());
  const start = index();
  const play = player([own], { names: ["now", "as it is"] });
  /** @type {HTMLInputElement[]} */
  const inputs = [];
  /** @type {HTMLOutputElement[]} */
  const outputs = [];
  sliders.forEach(({ noun, unit, values }, k) => {
    const label = document.createElement("label");
    const input = document.createElement("input");
    Object.assign(input, { type: "range", min: "0", max: String(values.length - 1), step: "1", id: `vary-${k}` });
    input.dataset.keys = "moves";
    const output = document.createElement("output");
    output.htmlFor.add(input.id);
    label.append(`${noun}${unit ? ` [${unit}]` : ""}`, output, input);
    get("knobs").append(label);
    inputs.push(input);
    outputs.push(output);
    input.addEventListener("input", () => {
      places[k] = Number(input.value);
      show();
    });
  });
  const canvas = /** @type {HTMLCanvasElement} */ (get("plane"));
  const rows = second;
  const across = sliders[0].values.length;
  /** @param {number} x @param {number} y */
  const go = (x, y) => {
    places[0] = Math.min(Math.max(x, 0), across - 1);
    if (rows > 1) places[1] = Math.min(Math.max(y, 0), rows - 1);
    show();
  };
  const touch = (/** @type {PointerEvent} */ event) => {
    const box = canvas.getBoundingClientRect();
    go(Math.floor(((event.clientX - box.left) / box.width) * across), Math.floor((1 - (event.clientY - box.top) / box.height) * rows));
  };
  canvas.addEventListener("pointerdown", (event) => {
    canvas.setPointerCapture(event.pointerId);
    touch(event);
  });
  canvas.addEventListener("pointermove", (event) => canvas.hasPointerCapture(event.pointerId) && touch(event));
  canvas.addEventListener("keydown", (event) => {
    const way = { ArrowLeft: [-1, 0], ArrowRight: [1, 0], ArrowDown: [0, -1], ArrowUp: [0, 1] }[event.key];
    if (!way) return;
    event.preventDefault();
    go(places[0] + way[0], (places[1] ?? 0) + way[1]);
  });

  function show() {
    const i = index();
    const flown = i === start ? own : run(i);
    play.renew(flown, i === start ? null : own);
    sliders.forEach(({ values, unit }, k) => {
      inputs[k].value = String(places[k]);
      outputs[k].textContent = String(values[places[k]]);
      inputs[k].setAttribute("aria-valuetext", `${values[places[k]]} ${unit}`);
    });
    const it = told[i];
    get("went").textContent = [it.went, ...it.faults, it.sentence].filter(Boolean).join("; ");
    get("varyfigures").querySelectorAll("td.number").forEach((cell, k) => (cell.textContent = it.figures[k]));
    get("varyevents").replaceChildren(...it.events.map((/** @type {{time: number, sentence: string}} */ { time, sentence }) => {
      const item = document.createElement("li");
      item.textContent = `${time.toFixed(2)} s: ${sentence}`;
      return item;
    }));
    map();
    play.draw();
  }

  /** Seconds in control of each flight, the one that is shown framed. */
  function map() {
    const theme = THEMES[play.theme()];
    const ratio = window.devicePixelRatio || 1;
    const box = canvas.getBoundingClientRect();
    canvas.width = Math.round(box.width * ratio);
    canvas.height = Math.round(box.height * ratio);
    const pen = /** @type {CanvasRenderingContext2D} */ (canvas.getContext("2d"));
    pen.setTransform(ratio, 0, 0, ratio, 0, 0);
    const [wide, high] = [box.width / across, box.height / rows];
    const most = Math.max(...told.map((/** @type {any} */ each) => each.controlled_s), 1e-9);
    pen.font = "11px system-ui, sans-serif";
    pen.textAlign = "center";
    pen.textBaseline = "middle";
    for (let x = 0; x < across; x++) {
      for (let y = 0; y < rows; y++) {
        const share = told[x * rows + y].controlled_s / most;
        const top = box.height - (y + 1) * high;
        pen.fillStyle = `color-mix(in srgb, ${theme.runs[0]} ${Math.round(12 + 68 * share)}%, ${theme.paper})`;
        pen.fillRect(x * wide, top, wide + 0.5, high + 0.5);
        pen.fillStyle = share > 0.5 ? theme.paper : theme.ink;
        if (wide > 22 && high > 12) pen.fillText(told[x * rows + y].controlled_s.toFixed(1), (x + 0.5) * wide, top + high / 2);
      }
    }
    pen.lineWidth = 3;
    pen.strokeStyle = theme.runs[1];
    pen.strokeRect(places[0] * wide + 1.5, box.height - ((places[1] ?? 0) + 1) * high + 1.5, wide - 3, high - 3);
    canvas.setAttribute("aria-label", `Map of seconds in control: ${sliders.map(({ noun }, k) => `${noun} ${["across", "up"][k]}`).join(", ")}; here ${told[index()].controlled_s.toFixed(1)} s. Arrow keys go to the next flight.`);
    canvas.title = `seconds in control: ${sliders.map(({ noun }, k) => `${noun} ${["across", "up"][k]}`).join(", ")}`;
  }

  new MutationObserver(map).observe(document.documentElement, { attributeFilter: ["data-theme"] });
  new ResizeObserver(map).observe(canvas);
  show();
}
