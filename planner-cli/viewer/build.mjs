// Bundles the viewer into two files that the command line embeds: `node build.mjs FOLDER`.
import { build } from "esbuild";
import { copyFile, mkdir, readFile } from "node:fs/promises";
import { dirname, join } from "node:path";
import { fileURLToPath } from "node:url";

const here = dirname(fileURLToPath(import.meta.url));
const folder = process.argv[2] ?? join(here, "dist");
await mkdir(folder, { recursive: true });
const licence = (await readFile(join(here, "node_modules/three/LICENSE"), "utf8")).trim();
const shared = { bundle: true, minify: true, charset: "ascii", legalComments: "none", target: "es2022", absWorkingDir: here };
await build({
  ...shared,
  entryPoints: ["src/main.js"],
  format: "iife",
  outfile: join(folder, "viewer.js"),
  // Every copy of three.js comes with its licence, and so every page does.
  banner: { js: `/* Contains three.js:\n${licence}\n*/` },
});
await build({ ...shared, entryPoints: ["src/style.css"], outfile: join(folder, "viewer.css") });
await copyFile(join(here, "node_modules/three/LICENSE"), join(folder, "LICENSE-three.txt"));
