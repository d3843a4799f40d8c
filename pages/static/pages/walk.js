/** The page of a walk: begin or go on, leg by leg, sign, sent. Every press is kept before the next is shown. */

import { refOf, legsOf } from "./lap.js";
import { showLeg } from "./walk_leg.js";
import { changeWalk, note, storing } from "./walk_notes.js";
import { showSigned, stateOf } from "./walk_signed.js";
import { showSign } from "./walk_sign.js";
import { NoAnswer, call } from "./service.js";
import { clock, copy, say } from "./templates.js";
import { ahead, changes, clockIsWrong, heedClock, keepSending, sendAll } from "./queue.js";
import { tokenOf } from "./tokens.js";
import { uuid7 } from "./uuid7.js";
import { allWalks, dropPhoto, dropWalk, orKept, takeWalk } from "./walks.js";

const screen = document.getElementById("screen");
const language = document.documentElement.lang;
const asked = new URLSearchParams(location.search);

/** @param {HTMLElement} made */
function show(made) {
  screen.replaceChildren(made);
  scrollTo(0, 0);
  made.querySelector("h1[tabindex]")?.focus();
  return made;
}

/** The list of the walk with its findings in words. Raises with `says` where the service refuses it. */
async function listOf(person, { tractor, trailer, form }) {
  const query = new URLSearchParams(Object.entries({ tractor, trailer, form }).filter(([, value]) => value));
  const read = async (path) => {
    const answer = heedClock(await call(person.token, path));
    if (answer.status !== 200) {
      throw Object.assign(new Error(path), { says: answer.body?.detail ?? String(answer.status), status: answer.status });
    }
    return answer.body;
  };
  const { value: list, keptAt } = await orKept(`${person.person} ${language} walk?${query}`, () => read(`walk?${query}`));
  const { value: catalogue } = await orKept(`${language} points ${list.catalogue}`, async () => {
    const { results } = await read("points");
    return Object.fromEntries(results.map(({ name, findings }) => [name, Object.fromEntries(findings.map(({ code, text }) => [code, text]))]));
  });
  return { list, catalogue, keptAt };
}

async function begin(person, chosen) {
  if (!chosen.tractor && !chosen.trailer) {
    return note("name_units");
  }
  let found;
  try {
    found = await listOf(person, chosen);
  } catch (why) {
    if (why.status === 401) {
      location.assign(`/sign-in?next=${encodeURIComponent(location.pathname + location.search)}`);
      return undefined;
    }
    return why instanceof NoAnswer ? note("no_list") : why.says ? note(null, why.says) : Promise.reject(why);
  }
  note(found.keptAt ? "kept_list" : null, "", { time: found.keptAt && clock(found.keptAt) });
  const walk = {
    id: uuid7(), person: person.person, state: "begun", language, list: found.list, words: found.catalogue,
    startedAt: new Date().toISOString(), looked: {}, said: {}, others: [], meters: {}, at: 0,
  };
  await goOn(walk);
  return undefined;
}

/** Go on with a walk on this page; where it is signed meanwhile, the beginning says so. */
async function goOn(walk) {
  let taken;
  if (await storing(async () => (taken = await takeWalk(walk)))) {
    await (taken ? walkOn(taken) : start());
  }
}

/** Show a walk where it stands. */
function walkOn(walk) {
  const legs = legsOf(walk.list);
  const turn = async (at) => {
    if (await changeWalk(walk, { at })) {
      walkOn(walk);
    }
  };
  if (walk.at >= legs.length) {
    show(showSign(walk, { back: (at) => turn(at ?? legs.length - 1), signed: (made) => signed(made) }));
  } else {
    show(showLeg(walk, legs, { turn }));
  }
}

/** Show a signed walk, and what becomes of it, for as long as it is on the screen. */
function signed(walk) {
  let made = show(showSigned(walk));
  const update = async () => {
    const newest = (await allWalks()).find(({ id }) => id === walk.id);
    if (!made.isConnected) {
      changes.removeEventListener("change", update);
    } else if (newest) {
      const next = showSigned(newest);
      made.replaceWith(next);
      made = next;
    }
  };
  changes.addEventListener("change", update);
  void sendAll();
}

/** What another window has signed meanwhile stays. */
async function throwAway(begun) {
  const walk = await takeWalk(begun);
  if (!walk) {
    return;
  }
  await dropWalk(walk.id);
  const named = Object.values(walk.said).concat(walk.others).flatMap(({ photos = [] }) => photos);
  await Promise.all(named.map(dropPhoto));
}

async function start() {
  const person = await tokenOf(screen.dataset.person);
  if (!person) {
    location.assign(`/sign-in?next=${encodeURIComponent(location.pathname + location.search)}`);
    return;
  }
  const walks = await allWalks();
  const begun = walks.filter((walk) => walk.state === "begun" && walk.person === person.person);
  const form = show(copy("begin"));
  form.querySelector(".begun").append(...begun.reverse().map(begunOf));
  for (const name of ["tractor", "trailer", "form"]) {
    form.elements[name].value = asked.get(name) ?? form.elements[name].value;
  }
  form.onsubmit = async (event) => {
    event.preventDefault();
    const button = form.querySelector("button.main:not([type])");
    button.disabled = true;
    const chosen = Object.fromEntries(["tractor", "trailer", "form"].map((name) => [name, form.elements[name].value.trim()]));
    await begin(person, chosen).finally(() => (button.disabled = false));
  };
  showQueue(form, walks);
  changes.addEventListener("change", async () => form.isConnected && showQueue(form, await allWalks()));
}

/** A walk that was begun, to go on with or to throw away. */
function begunOf(walk) {
  const made = copy("begun", {
    begun: say("begun_at", { units: walk.list.units.map(refOf).join(", "), time: clock(walk.startedAt) }),
  });
  made.querySelector("[data-do=go-on]").onclick = () => goOn(walk);
  made.querySelector("[data-do=throw-away]").onclick = async () => {
    await throwAway(walk);
    await start();
  };
  return made;
}

function showQueue(form, walks) {
  const waiting = walks.filter((walk) => walk.state !== "begun").slice(-5).reverse();
  form.querySelector(".queue").hidden = !waiting.length;
  form.querySelector(".queue ul").replaceChildren(
    ...waiting.map((walk) => copy("queued", { units: walk.list.units.map(refOf).join(", "), state: stateOf(walk) })),
  );
}

function sayClock() {
  if (clockIsWrong()) {
    note(ahead > 0 ? "clock_ahead" : "clock_behind", "", { minutes: Math.round(Math.abs(ahead) / 60_000) });
  }
}

changes.addEventListener("change", sayClock);
await navigator.storage?.persist?.();
await navigator.serviceWorker?.register("/service-worker.js");
await start();
await keepSending();
sayClock();
