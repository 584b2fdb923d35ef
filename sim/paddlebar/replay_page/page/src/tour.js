// A guided tour: stop here, look there, one sentence. Tours are JSON, left in the page by Python (tours.json).

/** @typedef {{at: number, seat: import("./cameras.js").Seat, shows: string[], speed: number, says: string}} Stop  at: seconds after the release */
/** @typedef {{name: string, title: string, stops: Stop[]}} Tour */
/** @typedef {{sit: (seat: import("./cameras.js").Seat) => void, clock: import("./clock.js").Clock, release: () => number, shows: (wanted: string[]) => void}} Stage */

/** @param {HTMLElement | null} place where the tour speaks @param {Stage} stage */
export function guide(place, stage) {
  /** @type {Tour[]} */
  const tours = JSON.parse(document.getElementById("tourlist")?.textContent ?? "[]");
  if (!place || !tours.length) return;
  place.hidden = false;
  const choice = document.createElement("select");
  choice.id = "tour";
  choice.add(new Option("none", ""));
  for (const { name, title } of tours) choice.add(new Option(title, name));
  const label = document.createElement("label");
  label.append("Guided tour ", choice);
  const says = document.createElement("p");
  says.id = "toursays";
  says.setAttribute("role", "status");
  says.hidden = true;
  const [before, after] = ["Back", "Next"].map((name) => {
    const button = document.createElement("button");
    button.type = "button";
    button.textContent = name;
    button.id = `tour${name.toLowerCase()}`;
    button.hidden = true;
    return button;
  });
  place.append(label, before, after, says);
  let stop = 0;
  const show = () => {
    const tour = tours.find(({ name }) => name === choice.value);
    for (const each of [says, before, after]) each.hidden = !tour;
    if (!tour) return;
    const { at, seat, shows, speed, says: sentence } = tour.stops[stop];
    stage.sit(seat);
    stage.shows(shows);
    stage.clock.go(speed > 0 ? speed : 1);
    stage.clock.seek(stage.release() + at);
    stage.clock.play(speed > 0); // 0: stand still and look
    says.textContent = `${stop + 1} of ${tour.stops.length}. ${sentence}`;
    before.disabled = stop === 0;
    after.disabled = stop === tour.stops.length - 1;
  };
  choice.addEventListener("change", () => {
    stop = 0;
    show();
  });
  before.addEventListener("click", () => {
    stop -= 1;
    show();
  });
  after.addEventListener("click", () => {
    stop += 1;
    show();
  });
}
