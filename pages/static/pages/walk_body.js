/** What a walk that was pressed and typed says to the service: the body of its PUT. Pure. */

import { legsOf, limitBroken, refOf } from "./lap.js";

/**
 * @typedef {{answer: "fine" | "defect" | "corrected" | "not_reached" | "not_applicable", value?: string, finding?: string,
 *   note?: string, reason?: string, heardFrom?: string, heardAt?: string, what?: string, by?: string, photos?: string[]}} Said
 * @typedef {{id: string, person: string, list: any, startedAt: string, looked: Record<string, string>,
 *   said: Record<string, Said>, others: {unit: string, text: string, place: string, photos: string[]}[],
 *   meters: Record<string, {meter: string, shown: string}>, site?: string}} Walk
 *   `looked` has the instant of each leg looked at, `said` what was said at a spot, by their keys.
 */

/** @param {Walk} walk @returns {import("./lap.js").Spot[]} the spots that nothing answers yet */
export function unanswered(walk) {
  const open = [];
  for (const leg of legsOf(walk.list)) {
    for (const { point, spots } of leg.asks) {
      for (const spot of spots) {
        const byLeg = !spot.alone && leg.toSign && walk.looked[leg.key];
        if (!byLeg && !walk.said[spot.key] && !point.optional && point.may_answer !== false) {
          open.push(spot);
        }
      }
    }
  }
  return open;
}

/** @param {Walk} walk @returns {{spot: import("./lap.js").Spot, said: Said}[]} the faults, in the order of the lap */
export function faultsOf(walk) {
  return legsOf(walk.list).flatMap((leg) => leg.asks.flatMap(({ spots }) => spots))
    .map((spot) => ({ spot, said: walk.said[spot.key] }))
    .filter(({ spot, said }) => said && (["defect", "corrected"].includes(said.answer) || limitBroken(spot, said.value ?? "")));
}

/**
 * @param {Walk} walk
 * @param {{at: string, method: "drawn" | "typed", device: string}} signed
 * @returns {any} the body, but for `sent_at`, which goes with each sending
 */
export function bodyOf(walk, { at, method, device }) {
  const { list } = walk;
  const reports = new Map(list.units.map((unit) => [refOf(unit), { unit: refOf(unit), checks: [], faults: [], meters: [], looked_at: [] }]));
  for (const leg of legsOf(list)) {
    const report = reports.get(leg.unit);
    if (leg.toSign && walk.looked[leg.key]) {
      report.looked_at.push({ leg: leg.leg, at: walk.looked[leg.key] });
    }
    for (const { spots } of leg.asks) {
      report.checks.push(...spots.filter((spot) => walk.said[spot.key]).map((spot) => checkOf(spot, walk.said[spot.key])));
    }
  }
  for (const { unit, text, place, photos } of walk.others) {
    reports.get(unit).faults.push({ text, place, photos });
  }
  for (const unit of list.units) {
    const { meter, shown } = walk.meters[unit.id] ?? {};
    if (shown) {
      reports.get(refOf(unit)).meters.push({ meter, shown });
    }
  }
  return {
    kind: list.kind, form: list.form, catalogue: list.catalogue, coupled: list.coupled,
    started_at: walk.startedAt, finished_at: at, ...(walk.site ? { site: walk.site } : {}),
    reports: [...reports.values()],
    signature: { method, signed_at: at, shown: list.to_sign, device },
  };
}

function checkOf(spot, said) {
  const check = { point: spot.point.point, place: spot.place, answer: said.answer };
  const more = {
    value: said.value, finding: said.finding, note: said.note, reason: said.reason,
    heard_from: said.heardFrom, heard_at: said.heardAt, photos: said.photos?.length ? said.photos : undefined,
  };
  Object.assign(check, Object.fromEntries(Object.entries(more).filter(([, value]) => value)));
  if (said.value) {
    check.unit_of_measure = spot.point.measure.unit_of_measure;
  }
  if (said.answer === "corrected") {
    check.correction = { what: said.what, by: said.by, photo: said.photos?.[0] ?? "" };
  }
  return check;
}

/** @param {any} body @returns {string[]} the photos that its body names */
export function photosOf(body) {
  const named = body.reports.flatMap(({ checks, faults }) => [...checks, ...faults]);
  return [...new Set(named.flatMap(({ photos = [] }) => photos))];
}
