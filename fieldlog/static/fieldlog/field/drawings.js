// Drawings beside questions, by the names that the kinds of reading give them.

import { drawn } from "./sketch.js";

const line = (d) => drawn("path", { class: "draw-line", d });
const fill = (d) => drawn("path", { class: "draw-fill", d });
const wash = (d) => drawn("path", { class: "draw-wash", d });
const dot = (x, y, r) => `M${x - r} ${y}a${r} ${r} 0 1 0 ${2 * r} 0a${r} ${r} 0 1 0 ${-2 * r} 0Z`;
const dots = (places, r) => places.map(([x, y]) => dot(x, y, r)).join("");
const times = (count, make) => Array.from({ length: count }, (_, i) => make(i));

const GROUND = line("M4 52H96");
const plant = (x, foot = 52, high = 10) => `M${x} ${foot}v${-high}m0 4c-5-1-5-5-4-7c3 1 4 4 4 7c0-3 2-6 5-7c1 3-1 6-5 7`;
const BALL = "M30 30c0-14 10-21 21-21s20 8 20 20s-9 22-21 22S30 43 30 30Z";

// How much of the ground is covered: so many of forty patches.
const cover = (pct) => () => {
  const covered = times(Math.round((pct / 100) * 40), (i) => (i * 17) % 40);
  const at = (n) => [10 + (n % 10) * 8, 6 + Math.floor(n / 10) * 12];
  return [
    line("M10 6h80v48h-80Z"),
    wash(covered.map((n) => `M${at(n).join(" ")}h8v12h-8Z`).join("")),
    line(covered.map((n) => `M${at(n)[0] + 1} ${at(n)[1] + 10}l6-8`).join("")),
  ];
};

// Grains of a size, strewn evenly and yet not in rows: the steps fill a square without a pattern.
const grains = (count, r) => times(count, (i) => dot(Math.round(12 + ((i * 0.7549) % 1) * 76), Math.round(12 + ((i * 0.5698) % 1) * 36), r)).join("");
const texture = (...marks) => () => [line("M8 8h84v44h-84Z"), ...marks];

const DRAWINGS = {
  counting: () => [GROUND, line([14, 25, 35, 50, 61, 73, 86].map((x) => plant(x)).join("")), line("M8 24v-8h84v8M8 12v8M92 12v8")],
  height: () => [GROUND, line(`${plant(52, 52, 34)}M52 34c-8 0-11-5-11-9c7 0 11 3 11 9c0-6 5-10 12-10c0 6-5 10-12 10`), line("M24 52V12m-3 0h6m-6 40h6m-3-30h3m-3 10h3m-3 10h3")],
  cage: () => [GROUND, line("M12 52V14h34v38M12 26h34M12 39h34M23 14v38M35 14v38"), line([17, 29, 41].map((x) => plant(x, 52, 26)).join("")), line([60, 71, 82, 92].map((x) => plant(x, 52, 9)).join(""))],
  bitten: () => [GROUND, line(`${plant(26, 52, 34)}M26 34c-7 0-9-4-9-8c6 0 9 3 9 8`), line("M70 52V26l-3-2m3 2l3-3M70 40c5 0 7-3 8-6"), wash("M58 12h24v10h-24Z"), line("M60 22l3-5l3 5l4-5l4 5l3-5l3 5")],
  tape: () => [wash("M8 30h84v16h-84Z"), line("M6 24H94"), line(times(9, (i) => `M${10 + i * 10} 20v8`).join("")), line("M18 44l12-8M36 46l10-10M60 42l16-8M74 46l12-6"), fill(dots([[10, 24], [30, 24], [50, 24], [70, 24], [90, 24]], 2.4))],
  frame: () => [line("M28 10h44v40h-44Z"), line("M24 6h52v48h-52Z"), line([36, 46, 56, 66].map((x) => plant(x, 44, 14)).join("")), line("M34 48h34")],
  ring: () => [GROUND, line("M30 22v36M70 22v36"), wash("M30 30h40v22h-40Z"), line("M30 30c6-3 8 3 14 0s8 3 14 0s8 3 12 0M30 22a20 5 0 0 1 40 0a20 5 0 0 1-40 0"), line("M82 14a8 8 0 1 1-.1 0ZM82 17v5l4 2")],
  spade: () => [line("M20 6v20M14 6h12M12 26h16v18l-8 10l-8-10Z"), wash("M44 14h44v38h-44Z"), line("M52 22c4-4 7 4 11 0s7 4 11 0M56 36c4 4 7-4 11 0s6 4 9-1M50 46c4-3 6 3 9 0")],
  slake: () => [line("M24 10v34c0 5 4 8 9 8h34c5 0 9-3 9-8V10"), wash("M25 20h50v24c0 5-3 7-8 7h-34c-5 0-8-2-8-7Z"), line("M34 32h32M38 32v-4h24v4"), fill("M43 27c0-6 4-9 8-9s7 3 7 9Z"), fill(dots([[42, 40], [50, 43], [57, 39], [47, 47], [61, 46]], 1.4))],
  cover_0_5: cover(3),
  cover_5_25: cover(15),
  cover_25_50: cover(37),
  cover_50_75: cover(62),
  cover_75_95: cover(85),
  cover_95_100: cover(98),
  texture_coarse: texture(fill(grains(26, 2.6))),
  texture_sandy_loam: texture(fill(grains(20, 2)), wash(grains(40, 1.2))),
  texture_loam: texture(fill(grains(46, 1.1)), wash("M8 8h84v44h-84Z")),
  texture_clay: texture(wash("M8 8h84v44h-84Z"), line("M12 18h34m8 0h34M16 29h22m8 0h42M12 40h46m8 0h20")),
  feel_dry: () => [fill(dots([[26, 46], [33, 49], [41, 45], [48, 50], [55, 46], [62, 49], [70, 47], [76, 50]], 3)), fill(dots([[40, 12], [52, 18], [46, 28], [60, 30], [36, 34]], 2.2))],
  feel_slightly_moist: () => [wash(BALL), line(BALL), line("M45 10l4 12l-6 9l6 8M64 20l-8 8l6 10M34 36l8 2"), fill(dots([[24, 50], [78, 50], [72, 53]], 2))],
  feel_moist: () => [wash(BALL), line(BALL), line("M38 22c5-4 9-4 13-1M36 32c6-4 11-4 16-1M40 42c5-3 9-3 13 0")],
  feel_wet: () => [line("M8 44c12 0 16-10 26-12l14-2c5 0 5 6 0 7l-8 2M8 30c8-2 12-10 20-14c6-3 16-4 20-2c4 2 2 7-3 7l-10 1"), wash("M48 22c12-1 20 2 28 8s12 12 18 14l-3 6c-8-2-14-8-20-13s-14-8-22-7Z"), line("M48 22c12-1 20 2 28 8s12 12 18 14M48 30c8-1 16 2 22 7s12 11 21 13")],
  feel_field_capacity: () => [wash(BALL), line(BALL), line("M36 24c6-5 12-5 18-1M38 35c6-4 12-4 18 0"), fill("M24 40c-4 6-4 10 0 10s4-4 0-10ZM79 36c-4 6-4 10 0 10s4-4 0-10ZM51 53c-2 3-2 5 0 5s2-2 0-5Z")],
};

// An SVG, or null where there is no drawing of that name.
export function drawing(name, className) {
  if (!name || !(name in DRAWINGS)) return null;
  return drawn("svg", { class: className, viewBox: "0 0 100 60", "aria-hidden": "true" }, ...DRAWINGS[name]());
}
