// What another tool calls breaking between the first document and each of the others: one JSON list a document.
import { readFileSync } from "node:fs";
import { apiCompare } from "api-smart-diff";

const read = (file) => JSON.parse(readFileSync(file, "utf-8"));
const [before, ...others] = process.argv.slice(2);
for (const after of others) {
  const breaking = apiCompare(read(before), read(after)).diffs.filter((change) => change.type === "breaking");
  console.log(JSON.stringify(breaking.map((change) => `${change.action} ${change.path.join("/")}`)));
}
