// What each key of a page with a flight does.
import { SEATS } from "./cameras.js";

/** @import { Key } from "./keys.js" */

/**
 * @param {{clock: import("./clock.js").Clock, cameras: import("./cameras.js").Cameras, toggle: () => void, jump: (seconds: number) => void,
 *   sample: (step: number) => void, sit: (seat: import("./cameras.js").Seat) => void, show: (key: any) => void, night: () => void, keys: Key[],
 *   toggles: readonly (readonly [string, string, string])[], help: () => void}} page  keys: of the page around it
 * @returns {Key[]}
 */
export function keyTable({ clock, cameras, toggle, jump, sample, sit, show, night, keys, toggles, help }) {
  return [
    { keys: [" ", "k"], shown: "Space", says: "play, pause", act: toggle },
    { keys: ["ArrowLeft"], shown: "\u2190", says: "a tenth of a second back", act: () => jump(-0.1) },
    { keys: ["ArrowRight"], shown: "\u2192", says: "a tenth of a second on", act: () => jump(0.1) },
    { keys: ["j"], shown: "j", says: "a second back", act: () => jump(-1) },
    { keys: ["l"], shown: "l", says: "a second on", act: () => jump(1) },
    { keys: [","], shown: ",", says: "the sample before, as recorded", act: () => sample(-1) },
    { keys: ["."], shown: ".", says: "the next sample, as recorded", act: () => sample(1) },
    { keys: ["Home"], shown: "Home", says: "to the launch", act: () => jump(-1e9) },
    { keys: ["End"], shown: "End", says: "to the end", act: () => jump(1e9) },
    { keys: ["s"], shown: "s", says: "slower", act: () => clock.shift(1) },
    { keys: ["w"], shown: "w", says: "faster", act: () => clock.shift(-1) },
    ...SEATS.map(({ seat, name, says }, i) => ({ keys: [String(i + 1)], shown: String(i + 1), says: `camera ${name.toLowerCase()}: ${says}`, act: () => sit(seat) })),
    { keys: ["Shift+ArrowLeft"], shown: "Shift \u2190", says: "camera round to the left", act: () => cameras.nudge(-6, 0, 1) },
    { keys: ["Shift+ArrowRight"], shown: "Shift \u2192", says: "camera round to the right", act: () => cameras.nudge(6, 0, 1) },
    { keys: ["Shift+ArrowUp"], shown: "Shift \u2191", says: "camera higher", act: () => cameras.nudge(0, 5, 1) },
    { keys: ["Shift+ArrowDown"], shown: "Shift \u2193", says: "camera lower", act: () => cameras.nudge(0, -5, 1) },
    { keys: ["+", "="], shown: "+", says: "nearer", act: () => cameras.nudge(0, 0, 1 / 1.15) },
    { keys: ["-"], shown: "\u2212", says: "farther", act: () => cameras.nudge(0, 0, 1.15) },
    { keys: ["0"], shown: "0", says: "camera back to where it was", act: () => cameras.reset() },
    ...toggles.map(([key, name, letter]) => ({ keys: [letter], shown: letter, says: `${name.toLowerCase()} on or off`, act: () => show(key) })),
    { keys: ["n"], shown: "n", says: "night or day", act: night },
    ...keys,
    { keys: ["?"], shown: "?", says: "these keys", act: help },
  ];
}
