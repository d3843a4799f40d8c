/** What became of a signed walk, in words. */

import { clock, copy, say } from "./templates.js";

/** @param {import("./walks.js").KeptWalk} walk */
export function stateOf(walk) {
  if (walk.state === "refused" || walk.why === "not_now") {
    return say("state_refused", { says: walk.problem });
  }
  if (walk.state === "sent") {
    const facts = { time: clock(walk.sentAt), count: walk.photosLeft.length };
    const lost = walk.photosLost ? say("photos_lost", { count: walk.photosLost }) : "";
    return [say(walk.photosLeft.length ? "state_photos" : "state_sent", facts), lost, walk.problem].filter(Boolean).join(" ");
  }
  return say(walk.why === "sign_in" ? "state_sign_in" : walk.why === "busy" ? "state_busy" : "state_signed");
}

/** @param {import("./walks.js").KeptWalk} walk */
export function showSigned(walk) {
  const whole = walk.state === "sent" && !walk.photosLeft.length;
  const made = copy("signed", {
    state: stateOf(walk), says: walk.receipt?.says, safe: whole ? "" : say("only_sent_is_safe"),
  });
  const receipt = made.querySelector(".receipt");
  receipt.href = receipt.getAttribute("href").replace(/[^/]+$/, walk.id);
  receipt.hidden = walk.state !== "sent";
  made.dataset.walk = walk.id;
  return made;
}
