// The Khronos glTF validator over every model named on the command line: no errors, no warnings, and
// the first level, pictures included, light enough for a phone.

import { readFileSync } from "node:fs";
import validator from "gltf-validator";

/** Most bytes of a first level. */
const LIGHT = 400_000;

let bad = 0;
for (const file of process.argv.slice(2)) {
  const bytes = new Uint8Array(readFileSync(file));
  const report = await validator.validateBytes(bytes, { maxIssues: 20 });
  const { numErrors, numWarnings, messages } = report.issues;
  const grave = messages.filter((m) => m.severity < 2);
  console.log(`${file}: ${numErrors} errors, ${numWarnings} warnings`);
  for (const m of grave) console.log(`  ${m.code} ${m.pointer ?? ""} ${m.message}`);
  const heavy = file.includes("-phone.") && bytes.length > LIGHT;
  if (heavy) console.log(`  ${bytes.length} bytes, more than ${LIGHT}`);
  if (numErrors + numWarnings > 0 || heavy) bad += 1;
}
process.exit(bad === 0 && process.argv.length > 2 ? 0 : 1);
