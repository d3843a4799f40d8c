/** Fills the page's own templates, in which all its words stand; writes text alone, never markup. */

const words = new Map(
  [...document.getElementById("words").content.children].map((each) => [each.dataset.word, each.textContent]),
);

/**
 * A sentence of the page with its facts.
 * @param {string} code
 * @param {Record<string, string | number>} [facts]
 */
export function say(code, facts = {}) {
  const sentence = words.get(code);
  if (sentence === undefined) {
    throw new Error(`no words for ${code}`);
  }
  return sentence.replace(/{(\w+)}/g, (_, name) => String(facts[name]));
}

/** @param {string} code @returns {boolean} */
export const hasWords = (code) => words.has(code);

/**
 * A copy of a template; what has `data-text` is filled by its name, and left out where that is empty.
 * @param {string} id
 * @param {Record<string, string>} [texts]
 * @returns {HTMLElement}
 */
export function copy(id, texts = {}) {
  const made = /** @type {HTMLElement} */ (document.getElementById(id).content.firstElementChild.cloneNode(true));
  for (const slot of [made, ...made.querySelectorAll("[data-text]")]) {
    if (slot.dataset.text) {
      const text = texts[slot.dataset.text] ?? "";
      slot.textContent = text;
      slot.hidden = !text;
    }
  }
  return made;
}

/** An instant as a driver reads it, by this phone's clock and zone; with its day where that is not today. */
export function clock(instant) {
  const language = document.documentElement.lang;
  const [at, now] = [new Date(instant), new Date()];
  const part = (options) => at.toLocaleString(language, options);
  const day = [part({ weekday: "short" }), part({ day: "numeric" }), part({ month: "short" })].join(" ");
  const time = at.toLocaleTimeString(language, { hour: "numeric", minute: "2-digit" });
  return at.toDateString() === now.toDateString() ? time : `${day} ${time}`;
}
