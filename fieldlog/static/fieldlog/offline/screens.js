// One question a screen.

const screens = new Map([...document.querySelectorAll("[data-screen]")].map((each) => [each.dataset.screen, each]));

export const screen = (name) => screens.get(name);
export const part = (name, of = document) => of.querySelector(`[data-${name}]`);

export function show(name) {
  for (const [each, element] of screens) element.hidden = each !== name;
  document.body.dataset.at = name;
  scrollTo(0, 0);
  part("head", screen(name))?.focus({ preventScroll: true });
}

export function element(tag, attributes = {}, ...children) {
  const made = Object.assign(document.createElement(tag), attributes);
  made.append(...children.filter((each) => each !== null));
  return made;
}

// A button that asks once more before it does what cannot be undone.
export function sureButton(text, question, act) {
  const button = element("button", { type: "button", className: "quiet", textContent: text });
  let isAsked = false;
  const calm = () => {
    isAsked = false;
    button.textContent = text;
    button.classList.remove("is-sure");
  };
  button.addEventListener("blur", calm);
  button.addEventListener("click", () => {
    if (isAsked) {
      calm();
      act();
      return;
    }
    isAsked = true;
    button.textContent = question;
    button.classList.add("is-sure");
  });
  return button;
}

const banners = new Map();

// A sentence over the screens that stays until it is taken back with null.
export function banner(key, mood, ...said) {
  banners.get(key)?.remove();
  banners.delete(key);
  if (!said.length || said[0] === null) return;
  const note = element("p", { className: `note ${mood}` }, ...said);
  part("banners").append(note);
  banners.set(key, note);
}
