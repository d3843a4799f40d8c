/** The API's list of a walk, leg by leg with its points and places. Pure: judges nothing, keeps nothing. */

/**
 * @typedef {{key: string, point: any, unit: string, place: string, words: string, alone: boolean,
 *   limits: any[], findings: Record<string, number>, last: any, open: any[]}} Spot
 *   One place of a point; `alone` where a signature over its leg does not answer it.
 * @typedef {{point: any, spots: Spot[]}} Ask One point with those of its places that are reached one after another.
 * @typedef {{key: string, unit: string, leg: string, words: string, toSign: boolean, cautions: string[], asks: Ask[]}} Leg
 */

/** @param {any} unit as the list has it */
export function refOf(unit) {
  return unit.owner ? `${unit.number}@${unit.owner}` : unit.number;
}

/**
 * @param {any} list the answer to GET /walk
 * @returns {Leg[]}
 */
export function legsOf(list) {
  const words = Object.fromEntries(list.place_words.map((each) => [each.place, each.words]));
  return list.legs.map((leg) => {
    const asks = [];
    for (const stop of leg.stops) {
      const point = list.points[stop.point];
      const spots = (stop.places ?? [""]).map((place) => spotOf(point, leg.unit, place, words));
      const before = asks.at(-1);
      if (before?.point === point) {
        before.spots.push(...spots);
      } else {
        asks.push({ point, spots });
      }
    }
    const numbers = asks.map(({ point }) => point.caution).filter((caution) => caution !== undefined);
    const cautions = [...new Set(numbers)].map((caution) => list.cautions[caution]);
    return {
      key: `${leg.unit} ${leg.leg}`, unit: leg.unit, leg: leg.leg, words: leg.words,
      toSign: leg.to_sign ?? true, cautions, asks,
    };
  });
}

function spotOf(point, unit, place, words) {
  const told = (point.places ?? []).find((each) => each.place === place) ?? {};
  return {
    key: `${unit} ${point.point} ${place}`, point, unit, place, words: words[place] ?? place,
    alone: (told.answered_by ?? point.answered_by ?? "leg") === "one_by_one",
    limits: told.limits ?? point.limits ?? [],
    findings: { ...point.findings, ...told.findings },
    last: told.last_value ?? null,
    open: told.open_defects ?? [],
  };
}

/**
 * Whether a value is beyond a limit: a hint while it is typed, the service judges what is sent.
 * @param {number} value
 * @param {any} limit
 */
export function beyond(value, limit) {
  const { fails_when: when } = limit;
  const [at, low, high] = [limit.value, limit.low, limit.high].map((figure) => Number(figure ?? NaN));
  switch (when) {
    case "above": return value > at;
    case "at_or_above": return value >= at;
    case "below": return value < at;
    case "at_or_below": return value <= at;
    case "outside": return value < low || value > high;
    default: return false;
  }
}

/**
 * The limit that a value is beyond; the first of those that are gravest is the service's to say.
 * @param {Spot} spot
 * @param {string} text as it was typed
 */
export function limitBroken(spot, text) {
  const value = Number(text);
  return text === "" || Number.isNaN(value) ? undefined : spot.limits.find((limit) => beyond(value, limit));
}

/** Whether a figure is one, and within what is plausible. */
export function plausible(measure, text) {
  const value = Number(text);
  return /^-?\d*\.?\d+$/.test(text) && value >= Number(measure.minimum ?? "0") && value <= Number(measure.maximum);
}
