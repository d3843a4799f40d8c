/** What is signed, and the signature. */

import { drawing } from "./drawn.js";
import { legsOf } from "./lap.js";
import { saidInWords } from "./walk_fault.js";
import { changeWalk, storing } from "./walk_notes.js";
import { copy, say } from "./templates.js";
import { bodyOf, faultsOf, unanswered } from "./walk_body.js";
import { keepPressed } from "./walks.js";

const SHOWN_AT_MOST = 12;
const METERS = { tractor: "odometer_mi", cooling_unit: "engine_h" };

/**
 * @param {import("./walks.js").KeptWalk} walk
 * @param {{back: (at?: number) => void, signed: (walk: import("./walks.js").KeptWalk) => void}} then
 */
export function showSign(walk, { back, signed }) {
  const [faults, open] = [faultsOf(walk), unanswered(walk)];
  const count = faults.length + walk.others.length;
  const form = copy("sign", {
    faults: count ? say("faults_some", { count }) : say("faults_none"),
    unanswered: open.length ? say("unanswered_some", { count: open.length }) : say("unanswered_none"),
    shown: walk.list.to_sign,
  });
  const legs = legsOf(walk.list);
  const legOf = (spot) => legs.findIndex((leg) => leg.asks.some(({ spots }) => spots.some(({ key }) => key === spot.key)));
  const line = (says, at) => {
    const made = copy("line", { says });
    made.querySelector("button").onclick = () => back(at);
    return made;
  };
  form.querySelector(".faults").append(
    ...faults.map(({ spot }) => line(`${spot.unit}: ${spot.point.title}. ${saidInWords(walk, spot)}`, legOf(spot))),
    ...walk.others.map(({ unit, text, leg }) => line(`${unit}: ${text}`, legs.findIndex(({ key }) => key === leg))),
  );
  form.querySelector(".unanswered").append(
    ...open.slice(0, SHOWN_AT_MOST).map((spot) => line(`${spot.unit}: ${spot.point.title}${spot.words ? `, ${spot.words}` : ""}`, legOf(spot))),
  );
  const meters = walk.list.units.filter(({ kind }) => METERS[kind]).map((unit) => meterOf(walk, unit));
  form.querySelector(".meters").append(...meters);
  const drawn = drawing(form.querySelector("canvas"));
  form.querySelector("[data-do=clear]").onclick = drawn.clear;
  form.querySelector("[data-do=back]").onclick = () => back();
  const problem = form.querySelector("[data-text=problem]");
  let sent = false;
  form.onsubmit = async (event) => {
    event.preventDefault();
    const typed = form.elements.typed.value.trim();
    if (!drawn.isDrawn() && !typed) {
      problem.textContent = say("draw_first");
      problem.hidden = false;
      return;
    }
    if (sent) {
      return;
    }
    sent = true;
    const at = new Date().toISOString();
    const body = bodyOf(walk, { at, method: drawn.isDrawn() ? "drawn" : "typed", device: navigator.userAgent.slice(0, 80) });
    const made = { ...walk, state: "signed", signedAt: at, body };
    sent = await storing(() => keepPressed(made));
    if (sent) {
      signed(made);
    }
  };
  return form;
}

function meterOf(walk, unit) {
  const meter = METERS[unit.kind];
  const made = copy("figure", { label: say(meter, { unit: unit.number }), unit: "" });
  const input = made.querySelector("input");
  input.setAttribute("aria-label", say(meter, { unit: unit.number }));
  input.name = `${unit.number} ${meter}`;
  input.value = walk.meters[unit.id]?.shown ?? "";
  input.onchange = () => changeWalk(walk, { meters: { ...walk.meters, [unit.id]: { meter, shown: input.value.trim() } } });
  return made;
}
