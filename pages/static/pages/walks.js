/** Walks on this phone: begun, signed and sent, each kept until it is sent, and its photos with it. */

import { within } from "./database.js";

/** @typedef {"begun" | "signed" | "sent" | "refused"} State */
/**
 * @typedef {import("./walk_body.js").Walk & {state: State, language: string, body?: any, sentAt?: string, receipt?: any,
 *   why?: string, problem?: string, photosLeft?: number}} KeptWalk
 */

/** @param {KeptWalk} walk @returns {Promise<void>} once it is on the disk */
export function keepWalk(walk) {
  return within("walks", "readwrite", (store) => store.put(walk));
}

/** @param {string} id @returns {Promise<KeptWalk | undefined>} */
export function walkOf(id) {
  return within("walks", "readonly", (store) => store.get(id));
}

/** @returns {Promise<KeptWalk[]>} in the order in which they were begun */
export function allWalks() {
  return within("walks", "readonly", (store) => store.getAll());
}

/** @param {string} id */
export function dropWalk(id) {
  return within("walks", "readwrite", (store) => store.delete(id));
}

/** @param {{sha256: string, person: string, blob: Blob}} photo */
export function keepPhoto(photo) {
  return within("photos", "readwrite", (store) => store.put(photo));
}

/** @param {string} sha256 @returns {Promise<{sha256: string, person: string, blob: Blob} | undefined>} */
export function photoOf(sha256) {
  return within("photos", "readonly", (store) => store.get(sha256));
}

/** @param {string} sha256 */
export function dropPhoto(sha256) {
  return within("photos", "readwrite", (store) => store.delete(sha256));
}

/**
 * What was fetched for these units, or what was kept of it while there is no signal.
 * @param {string} key
 * @param {() => Promise<any>} fetched
 * @returns {Promise<{value: any, keptAt: string | null}>} `keptAt` where it is the kept one
 */
export async function orKept(key, fetched) {
  try {
    const value = await fetched();
    await within("lists", "readwrite", (store) => store.put({ key, value, at: new Date().toISOString() }));
    return { value, keptAt: null };
  } catch (why) {
    const kept = await within("lists", "readonly", (store) => store.get(key));
    if (!kept) {
      throw why;
    }
    return { value: kept.value, keptAt: kept.at };
  }
}
