// The Khronos glTF validator over every model named on the command line: no errors, no warnings.

import { readFileSync } from "node:fs";
import validator from "gltf-validator";

let bad = 0;
for (const file of process.argv.slice(2)) {
  const report = await validator.validateBytes(new Uint8Array(readFileSync(file)), { maxIssues: 20 });
  const { numErrors, numWarnings, messages } = report.issues;
  const grave = messages.filter((m) => m.severity < 2);
  console.log(`${file}: ${numErrors} errors, ${numWarnings} warnings`);
  for (const m of grave) console.log(`  ${m.code} ${m.pointer ?? ""} ${m.message}`);
  if (numErrors + numWarnings > 0) bad += 1;
}
process.exit(bad === 0 && process.argv.length > 2 ? 0 : 1);
