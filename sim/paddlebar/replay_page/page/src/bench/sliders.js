// The left side: a slider, a field and a way back for each number that may be changed, in a builder's groups.
import { along } from "../player.js";

/**
 * @typedef {{index: number, key: string, group: string, noun: string, unit: string, low: number, high: number, step: number,
 *   tolerance: number, whole: boolean, foremost: boolean, choices: any[], says: string[]}} Control
 */
/** @typedef {{row: HTMLElement, slider: HTMLInputElement | HTMLSelectElement, field: HTMLInputElement | null, back: HTMLButtonElement, why: HTMLElement, bad: HTMLElement}} Row */

export class Sliders {
  /**
   * @param {HTMLElement} place @param {string[]} groups @param {Control[]} controls @param {(number | null)[]} own of the file
   * @param {(index: number, value: number, rests: boolean) => void} changed
   */
  constructor(place, groups, controls, own, changed) {
    this.controls = controls;
    this.own = own;
    this.changed = changed;
    /** @type {Row[]} */
    this.rows = [];
    for (const group of groups) {
      const mine = controls.filter((each) => each.group === group);
      if (!mine.length) continue;
      const box = document.createElement("fieldset");
      const name = document.createElement("legend");
      name.textContent = group[0].toUpperCase() + group.slice(1);
      box.append(name, ...mine.filter(({ foremost }) => foremost).map((each) => this.add(each)));
      const rest = mine.filter(({ foremost }) => !foremost);
      if (rest.length) {
        const more = document.createElement("details");
        const says = document.createElement("summary");
        says.textContent = `more of ${group}: ${rest.length}`;
        more.append(says, ...rest.map((each) => this.add(each)));
        box.append(more);
      }
      place.append(box);
    }
  }

  /** @param {Control} control */
  add(control) {
    const { index } = control;
    const row = document.createElement("div");
    row.className = "control";
    row.dataset.index = String(index);
    const label = document.createElement("label");
    label.textContent = control.noun;
    label.title = control.key;
    label.htmlFor = `control-${index}`;
    const back = document.createElement("button");
    back.type = "button";
    back.textContent = "\u00ab";
    back.title = `Back to the file's ${control.noun}`;
    back.setAttribute("aria-label", back.title);
    back.addEventListener("click", () => this.changed(index, this.own[index] ?? 0, true));
    const [why, bad] = ["why", "bad"].map((name) => {
      const line = document.createElement("p");
      line.className = name;
      line.hidden = true;
      line.id = `${name}-${index}`;
      return line;
    });
    bad.setAttribute("role", "alert");
    const [slider, field, ...more] = control.choices.length ? this.choice(control) : this.number(control);
    slider.id = `control-${index}`;
    slider.setAttribute("aria-describedby", `why-${index} bad-${index}`);
    row.append(label, ...more, back, why, bad);
    this.rows[index] = { row, slider, field, back, why, bad };
    return row;
  }

  /** @param {Control} control @returns {[HTMLSelectElement, null, HTMLElement]} */
  choice({ index, choices }) {
    const select = document.createElement("select");
    choices.forEach((each, i) => select.add(new Option(String(each), String(i))));
    select.addEventListener("change", () => this.changed(index, Number(select.value), true));
    return [select, null, select];
  }

  /** @param {Control} control @returns {[HTMLInputElement, HTMLInputElement, ...HTMLElement[]]} */
  number(control) {
    const { index, low, high, step, tolerance, unit, noun } = control;
    const own = this.own[index] ?? low;
    const slider = document.createElement("input");
    Object.assign(slider, { type: "range", min: String(low), max: String(high), step: String(step) });
    slider.dataset.keys = "moves";
    const read = () => Number(Number(slider.value).toPrecision(4));
    slider.addEventListener("input", () => this.changed(index, read(), false));
    slider.addEventListener("change", () => this.changed(index, read(), true));
    const reach = document.createElement("span");
    reach.className = "reach";
    reach.append(slider);
    for (const [name, value] of /** @type {[string, number][]} */ ([["own", own], ["", own - tolerance], ["", own + tolerance]])) {
      const share = (value - low) / (high - low || 1);
      if (share < 0 || share > 1 || (name === "" && tolerance === 0)) continue;
      const mark = document.createElement("i");
      mark.className = `mark ${name}`;
      mark.style.left = along(share);
      reach.append(mark);
    }
    if (tolerance) reach.title = `a builder's tolerance: ${tolerance.toPrecision(2)} ${unit} either way`;
    const field = document.createElement("input");
    Object.assign(field, { type: "text", inputMode: "decimal", autocomplete: "off" });
    field.setAttribute("aria-label", `${noun}${unit ? `, ${unit}` : ""}`);
    const take = () => {
      const value = Number(field.value.trim().replace(/^\u2212/, "-"));
      if (field.value.trim() === "" || !Number.isFinite(value)) this.complain(index, `${control.key}: should be a number, found ${field.value.trim() || "nothing"}`);
      else this.changed(index, value, true);
    };
    field.addEventListener("change", take);
    const says = document.createElement("span");
    says.className = "unit";
    says.textContent = unit;
    return [slider, field, reach, field, says];
  }

  /** Everything where it stands. @param {(number | null)[]} values @param {Record<string, string>} idle why some do nothing @param {number | null} held the slider under the hand stays */
  stand(values, idle, held = null) {
    this.controls.forEach(({ index, noun, choices }) => {
      const { row, slider, field, back, why } = this.rows[index];
      const value = values[index];
      const off = String(index) in idle || value === null;
      if (value !== null && index !== held) {
        if (slider instanceof HTMLInputElement) {
          // advice, or what was typed, may lie beyond the ends; marks stand by the old ones
          if (value < Number(slider.min) || value > Number(slider.max)) for (const mark of row.querySelectorAll(".mark")) mark.remove();
          slider.min = String(Math.min(Number(slider.min), value));
          slider.max = String(Math.max(Number(slider.max), value));
        }
        slider.value = String(value);
        if (field) field.value = String(Number(value.toPrecision(6)));
      } else if (field && value !== null) field.value = String(Number(value.toPrecision(6)));
      row.classList.toggle("moved", value !== this.own[index]);
      for (const each of [slider, ...(field ? [field] : [])]) each.disabled = off;
      back.disabled = off || value === this.own[index];
      why.hidden = !off;
      why.textContent = off ? `does nothing here: ${idle[String(index)] ?? "it does not stand in the file"}` : "";
      if (!choices.length) slider.setAttribute("aria-valuetext", `${noun} ${value}`);
    });
  }

  /** A sentence beside a field; "" takes it away. @param {number} index @param {string} sentence */
  complain(index, sentence) {
    for (const { row, bad } of this.rows) {
      row.classList.remove("wrong");
      bad.hidden = true;
    }
    const here = this.rows[index];
    if (!here || !sentence) return;
    here.row.classList.add("wrong");
    here.bad.textContent = sentence;
    here.bad.hidden = false;
    const more = here.row.closest("details");
    if (more) more.open = true;
  }
}
