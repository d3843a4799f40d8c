/** The device tokens that this phone keeps, one for each person who signed in on it. */

import { within } from "./database.js";

/** @typedef {{person: string, name: string, token: string}} Kept */

/** @param {Kept} kept */
export function keepToken(kept) {
  return within("people", "readwrite", (store) => store.put(kept));
}

/**
 * @param {string} person
 * @returns {Promise<Kept | undefined>}
 */
export function tokenOf(person) {
  return within("people", "readonly", (store) => store.get(person));
}

/** @param {string} person */
export function forgetToken(person) {
  return within("people", "readwrite", (store) => store.delete(person));
}
