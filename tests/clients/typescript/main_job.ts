// The main job with types made from the document: design, read, order, draw, many at once, prices of one's own.
import assert from "node:assert/strict";
import createClient from "openapi-fetch";
import type { components, paths } from "./api.js";

type Schemas = components["schemas"];
const [baseUrl, key] = process.argv.slice(2) as [string, string];
const client = createClient<paths>({ baseUrl, headers: { Authorization: `Bearer ${key}` } });

const deck: Schemas["DeckSpec"] = {
  jurisdiction: "alder-county",
  as_of: "2026-11-25",
  price_book: "brindlemoor-yard",
  levels: [{ width_ft: 16, projection_ft: 12, surface_height_in: 34 }],
};

async function design(): Promise<string> {
  const { data, response } = await client.POST("/v1/designs", { body: deck });
  assert(data);
  const status: Schemas["Verdict"]["status"] = data.verdict.status;
  assert.equal(status, "prescriptive");
  assert.equal(response.headers.get("Deck-Design-Id"), data.design_id);
  assert(data.footings.length > 0 && data.takeoff.total?.complete);
  return data.design_id;
}

async function takeoff(): Promise<void> {
  const { data } = await client.POST("/v1/takeoffs", {
    body: deck,
    headers: { Accept: "text/csv" },
    parseAs: "text",
  });
  assert(typeof data === "string" && data.startsWith("line_kind,"));
}

async function drawing(): Promise<void> {
  const { data, response } = await client.POST("/v1/drawings", {
    body: { spec: deck, sheet: "framing_plan", paper: "letter" },
    headers: { Accept: "image/svg+xml" },
    parseAs: "text",
  });
  assert.equal(response.headers.get("Content-Type"), "image/svg+xml");
  assert(data?.includes("<svg"));
}

async function refused(): Promise<void> {
  const narrow = { ...deck, levels: [{ ...deck.levels[0]!, width_ft: 1 }] };
  const { error, response } = await client.POST("/v1/designs", { body: narrow });
  assert.equal(response.status, 422);
  assert(error);
  switch (error.code) {
    case "invalid_spec":
      assert.equal(error.errors[0]?.pointer, "/levels/0/width_ft");
      assert.equal(error.errors[0]?.allowed?.min, 2);
      break;
    default:
      assert.fail(error.code);
  }
}

// The body of a batch is one line a value; what comes back is read line by line, told apart by its kind.
async function* batch(specs: Schemas["DeckSpec"][]): AsyncGenerator<Schemas["DesignBatchLine"]> {
  const { data } = await client.POST("/v1/design-batches", {
    params: { query: { view: "summary" } },
    body: deck,
    bodySerializer: () => specs.map((one) => JSON.stringify(one) + "\n").join(""),
    headers: { "Content-Type": "application/x-ndjson" },
    parseAs: "stream",
  });
  assert(data);
  let rest = "";
  for await (const piece of (data as ReadableStream<Uint8Array>).pipeThrough(new TextDecoderStream() as never)) {
    const lines = (rest + piece).split("\n");
    rest = lines.pop() ?? "";
    for (const line of lines) yield JSON.parse(line) as Schemas["DesignBatchLine"];
  }
}

async function many(designId: string): Promise<void> {
  const kinds: string[] = [];
  for await (const line of batch([deck, { ...deck, jurisdiction: "nowhere" }])) {
    kinds.push(line.kind);
    if (line.kind === "result") assert.equal(line.summary?.design_id, designId);
    else if (line.kind === "problem") assert.equal(line.problem.errors[0]?.code, "unknown_jurisdiction");
    else assert.deepEqual([line.lines, line.results, line.problems], [2, 1, 1]);
  }
  assert.deepEqual(kinds, ["result", "problem", "end"]);
}

async function prices(): Promise<void> {
  await client.POST("/v1/price-books", { body: { id: "tollgate-typescript" } });
  const { data, response } = await client.POST("/v1/price-books/{price_book_id}/versions", {
    params: { path: { price_book_id: "tollgate-typescript" } },
    body: {
      currency: "USD",
      effective_from: "2099-01-01",
      tax_included: false,
      lines: [{ item: "concrete.bag.60lb", sku: "C-60", description: "Concrete", unit: "bag", unit_price: "5.45",
                availability: "in_stock" }],
    },
  });
  assert.equal(response.status, 201);
  assert.equal(data?.outcome, "created");
}

const designId = await design();
await takeoff();
await drawing();
await refused();
await many(designId);
await prices();
console.log("done");
