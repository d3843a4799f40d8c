/** A form is sent once, however often its button is pressed; the back button gives it back. A module's own forms are its own. */

document.addEventListener("submit", (event) => {
  const form = event.target;
  if (event.defaultPrevented || form.getAttribute("method") === "dialog") {
    return;
  }
  if (form.dataset.sent) {
    event.preventDefault();
    return;
  }
  form.dataset.sent = "yes";
});

addEventListener("pageshow", () => {
  for (const form of document.querySelectorAll("form[data-sent]")) {
    delete form.dataset.sent;
  }
});
