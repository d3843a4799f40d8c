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
      if (walk.state === "signed" || (walk.state === "sent" && walk.photosLeft)) {
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
    }
    await keepWalk({ ...walk, why: "no_signal" });
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
    const photos = photosOf(body);
    next = { ...more, list: { units: list.units }, body: { reports: photosOnly(body) }, state: "sent", why: "", sentAt: json.sent_at, receipt: answer.body, photosLeft: photos.length };
  } else {
    next = why ? { ...walk, why, problem: answer.body?.detail ?? "" } : { ...walk, state: "refused", problem: answer.body?.detail ?? String(answer.status) };
  }
  await keepWalk(next);
  return next;
}

/** Of a sent body only the photos' names still matter. */
function photosOnly(body) {
  return [{ checks: [{ photos: photosOf(body) }], faults: [] }];
}

/** The photos that a walk names, signed or not. */
function photosOfWalk({ body, said = {}, others = [] }) {
  return [...(body ? photosOf(body) : []), ...[...Object.values(said), ...others].flatMap(({ photos = [] }) => photos)];
}

async function sendPhotos(walk, token) {
  let [left, lost] = [0, 0];
  let problem = "";
  const sent = [];
  for (const sha256 of photosOf(walk.body)) {
    const photo = await photoOf(sha256);
    if (!photo) {
      lost += 1;
      continue;
    }
    const answer = await call(token, `walkarounds/${walk.id}/photos/${sha256}`, { method: "PUT", file: photo.blob });
    if (answer.status < 300) {
      sent.push(sha256);
    } else if (whyLater(answer)) {
      left += 1;
    } else {
      problem = answer.body?.detail ?? String(answer.status);
    }
  }
  const others = (await allWalks()).filter(({ id, state }) => id !== walk.id && state !== "sent");
  const named = new Set(others.flatMap(photosOfWalk));
  await Promise.all(sent.filter((sha256) => !named.has(sha256)).map(dropPhoto));
  await keepWalk({ ...walk, photosLeft: left, photosLost: lost, problem });
}

/** Begin to send by itself, for as long as the page is open. */
export function keepSending() {
  addEventListener("online", () => void sendAll());
  document.addEventListener("visibilitychange", () => document.hidden || void sendAll());
  setInterval(() => void sendAll(), EVERY_MS);
  return sendAll();
}
