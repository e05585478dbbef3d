// The work list in the hand.

import { show } from "../offline/screens.js";

export function workScreens() {
  return {
    open(hash) {
      if (hash !== "#work") return false;
      show("work");
      return true;
    },
  };
}
