/** Whoever signs out while walks of theirs are on this phone only is told so first. */

import { allWalks } from "./walks.js";

const form = document.getElementById("leaving");
if (form) {
  const unsent = (await allWalks()).some(({ person, state }) => person === form.dataset.person && state !== "sent");
  form.addEventListener("submit", (event) => {
    const told = form.querySelector("[role=alert]");
    if (unsent && told.hidden) {
      event.preventDefault();
      told.hidden = false;
    }
  });
}
