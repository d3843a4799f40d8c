/** What is wrong at a point: its sentence, place, note, photo, and whether it was put right; or why nobody looked. */

import { NoPicture, smaller } from "./photos.js";
import { copy, hasWords, say } from "./templates.js";
import { keepPhoto } from "./walks.js";

const NOT_REACHED = ["sealed", "dark", "no_helper", "weather", "blocked", "other"];

/** What was said at a spot, in a few words. */
export function saidInWords(walk, spot) {
  const said = walk.said[spot.key];
  if (!said) {
    return "";
  }
  const value = said.value ? say("value_said", { value: said.value, unit: say(spot.point.measure.unit_of_measure) }) : "";
  const what = [walk.words[spot.point.point]?.[said.finding] ?? said.note ?? "", value].filter(Boolean).join(", ");
  const whole = spot.words ? `${spot.words}: ` : "";
  switch (said.answer) {
    case "defect": return whole + say("fault_said", { what: what || say("fault_unnamed") });
    case "corrected": return whole + say("corrected_said", { what: said.what });
    case "not_reached": return say("not_reached_said", { why: say(hasWords(said.reason) ? said.reason : "other") });
    default: return value ? whole + value : say("fine_said");
  }
}

function opened(dialog) {
  document.body.append(dialog);
  dialog.showModal();
  return dialog;
}

function choices(fieldset, name, options, chosen) {
  for (const [value, says] of options) {
    const made = copy("choice", { says });
    Object.assign(made.querySelector("input"), { name, value, checked: value === chosen });
    fieldset.append(made);
  }
  fieldset.hidden = !options.length;
}

/**
 * @param {any} walk
 * @param {import("./lap.js").Spot[] | null} spots none: a fault that no point describes
 * @returns {Promise<any>} the spot and what is said of it, without an answer where it is taken off; null where cancelled
 */
export function askFault(walk, spots) {
  const several = spots ?? [];
  const faultAt = (spot) => (["defect", "corrected"].includes(walk.said[spot?.key]?.answer) ? walk.said[spot.key] : undefined);
  const first = several.find(faultAt) ?? several[0];
  const dialog = opened(copy("fault-dialog", { title: several[0]?.point.title ?? say("fault_unnamed") }));
  const form = dialog.querySelector("form");
  const photos = [];
  const findings = Object.keys(several[0]?.findings ?? {}).map((code) => [code, walk.words[several[0].point.point]?.[code] ?? code]);
  choices(form.querySelector(".place"), "place", several.length > 1 ? several.map((spot) => [spot.key, spot.words]) : [], first?.key);
  choices(form.querySelector(".finding"), "finding", findings, "");
  form.querySelector(".correction").hidden = !several[0]?.point.correctable;
  form.querySelector(".heard").hidden = !spots;
  /** The spot that the fault is at, by the place chosen. */
  const chosen = () => several.find((spot) => spot.key === form.elements.place?.value) ?? several[0];
  const problem = form.querySelector("[data-text=problem]");
  const tell = (place, text) => {
    place.textContent = text;
    place.hidden = !text;
  };
  const sayPhotos = () => tell(form.querySelector(".photos"), photos.length ? say("photo_kept", { count: photos.length }) : "");
  /** Show what was said at the place chosen before; each place has a fault of its own. */
  const fill = () => {
    const said = faultAt(chosen()) ?? {};
    for (const input of form.querySelectorAll("[name=finding]")) {
      input.checked = input.value === (said.finding ?? (findings.length === 1 ? findings[0][0] : ""));
    }
    form.elements.note.value = said.note ?? "";
    form.elements.heard.value = said.heardFrom ?? "";
    form.elements.what.value = said.what ?? "";
    form.elements.by.value = said.by ?? "";
    photos.splice(0, photos.length, ...(said.photos ?? []));
    form.querySelector("[value=remove]").hidden = !faultAt(chosen());
    sayPhotos();
  };
  fill();
  form.querySelector(".place").onchange = () => (faultAt(first) || faultAt(chosen()) ? fill() : undefined);
  form.elements.photo.onchange = async () => {
    const [file] = form.elements.photo.files;
    try {
      const photo = await smaller(file);
      await keepPhoto({ ...photo, person: walk.person });
      photos.push(photo.sha256);
      tell(problem, "");
      sayPhotos();
    } catch (why) {
      tell(problem, say(why instanceof NoPicture ? "no_picture" : why?.name === "QuotaExceededError" ? "storage_full" : "storage_failed"));
    }
    form.elements.photo.value = "";
  };
  const read = () => {
    const text = (name) => form.elements[name].value.trim();
    const finding = form.elements.finding?.value ?? "";
    const corrected = Boolean(text("what") || text("by"));
    if (!finding && !text("note")) {
      return { problem: "say_what" };
    }
    if (corrected && !(text("what") && text("by"))) {
      return { problem: "say_correction" };
    }
    return {
      spot: chosen(),
      answer: corrected ? "corrected" : "defect", finding, note: text("note"), photos,
      ...(text("heard") ? { heardFrom: text("heard"), heardAt: new Date().toISOString() } : {}),
      ...(corrected ? { what: text("what"), by: text("by") } : {}),
    };
  };
  return new Promise((resolve) => {
    let answer = null;
    form.onsubmit = (event) => {
      const value = event.submitter?.value ?? "keep";
      if (value === "keep") {
        answer = read();
        if (answer.problem) {
          event.preventDefault();
          tell(problem, say(answer.problem));
          answer = null;
        }
      } else if (value === "remove") {
        answer = { spot: chosen() };
      }
    };
    dialog.onclose = () => {
      dialog.remove();
      resolve(answer);
    };
  });
}

/** @returns {Promise<string>} why it was not looked at; empty where cancelled */
export function askReason() {
  const dialog = opened(copy("reason-dialog"));
  dialog.querySelector(".reasons-of").append(
    ...NOT_REACHED.map((value) => Object.assign(copy("reason", { says: say(value) }), { value })),
  );
  return new Promise((resolve) => {
    dialog.onclose = () => {
      dialog.remove();
      resolve(NOT_REACHED.includes(dialog.returnValue) ? dialog.returnValue : "");
    };
  });
}
