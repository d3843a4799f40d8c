/** One leg of the walk on the screen. */

import { limitBroken, plausible } from "./lap.js";
import { askFault, askReason, saidInWords } from "./walk_fault.js";
import { changeWalk } from "./walk_notes.js";
import { copy, say } from "./templates.js";

/**
 * @param {import("./walks.js").KeptWalk} walk
 * @param {import("./lap.js").Leg[]} legs
 * @param {{turn: (at: number) => Promise<void>}} then
 */
export function showLeg(walk, legs, { turn }) {
  const leg = legs[walk.at];
  const made = copy("leg", {
    where: say("where", { n: walk.at + 1, of: legs.length, unit: leg.unit }),
    title: leg.words.charAt(0).toUpperCase() + leg.words.slice(1),
  });
  made.querySelector(".cautions").append(...leg.cautions.map((says) => copy("caution", { says })));
  const onward = made.querySelector("[data-do=onward]");
  const update = () => {
    const faults = leg.asks.some(({ spots }) => spots.some((spot) => walk.said[spot.key]?.answer === "defect"));
    onward.textContent = say(!leg.toSign ? "next" : faults ? "looked" : "looked_clean");
    made.querySelector(".others").replaceChildren(
      ...walk.others.filter((each) => each.leg === leg.key).map((each) => copy("caution", { says: each.text })),
    );
  };
  /** Change what is said, keep it, and only then show it. */
  const change = async (next) => {
    const isKept = await changeWalk(walk, next);
    update();
    return isKept;
  };
  for (const ask of leg.asks) {
    made.querySelector(".asks").append(ask.spots.some(({ alone }) => alone) ? aloneOf(walk, ask, change) : byLegOf(walk, ask, change));
  }
  made.querySelector("[data-do=something-else]").onclick = async () => {
    const said = await askFault(walk, null);
    if (said) {
      const { note: text, photos } = said;
      await change({ others: [...walk.others, { unit: leg.unit, leg: leg.key, text, place: leg.words, photos }] });
    }
  };
  onward.onclick = async () => {
    onward.disabled = true;
    if (!leg.toSign || (await change({ looked: { ...walk.looked, [leg.key]: new Date().toISOString() } }))) {
      await turn(walk.at + 1);
    }
    onward.disabled = false;
  };
  made.querySelector("[data-do=back]").hidden = !walk.at;
  made.querySelector("[data-do=back]").onclick = () => turn(walk.at - 1);
  made.querySelector("[data-do=to-sign]").onclick = () => turn(legs.length);
  update();
  return made;
}

const namesOf = (spots) => spots.map(({ words }) => words).filter(Boolean).join(", ");
const openOf = (spots) => spots.flatMap(({ open }) => open).map(({ what }) => say("open", { what })).join(" ");
const foundOf = (walk, spots) =>
  [...new Set(spots.map((spot) => saidInWords(walk, spot)).filter(Boolean))].join("; ");

/** The points that one look at the leg answers: each a row that opens what may be wrong with it. */
function byLegOf(walk, { point, spots }, change) {
  const made = copy("ask-by-leg", { title: point.title, places: namesOf(spots), ask: point.ask, open: openOf(spots) });
  const found = made.querySelector(".found");
  const update = () => {
    found.textContent = foundOf(walk, spots);
    found.hidden = !found.textContent;
  };
  made.querySelector("[data-do=fault]").onclick = async () => {
    await report(walk, spots, change);
    update();
  };
  update();
  return made;
}

/** A point with an answer of its own: a figure, or that it is fine; one press for all its places. */
function aloneOf(walk, { point, spots }, change) {
  const made = copy("ask-alone", {
    title: point.title, ask: point.ask, open: openOf(spots), places: namesOf(spots),
    trained: point.may_answer === false ? say("trained") : "",
  });
  made.querySelector(".alone").setAttribute("aria-label", point.title);
  const found = made.querySelector(".found");
  const presses = Object.fromEntries(["fine", "fault", "not-reached"].map((name) => [name, made.querySelector(`[data-do=${name}]`)]));
  const update = () => {
    found.textContent = point.measure ? foundOf(walk, spots.filter((spot) => walk.said[spot.key]?.answer !== "fine")) : foundOf(walk, spots);
    found.hidden = !found.textContent;
    const answers = spots.map((spot) => walk.said[spot.key]?.answer);
    presses.fine.setAttribute("aria-pressed", String(answers.every((answer) => answer === "fine")));
    presses.fault.setAttribute("aria-pressed", String(answers.some((answer) => answer === "defect" || answer === "corrected")));
    presses["not-reached"].setAttribute("aria-pressed", String(answers.some((answer) => answer === "not_reached")));
  };
  presses.fine.hidden = point.may_answer === false || Boolean(point.measure?.required);
  presses.fine.onclick = async () => {
    const fine = Object.fromEntries(withoutFault(walk, spots).map((spot) => [spot.key, { ...kept(walk.said[spot.key]), answer: "fine" }]));
    await change({ said: { ...walk.said, ...fine } });
    update();
  };
  presses.fault.onclick = async () => {
    await report(walk, spots, change);
    update();
  };
  presses["not-reached"].onclick = async () => {
    const reason = await askReason();
    if (reason) {
      const said = Object.fromEntries(withoutFault(walk, spots).map((spot) => [spot.key, { answer: "not_reached", reason }]));
      await change({ said: { ...walk.said, ...said } });
      update();
    }
  };
  if (point.measure) {
    made.querySelector(".figures").append(...spots.map((spot) => figureOf(walk, spot, change, update)));
  }
  update();
  return made;
}

/** The places at which no fault is said: that one is taken off the report where it was put on, not by a press for all. */
const withoutFault = (walk, spots) => spots.filter((spot) => !["defect", "corrected"].includes(walk.said[spot.key]?.answer));

/** Of what was said before, what stays when it is fine after all. */
const kept = (said) => (said?.value ? { value: said.value } : {});

async function report(walk, spots, change) {
  const said = await askFault(walk, spots);
  if (said) {
    const { spot, ...more } = said;
    const next = { ...walk.said };
    if (more.answer) {
      next[spot.key] = { ...kept(next[spot.key]), ...more };
    } else {
      delete next[spot.key];
    }
    await change({ said: next });
  }
}

/** A figure with its limit beside it, judged as it is typed; the service judges what is sent. */
function figureOf(walk, spot, change, update) {
  const { measure } = spot.point;
  const unit = say(measure.unit_of_measure);
  const limits = spot.limits.filter(({ value, low }) => value ?? low);
  const made = copy("figure", {
    label: spot.words || spot.point.title, unit,
    limit: [
      ...limits.map((limit) => say(limit.fails_when, { figure: limit.value, low: limit.low, high: limit.high, unit })),
      ...(spot.last ? [say("last", { value: spot.last })] : []),
    ].join(". "),
  });
  const input = made.querySelector("input");
  const hint = made.querySelector("[data-text=hint]");
  const [labelId, limitId] = [`label ${spot.key}`, `limit ${spot.key}`].map((id) => id.replace(/\W+/g, "-"));
  made.querySelector("label").id = labelId;
  made.querySelector(".limit").id = limitId;
  input.setAttribute("aria-labelledby", labelId);
  input.setAttribute("aria-describedby", limitId);
  input.value = walk.said[spot.key]?.value ?? "";
  const judge = () => {
    const text = input.value.trim().replace(",", ".");
    const wrong = text !== "" && !plausible(measure, text);
    const broken = !wrong && limitBroken(spot, text);
    hint.textContent = wrong
      ? say("is_no_figure", { low: measure.minimum ?? "0", high: measure.maximum, unit })
      : broken ? say("is_beyond") : "";
    hint.hidden = !hint.textContent;
    input.setAttribute("aria-invalid", String(wrong));
    return { text: wrong ? "" : text, broken: Boolean(broken) };
  };
  let judged = judge();
  input.oninput = () => (judged = judge());
  input.onchange = async () => {
    const said = { ...walk.said };
    const before = said[spot.key];
    if (judged.text) {
      said[spot.key] = { ...before, value: judged.text, answer: judged.broken ? "defect" : before?.finding || before?.note ? before.answer : "fine" };
    } else if (before) {
      delete said[spot.key].value;
      if (before.answer === "fine") {
        delete said[spot.key];
      }
    }
    await change({ said });
    update();
  };
  return made;
}
