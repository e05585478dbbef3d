// Signing in again in another tab changes the token that a form carries against forged requests. An open form
// takes the new one from the cookie when it is sent, so that what was typed in it can still be saved.

import { csrfToken } from "./asking.js";

addEventListener("submit", (event) => {
  const field = event.target.elements.csrfmiddlewaretoken;
  const token = csrfToken();
  if (field && token) field.value = token;
}, true);

addEventListener("htmx:configRequest", (event) => {
  const token = csrfToken();
  if (token && "csrfmiddlewaretoken" in event.detail.parameters) event.detail.parameters.csrfmiddlewaretoken = token;
}, true);
