/** Walks on this phone: begun, signed and sent, each kept until it is sent, and its photos with it. */

import { within } from "./database.js";
import { NoAnswer } from "./service.js";

/** @typedef {"begun" | "signed" | "sent" | "refused"} State */
/**
 * @typedef {import("./walk_body.js").Walk & {state: State, language: string, body?: any, sentAt?: string, receipt?: any,
 *   why?: string, problem?: string, photosLeft?: string[], photosLost?: number}} KeptWalk
 */

/** @param {KeptWalk} walk @returns {Promise<void>} once it is on the disk */
export function keepWalk(walk) {
  return within("walks", "readwrite", (store) => store.put(walk));
}

/** This page, among all that are open on the phone. */
const HERE = crypto.randomUUID();
const isMine = (kept) => kept?.state === "begun" && kept.page === HERE;

/** The walk is signed, thrown away or gone on with in another window of this phone. */
export class Elsewhere extends Error {}

/**
 * Keep a walk that is new or goes on here, and take it over from any other window.
 * @param {KeptWalk} walk
 * @returns {Promise<KeptWalk | undefined>} as it was last pressed, in whatever window; none where it is no longer begun
 */
export async function takeWalk(walk) {
  const found = await within("walks", "readwrite", (store) => {
    const asked = store.get(walk.id);
    asked.onsuccess = () => {
      if (!asked.result || asked.result.state === "begun") {
        store.put({ ...(asked.result ?? walk), page: HERE });
      }
    };
    return asked;
  });
  return !found || found.state === "begun" ? { ...(found ?? walk), page: HERE } : undefined;
}

/** @param {KeptWalk} walk @returns {Promise<void>} once it is on the disk; Elsewhere where another window has it */
export async function keepPressed(walk) {
  const before = await within("walks", "readwrite", (store) => {
    const asked = store.get(walk.id);
    asked.onsuccess = () => {
      if (isMine(asked.result)) {
        store.put(walk);
      }
    };
    return asked;
  });
  if (!isMine(before)) {
    throw new Elsewhere(walk.id);
  }
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
 * What was fetched for these units, or what was kept of it while there is no answer; a refusal is no such case.
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
    const kept = why instanceof NoAnswer || why.status >= 500 ? await within("lists", "readonly", (store) => store.get(key)) : null;
    if (!kept) {
      throw why;
    }
    return { value: kept.value, keptAt: kept.at };
  }
}
