// Numbers without the phone's own keyboard: keys for a thumb in a glove; a desk's keyboard types too.

import { element } from "../offline/screens.js";

const MOST_LONG = 9;

export function button(textContent, act, className = "") {
  const made = element("button", { type: "button", className, textContent });
  made.addEventListener("click", act);
  return made;
}

// { element, text, write(text) }. `typed(text)` hears every key, `entered()` the key Enter.
export function keypad(step, value, typed, entered = () => {}) {
  let text = value === null || value === undefined ? "" : String(value);
  const shown = element("output", { className: "field-number fig" });
  const unit = element("span", { className: "field-unit", textContent: step.unit ?? "" });
  const paint = () => {
    shown.textContent = text || "–";
    shown.classList.toggle("is-empty", !text);
  };
  const write = (now) => {
    text = now;
    paint();
    typed(text);
  };
  const press = (key) => {
    if (key === "⌫") return write(text.slice(0, -1));
    if (key === "±") return write(text.startsWith("-") ? text.slice(1) : `-${text}`);
    if (text.length >= MOST_LONG || (key === "." && (step.is_whole || text.includes(".")))) return undefined;
    return write(text === "0" && key !== "." ? key : text + key);
  };
  const isBelowZero = step.least === undefined || step.least < 0;
  const keys = ["7", "8", "9", "4", "5", "6", "1", "2", "3", isBelowZero ? "±" : " ", "0", step.is_whole ? " " : "."];
  const made = element(
    "div",
    { className: "field-keypad" },
    element("div", { className: "field-shown" }, element("p", {}, shown, unit), keyOf("⌫", press)),
    element("div", { className: "field-keys" }, ...keys.map((key) => keyOf(key, press))),
  );
  listen(made, (key) => {
    if (key === "Enter") entered();
    else if (key === "Backspace") press("⌫");
    else if (key === "-" && isBelowZero) press("±");
    else if (/^[\d.]$/.test(key)) press(key);
    else return false;
    return true;
  });
  paint();
  return { element: made, write, get text() { return text; } };
}

const NAMES = { "⌫": "Delete the last figure", "±": "Plus or minus", ".": "Point" };

function keyOf(key, press) {
  if (key === " ") return element("span", {});
  const made = button(key, () => press(key));
  if (NAMES[key]) made.setAttribute("aria-label", NAMES[key]);
  return made;
}

// Keys of a keyboard while the pad is on the page and no field has them.
function listen(pad, heard) {
  const listening = (event) => {
    if (!pad.isConnected) {
      removeEventListener("keydown", listening);
      return;
    }
    const isTaken = event.target.closest("input, textarea, select, button, a") && !pad.contains(event.target);
    if (isTaken || event.ctrlKey || event.metaKey || event.altKey || pad.closest("[hidden]")) return;
    if (event.key === "Enter" && event.target.closest("button")) return;
    if (heard(event.key)) event.preventDefault();
  };
  requestAnimationFrame(() => addEventListener("keydown", listening));
}

// Counts minutes while water goes in; it goes on when the page is opened anew. `took(minutes)` hears where it was stopped.
export function stopwatch(at, took) {
  const shown = element("span", { className: "fig field-watch-time", role: "timer" });
  const act = element("button", { type: "button" });
  let since = at.memo ? Date.parse(at.memo) : null;
  const elapsed_s = () => (Date.now() - since) / 1000;
  const paint = () => {
    const s = since === null ? 0 : Math.floor(elapsed_s());
    shown.textContent = `${Math.floor(s / 60)}:${String(s % 60).padStart(2, "0")}`;
    act.textContent = since === null ? "Start the watch" : "Stop";
  };
  act.addEventListener("click", () => {
    if (since === null) {
      since = Date.now();
      at.remember(new Date(since).toISOString());
    } else {
      const minutes = (elapsed_s() / 60).toFixed(2);
      since = null;
      at.remember(null);
      took(Number(minutes));
    }
    paint();
  });
  const made = element("div", { className: "field-watch" }, shown, act);
  const ticking = setInterval(() => (made.isConnected ? paint() : clearInterval(ticking)), 500);
  paint();
  return made;
}
