// How outlines look. Colours live in map.css alone; here are the hatches, the second cue beside colour,
// as path data in a tile of 8 × 8: SVG patterns draw them, and so does the canvas of a large property.

const TILE = 8;
const HATCHES = {
  "tint-0": "M-2 2L2-2M0 8L8 0M6 10L10 6",
  "tint-1": "M-2 6L2 10M0 0L8 8M6-2L10 2",
  "tint-2": "M0 2H8M0 6H8",
  "tint-3": "M2 0V8M6 0V8",
  "tint-4": "M0 8L8 0M0 0L8 8",
  "tint-5": "M2 2h.01M6 6h.01",
  "tint-6": "M0 4H8M4 0V8",
  "tint-7": "M0 6L4 2L8 6",
  fallow: "M1 6v-2M4 3v-2",
  // classes of a figure: the more, the denser
  "step-0": "M4 4h.01",
  "step-1": "M-2 2L2-2M0 8L8 0M6 10L10 6",
  "step-2": "M-2 2L2-2M-1 5L5-1M0 8L8 0M3 9L9 3M6 10L10 6",
  "step-3": "M-2 2L2-2M0 8L8 0M6 10L10 6M-2 6L2 10M0 0L8 8M6-2L10 2",
  unknown: "M3 3L5 5M5 3L3 5",
};
// Points that stand for plots too small to draw: the higher a class, the larger. [pixels]
const SPECK_RADIUS = 2.5;
const SPECK_RADII = { "step-0": 1.5, "step-1": 2, "step-2": 2.5, "step-3": 3 };
const radiusOf = (look, isCrowded) => (SPECK_RADII[look] ?? SPECK_RADIUS) * (isCrowded ? 0.6 : 1);
const DASHES = { undecided: "6 5", unknown: "2 4" };
const SVG = "http://www.w3.org/2000/svg";

export const svg = (name, attributes, ...children) => {
  const element = document.createElementNS(SVG, name);
  for (const [key, value] of Object.entries(attributes)) element.setAttribute(key, value);
  element.append(...children);
  return element;
};

// Puts the patterns #hatch-tint-0 … #hatch-fallow into the page, once; swatches in the page use them too.
export function addHatches() {
  if (document.getElementById("hatch-tint-0")) return; // a page may have other hatches
  const patterns = Object.entries(HATCHES).map(([look, d]) =>
    svg(
      "pattern",
      { id: `hatch-${look}`, class: look, width: TILE, height: TILE, patternUnits: "userSpaceOnUse" },
      svg("rect", { class: "hatch-ground", width: TILE, height: TILE }),
      svg("path", { class: "hatch-lines", d }),
    ),
  );
  document.body.append(svg("svg", { class: "hatches", "aria-hidden": "true" }, svg("defs", {}, ...patterns)));
}

export const lookOf = ({ properties }) => properties.look ?? "plain";

// An SVG map: the classes carry the colours, so themes and print follow without a script.
const svgLooks = {
  options: (look, states, isSmall) => ({
    className: `outline ${isSmall ? "small " : ""}${look}`,
    fillColor: HATCHES[look] ? `url(#hatch-${look})` : "transparent",
    fillOpacity: 1,
    weight: 2,
  }),
  speck: (look, states, isCrowded) => ({
    className: `outline small speck ${look}`,
    radius: radiusOf(look, isCrowded),
    fillOpacity: 1,
    weight: 1,
  }),
  mark: (path, states) => {
    for (const [state, on] of Object.entries(states)) path.getElement()?.classList.toggle(state, on);
  },
  forget() {},
};

// A canvas knows no stylesheet: each look's colours are read off a hidden element that has its classes.
function canvasLooks() {
  let read = new Map();
  const coloursOf = (classes) => {
    if (!read.has(classes)) {
      const probe = svg("path", { class: classes });
      document.querySelector("svg.hatches").append(probe);
      const { stroke, fill, strokeWidth, fillOpacity } = getComputedStyle(probe);
      read.set(classes, {
        stroke,
        fill: fill === "none" ? "transparent" : fill,
        weight: parseFloat(strokeWidth),
        opacity: parseFloat(fillOpacity),
      });
      probe.remove();
    }
    return read.get(classes);
  };
  const hatch = (look) => {
    const key = `pattern ${look}`;
    if (!read.has(key)) {
      const tile = document.createElement("canvas");
      tile.width = tile.height = TILE;
      const pen = tile.getContext("2d");
      const ground = coloursOf(`hatch-ground ${look}`);
      const lines = coloursOf(`hatch-lines ${look}`);
      pen.fillStyle = ground.fill;
      pen.globalAlpha = ground.opacity;
      pen.fillRect(0, 0, TILE, TILE);
      pen.globalAlpha = 1;
      pen.strokeStyle = lines.stroke;
      pen.lineWidth = lines.weight;
      pen.lineCap = "round";
      pen.stroke(new Path2D(HATCHES[look]));
      read.set(key, pen.createPattern(tile, "repeat"));
    }
    return read.get(key);
  };
  const namesOf = (states) => Object.keys(states).filter((state) => states[state]);
  const options = (look, states = {}, isSmall = false) => {
    const { stroke, fill, weight } = coloursOf(
      ["outline", ...(isSmall ? ["small"] : []), look, ...namesOf(states)].join(" "),
    );
    return {
      color: stroke,
      weight,
      dashArray: isSmall ? null : DASHES[look] ?? null,
      fillColor: HATCHES[look] ? hatch(look) : fill,
      fillOpacity: 1,
    };
  };
  // A hatch does not show in a few pixels: a point has the colour alone, and is empty where nothing is planted or known.
  const speck = (look, states = {}, isCrowded = false) => {
    const { stroke, fill, weight } = coloursOf(["outline small speck", look, ...namesOf(states)].join(" "));
    return { radius: radiusOf(look, isCrowded), color: stroke, weight, fillColor: fill, fillOpacity: 1 };
  };
  return {
    options,
    speck,
    mark: (path, states) => {
      const look = lookOf(path.feature);
      if (!(path instanceof L.CircleMarker)) path.setStyle(options(look, states, !path.feature.properties.name));
      else path.setStyle({ ...speck(look, states), radius: path.options.radius });
    },
    forget: () => {
      read = new Map();
    },
  };
}

export const looksFor = (renderer) => (renderer instanceof L.SVG ? svgLooks : canvasLooks());
