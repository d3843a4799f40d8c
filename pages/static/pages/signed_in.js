/** Keeps the token that the page was told once, and goes on; the page is left behind in no history. */

import { keepToken } from "./tokens.js";

const kept = document.getElementById("kept");
const { person, name, token } = kept.dataset;
kept.removeAttribute("data-token");
await keepToken({ person, name, token });
location.replace(document.getElementById("onward").href);
