// What plays flights: binds stages, cameras, charts, clock and their controls together.
import { Cameras, SEATS } from "./cameras.js";
import { Charts } from "./charts.js";
import { Clock, SPEEDS } from "./clock.js";
import { THEMES } from "./colours.js";
import { keyTable } from "./keytable.js";
import { list, listen } from "./keys.js";
import { Level, levelKey } from "./level.js";
import { LARGER } from "./planes.js";
import { Stage } from "./stage.js";
import { guide } from "./tour.js";
import { Views } from "./views.js";

/** @import { Run } from "./types.js" */

const TOGGLES = /** @type {const} */ ([
  ["disc", "Blade disc", "d"], ["bar", "Bar plane", "b"], ["horizon", "Horizon", "h"], ["trails", "Trails", "t"], ["forces", "Forces", "f"],
  ["why", "Why", "y"], ["larger", `Lean \u00d7 ${LARGER}`, "x"],
]);
const SPANS = /** @type {const} */ ([[0, "whole flight"], [10, "10 s"], [2, "2 s"]]);

/** @template {HTMLElement} T @param {string} id @returns {T} */
export const get = (id) => /** @type {T} */ (document.getElementById(id));

/** A list chosen from by mouse or finger gives the keys back to the page. @param {HTMLSelectElement} select */
function letGo(select) {
  let touched = false;
  select.addEventListener("mousedown", () => (touched = true));
  select.addEventListener("keydown", () => (touched = false));
  select.addEventListener("change", () => touched && select.blur());
}

/**
 * @param {Run[]} runs one, or two side by side
 * @param {{names?: string[], keys?: import("./keys.js").Key[]}} more names of flights on the charts; keys of the page that it stands on
 */
export function player(runs, { names, keys = [] } = {}) {
  const dark = window.matchMedia("(prefers-color-scheme: dark)");
  /** @type {"light" | "dark"} */
  let theme = dark.matches ? "dark" : "light";
  const stages = runs.map((run) => new Stage(run, theme));
  const shown = { disc: true, bar: true, horizon: true, trails: false, forces: false, why: false, larger: false };
  let dirty = true;
  const touch = () => {
    dirty = true;
  };

  const clock = new Clock(Math.min(...stages.map(({ track }) => track.first)), Math.max(...stages.map(({ track }) => track.last)), () => {
    showClock();
    touch();
  });
  const places = /** @type {HTMLElement[]} */ ([...document.querySelectorAll(".view")]);
  const views = new Views(get("views"), get("scene"), places);
  stages.forEach((stage) => stage.move(clock.now, shown)); // the cameras look at where the craft is
  const cameras = new Cameras(get("reach"), stages, touch);
  const charts = new Charts(get("strips"), stages, (t) => clock.seek(t), names);
  if (stages.length > 1 && 2.5 * Math.min(...stages.map(({ track }) => track.last)) < clock.last) charts.span = 10; // the short one would be a sliver
  const levels = stages.map((stage, i) => new Level(get("levels"), stage, stages.length > 1 ? "AB"[i] : ""));
  const readings = places.map((place) => /** @type {HTMLElement} */ (place.querySelector(".reading")));

  // --- controls
  const play = get("play");
  const scrub = /** @type {HTMLInputElement} */ (get("scrub"));
  const speed = /** @type {HTMLSelectElement} */ (get("speed"));
  const span = /** @type {HTMLSelectElement} */ (get("span"));
  markTime();
  for (const each of SPEEDS) speed.add(new Option(each === 1 ? "real time" : `1/${Math.round(1 / each)}`, String(each)));
  for (const [seconds, words] of SPANS) span.add(new Option(words, String(seconds)));
  span.value = String(charts.span);
  play.addEventListener("click", () => toggle());
  scrub.addEventListener("input", () => clock.seek(Number(scrub.value)));
  speed.addEventListener("change", () => clock.go(Number(speed.value)));
  span.addEventListener("change", () => {
    charts.span = Number(span.value);
    dress();
  });
  for (const select of [speed, span]) letGo(select);
  get("back").addEventListener("click", () => sample(-1));
  get("on").addEventListener("click", () => sample(1));
  get("night").addEventListener("click", () => night());
  get("reset").addEventListener("click", () => cameras.reset());
  dark.addEventListener("change", () => {
    if ((theme === "dark") !== dark.matches) night();
  });
  for (const { seat, name, says } of SEATS) {
    const button = document.createElement("button");
    button.type = "button";
    button.dataset.seat = seat;
    button.textContent = name;
    button.title = `Camera ${says}`;
    button.addEventListener("click", () => sit(seat));
    get("seats").append(button);
  }
  for (const [key, name, letter] of TOGGLES) {
    if (key === "bar" && !runs.some(({ craft }) => craft.bar)) continue;
    const button = document.createElement("button");
    button.type = "button";
    button.dataset.shows = key;
    button.textContent = name;
    button.title = `${name}, key ${letter}`;
    button.addEventListener("click", () => show(key));
    get("toggles").append(button);
  }
  for (const button of /** @type {NodeListOf<HTMLButtonElement>} */ (document.querySelectorAll("button[data-time]"))) {
    button.addEventListener("click", () => {
      clock.play(false);
      clock.seek(Number(button.dataset.time));
      get("views").scrollIntoView({ block: "nearest" });
    });
  }

  /** Ends of the time slider, and what happened along it. */
  function markTime() {
    scrub.min = String(clock.first);
    scrub.max = String(clock.last);
    get("marks").replaceChildren();
    stages.forEach(({ run }, i) => {
      for (const { time, sentence } of run.events) {
        const mark = document.createElement("i");
        mark.style.left = along((time - clock.first) / (clock.last - clock.first || 1));
        mark.title = `${time.toFixed(2)} s: ${sentence}`;
        mark.className = "ab"[i];
        get("marks").append(mark);
      }
    });
  }
  /** Another flight on the first stage, and the pale one beside it. @param {Run} run @param {Run | null} ghost */
  function renew(run, ghost) {
    const [stage] = stages;
    const bar = !!run.craft.bar;
    stage.renew(run);
    if (stage.ghost?.run !== (ghost ?? undefined)) stage.haunt(ghost);
    const shownNow = stage.ghost ? [stage, stage.ghost] : [stage];
    charts.renew(shownNow);
    clock.last = Math.max(...shownNow.map(({ track }) => track.last));
    clock.now = Math.min(clock.now, clock.last);
    levels[0].renew();
    cameras.renew();
    markTime();
    views.resize(stages);
    for (const button of /** @type {NodeListOf<HTMLButtonElement>} */ (document.querySelectorAll("button[data-shows=bar]"))) button.hidden = !bar;
    touch();
  }
  function toggle() {
    clock.play(!clock.playing);
    if (!clock.playing) announce();
  }
  /** The next sample of the run file. @param {number} step */
  function sample(step) {
    clock.play(false);
    const { track } = stages[0];
    const at = track.index(clock.now);
    const here = track.time[at] === clock.now || step < 0 ? at : at + 1;
    const exact = track.time[at] === clock.now;
    const next = step > 0 ? (exact ? at + 1 : here) : exact ? at - 1 : at;
    clock.seek(track.time[Math.min(Math.max(next, 0), track.time.length - 1)]);
    announce();
  }
  /** @param {number} seconds */
  function jump(seconds) {
    clock.seek(clock.now + seconds);
    announce();
  }
  /** @param {import("./cameras.js").Seat} seat */
  function sit(seat) {
    cameras.sit(seat);
    pressed();
    touch();
  }
  /** @param {keyof typeof shown} key */
  function show(key) {
    shown[key] = !shown[key];
    pressed();
    touch();
  }
  function night() {
    theme = theme === "dark" ? "light" : "dark";
    stages.forEach((stage) => stage.dress(theme));
    dress();
  }
  function pressed() {
    for (const button of /** @type {NodeListOf<HTMLButtonElement>} */ (document.querySelectorAll("button[data-seat]"))) {
      button.setAttribute("aria-pressed", String(button.dataset.seat === cameras.seat));
    }
    for (const button of /** @type {NodeListOf<HTMLButtonElement>} */ (document.querySelectorAll("button[data-shows]"))) {
      button.setAttribute("aria-pressed", String(shown[/** @type {keyof typeof shown} */ (button.dataset.shows)]));
    }
    get("night").setAttribute("aria-pressed", String(theme === "dark"));
  }
  function showClock() {
    play.textContent = clock.playing ? "Pause" : "Play";
    scrub.value = String(clock.now);
    scrub.setAttribute("aria-valuetext", `${clock.now.toFixed(2)} seconds`);
    get("time").textContent = clock.now.toFixed(2);
    if (speed.value !== String(clock.speed)) speed.value = String(clock.speed);
  }
  /** Tell those who listen where things stand, when something has come to rest. */
  function announce() {
    levels.forEach((level) => level.say());
    get("said").textContent = `${clock.now.toFixed(2)} seconds. ${stages.map((stage, i) => `${stages.length > 1 ? `Flight ${"AB"[i]}: ` : ""}${reading(stage).join(", ")}`).join(". ")}`;
  }
  /** @param {Stage} stage */
  function reading(stage) {
    const t = stage.clamp(clock.now);
    const tilt = (stage.track.scalar("tilt", t) * 180) / Math.PI;
    const rpm = (stage.track.scalar("rotor_speed", t) * 30) / Math.PI;
    const words = [`height ${stage.track.scalar("height", t).toFixed(2)} m`, `tilt ${tilt.toFixed(1)}\u00b0`, `rotor ${rpm.toFixed(0)} rpm`, `turns left ${stage.track.scalar("turns_left", t).toFixed(0)}`];
    if (shown.larger) words.push(`leans drawn \u00d7 ${LARGER}`);
    if (clock.now > stage.track.last) words.push(`ended at ${stage.track.last.toFixed(2)} s: ${stage.run.outcome}`);
    return words;
  }
  /** Sizes or colours have changed. */
  function dress() {
    document.documentElement.dataset.theme = theme;
    views.resize(stages);
    charts.dress(THEMES[theme]);
    levels.forEach((level) => level.dress(THEMES[theme]));
    levelKey(get("levelkey"), THEMES[theme]);
    pressed();
    touch();
  }

  const table = keyTable({ clock, cameras, toggle, jump, sample, sit, show, night, keys, toggles: TOGGLES, help: () => get("keys").scrollIntoView() });
  listen(table);
  list(get("keylist"), table);

  guide(get("tours"), {
    sit,
    clock,
    release: () => stages[0].run.events.find(({ name }) => name === "release")?.time ?? stages[0].track.first,
    shows: (wanted) => {
      for (const [key] of TOGGLES) shown[key] = wanted.includes(key);
      pressed();
      touch();
    },
  });

  // --- the loop: draws only when something has changed
  let before = performance.now();
  let cost = 0;
  let frames = 0;
  /** @param {number} now */
  function frame(now) {
    const passed = Math.min((now - before) / 1000, 0.1); // a page that was out of sight does not leap
    before = now;
    const was = clock.playing;
    clock.pass(passed);
    if (was || dirty) {
      const begun = performance.now();
      dirty = false;
      draw();
      cost += performance.now() - begun;
      frames += 1;
      if (was && !clock.playing) announce();
    }
    requestAnimationFrame(frame);
  }
  function draw() {
    stages.forEach((stage, i) => {
      stage.move(clock.now, shown);
      readings[i].textContent = reading(stage).join("   ")
    });
    charts.move(clock.now);
    levels.forEach((level) => level.move(clock.now));
    showClock();
    views.draw(stages, cameras);
  }

  new ResizeObserver(dress).observe(get("views"));
  new ResizeObserver(dress).observe(get("strips"));
  dress();
  draw();
  announce();
  requestAnimationFrame(frame);
  // for the page around it, for the tests, and for whoever opens the console
  const made = {
      stages, clock, cameras, shown, charts, renew,
      theme: () => theme,
      seek: (/** @type {number} */ t) => {
        clock.seek(t);
        draw();
      },
      draw,
      landmarks: (i = 0) => stages[i].landmarks(),
      memory: () => views.renderer.info.memory.geometries + views.renderer.info.memory.textures,
      cost: () => ({ frames, milliseconds: cost / Math.max(frames, 1) }),
  };
  Object.assign(window, { paddlebar: made });
  return made;
}

const KNOB = 16; // px: a slider's ends stand half a knob inside

/** Where a share of a slider stands, for a mark. @param {number} share */
export const along = (share) => `calc(${KNOB / 2}px + ${share} * (100% - ${KNOB}px))`;
