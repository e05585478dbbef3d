// Labels on outlines: a blend's mark and the plot's name, each only where the plot is wider on the screen
// than the words. Thousands of permanent labels would be slow, and would hide small plots.

const LINES = 7; // levels across the plot that are tried for the widest place
const ROOM = 3; // pixels kept free beside the words
const LINE_HEIGHT = 17;
const LEADING = 8; // of that, what is not ink
const AT_MOST = 300;

// The middle of the widest place inside rings of GeoJSON positions, [longitude, latitude]; null without one.
export function widestPlace(rings) {
  const lats = rings.flat().map((point) => point[1]);
  const south = Math.min(...lats);
  const north = Math.max(...lats);
  let best = null;
  for (let line = 1; line <= LINES; line += 1) {
    const lat = south + ((north - south) * line) / (LINES + 1);
    // Of two places equally wide the one nearer the middle looks right.
    const nearMiddle = 1 - Math.abs(line / (LINES + 1) - 0.5);
    for (const [west, east] of spansAt(rings, lat)) {
      const worth = (east - west) * nearMiddle;
      if (!best || worth > best.worth) best = { worth, at: [(west + east) / 2, lat] };
    }
  }
  return best && best.at;
}

// Degrees of longitude inside the rings on both sides of `lon`, at the narrowest of the latitudes.
export function roomBeside(rings, lon, lats) {
  const rooms = lats.map((lat) => {
    const span = spansAt(rings, lat).find(([west, east]) => west < lon && lon < east);
    return span ? 2 * Math.min(lon - span[0], span[1] - lon) : 0;
  });
  return Math.min(...rooms);
}

// Where the line of one latitude runs inside: pairs of crossings, so that holes fall out by themselves.
function spansAt(rings, lat) {
  const crossings = [];
  for (const ring of rings) {
    for (let i = 1; i < ring.length; i += 1) {
      const [[x1, y1], [x2, y2]] = [ring[i - 1], ring[i]];
      if (y1 > lat !== y2 > lat) crossings.push(x1 + ((lat - y1) * (x2 - x1)) / (y2 - y1));
    }
  }
  crossings.sort((a, b) => a - b);
  return crossings.flatMap((x, i) => (i % 2 ? [[crossings[i - 1], x]] : []));
}

// A layer that shows, after each move of the map, the labels that fit on outlines in view.
export function labelLayer(features) {
  const places = features.flatMap(({ geometry, properties }) => {
    const rings = geometry?.coordinates.flat();
    const at = rings && widestPlace(rings);
    return at ? [{ rings, at, properties }] : [];
  });
  const Labels = L.Layer.extend({
    onAdd(map) {
      const pane = map.createPane("labels");
      pane.classList.add("map-labels", "leaflet-zoom-hide");
      this._pen = document.createElement("canvas").getContext("2d");
      this._pen.font = getComputedStyle(pane).font;
      this._show();
    },
    getEvents() {
      return { moveend: this._show };
    },
    _show() {
      const map = this._map;
      const view = map.getBounds();
      const degreesPerPixel = (view.getNorth() - view.getSouth()) / map.getSize().y;
      const labels = [];
      for (const place of places) {
        const [lon, lat] = place.at;
        if (labels.length >= AT_MOST || !view.contains([lat, lon])) continue;
        const words = this._wordsThatFit(place, degreesPerPixel);
        if (words.length) labels.push(label(map.latLngToLayerPoint([lat, lon]), words));
      }
      map.getPane("labels").replaceChildren(...labels);
    },
    // The mark and the name, or the mark, or a name without a mark; whatever has the room on every line.
    _wordsThatFit({ rings, at: [lon, lat], properties: { mark, name } }, degreesPerPixel) {
      const whole = [["mark", mark], ["name", name]].filter(([, text]) => text);
      const fits = (words) => {
        const half = ((words.length * LINE_HEIGHT - LEADING) * degreesPerPixel) / 2;
        const degrees = roomBeside(rings, lon, [lat - half, lat, lat + half]);
        const x = (at) => this._map.latLngToLayerPoint([lat, at]).x;
        const pixels = x(lon + degrees) - x(lon) - ROOM;
        return words.every(([, text]) => this._pen.measureText(text).width <= pixels);
      };
      return [whole, whole.slice(0, 1)].find(fits) ?? [];
    },
  });
  return new Labels();
}

function label(point, words) {
  const element = document.createElement("div");
  element.className = "map-label";
  for (const [kind, text] of words) {
    const line = document.createElement("span");
    line.className = kind;
    line.textContent = text;
    element.append(line);
  }
  L.DomUtil.setPosition(element, point.round());
  return element;
}
