// The plots page follows its form: map, list, legend and sums are exchanged without loading the page anew. Without
// this the form and the links do the same by loading it.

const form = document.querySelector("[data-find]");
const WHILE_TYPING_MS = 350;
let running = null;
let timer = null;

if (form) {
  form.addEventListener("submit", (event) => {
    event.preventDefault();
    follow(addressOfForm());
  });
  document.addEventListener("change", ({ target }) => {
    if (target.form === form && target.type !== "search") follow(addressOfForm());
  });
  form.elements.q.addEventListener("input", () => {
    clearTimeout(timer);
    timer = setTimeout(() => follow(addressOfForm()), WHILE_TYPING_MS);
  });
  document.addEventListener("click", (event) => {
    const link = event.target.closest("[data-swap] a[href]");
    if (!link || event.button || event.ctrlKey || event.metaKey || event.shiftKey || event.altKey) return;
    if (link.origin !== location.origin || link.pathname !== location.pathname || !isOfTheForm(link)) return;
    event.preventDefault();
    follow(link.href, { isLink: true });
  });
  addEventListener("popstate", () => follow(location.href, { isLink: true, isKept: true }));
}

// Archived plots and those in use are two pages with heads of their own.
const isOfTheForm = (link) => new URL(link.href).searchParams.has("archived") === ("archived" in form.elements);

function addressOfForm() {
  const url = new URL(location.pathname, location.href);
  for (const [name, value] of new FormData(form)) if (value.trim()) url.searchParams.set(name, value);
  return url.href;
}

// Shows what the address has. A link makes a step that Back undoes, the form does not.
async function follow(address, { isLink = false, isKept = false } = {}) {
  clearTimeout(timer);
  running?.abort();
  const mine = (running = new AbortController());
  try {
    const answer = await fetch(address, { redirect: "error", signal: mine.signal });
    if (!answer.ok) throw new Error(`the server answered ${answer.status}`);
    const page = new DOMParser().parseFromString(await answer.text(), "text/html");
    if (mine.signal.aborted) return;
    if (!isKept) history[isLink ? "pushState" : "replaceState"](null, "", address);
    exchange(page);
    if (isLink) fillForm(page);
    const map = page.querySelector("[data-map]");
    document.querySelector("[data-map]")?.dispatchEvent(new CustomEvent("map-asks", { detail: { ...map?.dataset } }));
  } catch (error) {
    if (!mine.signal.aborted) location.assign(address); // the page itself says what is wrong
  }
}

function exchange(page) {
  const focused = document.activeElement;
  for (const part of document.querySelectorAll("[data-swap]")) {
    const other = page.querySelector(`[data-swap="${part.dataset.swap}"]`);
    if (!other || part === focused) continue;
    const words = part.contains(focused) ? focused.textContent : null;
    const { value } = other; // of a select, which moving its options would change
    part.replaceChildren(...other.childNodes);
    if (part.matches("select")) part.value = value;
    if (words !== null) {
      const again = [...part.querySelectorAll("a, button")].find((each) => each.textContent === words);
      (again ?? form.elements.q).focus({ preventScroll: true });
    }
    window.htmx?.process(part);
  }
}

function fillForm(page) {
  for (const field of form.elements) {
    const other = field.id && page.getElementById(field.id);
    if (other) field.value = other.value;
  }
  const sort = page.querySelector('[data-find] [name="sort"]');
  form.querySelector('[name="sort"]')?.remove();
  if (sort) form.prepend(sort);
}
