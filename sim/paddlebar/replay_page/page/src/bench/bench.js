// The bench: sliders, the flight that they give, what is said of it; everything asked of the server that gave the page.
import { THEMES } from "../colours.js";
import { get, player } from "../player.js";
import { Designs, same } from "./designs.js";
import { tell, tellLights, tellLooks } from "./outcome.js";
import { Plane } from "./plane.js";
import { Sliders } from "./sliders.js";
import { Talk, unpack } from "./talk.js";

const REST_MS = 500; // after the last change, until balance is looked at
const LIGHTS_MS = 1500; // until the lights are asked for: ten seconds of work

/** @param {{title: string, groups: string[], controls: import("./sliders.js").Control[], own: (number | null)[]}} page what Python left in the page */
export async function bench(page) {
  const talk = new Talk(new URLSearchParams(location.search).get("t") ?? "");
  const designs = new Designs(`bench ${talk.token}`);
  const calm = window.matchMedia("(prefers-reduced-motion: reduce)").matches;
  /** @type {any} */
  let now = null; // flight of the present design, told by the server
  /** @type {any} */
  let pinned = null;
  let waits = 0; // when the hand moved last
  /** @type {number | null} */
  let held = null;
  /** @type {number} */
  let rest = 0;
  const button = (/** @type {string} */ id) => /** @type {HTMLButtonElement} */ (get(id));

  const first = await flown(designs.pinned, false);
  if (!first?.run) throw new Error(first?.bad ?? "the server does not answer; start paddlebar bench again");
  pinned = now = first;
  const keys = [
    { keys: ["u"], shown: "u", says: "undo", act: () => undo() },
    { keys: ["r"], shown: "r", says: "redo", act: () => redo() },
    { keys: ["p"], shown: "p", says: "pin this design", act: () => pin() },
    { keys: ["a"], shown: "a", says: "advise", act: () => advise() },
  ];
  const play = player([first.run], { names: ["now", "pinned"], keys });
  const sliders = new Sliders(get("sliders"), page.groups, page.controls, page.own, changed);
  const map = new Plane(/** @type {HTMLCanvasElement} */ (get("plane")), dragged);
  for (const id of ["mapx", "mapy"]) {
    for (const { index, noun, unit, choices } of page.controls) {
      if (!choices.length && !(String(index) in first.idle)) /** @type {HTMLSelectElement} */ (get(id)).add(new Option(`${noun}${unit ? ` [${unit}]` : ""}`, String(index)));
    }
  }
  const pick = (/** @type {string} */ id, /** @type {string} */ key) => {
    const found = page.controls.find((each) => each.key === key);
    if (found) /** @type {HTMLSelectElement} */ (get(id)).value = String(found.index);
  };
  pick("mapx", "craft.bar.gain");
  pick("mapy", "craft.bar.lead_deg");
  /** @type {[string, () => void][]} */
  const buttons = [["undo", undo], ["redo", redo], ["pin", pin], ["first", () => go({ taken: 0, moved: [] })], ["advise", advise], ["save", save], ["share", share], ["map", drawMap]];
  for (const [id, act] of buttons) get(id).addEventListener("click", act);
  new MutationObserver(() => map.draw(THEMES[play.theme()])).observe(document.documentElement, { attributeFilter: ["data-theme"] });
  new ResizeObserver(() => map.draw(THEMES[play.theme()])).observe(get("outcome"));
  Object.assign(/** @type {any} */ (window).paddlebar, { talk, designs, told: () => now, seen: () => painted });
  let painted = 0; // flights drawn, for the tests

  show(first, !calm);
  if (!same(designs.now, designs.pinned)) await fly(null);
  else rested();
  talk.stay((there) => {
    get("trouble").hidden = there;
    if (!there) get("trouble").textContent = "The bench does not answer. Start paddlebar bench again, or wait: the page looks for it.";
  });

  /** @param {import("./designs.js").Design} design @param {boolean} short */
  async function flown(design, short) {
    const answer = await talk.ask("fly", { taken: design.taken, moved: design.moved, short });
    return answer?.bytes ? unpack(answer.bytes) : answer;
  }

  /** A hand on a control. @param {number} index @param {number} value @param {boolean} rests */
  async function changed(index, value, rests) {
    const design = designs.moved(index, value);
    held = rests ? null : index;
    await attempt(design, index, rests);
  }

  /** Fly a design; it becomes the present one when it can be flown. @param {import("./designs.js").Design} design @param {number | null} index moved last @param {boolean} rests */
  async function attempt(design, index, rests) {
    waits = performance.now();
    stale();
    const answer = await flown(design, !rests);
    if (answer === null) return false;
    if (!answer.run) {
      if (index === null) refuse(answer.gone ? "The bench does not answer." : answer.bad);
      else sliders.complain(index, answer.gone ? "The bench does not answer." : answer.bad);
      return false;
    }
    refuse("");
    sliders.complain(-1, "");
    if (rests) {
      designs.go(design);
      held = null;
    }
    now = answer;
    show(answer, !calm);
    if (rests) rested();
    return true;
  }

  /** Fly the present design again. @param {number | null} index */
  async function fly(index) {
    await attempt(designs.now, index, true);
  }

  /** @param {import("./designs.js").Design} design */
  function go(design) {
    return attempt(design, null, true);
  }

  /** @param {any} told @param {boolean} plays */
  function show(told, plays) {
    const alike = !told.short && same(designs.now, designs.pinned);
    play.renew(told.run, alike ? null : pinned.run);
    const last = play.stages[0].track.last;
    if (plays && play.clock.now >= last) play.clock.now = play.clock.first;
    if (plays) play.clock.play(true);
    tell(told, pinned, alike, told.short);
    sliders.stand(told.values, told.idle, held);
    button("undo").disabled = !designs.past.length;
    button("redo").disabled = !designs.ahead.length;
    button("pin").disabled = alike;
    get("which").textContent = alike ? "the pinned design" : "now; pale: the pinned design";
    differs(told);
    dot(told);
    play.draw();
    painted += 1;
  }

  /** What is not the pinned design's. @param {any} told */
  function differs(told) {
    const rows = page.controls.filter(({ index }) => told.values[index] !== pinned.values[index]).map(({ index, noun, unit, choices }) => {
      const row = document.createElement("tr");
      for (const text of [noun, says(pinned.values[index], choices), "\u2192", says(told.values[index], choices), unit]) {
        const cell = document.createElement("td");
        cell.textContent = text;
        row.append(cell);
      }
      return row;
    });
    get("differs").querySelector("tbody")?.replaceChildren(...rows);
    const summary = get("differs").querySelector("summary");
    if (summary) summary.textContent = rows.length ? `What differs: ${rows.length}` : "Nothing differs";
  }

  /** What follows when the hand rests. */
  function rested() {
    clearTimeout(rest);
    stale();
    rest = window.setTimeout(async () => {
      const design = designs.now;
      const { taken, moved } = design;
      get("lookstate").textContent = "computing";
      const looks = await talk.ask("look", { taken, moved });
      if (looks === null || !same(design, designs.now)) return;
      get("lookstate").textContent = looks.bad ?? "";
      if (!looks.bad && !looks.gone) tellLooks(looks);
      for (const id of ["tail", "balance"]) get(id).classList.remove("waiting");
      await new Promise((later) => setTimeout(later, LIGHTS_MS - REST_MS));
      if (!same(design, designs.now)) return;
      get("lightstate").textContent = "computing, some ten seconds";
      const lights = await talk.ask("lights", { taken, moved });
      if (lights === null || !same(design, designs.now)) return;
      get("lightstate").textContent = lights.bad ?? "";
      if (!lights.bad && !lights.gone) tellLights(lights);
      get("lights").classList.remove("waiting");
    }, REST_MS);
  }
  /** What is shown beside the flight is of an older design. */
  function stale() {
    for (const id of ["tail", "balance", "lights"]) get(id).classList.add("waiting");
    const before = get("lights").childElementCount ? "of the design before" : "";
    get("lookstate").textContent = get("lightstate").textContent = before;
  }

  async function undo() {
    const { now: here } = designs;
    if (designs.undo()) await again(here);
  }
  async function redo() {
    if (designs.redo()) await again(designs.now);
  }
  /** @param {import("./designs.js").Design} _ */
  async function again(_) {
    await fly(null);
  }
  function pin() {
    if (now.short) return;
    designs.pin();
    pinned = now;
    show(now, false);
  }

  async function advise() {
    const { taken, moved } = designs.now;
    const design = designs.now;
    get("advicestate").textContent = "flying what might help, some ten seconds";
    get("advice").replaceChildren();
    const told = await talk.ask("advise", { taken, moved });
    if (told === null) return;
    if (told.bad || told.gone) {
      get("advicestate").textContent = told.bad ?? "The bench does not answer.";
      return;
    }
    const none = told.well ? "it flies well, and nothing that was flown is better" : `nothing that was flown helps. ${told.missing}`;
    get("advicestate").textContent = told.suggestions.length ? `${told.flights} flights flown${same(design, designs.now) ? "" : "; of the design when you asked"}` : none;
    get("advice").replaceChildren(
      ...told.suggestions.map((/** @type {any} */ each) => {
        const item = document.createElement("li");
        const take = document.createElement("button");
        take.type = "button";
        take.textContent = "Take it";
        take.addEventListener("click", () => go({ taken: each.take, moved: [] }));
        const why = document.createElement("span");
        why.className = "quiet";
        why.textContent = ` ${each.why}${each.in_all ? "" : " (not from every launch)"} `;
        item.append(each.words, why, take);
        return item;
      }),
    );
  }

  async function save() {
    const name = /** @type {HTMLInputElement} */ (get("savename")).value.trim();
    const told = await talk.ask("save", { ...designs.now, name });
    if (told) get("saved").textContent = told.files ? `written: ${told.files.join(" and ")}` : (told.bad ?? "The bench does not answer.");
  }

  async function share() {
    get("saved").textContent = "putting the page together";
    const told = await talk.ask("share", { ...designs.now, first_taken: designs.pinned.taken, first_moved: designs.pinned.moved });
    if (!told?.bytes) {
      get("saved").textContent = told?.bad ?? "The bench does not answer.";
      return;
    }
    const link = document.createElement("a");
    link.href = URL.createObjectURL(new Blob([told.bytes], { type: "text/html" }));
    link.download = "shared-flight.html";
    link.click();
    setTimeout(() => URL.revokeObjectURL(link.href), 10_000);
    get("saved").textContent = `shared-flight.html, ${(told.bytes.byteLength / 1e6).toFixed(1)} MB: it opens without the bench`;
  }

  async function drawMap() {
    const [x, y] = ["mapx", "mapy"].map((id) => Number(/** @type {HTMLSelectElement} */ (get(id)).value));
    if (x === y) {
      get("mapstate").textContent = "Choose two different sliders.";
      return;
    }
    get("mapstate").textContent = "computing 81 flights";
    const told = await talk.ask("map", { ...designs.now, x, y });
    if (told === null) return;
    get("mapstate").textContent = told.bad ?? (told.gone ? "The bench does not answer." : "Seconds in control, of 6 at most; -: cannot be flown. Drag the dot, or move it by arrow keys.");
    if (told.bad || told.gone) return;
    map.told = told;
    mapped = [x, y];
    map.names = mapped.map((k) => `${page.controls[k].noun} ${page.controls[k].unit && `[${page.controls[k].unit}]`}`.trim());
    map.canvas.hidden = false;
    dot(now);
  }
  /** @param {any} told */
  function dot(told) {
    if (!map.told) return;
    map.dot = mapped.map((k) => told.values[k] ?? 0);
    map.draw(THEMES[play.theme()]);
  }
  /** @param {number} across @param {number} up @param {boolean} rests */
  function dragged(across, up, rests) {
    const [x, y] = mapped;
    const tidy = (/** @type {number} */ k, /** @type {number} */ v) => (page.controls[k].whole ? Math.round(v) : Number(v.toPrecision(4)));
    const rest = designs.now.moved.filter(([k]) => k !== x && k !== y);
    attempt({ taken: designs.now.taken, moved: [...rest, [x, tidy(x, across)], [y, tidy(y, up)]] }, null, rests);
  }

  /** @param {string} sentence */
  function refuse(sentence) {
    get("refused").hidden = !sentence;
    get("refused").textContent = sentence;
  }
}

/** @type {number[]} */
let mapped = [0, 0];

/** @param {number | null} value @param {any[]} choices */
const says = (value, choices) => (value === null ? "-" : choices.length ? String(choices[value]) : String(Number(value.toPrecision(5))));
