// Where a map's outlines come from: one answer for all of them, or what is in view at a zoom, asked for anew when
// the view leaves what is there. A question that is no longer wanted is given up.

import { featuresAt } from "./features.js";
import { bboxOf } from "./places.js";

const NEAR = 17; // from this zoom on the server draws every corner
const DEEPEST = 22;
const AROUND = 0.5; // of the view's size is asked for on each side, so that a short move asks nothing

// The server draws for whole zooms: the nearer one, so that nothing is coarser than it looks.
const stepOf = (zoom) => Math.min(Math.ceil(zoom), DEEPEST);

// `views` is "all" to ask by view always, "near" to do so only from near, or nothing.
export function outlineSource({ outlines, views }) {
  let address = outlines;
  let whole = null;
  let have = null;
  let running = null;

  const addressWith = (extra, keep = () => true) => {
    const url = new URL(address, location.href);
    for (const name of [...url.searchParams.keys()]) if (!keep(name)) url.searchParams.delete(name);
    for (const [name, value] of Object.entries(extra)) url.searchParams.set(name, value);
    return url;
  };
  const readInstead = async (url) => {
    running?.abort();
    running = new AbortController();
    const mine = running;
    try {
      return await featuresAt(url, mine.signal);
    } catch (error) {
      if (mine.signal.aborted) return null;
      throw error;
    } finally {
      if (running === mine) running = null;
    }
  };

  return {
    asksAlwaysByView: views === "all",

    // From now on another address is asked.
    ask(other) {
      address = other;
      whole = have = null;
    },

    // The features of this view; null where those that came last will do, or where something else is asked by now.
    async featuresFor(map) {
      const step = map && stepOf(map.getZoom());
      const isByView = views === "all" || (views === "near" && step >= NEAR);
      if (!isByView) {
        if (have === "whole") return null;
        whole ??= await readInstead(addressWith({}));
        if (whole) have = "whole";
        return whole;
      }
      const view = map.getBounds();
      if (have?.step === step && have.box.contains(view)) {
        running?.abort();
        return null;
      }
      const box = view.pad(AROUND);
      const features = await readInstead(addressWith({ bbox: bboxOf(box), zoom: step }));
      if (features) have = { step, box };
      return features;
    },

    // One plot with every corner and all facts, found by the filters or not; undefined where it has no boundary.
    async one(id) {
      const url = addressWith({ plot: id }, (name) => name === "season" || name === "colour");
      return (await featuresAt(url))[0];
    },
  };
}
