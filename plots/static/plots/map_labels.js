// Labels on outlines: a mark, the plot's name and its acres, each only where the plot is wider on the screen
// than the words; a name that has no room goes beside its plot where the ground is free. Words make way for the signs
// of landmarks (the event "landmarks" says that they changed). Thousands of permanent labels would be slow, and would
// hide small plots.

const LINES = 7; // levels across the plot that are tried for the widest place
const ROOM = 3; // pixels kept free beside the words
const LINE_HEIGHT = 17;
const AFAR_ZOOM = 15; // below it the signs of landmarks are small, so that they hide less
export const PIN = 26; // pixels, as in landmarks.css
const PIN_AFAR = 18;
const LEADING = 8; // of that, what is not ink
const AT_MOST = 300;
const BESIDE_AT_MOST = 60; // plots in view without room for their name; of more, names beside would hide the map

// The middle of the widest place inside rings of GeoJSON positions, [longitude, latitude]; null without one.
export const widestPlace = (rings) => widePlaces(rings)[0] ?? null;

// The same and the next best, the widest first.
function widePlaces(rings) {
  const lats = rings.flat().map((point) => point[1]);
  const south = Math.min(...lats);
  const north = Math.max(...lats);
  const places = [];
  for (let line = 1; line <= LINES; line += 1) {
    const lat = south + ((north - south) * line) / (LINES + 1);
    // Of two places equally wide the one nearer the middle looks right.
    const nearMiddle = 1 - Math.abs(line / (LINES + 1) - 0.5);
    for (const [west, east] of spansAt(rings, lat)) {
      places.push({ worth: (east - west) * nearMiddle, at: [(west + east) / 2, lat] });
    }
  }
  return places.sort((one, other) => other.worth - one.worth).map(({ at }) => at);
}

// A mark with words on the widest place of a Polygon or MultiPolygon, for maps that name few.
export function wordsOn({ type, coordinates }, className, text) {
  const rings = type === "Polygon" ? coordinates : coordinates.flat();
  const [lon, lat] = widestPlace(rings) ?? rings[0][0];
  const words = document.createElement("span");
  words.textContent = text;
  return L.marker([lat, lon], { icon: L.divIcon({ className, html: words, iconSize: null }), interactive: false, keyboard: false });
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
export function labelLayer() {
  const Labels = L.Layer.extend({
    onAdd(map) {
      const pane = map.createPane("labels");
      pane.classList.add("map-labels", "leaflet-zoom-hide");
      this._pen = document.createElement("canvas").getContext("2d");
      this._pen.font = getComputedStyle(pane).font;
      this._drawn = this._places = [];
    },
    getEvents() {
      return { moveend: this._show, landmarks: this._show };
    },
    show(features) {
      this._drawn = features
        .filter(({ geometry, properties }) => geometry && !properties.ids)
        .map(({ geometry, properties }) => ({ rings: geometry.coordinates.flat(), properties }));
      this._places = this._drawn.filter(({ properties }) => properties.name);
      this._show();
    },
    _show() {
      const map = this._map;
      const view = map.getBounds();
      const degreesPerPixel = (view.getNorth() - view.getSouth()) / map.getSize().y;
      const pins = pinBoxes(map);
      const labels = [];
      const homeless = [];
      for (const place of this._places) {
        if (labels.length >= AT_MOST) break;
        place.wide ??= widePlaces(place.rings);
        const [lon, lat] = place.wide[0] ?? [];
        if (lat === undefined || !view.contains([lat, lon])) continue;
        const { point, words } = this._within(place, degreesPerPixel, pins);
        if (words.length) labels.push(label(point, words));
        if (!words.some(([kind]) => kind === "name")) homeless.push(place);
      }
      if (homeless.length <= BESIDE_AT_MOST) labels.push(...this._beside(homeless, pins));
      map.getPane("labels").replaceChildren(...labels);
    },
    // Where the words go inside, and which of them: in the widest place, or in the next one that no landmark lies on.
    _within(place, degreesPerPixel, pins) {
      for (const at of place.wide) {
        const words = this._wordsThatFit(place, at, degreesPerPixel);
        const point = this._map.latLngToLayerPoint([at[1], at[0]]);
        if (!words.length) break;
        const [x, y] = [this._widthOf(words) / 2, (words.length * LINE_HEIGHT) / 2];
        const box = { left: point.x - x, top: point.y - y, right: point.x + x, bottom: point.y + y };
        if (!pins.some((pin) => meet(pin, box))) return { point, words };
      }
      return { words: [] };
    },
    // Names of plots that are too narrow for them, on free ground beside: no other plot's box is covered, and no name.
    _beside(homeless, pins) {
      const map = this._map;
      const corner = map.containerPointToLayerPoint([0, 0]);
      const size = map.getSize();
      const whole = { left: corner.x, top: corner.y, right: corner.x + size.x, bottom: corner.y + size.y };
      const boxes = this._drawn.map((place) => this._boxOf(place)).filter((box) => meet(box, whole));
      const taken = [...furniture(map).map((box) => moved(box, corner)), ...pins];
      const labels = [];
      for (const place of homeless) {
        const { name, acres } = place.properties;
        const own = this._boxOf(place);
        for (const words of [[["name", name], ["acres", acres]], [["name", name]]].map(withText)) {
          const spot = spotsAround(own, this._widthOf(words), words.length * LINE_HEIGHT).find(
            (box) => inside(box, whole) && ![...boxes, ...taken].some((other) => meet(box, other)),
          );
          if (!spot) continue;
          taken.push(spot);
          labels.push(label(L.point((spot.left + spot.right) / 2, (spot.top + spot.bottom) / 2), words, "beside"));
          break;
        }
      }
      return labels;
    },
    _boxOf(place) {
      place.extent ??= L.latLngBounds(place.rings.flat().map(([lon, lat]) => [lat, lon]));
      const { x: left, y: top } = this._map.latLngToLayerPoint(place.extent.getNorthWest());
      const { x: right, y: bottom } = this._map.latLngToLayerPoint(place.extent.getSouthEast());
      return { left, top, right, bottom };
    },
    _widthOf(words) {
      return Math.max(...words.map(([, text]) => this._pen.measureText(text).width)) + 2 * ROOM;
    },
    // As much of mark, name and acres as has the room on every line; the acres only below a name.
    _wordsThatFit({ rings, properties: { mark, name, acres } }, [lon, lat], degreesPerPixel) {
      const whole = withText([["mark", mark], ["name", name], ["acres", acres]]);
      const fits = (words) => {
        const half = ((words.length * LINE_HEIGHT - LEADING) * degreesPerPixel) / 2;
        const degrees = roomBeside(rings, lon, [lat - half, lat, lat + half]);
        const x = (at) => this._map.latLngToLayerPoint([lat, at]).x;
        const pixels = x(lon + degrees) - x(lon) - ROOM;
        return words.every(([, text]) => this._pen.measureText(text).width <= pixels);
      };
      const withoutAcres = whole.filter(([kind]) => kind !== "acres");
      return [whole, withoutAcres, whole.slice(0, 1)].find(fits) ?? [];
    },
  });
  return new Labels();
}

const withText = (words) => words.filter(([, text]) => text);

// Below, above, right and left of a box, then off its corners: boxes for words of a width and height.
function spotsAround({ left, top, right, bottom }, width, height) {
  const [x, y] = [(left + right) / 2, (top + bottom) / 2];
  return [
    [x - width / 2, bottom + ROOM],
    [x - width / 2, top - height - ROOM],
    [right + ROOM, y - height / 2],
    [left - width - ROOM, y - height / 2],
    [right + ROOM, bottom - height / 2],
    [left - width - ROOM, bottom - height / 2],
    [right + ROOM, top - height / 2],
    [left - width - ROOM, top - height / 2],
  ].map(([west, north]) => ({ left: west, top: north, right: west + width, bottom: north + height }));
}

export const isAfar = (map) => map.getZoom() < AFAR_ZOOM;

// Where the map's buttons, north and the scale bar lie, from the map's corner.
function furniture(map) {
  const frame = map.getContainer().getBoundingClientRect();
  return [...map.getContainer().querySelectorAll(".leaflet-control")].map((control) => {
    const { left, top, right, bottom } = control.getBoundingClientRect();
    return {
      left: left - frame.left - ROOM,
      top: top - frame.top - ROOM,
      right: right - frame.left + ROOM,
      bottom: bottom - frame.top + ROOM,
    };
  });
}
// What the signs of landmarks cover, in pixels of the map's layers.
function pinBoxes(map) {
  const half = (isAfar(map) ? PIN_AFAR : PIN) / 2;
  return [...(map.getPane("landmark-glyphs")?.children ?? [])].map((pin) => {
    const { x, y } = L.DomUtil.getPosition(pin);
    return { left: x - half, top: y - half, right: x + half, bottom: y + half };
  });
}

const moved = ({ left, top, right, bottom }, { x, y }) => ({ left: left + x, top: top + y, right: right + x, bottom: bottom + y });
const meet = (a, b) => a.left < b.right && b.left < a.right && a.top < b.bottom && b.top < a.bottom;
const inside = (a, b) => a.left >= b.left && a.right <= b.right && a.top >= b.top && a.bottom <= b.bottom;

function label(point, words, where = "within") {
  const element = document.createElement("div");
  element.className = `map-label ${where}`;
  for (const [kind, text] of words) {
    const line = document.createElement("span");
    line.className = kind;
    line.textContent = text;
    element.append(line);
  }
  L.DomUtil.setPosition(element, point.round());
  return element;
}
