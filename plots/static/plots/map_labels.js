// Labels on outlines: a blend's mark and the plot's name, each only where the plot is wider on the screen
// than the words. Thousands of permanent labels would be slow, and would hide small plots.

const LINES = 7; // levels across the plot that are tried for the widest place
const ROOM = 8; // pixels kept free beside the words
const AT_MOST = 300;

// The widest place inside a GeoJSON MultiPolygon: {lat, west, east} in degrees, holes left out; null if
// there is none. `north` and `south` bound the ground above and below it.
export function widestPlace(coordinates) {
  const rings = coordinates.flat();
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
      if (!best || worth > best.worth) best = { worth, lat, west, east };
    }
  }
  return best && { lat: best.lat, west: best.west, east: best.east, south, north };
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
    const place = geometry && widestPlace(geometry.coordinates);
    return place ? [{ ...place, properties }] : [];
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
      const labels = [];
      for (const place of places) {
        const at = L.latLng(place.lat, (place.west + place.east) / 2);
        if (labels.length >= AT_MOST || !view.contains(at)) continue;
        const words = this._wordsThatFit(place);
        if (words.length) labels.push(label(map.latLngToLayerPoint(at), words));
      }
      map.getPane("labels").replaceChildren(...labels);
    },
    _wordsThatFit({ lat, west, east, south, north, properties }) {
      const x = (lon) => this._map.latLngToLayerPoint([lat, lon]).x;
      const wide = x(east) - x(west) - ROOM;
      const high = Math.abs(this._map.project([north, west]).y - this._map.project([south, west]).y);
      const fits = (text) => text && this._pen.measureText(text).width <= wide;
      const { mark, name } = properties;
      if (fits(mark) && fits(name) && high > 56) return [["mark", mark], ["name", name]];
      if (fits(mark) && high > 22) return [["mark", mark]];
      return !mark && fits(name) && high > 22 ? [["name", name]] : [];
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
