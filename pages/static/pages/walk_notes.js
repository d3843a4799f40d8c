/** What the page tells besides its screen, and how a failed storing is told. */

import { copy, say } from "./templates.js";
import { Elsewhere, keepPressed } from "./walks.js";

const place = document.getElementById("notes");

/**
 * Show one note, or none.
 * @param {string | null} code
 * @param {string} [said] the service's own sentence, in the place of one of ours
 * @param {Record<string, string | number | null>} [facts]
 */
export function note(code, said = "", facts = {}) {
  const says = said || (code ? say(code, facts) : "");
  place.replaceChildren(...(says ? [copy("note", { says })] : []));
}

/**
 * Keep something on the phone; where that fails it is said, and nothing goes on.
 * @param {() => Promise<unknown>} kept
 * @returns {Promise<boolean>} whether it is on the disk
 */
export async function storing(kept) {
  try {
    await kept();
    return true;
  } catch (why) {
    note(why instanceof Elsewhere ? "elsewhere" : why?.name === "QuotaExceededError" ? "storage_full" : "storage_failed");
    return false;
  }
}

/**
 * Change a walk and keep it. What is pressed next goes on from the change; where it cannot be kept, it is taken back.
 * @param {import("./walks.js").KeptWalk} walk
 * @param {Partial<import("./walks.js").KeptWalk>} next
 * @returns {Promise<boolean>} whether it is on the disk
 */
export async function changeWalk(walk, next) {
  const before = Object.fromEntries(Object.keys(next).map((name) => [name, walk[name]]));
  Object.assign(walk, next);
  const isKept = await storing(() => keepPressed({ ...walk }));
  if (!isKept) {
    Object.assign(walk, before);
  }
  return isKept;
}
