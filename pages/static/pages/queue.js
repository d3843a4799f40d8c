/** Sends what is signed, by itself and once: when there is signal again, when a page opens, and every half minute. */

import { NoAnswer, call } from "./service.js";
import { tokenOf } from "./tokens.js";
import { photosOf } from "./walk_body.js";
import { allWalks, dropPhoto, keepWalk, photoOf } from "./walks.js";

const EVERY_MS = 30_000;
const CLOCK_TOLERANCE_MS = 120_000;

/** Told whenever a walk's state has changed. */
export const changes = new EventTarget();
/** The other pages of this phone, which may be those that send. */
const pages = new BroadcastChannel("walks");
pages.onmessage = () => changes.dispatchEvent(new Event("change"));
/** By how many milliseconds this phone's clock is ahead of the service's; null while that is not known. */
export let ahead = null;

/** Whether the clock is so wrong that the driver must know. */
export function clockIsWrong() {
  return ahead !== null && Math.abs(ahead) > CLOCK_TOLERANCE_MS;
}

/** Notes what an answer tells of the clock. @param {import("./service.js").Answer} answer */
export function heedClock(answer) {
  if (answer.date !== null) {
    ahead = Date.now() - answer.date;
  }
  return answer;
}

/** Send all that waits; another page of this phone that is at it already does it alone. */
export async function sendAll() {
  await navigator.locks.request("sending", { ifAvailable: true }, async (lock) => {
    for (const walk of lock ? await allWalks() : []) {
      if (walk.state === "signed" || (walk.state === "sent" && walk.photosLeft.length)) {
        await send(walk);
        changes.dispatchEvent(new Event("change"));
        pages.postMessage("change");
      }
    }
  });
}

async function send(walk) {
  const kept = await tokenOf(walk.person);
  if (!kept) {
    await keepWalk({ ...walk, why: "sign_in" });
    return;
  }
  try {
    const sent = walk.state === "sent" ? walk : await sendBody(walk, kept.token);
    if (sent.state === "sent") {
      await sendPhotos(sent, kept.token);
    }
  } catch (why) {
    if (!(why instanceof NoAnswer)) {
      throw why;
    } // without signal it stays as it is kept, and is tried again
  }
}

/** What an answer that is no success says of trying again; empty where it is refused for good. */
function whyLater({ status }) {
  return status === 401 ? "sign_in" : status === 403 ? "not_now" : status === 429 || status >= 500 ? "busy" : "";
}

async function sendBody(walk, token) {
  const json = { ...walk.body, sent_at: new Date().toISOString() };
  const answer = heedClock(await call(token, `walkarounds/${walk.id}`, { method: "PUT", json }));
  const why = whyLater(answer);
  let next;
  if (answer.status < 300) {
    const { body, list, said, looked, others, ...more } = walk;
    next = { ...more, list: { units: list.units }, state: "sent", why: "", problem: "", sentAt: json.sent_at, receipt: answer.body, photosLeft: photosOf(body) };
  } else {
    next = why ? { ...walk, why, problem: answer.body?.detail ?? "" } : { ...walk, state: "refused", problem: answer.body?.detail ?? String(answer.status) };
  }
  await keepWalk(next);
  return next;
}

/** The photos that a walk still needs: all that it names while it is not sent, else those that are not sent. */
function photosNeeded({ state, body, said = {}, others = [], photosLeft = [] }) {
  const named = [...Object.values(said), ...others].flatMap(({ photos = [] }) => photos);
  return state === "sent" ? photosLeft : [...named, ...(body ? photosOf(body) : [])];
}

/** Send what is left of a sent walk's photos, each noted once it is sent; NoAnswer where the signal goes meanwhile. */
async function sendPhotos(walk, token) {
  let now = walk;
  for (const sha256 of walk.photosLeft) {
    const photo = await photoOf(sha256);
    const answer = photo && (await call(token, `walkarounds/${walk.id}/photos/${sha256}`, { method: "PUT", file: photo.blob }));
    if (answer && whyLater(answer)) {
      continue;
    }
    const photosLeft = now.photosLeft.filter((name) => name !== sha256);
    const lost = (now.photosLost ?? 0) + (photo ? 0 : 1);
    const problem = answer && answer.status >= 300 ? answer.body?.detail ?? String(answer.status) : now.problem;
    now = { ...now, photosLeft, photosLost: lost, problem };
    await keepWalk(now);
    if (!(await allWalks()).some((other) => photosNeeded(other).includes(sha256))) {
      await dropPhoto(sha256);
    }
  }
}

/** Begin to send by itself, for as long as the page is open. */
export function keepSending() {
  addEventListener("online", () => void sendAll());
  document.addEventListener("visibilitychange", () => document.hidden || void sendAll());
  setInterval(() => void sendAll(), EVERY_MS);
  return sendAll();
}
