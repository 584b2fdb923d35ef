// Keys: one table for what they do and for the help that lists them.

/** @typedef {{keys: string[], shown: string, says: string, act: (event: KeyboardEvent) => void}} Key */

const MOVES = ["ArrowLeft", "ArrowRight", "ArrowUp", "ArrowDown", "Home", "End", "PageUp", "PageDown"]; // of a slider that is no time

/** Listen. Keys in a select or a text field stay its own. @param {Key[]} table */
export function listen(table) {
  document.addEventListener("keydown", (event) => {
    if (event.ctrlKey || event.altKey || event.metaKey) return;
    const target = /** @type {HTMLElement} */ (event.target);
    const own = target.tagName === "SELECT" || (target.tagName === "INPUT" && /** @type {HTMLInputElement} */ (target).type === "text");
    if (own || target.tagName === "TEXTAREA" || target.dataset.keys === "own") return;
    if (target.dataset.keys === "moves" && MOVES.includes(event.key)) return;
    if ((event.key === " " || event.key === "Enter") && (target.tagName === "BUTTON" || target.tagName === "SUMMARY" || target.tagName === "A")) return;
    const name = (event.shiftKey && event.key.startsWith("Arrow") ? "Shift+" : "") + event.key;
    const found = table.find(({ keys }) => keys.includes(name));
    if (found) {
      event.preventDefault();
      found.act(event);
    }
  });
}

/** @param {HTMLElement} place @param {Key[]} table */
export function list(place, table) {
  for (const { shown, says } of table) {
    const row = document.createElement("tr");
    const key = document.createElement("td");
    for (const each of shown.split("  ")) {
      const cap = document.createElement("kbd");
      cap.textContent = each;
      key.append(cap, " ");
    }
    const words = document.createElement("td");
    words.textContent = says;
    row.append(key, words);
    place.append(row);
  }
}
