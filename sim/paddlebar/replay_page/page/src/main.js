// The one script of the pages: reads what Python left in the page, and plays it, or sets up the bench around it.
import { bench } from "./bench/bench.js";
import { get, player } from "./player.js";
import { vary } from "./vary.js";

/** At once where nothing is to be waited for: a page with flights in it is there when it is loaded. */
function start() {
  const told = get("bench");
  if (told) return bench(JSON.parse(told.textContent ?? "{}"));
  const flights = JSON.parse(get("flights").textContent ?? "[]");
  if (!Array.isArray(flights)) return vary(flights);
  player(flights);
  return Promise.resolve();
}

new Promise((done) => done(start())).then(
  () => {
    document.documentElement.dataset.ready = "yes";
  },
  (error) => {
    // without 3-D graphics the words, figures and keys below still stand
    const place = document.getElementById("trouble");
    if (place) {
      place.hidden = false;
      place.textContent = `The flight cannot be drawn here: ${error instanceof Error ? error.message : error}. The figures below are complete; another browser, or WebGL switched on, will show the rest.`;
    }
    document.documentElement.dataset.ready = "no";
    throw error;
  },
);
