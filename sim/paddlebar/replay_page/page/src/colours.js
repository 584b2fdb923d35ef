// Colours by day and by night: most from the scheme "muted" of P. Tol, as on the other pictures (pictures/style.py), darker or lighter where the ground asks.
// What must be told apart differs in line or shape as well; tests/replay_page/test_colours.py looks at it with other eyes.

const craft = { balsa: 0xd9bc8c, wire: 0x8a8f98, print: 0x66707c, tissue: 0xf0e4c8, rubber: 0x7a4b2a, bladeOne: 0xcc6677 };

export const THEMES = {
  light: {
    ...craft,
    sky: 0xe9eef2, floor: 0xd5d9d6, grid: 0x9aa5a2, wall: 0x8fa0a8, ink: "#222222", paper: "#ffffff", faint: "#d9dde0",
    disc: 0x2a8577, bar: 0xb35900, horizon: 0x222222, shaft: 0x332288, path: 0x332288, second: 0xb04a5c,
    force: 0x117733, shadow: 0x555555,
    runs: ["#332288", "#b04a5c"],
  },
  dark: {
    ...craft, wire: 0xb9c0c8, print: 0xa2adb8,
    sky: 0x14181c, floor: 0x1e2428, grid: 0x56636a, wall: 0x74848c, ink: "#e8eaec", paper: "#1b2024", faint: "#3a4248",
    disc: 0x44aa99, bar: 0xddcc77, horizon: 0xf2f4f6, shaft: 0x9fb4ff, path: 0x88ccee, second: 0xe08a98,
    force: 0x7fc98f, shadow: 0x8a979e,
    runs: ["#88ccee", "#e9a0ab"],
  },
};

/** @typedef {typeof THEMES.light} Theme */

/** CSS colour of a number. @param {number} value */
export const css = (value) => `#${value.toString(16).padStart(6, "0")}`;
