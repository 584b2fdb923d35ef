// Bundles src/main.js and the 3-D library into bundle/replay.js, and puts the library's licence beside it.
// The same lock file gives the same bytes (tests/replay_page/test_bundle.py).
import { readFile, writeFile } from "node:fs/promises";
import { build } from "esbuild";

const out = process.argv[2] ?? "bundle";
const licence = (await readFile("node_modules/three/LICENSE", "utf8")).trim();
const { version } = JSON.parse(await readFile("node_modules/three/package.json", "utf8"));

await build({
  entryPoints: ["src/main.js"],
  outfile: `${out}/replay.js`,
  bundle: true,
  minify: true,
  format: "iife",
  target: "es2022",
  charset: "utf8",
  legalComments: "none", // the one licence that they repeat stands in the banner, whole
  banner: { js: `/*! three.js ${version}\n\n${licence}\n*/` },
});
await writeFile(`${out}/LICENSE-three.txt`, `three.js ${version}, bundled into replay.js\n\n${licence}\n`);
