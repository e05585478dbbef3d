// Being back by a time, and the cautions.

import { show } from "../offline/screens.js";

export function checkinScreens() {
  return {
    open(hash) {
      if (hash !== "#safety") return false;
      show("safety");
      return true;
    },
  };
}
