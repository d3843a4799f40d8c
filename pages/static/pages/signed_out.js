/** Takes the token of whoever signed out off the phone. */

import { forgetToken } from "./tokens.js";

const { person } = document.getElementById("ended").dataset;
if (person) {
  await forgetToken(person);
}
