// The one script of the pages: reads what Python left in the page, and plays it, or sets up the bench around it.
import { bench } from "./bench/bench.js";
import { get, player } from "./player.js";

async function start() {
  const told = get("bench");
  if (told) await bench(JSON.parse(told.textContent ?? "{}"));
  else player(JSON.parse(get("flights").textContent ?? "[]"));
}

start().then(
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
