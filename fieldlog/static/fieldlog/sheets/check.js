// What the page itself can tell to be wrong before it goes: a missing answer, or text where a number is. The server
// decides everything else.

const label = (input) => input.labels?.[0]?.firstChild.textContent.trim() ?? input.name;

// [[input, sentence], …] of the fields of one screen.
export function complaintsOf(screen) {
  const found = [];
  for (const input of screen.querySelectorAll("[name]")) {
    if (input.closest("[hidden]:not([data-step])")) continue;
    const text = input.value.trim();
    if (!text && input.dataset.needed !== undefined) found.push([input, input.dataset.needed]);
    else if (input.dataset.number !== undefined) found.push(...wrongNumbers(input, text));
  }
  return found;
}

function wrongNumbers(input, text) {
  const parts = input.dataset.number === "several" ? text.split(/[\s,;]+/) : [text];
  const wrong = parts.find((part) => part && !/^-?(\d+\.?\d*|\.\d+)$/.test(part));
  return wrong === undefined ? [] : [[input, `${label(input)}: “${wrong}” is not a number; accepted is one like 1.5.`]];
}

// Puts the sentences beside their fields and takes away those of before; the first field has the focus.
export function sayComplaints(form, complaints) {
  for (const each of form.querySelectorAll(".error-text")) each.remove();
  for (const input of form.querySelectorAll("[aria-invalid]")) {
    input.removeAttribute("aria-invalid");
    input.removeAttribute("aria-describedby");
  }
  for (const [input, sentence] of complaints) {
    const note = document.createElement("p");
    note.className = "error-text";
    note.id = `wrong-${input.name}`;
    note.textContent = sentence;
    input.before(note);
    input.setAttribute("aria-invalid", "true");
    input.setAttribute("aria-describedby", note.id);
  }
  complaints[0]?.[0].focus();
}
