// Which fields of a deck spec the form asks for, in which order, and what it starts with.
// Labels, help, ranges and words are the service's own, from GET /v1/options.

const LEDGER = ["house.door_sill_height_in", "house.floor_build_up_in", "house.rim_depth_in",
  "house.foundation_wall", "house.floor_joist_direction"];

export const GROUPS = [
  { key: "place", title: "Place and prices", fields: ["jurisdiction", "price_book"] },
  {
    key: "deck", title: "Deck",
    fields: ["levels[].width_ft", "levels[].projection_ft", "levels[].outline_ft", "levels[].surface_height_in",
      "levels[].decking.material"],
  },
  { key: "house", title: "House", fields: ["house.wall", ...LEDGER] },
  {
    key: "wishes", title: "Wishes",
    fields: ["framing.attachment", "framing.objective", "foundation.method", "framing.post_size",
      "framing.joist_spacing_in", "framing.one_size"],
  },
  {
    key: "stair", title: "Stair", added: "Add a stair",
    fields: ["stairs[].edge", "stairs[].offset_ft", "stairs[].width_in"],
  },
  {
    key: "tub", title: "Hot tub", added: "Add a hot tub", constants: { "heavy_objects[].kind": "hot_tub" },
    fields: ["heavy_objects[].x_ft", "heavy_objects[].y_ft", "heavy_objects[].width_ft",
      "heavy_objects[].length_ft", "heavy_objects[].filled_weight_lb", "heavy_objects[].people"],
  },
  {
    key: "ground", title: "Ground", folded: true,
    fields: ["site.soil_class", "site.grade_fall_y_in_per_ft", "site.water_table_depth_in", "site.rock_depth_in",
      "site.rig_access_width_in", "house.foundation_depth_in"],
  },
  {
    key: "crew", title: "Crew and days", folded: true,
    fields: ["crew.size", "crew.hourly_rate", "crew.crew_day_value", "schedule.start_date"],
  },
];

// A deck to begin with. Everything in it can be changed.
export const START = {
  "levels[].width_ft": 16, "levels[].projection_ft": 12, "levels[].surface_height_in": 36,
  "levels[].outline_ft": [[0, 0], [16, 0], [16, 12], [0, 12]],
  "house.wall": "wood_band", "house.door_sill_height_in": 37.5, "house.rim_depth_in": 11.25,
  "house.floor_joist_direction": "toward_deck",
  "stairs[].edge": 2, "stairs[].offset_ft": 6, "stairs[].width_in": 48,
  "heavy_objects[].x_ft": 8, "heavy_objects[].y_ft": 2, "heavy_objects[].width_ft": 7,
  "heavy_objects[].length_ft": 7, "heavy_objects[].filled_weight_lb": 4600, "heavy_objects[].people": 6,
};

const BY_SIZES = ["levels[].width_ft", "levels[].projection_ft"];
const BY_CORNERS = ["levels[].outline_ft"];

/** Whether a field is asked for, by what else is chosen: a deck has sizes or corners; no house, no ledger. */
export function asked(path, chosen) {
  if (BY_SIZES.includes(path)) return chosen.shape === "sizes";
  if (BY_CORNERS.includes(path)) return chosen.shape === "corners";
  if (LEDGER.includes(path)) return chosen.wall !== "none";
  return true;
}
