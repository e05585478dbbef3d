// Taking the map to a place by its latitude and longitude, or to where the device is.

const CLOSE = 17;
const ACCEPTED = "a latitude from -90 to 90 and a longitude from -180 to 180 are accepted, such as 38.0012, -92.0034";

export function watchPlace({ map, field, wrong, go, here }) {
  const say = (sentence) => {
    wrong.textContent = sentence;
    wrong.hidden = !sentence;
    if (sentence) field.setAttribute("aria-invalid", "true");
    else field.removeAttribute("aria-invalid");
  };
  const show = (place) => map.setView(place, CLOSE, { animate: false });
  const read = () => {
    const place = placeIn(field.value);
    say(place ? "" : `“${field.value}” is no place; ${ACCEPTED}.`);
    if (place) show(place);
  };
  go.addEventListener("click", read);
  field.addEventListener("keydown", (event) => {
    if (event.key !== "Enter") return;
    event.preventDefault(); // it would save the plot
    read();
  });
  // Without a secure connection browsers do not tell.
  here.hidden = !(isSecureContext && navigator.geolocation);
  here.addEventListener("click", () => {
    navigator.geolocation.getCurrentPosition(
      ({ coords }) => { say(""); show([coords.latitude, coords.longitude]); },
      ({ message }) => say(`This device does not say where it is${message ? ` (${message})` : ""}.`),
      { enableHighAccuracy: true, timeout: 20_000 },
    );
  });
}

// [latitude, longitude] in degrees, or null.
function placeIn(text) {
  const numbers = text.trim().split(/[\s,;]+/).map(Number);
  const isPlace = numbers.length === 2 && numbers.every(Number.isFinite) && Math.abs(numbers[0]) <= 90 && Math.abs(numbers[1]) <= 180;
  return isPlace && text.trim() ? numbers : null;
}
