/** The device tokens that this phone keeps, one for each person who signed in on it. */

import { within } from "./database.js";

/** @typedef {{person: string, name: string, token: string, at: string}} Kept */

/** @param {Omit<Kept, "at">} kept */
export function keepToken(kept) {
  const at = new Date().toISOString();
  return within("people", "readwrite", (store) => store.put({ ...kept, at }));
}

/**
 * @param {string} person
 * @returns {Promise<Kept | undefined>}
 */
export function tokenOf(person) {
  return within("people", "readonly", (store) => store.get(person));
}

/** @returns {Promise<Kept[]>} */
export function everybody() {
  return within("people", "readonly", (store) => store.getAll());
}

/** @returns {Promise<Kept | undefined>} who signed in last on this phone */
export async function current() {
  return (await everybody()).sort((one, other) => other.at.localeCompare(one.at))[0];
}

/** @param {string} person */
export function forgetToken(person) {
  return within("people", "readwrite", (store) => store.delete(person));
}
