// Builds the browser code of the pages into the package: node build.mjs OUT
import { build } from "esbuild";

const out = process.argv[2] ?? "../src/longpoint/web/static/built";
await build({
  entryPoints: { pages: "src/pages.ts", space: "src/space.ts", keep: "src/keep.ts" },
  bundle: true,
  minify: true,
  format: "iife",
  target: "es2022",
  legalComments: "eof",
  outdir: out,
  logLevel: "warning",
});
