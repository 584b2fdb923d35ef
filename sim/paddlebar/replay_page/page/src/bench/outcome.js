// The right side: how it went, against the pinned design; lights, tail and balance.
import { get } from "../player.js";

const SVG = "http://www.w3.org/2000/svg";

/** @typedef {{name: string, words: string, unit: string, better: string, value: number | null, shown: string}} Figure */
/** @typedef {{verdict: string, headline: string, sentence: string, faults: string[], remarks: string[], figures: Figure[]}} Told */

/** @param {string} name @param {Record<string, string | number>} attributes @param {...Element} inside */
function svg(name, attributes, ...inside) {
  const made = document.createElementNS(SVG, name);
  for (const [key, value] of Object.entries(attributes)) made.setAttribute(key, String(value));
  made.append(...inside);
  return made;
}

/** @param {string} tag @param {...(string | Node)} inside */
function element(tag, ...inside) {
  const made = document.createElement(tag);
  made.append(...inside);
  return made;
}

/** @param {Told} told @param {Told} pinned @param {boolean} alike the pinned design is this one @param {boolean} short only the beginning was flown */
export function tell(told, pinned, alike, short) {
  get("verdict").textContent = `${short ? "The first seconds: " : ""}${told.verdict}: ${told.headline}`;
  const faults = told.faults.length ? told.faults : told.remarks;
  get("faults").replaceChildren(...faults.map((each) => element("li", each)), ...(told.sentence ? [element("li", told.sentence)] : []));
  get("measures").querySelector("tbody")?.replaceChildren(
    ...told.figures.map((figure, i) => {
      const before = pinned.figures[i];
      const row = document.createElement("tr");
      const head = element("th", `${figure.words}${figure.unit ? ` [${figure.unit}]` : ""}`);
      head.setAttribute("scope", "row");
      const cells = [figure.shown, before.shown].map((text) => {
        const cell = element("td", text);
        cell.className = "number";
        return cell;
      });
      row.dataset.figure = figure.name;
      row.append(head, ...cells, element("td", alike || short ? "" : compared(figure, before)));
      row.lastElementChild?.classList.add("mark");
      return row;
    }),
  );
}

/** "better", "worse" or "same", with a mark. @param {Figure} now @param {Figure} before */
function compared(now, before) {
  if (!now.better || now.value === null || before.value === null || now.shown === before.shown) return now.shown === before.shown && now.better ? "= same" : "";
  const size = (/** @type {number} */ v) => (now.better === "more" ? v : now.better === "less" ? -v : -Math.abs(v));
  return size(now.value) > size(before.value) ? "\u25b2 better" : "\u25bc worse";
}

const SHAPES = { go: ["circle", { cx: 11, cy: 11, r: 8 }], slow: ["path", { d: "M11 2L20 19H2Z" }], stop: ["rect", { x: 3, y: 3, width: 16, height: 16 }], unknown: ["circle", { cx: 11, cy: 11, r: 8 }] };
const WORDS = { go: "holds", slow: "slow fall", stop: "falls", unknown: "not known" };

/** @param {{verdict: string, sentence: string, caution: string, lights: {turns_left: number, light: keyof typeof SHAPES, says: string}[]}} told */
export function tellLights({ lights, sentence, caution }) {
  get("lights").replaceChildren(
    ...lights.map(({ turns_left, light, says }) => {
      const [shape, size] = /** @type {[string, Record<string, number>]} */ (SHAPES[light]);
      const picture = svg("svg", { viewBox: "0 0 22 22", role: "img", "aria-label": WORDS[light] }, svg(shape, { ...size, class: light }));
      const item = element("li", picture, element("span", `${turns_left.toFixed(0)} turns left`), element("span", `${WORDS[light]}: ${says}`));
      item.dataset.light = light;
      return item;
    }),
  );
  get("lightsaid").textContent = [sentence, caution].filter(Boolean).join(". ");
}

/** @param {any} told of the server's `look` */
export function tellLooks(told) {
  tail(told.tail);
  balance(told.off_shaft_mm, told.wanted_mm);
  get("stops").replaceChildren(...told.stops.map((/** @type {string} */ each) => element("li", each)));
  get("weights").querySelector("tbody")?.replaceChildren(
    ...[["all up", told.total_g, 1], ...told.weights.map((/** @type {any} */ each) => [each.name, each.mass_g, each.share])].map(([name, mass, share]) => {
      const cells = [`${mass.toFixed(2)} g`, `${(100 * share).toFixed(0)} %`].map((text) => {
        const cell = element("td", text);
        cell.className = "number";
        return cell;
      });
      const row = element("tr", element("th", name), ...cells);
      return row;
    }),
  );
}

/** The tail's push against the rotor's turn, as two bars from one line. @param {{sense: string, hover: number | null, full: number | null}} told */
function tail({ sense, hover, full }) {
  const place = get("tail");
  if (sense === "none" || hover === null) {
    place.replaceChildren(element("p", sense === "none" ? "There is no tail rotor." : "What the tail holds is not known: no hover was found."));
    return;
  }
  const scale = 120 / Math.max(1, Math.abs(hover), Math.abs(full ?? 0));
  const picture = svg("svg", { viewBox: "0 0 300 40", "aria-hidden": "true" },
    svg("path", { d: "M150 0V40", class: "axis" }),
    svg("rect", { x: 150 - scale, y: 6, width: scale, height: 12, class: "bodyline" }),
    svg("rect", { x: hover < 0 ? 150 + scale * hover : 150, y: 22, width: Math.abs(hover) * scale, height: 12, class: "push" }));
  const key = element("p", element("span", mark("bodyline"), "the rotor turns the body"), element("span", mark("push"), "the tail pushes"));
  key.className = "key";
  const says = { against: "against it", with: "WITH it: turn its push to the other side", across: "across it: it turns nothing" }[sense] ?? sense;
  place.replaceChildren(picture, key, element("p", `The tail pushes ${says}: ${(100 * hover).toFixed(0)} % of the rotor's torque in hover${full === null ? "" : `, ${(100 * full).toFixed(0)} % freshly wound`}, nose held.`));
}

/** @param {string} name */
const mark = (name) => svg("svg", { viewBox: "0 0 14 14", "aria-hidden": "true" }, svg(name === "wanted" ? "circle" : "rect", name === "wanted" ? { cx: 7, cy: 7, r: 5, class: name } : { x: 2, y: 2, width: 10, height: 10, class: name }));

/** Where the centre of gravity is and where it should be, about the shaft, seen from above, nose up. @param {[number, number]} have @param {[number, number]} wanted */
function balance(have, wanted) {
  const most = Math.max(5, ...[...have, ...wanted].map(Math.abs));
  const reach = [5, 10, 20, 50, 100, 200, 500].find((each) => each >= most) ?? 1000;
  const at = (/** @type {[number, number]} */ [forward, right]) => ({ cx: 150 + (right / reach) * 60, cy: 70 - (forward / reach) * 60 });
  const picture = svg("svg", { viewBox: "0 0 300 140", "aria-hidden": "true" },
    svg("circle", { cx: 150, cy: 70, r: 60, class: "axis" }), svg("path", { d: "M90 70H210M150 10V130", class: "axis" }),
    svg("circle", { ...at(wanted), r: 8, class: "wanted" }), svg("circle", { ...at(have), r: 4.5, class: "have" }));
  const key = element("p", element("span", mark("have"), "centre of gravity"), element("span", mark("wanted"), "where it should be"), `circle: ${reach} mm about the shaft, nose up`);
  key.className = "key";
  const away = Math.hypot(have[0] - wanted[0], have[1] - wanted[1]);
  get("balance").replaceChildren(picture, key, element("p", `${away.toFixed(1)} mm from where it should be.`));
}
